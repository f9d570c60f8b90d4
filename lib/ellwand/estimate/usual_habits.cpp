#include "ellwand/estimate/usual_habits.hpp"

#include <optional>

namespace ellwand::estimate {

namespace {

/// The rows of the table a work has its take and its row height from, in the order of the works.
struct WorkRows {
  std::optional<StartingRow> take;        ///< where something is laid
  std::optional<StartingRow> row_height;  ///< where rows do not follow from the beat
};
constexpr std::array<WorkRows, std::variant_size_v<technique::Work>> kWorkRows = {{
    {row("take.weave"), std::nullopt},
    {row("take.knots"), row("row_height.knots")},
    {row("take.soumak"), row("row_height.soumak")},
    {row("take.twining"), row("row_height.twining")},
    {row("take.loops"), row("row_height.loops")},
    {row("take.wraps"), row("row_height.wraps")},
    {row("take.knots"), row("row_height.knots")},  // the knots of a pile; its ground is woven
    {std::nullopt, std::nullopt},                  // a gap
    {row("take.hemstitch"), std::nullopt},
}};

}  // namespace

UsualHabits::UsualHabits(const StartingValues& values)
    : tail(metres(values.median(row("tail")))),
      trim(metres(values.median(row("trim")))),
      working_lengths_{metres(values.median(row("working_length.needle"))),
                       metres(values.median(row("working_length.butterfly"))),
                       metres(values.median(row("working_length.shuttle")))} {
  for (std::size_t i = 0; i < kWorkRows.size(); ++i) {
    const WorkRows& rows = kWorkRows.at(i);
    if (rows.take) takes_.at(i) = values.median(*rows.take);
    if (rows.row_height) row_heights_.at(i) = values.median(*rows.row_height);
  }
}

}  // namespace ellwand::estimate
