#include "ellwand/estimate/starting_values.hpp"

#include <stdexcept>
#include <utility>

namespace ellwand::estimate {

StartingValues::StartingValues(std::vector<StartingValue> values) {
  for (StartingValue& value : values) {
    std::string name = value.name;
    values_.emplace(std::move(name), std::move(value));
  }
  for (const std::string& name : required_names()) {
    if (values_.find(name) == values_.end()) {
      throw std::invalid_argument("the table of starting values has no row named '" + name + "'");
    }
  }
}

const StartingValue& StartingValues::at(std::string_view name) const {
  const auto found = values_.find(name);
  if (found == values_.end())
    throw std::out_of_range("no starting value named '" + std::string(name) + "'");
  return found->second;
}

yarn::Packing StartingValues::packing() const {
  return {median("packing.singles"), median("packing.plied"), median("packing.woollen"),
          median("packing.roving_loose"), median("packing.roving_held")};
}

const std::vector<std::string>& StartingValues::required_names() {
  static const std::vector<std::string> names = {"packing.singles",
                                                 "packing.plied",
                                                 "packing.woollen",
                                                 "packing.roving_loose",
                                                 "packing.roving_held",
                                                 "beat.weft_faced",
                                                 "beat.balanced",
                                                 "beat.warp_faced",
                                                 "beat.piece",
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
                                                 "kit.length_step"};
  return names;
}

}  // namespace ellwand::estimate
