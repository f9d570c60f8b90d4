#include "print_estimate.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <ostream>

namespace ellwand::tools {

namespace {

using estimate::YarnEstimate;

constexpr int kColumns = 56;  ///< with a name of 20 it fits on 80
constexpr double kWidest = 4.0;

/// Shares of the middle figure, drawn from left to right.
class Axis {
 public:
  explicit Axis(const std::vector<YarnEstimate>& yarns) {
    for (const YarnEstimate& yarn : yarns) {
      if (!(yarn.length_m.mid > 0.0)) continue;
      low_ = std::min(low_, std::floor(10.0 * yarn.length_m.low / yarn.length_m.mid) / 10.0);
      high_ = std::max(high_, std::ceil(10.0 * yarn.length_m.high / yarn.length_m.mid) / 10.0);
    }
    high_ = std::min(high_, kWidest);
  }

  /// Beyond the ends, the last column.
  std::size_t column(double share) const {
    const double place = (kColumns - 1) * (share - low_) / (high_ - low_);
    return static_cast<std::size_t>(std::lround(std::clamp(place, 0.0, kColumns - 1.0)));
  }
  bool reaches(double share) const { return share <= high_; }

  /// The ends and the middle, each over its column.
  std::string heads() const {
    std::string line(kColumns, ' ');
    const auto put = [&](double share) {
      const std::string text = fmt::format("{:.0f} %", 100.0 * share);
      const std::size_t at = std::min(column(share), kColumns - text.size());
      line.replace(at, text.size(), text);
    };
    put(low_);
    put(high_);
    put(1.0);
    return line;
  }

 private:
  double low_ = 0.9;
  double high_ = 1.1;
};

/// "[----o------]" at its place, and an s where the shelf ends, or > where that is further on.
std::string bar(const YarnEstimate& yarn, const Axis& axis) {
  std::string line(kColumns + 1, ' ');
  const double mid = yarn.length_m.mid;
  const std::size_t low = axis.column(yarn.length_m.low / mid);
  const std::size_t high = axis.column(yarn.length_m.high / mid);
  line.replace(low, high - low + 1, high - low + 1, '-');
  line[low] = '[';
  line[high] = ']';
  line[axis.column(1.0)] = 'o';
  if (yarn.on_shelf_g && yarn.mass_g.mid > 0.0) {
    const double shelf = *yarn.on_shelf_g / yarn.mass_g.mid;
    (axis.reaches(shelf) ? line[axis.column(shelf)] : line.back()) =
        axis.reaches(shelf) ? 's' : '>';
  }
  return line;
}

}  // namespace

void print_plot(const estimate::PieceEstimate& piece, const Shower& show, std::ostream& out) {
  std::size_t widest = 0;
  for (const YarnEstimate& yarn : piece.yarns) widest = std::max(widest, yarn.yarn.size());
  const Axis axis(piece.yarns);
  out << fmt::format("{}, how sure each yarn is\n\n", piece.name);
  out << fmt::format("  {:{}}  {}   set aside\n", "", widest, axis.heads());
  bool has_shelf = false;
  for (const YarnEstimate& yarn : piece.yarns) {
    if (!(yarn.length_m.mid > 0.0)) continue;
    has_shelf = has_shelf || yarn.on_shelf_g.has_value();
    out << fmt::format("  {:{}}  {}  {}\n", yarn.yarn, widest, bar(yarn, axis),
                       show.enough_yarn_text(yarn.set_aside_m, half(yarn.length_m)));
  }
  out << "\no is the middle figure, and 9 times in 10 the yarn used lies between [ and ].\n";
  if (has_shelf) {
    out << "s is what is on the shelf, > that it reaches further than is drawn.\n";
  }
}

}  // namespace ellwand::tools
