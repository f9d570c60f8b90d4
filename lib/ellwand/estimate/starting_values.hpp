#pragma once
/// What the engine assumes before it has measured anything: one table, read by estimate and
/// calibrate alike. Nothing in it is compiled in.

#include "ellwand/yarn/yarn.hpp"

#include <array>
#include <cstddef>
#include <functional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

namespace ellwand::estimate {

/// How the doubt about a value is stated.
enum class SpreadScale {
  None,      ///< not fitted
  Log,       ///< standard deviation of its logarithm
  Absolute,  ///< standard deviation of the value itself, in its own unit
};

/// How the calibration treats the spread: held, summed over a grid, or by a quadrature rule.
enum class SpreadTreatment { Held, Grid, Rule };

struct StartingValue {
  std::string name;     ///< "take.weave"
  double median = 0.0;  ///< a ratio, or metres, grams, minutes
  double spread = 0.0;  ///< on its scale
  SpreadScale scale = SpreadScale::None;
  SpreadTreatment treatment = SpreadTreatment::Held;
  std::string shared_by;  ///< "a work", "the studio", ...
  std::string meaning;    ///< in a weaver's words
  std::string source;
};

/// Every name an estimate may ask for.
inline constexpr std::array<std::string_view, 104> kStartingNames = {"packing.singles",
                                                                     "packing.plied",
                                                                     "packing.woollen",
                                                                     "packing.roving_loose",
                                                                     "packing.roving_held",
                                                                     "beat.weft_faced",
                                                                     "beat.balanced",
                                                                     "beat.warp_faced",
                                                                     "beat.piece",
                                                                     "height_share.balanced",
                                                                     "height_share.faced",
                                                                     "row_height.knots",
                                                                     "row_height.soumak",
                                                                     "row_height.twining",
                                                                     "row_height.loops",
                                                                     "row_height.wraps",
                                                                     "take.weave",
                                                                     "take.knots",
                                                                     "take.soumak",
                                                                     "take.twining",
                                                                     "take.loops",
                                                                     "take.wraps",
                                                                     "take.hemstitch",
                                                                     "take.cord",
                                                                     "take.edge_knots",
                                                                     "hand",
                                                                     "yarn",
                                                                     "weaver.experienced",
                                                                     "weaver.beginner",
                                                                     "piece",
                                                                     "lot.mill",
                                                                     "lot.hand_dyed",
                                                                     "lot.handspun",
                                                                     "thickness.spun",
                                                                     "thickness.roving",
                                                                     "split.roving",
                                                                     "draw_in",
                                                                     "draw_in.beginner",
                                                                     "stretch.cotton",
                                                                     "stretch.linen",
                                                                     "stretch.wool",
                                                                     "stretch.other",
                                                                     "relaxation",
                                                                     "washing.wool",
                                                                     "washing.other",
                                                                     "tail",
                                                                     "trim",
                                                                     "working_length.needle",
                                                                     "working_length.butterfly",
                                                                     "working_length.shuttle",
                                                                     "waste.share",
                                                                     "waste.per_colour",
                                                                     "tie",
                                                                     "tie_room",
                                                                     "tie_hold",
                                                                     "needle_room",
                                                                     "swatch.width.1",
                                                                     "swatch.width.2",
                                                                     "swatch.width.3",
                                                                     "swatch.height.1",
                                                                     "swatch.height.2",
                                                                     "swatch.height.3",
                                                                     "swatch.length",
                                                                     "tool.scale",
                                                                     "tool.rule",
                                                                     "minutes.set_up",
                                                                     "minutes.measure",
                                                                     "minutes.unpick",
                                                                     "minutes.weigh_length",
                                                                     "minutes.weave",
                                                                     "minutes.thrown",
                                                                     "minutes.knots",
                                                                     "minutes.soumak",
                                                                     "minutes.twining",
                                                                     "minutes.loops",
                                                                     "minutes.wraps",
                                                                     "minutes.hemstitch",
                                                                     "minutes.besides",
                                                                     "minutes.work",
                                                                     "minutes.common",
                                                                     "minutes.per_gram",
                                                                     "swap.cover",
                                                                     "swap.thickness",
                                                                     "swap.size",
                                                                     "swap.cost",
                                                                     "swap.shelf",
                                                                     "swap.risk",
                                                                     "swap.fibre",
                                                                     "swap.least_cover",
                                                                     "swap.most_chance",
                                                                     "swap.most_held",
                                                                     "kit.finish",
                                                                     "kit.winding",
                                                                     "kit.lost",
                                                                     "kit.ball_step",
                                                                     "kit.length_step",
                                                                     "judge.hidden_picks",
                                                                     "judge.few_rows",
                                                                     "judge.many_lengths",
                                                                     "judge.uneven",
                                                                     "judge.ends_apart",
                                                                     "judge.too_wide",
                                                                     "judge.tallest_loop",
                                                                     "judge.bare_warp"};

/// Where a name stands in kStartingNames: its figures are found without looking it up.
struct StartingRow {
  std::size_t place;
};

/// A name that is not in kStartingNames does not compile.
consteval StartingRow row(std::string_view name) {
  for (std::size_t place = 0; place < kStartingNames.size(); ++place) {
    if (kStartingNames[place] == name) return {place};
  }
  throw "no such starting value";
}

class StartingValues {
 public:
  struct Hash {
    using is_transparent = void;
    std::size_t operator()(std::string_view name) const {
      return std::hash<std::string_view>{}(name);
    }
  };
  using Table = std::unordered_map<std::string, StartingValue, Hash, std::equal_to<>>;

  /// @throws std::invalid_argument naming the first of kStartingNames that is missing
  explicit StartingValues(std::vector<StartingValue> values);

  /// @throws std::out_of_range for a name the table does not have
  const StartingValue& at(std::string_view name) const;
  double median(std::string_view name) const { return at(name).median; }
  double median(StartingRow row) const { return figures_[row.place].median; }
  double spread(StartingRow row) const { return figures_[row.place].spread; }
  const Table& all() const { return values_; }

  yarn::Packing packing() const;

 private:
  struct Figures {
    double median = 0.0;
    double spread = 0.0;
  };
  Table values_;
  std::array<Figures, kStartingNames.size()> figures_;  ///< in the order of kStartingNames
};

}  // namespace ellwand::estimate
