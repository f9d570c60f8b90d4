// What holds for every cloth, tried on cloths made up at random.

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <numbers>

#include "ellwand/cloth/crossing.hpp"
#include "ellwand/cloth/jam.hpp"
#include "ellwand/cloth/racetrack.hpp"
#include "ellwand/cloth/weave.hpp"

namespace ellwand::cloth {
namespace {

/// A whole number in [low, high], then the same in steps of a thousandth of the way.
int any_whole(int low, int high) { return *rc::gen::inRange(low, high + 1); }
double any_part() { return any_whole(0, 1000) / 1000.0; }

Grid any_grid() {
  const auto ends = static_cast<std::size_t>(any_whole(1, 12));
  const auto picks = static_cast<std::size_t>(any_whole(1, 12));
  std::vector<std::vector<bool>> rows;
  for (std::size_t pick = 0; pick < picks; ++pick) {
    rows.push_back(*rc::gen::container<std::vector<bool>>(ends, rc::gen::arbitrary<bool>()));
  }
  return Grid(rows);
}

/// The words that spell one row.
std::string spelt(const Grid& grid, int pick) {
  std::string words;
  for (int end = 0; end < grid.ends();) {
    int run = 1;
    while (end + run < grid.ends() && grid.over(pick, end + run) == grid.over(pick, end)) ++run;
    words += (words.empty() ? "" : " ") + std::string(grid.over(pick, end) ? "o" : "u") +
             std::to_string(run);
    end += run;
  }
  return words;
}

RC_GTEST_PROP(GridProperties, CountsAreThoseOfLookingAtEveryCell, ()) {
  const Grid grid = any_grid();
  const int rows = any_whole(1, 40);
  const int first = any_whole(0, grid.ends() - 1);
  const int last = any_whole(first + 1, grid.ends());
  Cells weft;
  Cells warp;
  for (int row = 0; row < rows; ++row) {
    for (int end = first; end < last; ++end) {
      const bool here = grid.over(row % grid.picks(), end);
      if (end + 1 < last)
        ++(here != grid.over(row % grid.picks(), end + 1) ? weft.crossing : weft.floating);
      if (row + 1 < rows)
        ++(here != grid.over((row + 1) % grid.picks(), end) ? warp.crossing : warp.floating);
    }
  }
  RC_ASSERT(grid.weft_cells(rows, first, last) == weft);
  RC_ASSERT(grid.warp_cells(rows, first, last) == warp);
}

RC_GTEST_PROP(GridProperties, MirroringLeavesTheCounts, ()) {
  const Grid grid = any_grid();
  const Grid mirror = mirrored(grid);
  const int rows = any_whole(1, 40);
  RC_ASSERT(mirror.weft_cells(rows, 0, grid.ends()) == grid.weft_cells(rows, 0, grid.ends()));
  RC_ASSERT(mirror.warp_cells(rows, 0, grid.ends()) == grid.warp_cells(rows, 0, grid.ends()));
  RC_ASSERT(mirror.longest_weft_float(0, grid.ends()) == grid.longest_weft_float(0, grid.ends()));
  RC_ASSERT(tightest_row(mirror) == tightest_row(grid));
}

RC_GTEST_PROP(GridProperties, AQuarterTurnExchangesTheCounts, ()) {
  const Grid grid = any_grid();
  const Grid turned = quarter_turned(grid);
  RC_ASSERT(turned.weft_cells(turned.picks(), 0, turned.ends()) ==
            grid.warp_cells(grid.picks(), 0, grid.ends()));
  RC_ASSERT(tightest_row(turned) == tightest_column(grid));
}

RC_GTEST_PROP(GridProperties, WordsSpellTheGrid, ()) {
  const Grid grid = any_grid();
  std::vector<std::string> rows;
  for (int pick = 0; pick < grid.picks(); ++pick) rows.push_back(spelt(grid, pick));
  RC_ASSERT(weave_from_words(rows) == grid);
}

RC_GTEST_PROP(GridProperties, ANamedTwillIsTheGridItSpells, ()) {
  const int over = any_whole(1, 6);
  const int under = any_whole(1, 6);
  const Grid grid = read_weave_name(std::to_string(over) + "/" + std::to_string(under) + " twill");
  for (int end = 0; end < grid.ends(); ++end) {
    int raised = 0;  // picks the end passes over
    for (int pick = 0; pick < grid.picks(); ++pick) raised += grid.over(pick, end) ? 0 : 1;
    RC_ASSERT(raised == over);
    RC_ASSERT(grid.column_cells_in_repeat(end).crossing == 2);
  }
}

RC_GTEST_PROP(GridProperties, RepeatingAGridChangesNothing, ()) {
  const Grid grid = any_grid();
  const int times = any_whole(1, 4);
  const Grid wide = spread(grid, times * grid.ends());
  RC_ASSERT(same_weave(wide, grid));
  for (int pick = 0; pick < grid.picks(); ++pick) {
    RC_ASSERT(wide.row_cells_in_repeat(pick).crossing ==
              times * grid.row_cells_in_repeat(pick).crossing);
  }
}

RC_GTEST_PROP(CrossingProperties, LengthLiesBetweenTheSpacingAndTheSpacingAndHalfATurnMore, ()) {
  const double D = 0.1 + 5.0 * any_part();
  const double h = D * any_part();
  const double jam = in_millimetres(jam_spacing(millimetres(D), millimetres(h)));
  const double p = std::max(0.01, jam) * (1.0 + 9.0 * any_part());
  const auto crossing = taut_crossing(millimetres(p), millimetres(D), millimetres(h));
  const double l = in_millimetres(crossing.yarn);
  RC_ASSERT(l >= p * (1.0 - 1e-15));
  RC_ASSERT(l <= p + std::numbers::pi * D);
  RC_ASSERT(crossing.angle_rad >= 0.0);
  RC_ASSERT(crossing.angle_rad <= std::numbers::pi / 2.0 + 1e-9);
}

RC_GTEST_PROP(CrossingProperties, TheHeightIsFoundAgain, ()) {
  const double D = 0.1 + 5.0 * any_part();
  const double h = D * (0.01 + 0.99 * any_part());
  const double jam = in_millimetres(jam_spacing(millimetres(D), millimetres(h)));
  const double p = jam * (1.0 + 4.0 * any_part());
  const Length<> yarn = taut_crossing(millimetres(p), millimetres(D), millimetres(h)).yarn;
  const double found = in_millimetres(height_from_yarn(yarn, millimetres(p), millimetres(D)));
  RC_ASSERT(std::abs(found - h) <= 1e-8 * D);  // rounding of l, magnified by p^2 / (h D)
}

RC_GTEST_PROP(JamProperties, APickThatIsWovenFitsItsWidthAndIsNoThickerThanRound, ()) {
  const Cells cells{any_whole(1, 30), any_whole(0, 30)};
  const double p = 0.5 + 5.0 * any_part();
  const double end = 0.1 + 2.0 * any_part();
  const double weft = 0.1 + 4.0 * any_part();
  const Face face = *rc::gen::element(Face::Weft, Face::Balanced, Face::Warp);
  try {
    const CellSpacing<> fit =
        fit_cells(cells, millimetres(p), millimetres(end), millimetres(weft), face);
    const Length<> width = static_cast<double>(cells.crossing) * fit.crossing +
                           static_cast<double>(cells.floating) * fit.floating;
    RC_ASSERT(std::abs(in_millimetres(width) - p * static_cast<double>(cells.all())) <= 1e-9);
    RC_ASSERT(in_millimetres(fit.weft_thickness) > 0.0);
    RC_ASSERT(in_millimetres(fit.weft_thickness) <= weft * (1.0 + 1e-12));
    const Length<> thickness = millimetres(end) + fit.weft_thickness;
    const Length<> yarn =
        taut_crossing(fit.crossing, thickness, weft_height_share(face) * thickness).yarn;
    RC_ASSERT(yarn >= fit.crossing * (1.0 - 1e-12));
    RC_ASSERT(fit.was_flattened == (in_millimetres(fit.weft_thickness) < weft * (1.0 - 1e-12)));
  } catch (const CannotBeWoven& refused) {
    const double closest = 10.0 / in_per_cm(refused.closest_sett());
    RC_ASSERT(closest >= p * (1.0 - 1e-9));
    fit_cells(cells, millimetres(closest * (1.0 + 1e-9)), millimetres(end), millimetres(weft),
              face);
  }
}

}  // namespace
}  // namespace ellwand::cloth
