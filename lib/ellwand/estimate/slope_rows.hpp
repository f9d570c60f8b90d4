#pragma once
/// How many amounts move with many coefficients, each amount with a few of them: row by row only
/// those slopes are kept that are not 0.

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

namespace ellwand::estimate {

class SlopeRows {
 public:
  /// One row: the columns it has a slope in, rising, and those slopes.
  struct Row {
    std::span<const std::uint32_t> columns;
    std::span<const double> slopes;
  };

  std::size_t size() const { return ends_.size(); }
  Row row(std::size_t i) const {
    const std::size_t begin = i == 0 ? 0 : ends_[i - 1];
    return {{columns_.data() + begin, ends_[i] - begin},
            {slopes_.data() + begin, ends_[i] - begin}};
  }
  /// 0 where the row has none.
  double at(std::size_t row, std::size_t column) const;

  /// Room for so many rows of so many slopes each.
  void reserve(std::size_t rows, std::size_t each);
  /// One more row, without slopes; put() fills it, columns rising.
  void open() { ends_.push_back(columns_.size()); }
  /// One more slope of the last row; 0 is left out.
  /// @param column  above those the row has
  void put(std::size_t column, double slope) {
    if (slope == 0.0) return;
    columns_.push_back(static_cast<std::uint32_t>(column));
    slopes_.push_back(slope);
    ends_.back() = columns_.size();
  }
  /// One more row, column by column.
  void add(std::span<const double> row);
  void add(const Row& row);

 private:
  std::vector<std::size_t> ends_;
  std::vector<std::uint32_t> columns_;
  std::vector<double> slopes_;
};

/// One row at a time laid out column by column in a space of its own thread, all 0 but for that
/// row, so that many rows are multiplied with it quickly however many columns there are.
class LaidOut {
 public:
  explicit LaidOut(std::size_t columns);
  LaidOut(const LaidOut&) = delete;
  LaidOut& operator=(const LaidOut&) = delete;
  ~LaidOut();

  /// In the place of the row before, if any.
  void lay(const SlopeRows::Row& row);
  /// Sum of products with another row.
  double times(const SlopeRows::Row& other) const;

 private:
  void lift();

  SlopeRows::Row row_;
  std::size_t columns_;
  std::vector<double> space_;
};

}  // namespace ellwand::estimate
