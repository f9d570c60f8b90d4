#include "ellwand/cloth/weave.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <numeric>

#include "ellwand/units/error.hpp"

namespace ellwand::cloth {

namespace {

using Rows = std::vector<std::vector<bool>>;

constexpr int kMostFigure = 999;

[[noreturn]] void refuse(const std::string& sentence) { throw UnreadableWeave(sentence, 0, 0); }

/// The longest run of equal answers of `at` over first ... last - 1.
template <class At>
std::int64_t longest_run(std::int64_t first, std::int64_t last, const At& at) {
  std::int64_t longest = 0;
  std::int64_t run = 0;
  for (std::int64_t i = first; i < last; ++i) {
    run = (i > first && at(i) == at(i - 1)) ? run + 1 : 1;
    longest = std::max(longest, run);
  }
  return longest;
}

Rows blank_rows(int picks, int ends) {
  return Rows(static_cast<std::size_t>(picks), std::vector<bool>(static_cast<std::size_t>(ends)));
}

void require_figures(const std::vector<int>& figures, const char* weave) {
  for (const int figure : figures) {
    if (figure >= 1 && figure <= kMostFigure) continue;
    refuse(fmt::format("{} is no figure of a {}; figures are whole numbers from 1 to {}", figure,
                       weave, kMostFigure));
  }
}

bool is_satin_step(int ends, int step) {
  return step >= 2 && step <= ends - 2 && std::gcd(ends, step) == 1;
}

std::string satin_steps(int ends) {
  std::string steps;
  for (int step = 2; step <= ends - 2; ++step) {
    if (!is_satin_step(ends, step)) continue;
    if (steps.size() > 40) return steps + "...";
    steps += (steps.empty() ? "" : ", ") + std::to_string(step);
  }
  return steps;
}

}  // namespace

Grid::Grid(const Rows& over) {
  const std::size_t width = over.empty() ? 0 : over.front().size();
  if (width == 0) refuse("a weave without a cell; give at least one row of at least one end");
  if (over.size() > kMostGridCells / width) {
    refuse(fmt::format("a weave of {} ends and {} picks is too large; {} cells are the most", width,
                       over.size(), kMostGridCells));
  }
  ends_ = static_cast<int>(width);
  picks_ = static_cast<int>(over.size());
  auto counted = std::make_shared<Counted>();
  counted->over.reserve(width * over.size());
  for (std::size_t row = 0; row < over.size(); ++row) {
    if (over[row].size() != width) {
      const int count = static_cast<int>(row) + 1;
      throw UnreadableWeave(
          fmt::format("row {} from the bottom covers {} ends and row 1 covers {}; every row must "
                      "cover the same ends",
                      count, over[row].size(), width),
          count, 0);
    }
    counted->over.insert(counted->over.end(), over[row].begin(), over[row].end());
  }
  counted_ = counted;
  sum_up(*counted);
  for (int end = 0; end < ends_; ++end) {
    counted->busiest_gap = std::max(counted->busiest_gap, crossings_in_gap(end));
    counted->busiest_end =
        std::max(counted->busiest_end, static_cast<int>(column_cells_in_repeat(end).crossing));
  }
}

std::size_t Grid::index(int row, int column) const {
  return static_cast<std::size_t>(row) * static_cast<std::size_t>(ends_ + 1) +
         static_cast<std::size_t>(column);
}

void Grid::sum_up(Counted& counted) const {
  const std::size_t size = index(picks_ + 1, 0);
  counted.row_sums.assign(size, 0);
  counted.column_sums.assign(size, 0);
  for (int row = 0; row < picks_; ++row) {
    const int above = (row + 1) % picks_;
    int in_row = 0;
    int in_step = 0;
    for (int end = 0; end < ends_; ++end) {
      in_row += over(row, end) != over(row, (end + 1) % ends_) ? 1 : 0;
      in_step += over(row, end) != over(above, end) ? 1 : 0;
      counted.row_sums[index(row + 1, end + 1)] = row_sum(row, end + 1) + in_row;
      counted.column_sums[index(row + 1, end + 1)] = column_sum(row, end + 1) + in_step;
    }
  }
}

void Grid::require_pick(int pick) const {
  if (pick >= 0 && pick < picks_) return;
  throw OutOfRange(fmt::format("pick {} is not one of the weave's {} (from 0)", pick, picks_));
}

void Grid::require_ends(int first, int last) const {
  if (first >= 0 && first < last && last <= ends_) return;
  throw OutOfRange(fmt::format(
      "ends {} up to {} are not among the weave's {} (from 0; at least one)", first, last, ends_));
}

void Grid::require_cell(int pick, int end) const {
  require_pick(pick);
  require_ends(end, end + 1);
}

Cells Grid::row_cells(int pick, int first, int last) const {
  require_pick(pick);
  require_ends(first, last);
  const int crossing = row_sum(pick + 1, last - 1) - row_sum(pick, last - 1) -
                       row_sum(pick + 1, first) + row_sum(pick, first);
  return {crossing, last - first - 1 - crossing};
}

Cells Grid::row_cells_in_repeat(int pick) const {
  require_pick(pick);
  const int crossing = row_sum(pick + 1, ends_) - row_sum(pick, ends_);
  return {crossing, ends_ - crossing};
}

Cells Grid::weft_cells(std::int64_t rows, int first, int last) const {
  require_ends(first, last);
  if (rows < 0) throw OutOfRange(fmt::format("{} rows cannot be counted; 0 or more can", rows));
  const auto below = [&](int row) { return row_sum(row, last - 1) - row_sum(row, first); };
  const std::int64_t crossing =
      rows / picks_ * below(picks_) + below(static_cast<int>(rows % picks_));
  return {crossing, rows * (last - first - 1) - crossing};
}

Cells Grid::column_cells(int end, std::int64_t rows) const {
  return warp_cells(rows, end, end + 1);
}

Cells Grid::column_cells_in_repeat(int end) const {
  require_ends(end, end + 1);
  const int crossing = column_sum(picks_, end + 1) - column_sum(picks_, end);
  return {crossing, picks_ - crossing};
}

Cells Grid::warp_cells(std::int64_t rows, int first, int last) const {
  require_ends(first, last);
  if (rows < 1) throw OutOfRange(fmt::format("{} rows hold no warp; 1 or more do", rows));
  const std::int64_t steps = rows - 1;
  const auto below = [&](int step) { return column_sum(step, last) - column_sum(step, first); };
  const std::int64_t crossing =
      steps / picks_ * below(picks_) + below(static_cast<int>(steps % picks_));
  return {crossing, steps * (last - first) - crossing};
}

int Grid::crossings_in_gap(int end) const {
  require_ends(end, end + 1);
  return row_sum(picks_, end + 1) - row_sum(picks_, end);
}

int Grid::longest_weft_float(int pick, int first, int last) const {
  require_pick(pick);
  require_ends(first, last);
  const auto at = [&](std::int64_t end) { return over(pick, static_cast<int>(end)); };
  return static_cast<int>(longest_run(first, last, at));
}

int Grid::longest_weft_float(int first, int last) const {
  int longest = 0;
  for (int pick = 0; pick < picks_; ++pick) {
    longest = std::max(longest, longest_weft_float(pick, first, last));
  }
  return longest;
}

std::int64_t Grid::longest_warp_float(int end, std::int64_t rows) const {
  if (rows < 1) throw OutOfRange(fmt::format("{} rows hold no warp; 1 or more do", rows));
  if (column_cells_in_repeat(end).crossing == 0) return rows;  // never bound
  const auto at = [&](std::int64_t pick) { return over(static_cast<int>(pick % picks_), end); };
  return longest_run(0, std::min<std::int64_t>(rows, 2 * std::int64_t{picks_}), at);
}

Grid plain() {
  static const Grid weave({{true, false}, {false, true}});
  return weave;
}

Grid twill(const std::vector<int>& figures, TwillLine line) {
  if (figures.empty() || figures.size() % 2 != 0) {
    refuse("a twill has an even count of figures, over and under by turns, as 2/2 or 5/2/1/2");
  }
  require_figures(figures, "twill");
  std::vector<bool> warp_up;
  for (std::size_t i = 0; i < figures.size(); ++i) {
    warp_up.insert(warp_up.end(), static_cast<std::size_t>(figures[i]), i % 2 == 0);
  }
  const int n = static_cast<int>(warp_up.size());
  if (n > kMostFigure)
    refuse(fmt::format("a twill of {} ends is too wide; {} are the most", n, kMostFigure));
  Rows rows = blank_rows(n, n);
  for (int pick = 0; pick < n; ++pick) {
    for (int end = 0; end < n; ++end) {
      const int along = line == TwillLine::Right ? pick - end + n : pick + end;
      rows[static_cast<std::size_t>(pick)][static_cast<std::size_t>(end)] =
          !warp_up[static_cast<std::size_t>(along % n)];
    }
  }
  return Grid(rows);
}

Grid basket(int over, int under) {
  require_figures({over, under}, "basket weave");
  const int n = over + under;
  Rows rows = blank_rows(n, n);
  for (int pick = 0; pick < n; ++pick) {
    for (int end = 0; end < n; ++end) {
      rows[static_cast<std::size_t>(pick)][static_cast<std::size_t>(end)] =
          (pick < over) == (end < over);
    }
  }
  return Grid(rows);
}

Grid satin(int ends, int step, SatinFace face) {
  if (ends < 5 || ends == 6 || ends > kMostFigure) {
    refuse(fmt::format("there is no regular satin of {} ends; 5, and 7 to {}, have one", ends,
                       kMostFigure));
  }
  if (!is_satin_step(ends, step)) {
    refuse(fmt::format("a step of {} makes no satin of {} ends; steps that do are {}", step, ends,
                       satin_steps(ends)));
  }
  const bool weft_binds = face == SatinFace::Satin;
  Rows rows(static_cast<std::size_t>(ends),
            std::vector<bool>(static_cast<std::size_t>(ends), !weft_binds));
  for (int pick = 0; pick < ends; ++pick) {
    rows[static_cast<std::size_t>(pick)][static_cast<std::size_t>(pick * step % ends)] = weft_binds;
  }
  return Grid(rows);
}

double average_weft_float(const Grid& grid) {
  std::int64_t crossings = 0;
  for (int pick = 0; pick < grid.picks(); ++pick)
    crossings += grid.row_cells_in_repeat(pick).crossing;
  if (crossings == 0) throw OutOfRange("no pick of this weave crosses, so it has no average float");
  return static_cast<double>(grid.ends()) * grid.picks() / static_cast<double>(crossings);
}

double average_warp_float(const Grid& grid) {
  std::int64_t crossings = 0;
  for (int end = 0; end < grid.ends(); ++end)
    crossings += grid.column_cells_in_repeat(end).crossing;
  if (crossings == 0) throw OutOfRange("no end of this weave crosses, so it has no average float");
  return static_cast<double>(grid.ends()) * grid.picks() / static_cast<double>(crossings);
}

Cells tightest_row(const Grid& grid) {
  Cells tightest = grid.row_cells_in_repeat(0);
  for (int pick = 1; pick < grid.picks(); ++pick) {
    const Cells cells = grid.row_cells_in_repeat(pick);
    if (cells.crossing > tightest.crossing) tightest = cells;
  }
  return tightest;
}

Cells tightest_column(const Grid& grid) {
  const int crossing = grid.crossings_of_busiest_end();
  return {crossing, grid.picks() - crossing};
}

double busiest_gap_share(const Grid& grid) {
  return static_cast<double>(grid.crossings_in_busiest_gap()) / grid.picks();
}

}  // namespace ellwand::cloth
