// A weave laid over the ends of a warp, turned, mirrored, reduced.

#include <fmt/format.h>

#include <algorithm>
#include <numeric>

#include "ellwand/cloth/weave.hpp"

namespace ellwand::cloth {

namespace {

/// The grid of which `over(pick, end)` tells the cells.
template <class Over>
Grid drawn(int picks, int ends, const Over& over) {
  if (ends < 1 || picks < 1 || picks > kMostGridCells / ends) {
    throw UnreadableWeave(
        fmt::format("a weave of {} ends and {} picks cannot be drawn; it needs one "
                    "of each, and {} cells are the most",
                    ends, picks, kMostGridCells),
        0, 0);
  }
  std::vector<std::vector<bool>> rows(static_cast<std::size_t>(picks));
  for (int pick = 0; pick < picks; ++pick) {
    auto& row = rows[static_cast<std::size_t>(pick)];
    row.reserve(static_cast<std::size_t>(ends));
    for (int end = 0; end < ends; ++end) row.push_back(over(pick, end));
  }
  return Grid(rows);
}

bool is_plain(Remainder remainder) {
  return remainder == Remainder::PlainLeft || remainder == Remainder::PlainRight ||
         remainder == Remainder::PlainBoth;
}

/// How many of the ends that remain lie at the left edge.
int left_of(int remaining, Remainder remainder) {
  switch (remainder) {
    case Remainder::Left:
    case Remainder::PlainLeft:
      return remaining;
    case Remainder::Both:
    case Remainder::PlainBoth:
      return remaining / 2;
    case Remainder::None:
    case Remainder::Right:
    case Remainder::PlainRight:
      return 0;
  }
  return 0;
}

[[noreturn]] void refuse_remainder(int repeat, int ends) {
  const int below = ends / repeat * repeat;
  const std::string widths =
      below == 0 ? std::to_string(repeat) : fmt::format("{} or {}", below, below + repeat);
  throw UnreadableWeave(
      fmt::format(
          "a repeat of {} ends leaves {} of {} ends over; say where they go (left, right, both; "
          "in the weave or in plain weave), or take {} ends",
          repeat, ends - below, ends, widths),
      0, 0);
}

/// Whether the grid looks the same `ends` further right and `picks` further up.
bool repeats_after(const Grid& grid, int picks, int ends) {
  for (int pick = 0; pick < grid.picks(); ++pick) {
    for (int end = 0; end < grid.ends(); ++end) {
      const bool there = grid.over((pick + picks) % grid.picks(), (end + ends) % grid.ends());
      if (grid.over(pick, end) != there) return false;
    }
  }
  return true;
}

}  // namespace

Grid spread(const Grid& repeat, int ends, Remainder remainder) {
  const int n = repeat.ends();
  if (ends < 1) {
    throw UnreadableWeave(fmt::format("a weave over {} ends; 1 or more are needed", ends), 0, 0);
  }
  const int remaining = ends % n;
  if (remaining == 0)
    remainder = Remainder::None;
  else if (remainder == Remainder::None)
    refuse_remainder(n, ends);
  const int left = left_of(remaining, remainder);
  const bool plain_edge = is_plain(remainder);
  const int covered_to = left + ends - remaining;
  const int picks = plain_edge ? std::lcm(repeat.picks(), 2) : repeat.picks();
  return drawn(picks, ends, [&](int pick, int end) {
    if (plain_edge && (end < left || end >= covered_to)) return (pick + end) % 2 == 0;
    return repeat.over(pick % repeat.picks(), (end - left + n) % n);
  });
}

Grid with_floating_selvedges(const Grid& grid) {
  const int last = grid.ends() + 1;
  return drawn(std::lcm(grid.picks(), 2), grid.ends() + 2, [&](int pick, int end) {
    if (end == 0) return pick % 2 == 0;
    if (end == last) return pick % 2 != 0;
    return grid.over(pick % grid.picks(), end - 1);
  });
}

Grid mirrored(const Grid& grid) {
  return drawn(grid.picks(), grid.ends(),
               [&](int pick, int end) { return grid.over(pick, grid.ends() - 1 - end); });
}

Grid quarter_turned(const Grid& grid) {
  return drawn(grid.ends(), grid.picks(), [&](int pick, int end) { return !grid.over(end, pick); });
}

Grid smallest_repeat(const Grid& grid) {
  int ends = 1;
  while (grid.ends() % ends != 0 || !repeats_after(grid, 0, ends)) ++ends;
  int picks = 1;
  while (grid.picks() % picks != 0 || !repeats_after(grid, picks, 0)) ++picks;
  return drawn(picks, ends, [&](int pick, int end) { return grid.over(pick, end); });
}

bool same_weave(const Grid& a, const Grid& b) { return smallest_repeat(a) == smallest_repeat(b); }

}  // namespace ellwand::cloth
