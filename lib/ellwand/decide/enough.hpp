#pragma once
/// Midway: whether what is left of a yarn is enough for what is still to be woven.

#include "ellwand/decide/knob.hpp"
#include "ellwand/decide/midway.hpp"
#include "ellwand/estimate/piece_model.hpp"
#include "ellwand/numeric/range.hpp"
#include "ellwand/units/error.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace ellwand::decide {

/// An amount of yarn as it was read: in g off a scale, or in m.
struct YarnReading {
  double amount = 0.0;  ///< above 0 of what was used, 0 or more of what is left
  double sd = 0.0;      ///< of the tool: step / sqrt(12) for one reading, sqrt(6) for a difference
  bool is_coarse = false;  ///< under five steps of the tool
};

/// A piece midway. `piece` and `workshop` must outlive it.
struct MidwayQuestion {
  const piece::Piece& piece;
  const estimate::Workshop& workshop;
  std::string yarn = {};  ///< one of the piece's
  bool is_mass = true;    ///< both readings are in g; otherwise in m
  std::size_t band = 0;   ///< index of the band in work; all below it are woven
  int rows = 0;           ///< of it that are woven, the yarn's own, from 0 to all it has
  /// `used` is counted from this band's first row on, or from before the warp was wound.
  std::optional<std::size_t> since_band = std::nullopt;
  std::optional<YarnReading> used = std::nullopt;  ///< nothing is learned without
  YarnReading left = {};
  double confidence = 0.95;
};

/// How far she can weave, in the order of the bands.
struct Reach {
  bool is_everything = false;  ///< the cord and what is lost besides
  std::size_t band = 0;        ///< index of the band it ends in
  int rows = 0;                ///< of that band that can be woven further
  int of_rows = 0;             ///< of that band that are still to come
};

/// What her own use says beside what was foretold.
struct UseSoFar {
  numeric::Range foretold;  ///< of what was used, before it was weighed
  double used = 0.0;
  double surprise = 0.0;  ///< ln(used / foretold) in its standard deviations
};

/// So much more or less than was foretold is no piece of this kind: a slipped decimal, or yarn that
/// went elsewhere.
class UseTooFarOff : public OutOfRange {
 public:
  explicit UseTooFarOff(const UseSoFar& use);
  const UseSoFar& use() const { return use_; }

 private:
  UseSoFar use_;
};

struct Enough {
  std::string yarn;
  bool is_mass = true;
  double grams_per_metre = 0.0;  ///< by its label and its lot
  std::size_t band = 0;
  int rows = 0;
  int of_rows = 0;                  ///< the band has
  std::optional<UseSoFar> so_far;   ///< where it was weighed
  numeric::Range foretold_to_come;  ///< as it was before that
  numeric::Range to_come;
  double needed = 0.0;  ///< for what is to come, at the confidence
  double left = 0.0;
  double confidence = 0.95;
  double chance = 0.0;  ///< that what is left is enough
  Reach safe;           ///< at the confidence
};

/// A piece with the rows of one band counted: stated by its height it has the rows it is planned
/// with. Other bands are woven to their height however many rows that takes, and so is one whose
/// areas have not the same rows.
piece::Piece rows_counted(const piece::Piece& piece, const estimate::Workshop& workshop,
                          std::size_t band);

/// Whether any of what its used yarn is counted in is woven, so that a weighing tells something.
/// @throws as Midway does
bool is_begun(const MidwayQuestion& question);

/// A piece on the loom as one yarn's use has taught it. The weighed yarn moves every coefficient
/// that it hangs on, those shared with what is to come among them: the logarithms are jointly
/// normal, conditioned on one observation and taken again about the means that leaves until they
/// stay.
class Midway {
 public:
  /// @throws BadInput as estimate::PieceModel does
  /// @throws OutOfRange for rows the band does not have, a yarn the piece has not, or where nothing
  ///         of what was used is woven yet; UseTooFarOff where no such piece could have used so
  ///         much
  explicit Midway(const MidwayQuestion& question);

  const MidwayQuestion& question() const { return question_; }
  const estimate::PieceModel& model() const { return model_; }
  const std::optional<UseSoFar>& so_far() const { return so_far_; }
  /// As they are once the use is known.
  const estimate::Coefficients& coefficients() const { return coefficients_; }

  /// The yarn from here to a later point, as it is now known; nothing where it takes none.
  std::optional<numeric::ShiftedLognormal> until(const Progress& later) const;
  /// The yarn to the end of a piece, this one or one that differs from it above what is woven.
  /// @throws BadInput as estimate::PieceModel does
  std::optional<numeric::ShiftedLognormal> to_come(const piece::Piece& piece) const;
  std::optional<numeric::ShiftedLognormal> to_come() const;
  /// As it was before anything was weighed.
  std::optional<numeric::ShiftedLognormal> foretold_to_come() const;

  std::size_t yarn() const { return yarn_; }
  int of_rows() const { return of_rows_; }
  double grams_per_metre() const { return model_.grams_per_metre(yarn_); }

 private:
  void learn();
  void take_in_use();
  struct ExpectedUse;
  ExpectedUse expected_use(const estimate::Coefficients& known,
                           const estimate::Coefficients& prior) const;
  Progress now(int of_rows) const;
  std::optional<numeric::ShiftedLognormal> amount(const estimate::PieceModel& model,
                                                  const estimate::Parts& parts,
                                                  const std::vector<double>& shares) const;
  std::optional<numeric::ShiftedLognormal> rest_of(const estimate::PieceModel& model,
                                                   const estimate::Parts& parts, int of_rows) const;

  MidwayQuestion question_;
  piece::Piece counted_;
  estimate::PieceModel model_;
  std::size_t yarn_ = 0;
  int of_rows_ = 0;
  std::optional<UseSoFar> so_far_;
  estimate::Coefficients coefficients_;
  estimate::Parts parts_;
};

Enough enough(const Midway& midway);

/// A smaller measure, with which what is left is enough.
struct Change {
  Setting to;
  double now = 0.0;
};

/// Of each measure alone the largest that makes what is left enough at the confidence; none of
/// those that do not suffice however small, nor where it is enough as it is. Of the band in work
/// no fewer rows than are woven.
///
/// @param now  the measures that may be made smaller, as the piece has them: of the band in work or
///             of one above it
std::vector<Change> changes_that_suffice(const Midway& midway, const Design& design,
                                         const std::vector<Setting>& now, LengthShown shown);

/// Of those measures, the ones that what is still to come of the yarn hangs on.
std::vector<Knob> knobs_to_come(const Midway& midway, const std::vector<Knob>& all);

}  // namespace ellwand::decide
