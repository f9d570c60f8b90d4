// Weaves: by name, in words line by line, and as a draft of three lines (threading, tie-up and
// treadling, a digit a shaft or treadle). What reads is spread, turned and counted.

#include "checks.hpp"

#include "ellwand/cloth/weave.hpp"
#include "ellwand/units/error.hpp"

#include <algorithm>
#include <optional>
#include <sstream>

namespace ellwand::fuzz {

namespace {

using cloth::Grid;

template <class Read>
std::optional<Grid> grid_of(Read read) {
  try {
    return read();
  } catch (const cloth::UnreadableWeave& unreadable) {
    must(unreadable.row() >= 0 && unreadable.column() >= 0, "a place that is none");
    return std::nullopt;
  }
}

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines;
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) lines.push_back(line);
  return lines;
}

std::vector<int> digits_of(const std::string& word) {
  std::vector<int> digits;
  for (const char c : word) digits.push_back(c - '0');
  return digits;
}

std::vector<std::vector<int>> words_of(const std::string& line) {
  std::vector<std::vector<int>> words;
  std::istringstream in(line);
  for (std::string word; in >> word;) words.push_back(digits_of(word));
  return words;
}

cloth::Draft draft_of(const std::vector<std::string>& lines) {
  cloth::Draft draft;
  draft.threading = digits_of(lines[0]);
  draft.tie_up = words_of(lines[1]);
  draft.treadling = words_of(lines[2]);
  draft.shed = lines.size() > 3 ? cloth::Shed::Sinking : cloth::Shed::Rising;
  return draft;
}

void count(const Grid& grid) {
  const auto ends = static_cast<std::int64_t>(grid.ends());
  const auto picks = static_cast<std::int64_t>(grid.picks());
  for (int pick = 0; pick < std::min(grid.picks(), 64); ++pick) {
    must(grid.row_cells_in_repeat(pick).all() == ends, "cells of a pick are lost");
    must(grid.row_cells(pick, 0, grid.ends()).all() == ends - 1, "cells between ends are lost");
    must(grid.longest_weft_float(pick, 0, grid.ends()) <= grid.ends(), "a float beyond the edge");
  }
  for (int end = 0; end < std::min(grid.ends(), 64); ++end) {
    must(grid.column_cells_in_repeat(end).all() == picks, "cells of an end are lost");
    must(grid.longest_warp_float(end, 3 * picks) <= 3 * picks, "a float beyond the cloth");
  }
  const double share = busiest_gap_share(grid);
  must(share >= 0.0 && share <= 1.0, "a share beyond 1");
  try {
    must_be_amount(average_weft_float(grid), "average float", 1.0);
    must_be_amount(average_warp_float(grid), "average float", 1.0);
  } catch (const OutOfRange&) {  // no thread crosses
  }
}

void turn(const Grid& grid) {
  must(mirrored(mirrored(grid)) == grid, "mirrored twice is another weave");
  must(quarter_turned(quarter_turned(quarter_turned(quarter_turned(grid)))) == grid,
       "turned round is another weave");
  const Grid small = smallest_repeat(grid);
  must(small.ends() <= grid.ends() && small.picks() <= grid.picks(), "a repeat that grew");
  must(same_weave(small, grid), "the smallest repeat is another weave");
}

void spread_out(const Grid& grid, int ends) {
  for (int place = 0; place <= static_cast<int>(cloth::Remainder::PlainBoth); ++place) {
    const auto over =
        grid_of([&] { return spread(grid, ends, static_cast<cloth::Remainder>(place)); });
    if (!over) continue;
    must(over->ends() == ends, "spread over other ends");
    must(with_floating_selvedges(*over).ends() == ends + 2, "selvedges are not two");
  }
}

void try_weave(const std::optional<Grid>& grid, const std::string& text) {
  if (!grid) return;
  count(*grid);
  // What takes long with the largest grids is done of small ones.
  if (static_cast<std::int64_t>(grid->ends()) * grid->picks() > 20'000) return;
  turn(*grid);
  if (grid->picks() <= 100) spread_out(*grid, 1 + static_cast<int>(drawn_from(text, 300)));
}

}  // namespace
}  // namespace ellwand::fuzz

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const ellwand::fuzz::Within within(1);
  using namespace ellwand;
  const std::string text(reinterpret_cast<const char*>(data), size);
  const std::vector<std::string> lines = fuzz::lines_of(text);
  fuzz::try_weave(fuzz::grid_of([&] { return cloth::read_weave_name(text); }), text);
  fuzz::try_weave(fuzz::grid_of([&] { return cloth::weave_from_words(lines); }), text);
  if (lines.size() < 3) return 0;
  fuzz::try_weave(fuzz::grid_of([&] { return cloth::weave_from_draft(fuzz::draft_of(lines)); }),
                  text);
  return 0;
}
