#pragma once
/// The yarn of a piece cut up into parts that are each unsure as a whole.

#include "ellwand/estimate/grouped.hpp"
#include "ellwand/estimate/slope_rows.hpp"
#include "ellwand/technique/ledger_entry.hpp"

#include <cstddef>
#include <vector>

namespace ellwand::estimate {

/// The parts of one yarn that are unsure together, with their medians and their slopes.
struct Parts {
  struct Place {
    int band;
    std::size_t yarn;
    technique::Portion portion;
    std::size_t part = 0;  ///< of its band, in the order of its strands
  };
  /// Where bands bend within their doubt: states of equal weight that the coefficients they bend
  /// in are taken at, see DoubtPoints.
  struct States {
    std::size_t count = 0;
    std::vector<std::size_t> coefficients;
    std::vector<double> scores;  ///< state by state
    double most_bent = 0.0;      ///< largest variance of a part's logarithm about its line
  };
  std::vector<Place> places;
  std::vector<double> medians_m;
  SlopeRows slopes;  ///< d ln(part) for one spread of each coefficient, a row each
  /// Once turned, slopes are by independent factors: how one spread of each coefficient moves with
  /// each factor, row by row. Empty where the coefficients are the factors.
  std::vector<double> root;
  std::size_t coefficients = 0;
  States states;  ///< none where no band bends
  /// At each of the states, all else at its median; empty for a part straight in its logarithm.
  /// Of the others, median and slopes are those of the nearest straight line.
  std::vector<std::vector<double>> at_states_m;

  std::size_t size() const { return places.size(); }
  /// To slopes by independent factors, those that bands bend in first.
  /// @param correlation  of the coefficients, row by row; empty when they are independent
  void turn(const std::vector<double>& correlation);
  /// One more independent cause, by which the logarithms of all parts of a yarn move alike. After
  /// turning, if they are turned.
  void add_cause(std::size_t yarn, double spread);
  /// A change of one coefficient by so much of its own unit's logarithm, in factors.
  SlopeRows factors_of(std::size_t coefficient, double spread) const;
  /// Covariance of the logarithm of a part with such a change.
  double covariance_with(std::size_t part, std::size_t coefficient, double spread) const;
  /// Amount of a part at each of the states; that of a straight one by its line.
  std::vector<double> at_each_state_m(std::size_t part) const;
};

/// Indices of parts, yarn by yarn.
Grouped parts_by_yarn(const Parts& parts, std::size_t yarns);

}  // namespace ellwand::estimate
