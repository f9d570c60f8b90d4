#include "ellwand/estimate/usual_habits.hpp"

namespace ellwand::estimate {

namespace {

/// The rows of the table a work has its take and its row height from, in the order of the works.
struct WorkRows {
  const char* take;        ///< empty where nothing is laid
  const char* row_height;  ///< empty where rows follow from the beat
};
constexpr std::array<WorkRows, std::variant_size_v<technique::Work>> kWorkRows = {{
    {"take.weave", ""},
    {"take.knots", "row_height.knots"},
    {"take.soumak", "row_height.soumak"},
    {"take.twining", "row_height.twining"},
    {"take.loops", "row_height.loops"},
    {"take.wraps", "row_height.wraps"},
    {"take.knots", "row_height.knots"},  // the knots of a pile; its ground is woven
    {"", ""},                            // a gap
    {"take.hemstitch", ""},
}};

}  // namespace

UsualHabits::UsualHabits(const StartingValues& values)
    : tail(metres(values.median("tail"))),
      trim(metres(values.median("trim"))),
      working_lengths_{metres(values.median("working_length.needle")),
                       metres(values.median("working_length.butterfly")),
                       metres(values.median("working_length.shuttle"))} {
  for (std::size_t i = 0; i < kWorkRows.size(); ++i) {
    const WorkRows& rows = kWorkRows.at(i);
    if (*rows.take != 0) takes_.at(i) = values.median(rows.take);
    if (*rows.row_height != 0) row_heights_.at(i) = values.median(rows.row_height);
  }
}

}  // namespace ellwand::estimate
