#pragma once
/// The weave: which ends each pick passes over, and what that makes to be counted.

#include <cstdint>
#include <memory>
#include <stdexcept>
#include <string>
#include <vector>

namespace ellwand::cloth {

/// The cells between neighbouring threads that one thread, or many, runs through.
struct Cells {
  std::int64_t crossing = 0;  ///< the thread changes from one side of the cloth to the other
  std::int64_t floating = 0;  ///< it stays on its side

  std::int64_t all() const { return crossing + floating; }
  friend bool operator==(const Cells& a, const Cells& b) {
    return a.crossing == b.crossing && a.floating == b.floating;
  }
};

/// A weave that cannot be read: what was read, what is accepted, and where.
class UnreadableWeave : public std::invalid_argument {
 public:
  UnreadableWeave(const std::string& sentence, int row, int column)
      : std::invalid_argument(sentence), row_(row), column_(column) {}
  int row() const { return row_; }        ///< from 1, the bottom row; 0 when no one row is meant
  int column() const { return column_; }  ///< from 1, in characters of the row; 0 when unknown

 private:
  int row_;
  int column_;
};

/// Most cells (ends times picks) a grid holds.
inline constexpr int kMostGridCells = 4'000'000;

/// A weave on squared paper. Rows are picks, the bottom (first woven) one first; columns are ends
/// from the left; counts from 0. The rows repeat upwards; whether the ends repeat is for the caller
/// to say: functions that say "repeat" count the cell from the last thread to the first of the next
/// repeat, the others stay between the ends they are given.
///
/// Every count is a few look-ups in sums made once. Arguments beyond the grid throw OutOfRange.
class Grid {
 public:
  /// @param over  rows, bottom first; true where the pick passes over the end
  /// @throws UnreadableWeave when there is no cell, rows differ in length, or cells pass
  /// kMostGridCells
  explicit Grid(const std::vector<std::vector<bool>>& over);

  int ends() const { return ends_; }
  int picks() const { return picks_; }
  bool over(int pick, int end) const {
    const bool is_there = pick >= 0 && pick < picks_ && end >= 0 && end < ends_;
    if (!is_there) require_cell(pick, end);
    return counted_->over[static_cast<std::size_t>(pick) * static_cast<std::size_t>(ends_) +
                          static_cast<std::size_t>(end)] != 0;
  }

  /// Cells of one pick between the ends first ... last - 1.
  Cells row_cells(int pick, int first, int last) const;
  /// Cells of one pick over one repeat: as many as there are ends.
  Cells row_cells_in_repeat(int pick) const;
  /// Cells of `rows` picks, which repeat, between the ends first ... last - 1.
  Cells weft_cells(std::int64_t rows, int first, int last) const;

  /// Cells of one end between `rows` picks, which repeat: rows - 1 cells.
  Cells column_cells(int end, std::int64_t rows) const;
  /// Cells of one end over one repeat: as many as there are picks.
  Cells column_cells_in_repeat(int end) const;
  /// Cells of the ends first ... last - 1 between `rows` picks, which repeat.
  Cells warp_cells(std::int64_t rows, int first, int last) const;

  /// Picks of a repeat that cross between this end and the next (for the last end, the first of the
  /// next repeat).
  int crossings_in_gap(int end) const;
  /// The most of them in any gap.
  int crossings_in_busiest_gap() const { return counted_->busiest_gap; }
  /// The most crossings of any end over one repeat.
  int crossings_of_busiest_end() const { return counted_->busiest_end; }

  /// Most ends a pick passes in one float, on either side, among first ... last - 1.
  int longest_weft_float(int pick, int first, int last) const;
  int longest_weft_float(int first, int last) const;
  /// Most picks an end passes in one float, on either side, within `rows` picks, which repeat.
  std::int64_t longest_warp_float(int end, std::int64_t rows) const;

  /// The same cell for cell; for the same cloth whatever part of it is drawn, see `same_weave`.
  friend bool operator==(const Grid& a, const Grid& b) {
    return a.ends_ == b.ends_ && a.picks_ == b.picks_ && a.counted_->over == b.counted_->over;
  }

 private:
  struct Counted {
    std::vector<std::uint8_t> over;  ///< row by row
    std::vector<int> row_sums;       ///< crossings in the rows below, in the gaps to the left
    std::vector<int> column_sums;    ///< crossings in the steps below, of the ends to the left
    int busiest_gap = 0;             ///< most picks of a repeat that cross in one gap
    int busiest_end = 0;             ///< most picks of a repeat that one end crosses between
  };
  int row_sum(int rows, int gaps) const { return counted_->row_sums[index(rows, gaps)]; }
  int column_sum(int steps, int ends) const { return counted_->column_sums[index(steps, ends)]; }
  std::size_t index(int row, int column) const;
  void sum_up(Counted& counted) const;
  void require_pick(int pick) const;
  void require_ends(int first, int last) const;
  void require_cell(int pick, int end) const;

  int ends_ = 0;
  int picks_ = 0;
  std::shared_ptr<const Counted> counted_;  ///< never changed once made, so copies share it
};

/// Direction of a twill's line, seen on the face from the bottom up.
enum class TwillLine { Right, Left };

/// Plain weave, also called tabby.
Grid plain();

/// A twill by its figures, read as the trade writes them: each end passes over the first number of
/// picks, under the second, over the third... {2, 1} is the 2/1 twill, warp-faced.
///
/// @throws UnreadableWeave unless there is an even count of figures, each from 1 to 999
///
/// Source of the notation: W. Watson, Textile Design and Colour (from memory).
Grid twill(const std::vector<int>& figures, TwillLine line = TwillLine::Right);

/// Basket (hopsack, matt) weave: plain weave of `over` and `under` threads together, both ways.
///
/// @throws UnreadableWeave unless both are from 1 to 999
Grid basket(int over, int under);

/// Warp satin shows the warp, sateen the weft.
enum class SatinFace { Satin, Sateen };

/// A regular satin: on each pick the binding point moves `step` ends on.
///
/// @param ends  in the repeat, 5 to 999; 6 has no regular satin
/// @param step  from 2 to ends - 2, without a common divisor with ends
/// @throws UnreadableWeave outside these, naming the steps that do
Grid satin(int ends, int step, SatinFace face = SatinFace::Satin);

/// Rows in words, bottom row first: "o2 u2 o1 u2" is over 2 ends, under 2, over 1, under 2. The
/// letter may be o or u, large or small; a space may stand between letter and number, and spaces or
/// commas between the pairs. A row that covers a half, a third... of what the longest
/// covers is repeated; any other must cover as many ends.
///
/// @throws UnreadableWeave with the row and the column of the fault
Grid weave_from_words(const std::vector<std::string>& rows);

/// What a treadle does to the shafts tied to it.
enum class Shed { Rising, Sinking };

/// A draft for a shaft loom. Shafts and treadles are counted from 1.
struct Draft {
  std::vector<int> threading;            ///< the shaft of each end, from the left
  std::vector<std::vector<int>> tie_up;  ///< the shafts tied to each treadle
  std::vector<std::vector<int>>
      treadling;  ///< the treadles pressed for each pick, first woven first
  Shed shed = Shed::Rising;
};

/// The grid a draft weaves. A pick passes under the ends that are raised.
///
/// @throws UnreadableWeave for a shaft or treadle that is not there
Grid weave_from_draft(const Draft& draft);

/// A weave by its name: "plain" or "tabby", "2/2 twill", "1/3 twill left", "5/2/1/2 twill",
/// "2/2 basket" or "hopsack", "5-end satin", "8-end sateen step 5". Without a step a satin takes
/// its smallest.
///
/// @throws UnreadableWeave saying what is accepted, and the nearest name
Grid read_weave_name(const std::string& name);

/// Where the ends lie that whole repeats do not cover.
enum class Remainder {
  None,   ///< there may be none
  Left,   ///< at the left edge, the weave going on into them
  Right,  ///< at the right edge
  Both,   ///< half at each edge, an odd one at the right
  PlainLeft,
  PlainRight,
  PlainBoth  ///< the same places, in plain weave
};

/// Where a weave known by its name leaves its remainder unless told.
inline constexpr Remainder kNamedWeaveRemainder = Remainder::Right;

/// The weave over so many ends.
///
/// @throws UnreadableWeave when ends remain and `remainder` is None, naming the widths that divide
Grid spread(const Grid& repeat, int ends, Remainder remainder = Remainder::None);

/// One more end at each side that follows no threading: a pick enters over the one and leaves under
/// the other, the first from the left.
///
/// Source: common practice, no published source.
Grid with_floating_selvedges(const Grid& grid);

/// Left and right exchanged.
Grid mirrored(const Grid& grid);

/// The cloth turned by a quarter: ends become picks. Where a pick passed over an end, the end
/// passed under it.
Grid quarter_turned(const Grid& grid);

/// The smallest part that makes the same cloth when repeated both ways.
Grid smallest_repeat(const Grid& grid);

/// Whether both make the same cloth when repeated both ways, beginning at the same corner.
bool same_weave(const Grid& a, const Grid& b);

/// Average float M of the weft: ends passed for each crossing, over the repeat (1 for plain weave).
///
/// @throws OutOfRange when no pick crosses
///
/// Source: F. T. Peirce, J. Text. Inst. 28 (1937) T45-T96; T. R. Ashenhurst (1884) counts the same
/// as
///         ends and intersections.
double average_weft_float(const Grid& grid);
/// Average float of the warp: picks passed for each crossing.
double average_warp_float(const Grid& grid);

/// The cells of the pick that crosses most often in the repeat; the tightest row.
Cells tightest_row(const Grid& grid);
/// The cells of the end that crosses most often in the repeat.
Cells tightest_column(const Grid& grid);

/// Greatest part of the picks that pass through one gap between two ends, over the repeat: 0 to 1.
double busiest_gap_share(const Grid& grid);

}  // namespace ellwand::cloth
