#pragma once
/// From linear rows to a model that is not: linearised about the coefficients' means, solved, and
/// linearised again there, until the means stay.

#include "ellwand/calibrate/normal_rows.hpp"

#include <functional>
#include <vector>

namespace ellwand::calibrate {

/// Of all coefficients, the pieces' own piece after piece.
struct Means {
  std::vector<double> common;
  std::vector<double> own;
};

/// Where the rows have the coefficients.
struct Proposal {
  Means means;           ///< own ones missing at the end are left where they are
  bool is_final = true;  ///< otherwise a first approach, which is no end however little it moves
};

/// How it ended.
struct Relinearised {
  bool is_settled = false;
  int rounds = 0;
};

/// @param means    where to begin; where it ended
/// @param units    of each coefficient, 0 or more: settled is when none goes farther than `still`
///                 of it in a round; one of unit 0 is not asked
/// @param rows_at  the rows, linearised at means: value = reading - what the model has
///                 + slopes x means
/// @param solve    the coefficients that rows have; also given how far the farthest went last, in
///                 units (infinite in the first round)
///
/// A coefficient goes all the way to its target unless it turns back: then its share of the way is
/// halved, and grows again to less than it was, so that one that only goes to and fro about a kink
/// of the model (a jam, a floor) comes to rest there.
///
/// Source: M. J. Lindstrom and D. M. Bates, Biometrics 46 (1990) 673-687, from memory; the
/// likelihood
///         it makes greatest is that of the linearised rows, not the exact one (test
///         Relinearise.OrangeTreesAsNlmeDoes). The shares are derived.
Relinearised relinearise(Means& means, const Means& units,
                         const std::function<NormalRows(const Means&)>& rows_at,
                         const std::function<Proposal(const NormalRows&, double moved)>& solve,
                         double still, int most_rounds);

}  // namespace ellwand::calibrate
