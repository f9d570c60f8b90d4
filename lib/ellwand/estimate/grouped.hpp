#pragma once
/// Indices of things, group by group, in one piece of memory.

#include <cstddef>
#include <numeric>
#include <span>
#include <vector>

namespace ellwand::estimate {

class Grouped {
 public:
  /// @param count     of the things
  /// @param groups    how many there are
  /// @param group_of  of a thing's index: its group, below `groups`
  template <class GroupOf>
  Grouped(std::size_t count, std::size_t groups, const GroupOf& group_of)
      : ends_(groups + 1, 0), indices_(count) {
    for (std::size_t i = 0; i < count; ++i) ++ends_[group_of(i) + 1];
    std::partial_sum(ends_.begin(), ends_.end(), ends_.begin());
    // Filled from where each begins; when all is filled it has come to where it ends.
    for (std::size_t i = 0; i < count; ++i) indices_[ends_[group_of(i)]++] = i;
  }

  std::size_t groups() const { return ends_.size() - 1; }
  /// Rising.
  std::span<const std::size_t> operator[](std::size_t group) const {
    const std::size_t begin = group == 0 ? 0 : ends_[group - 1];
    return {indices_.data() + begin, ends_[group] - begin};
  }

 private:
  std::vector<std::size_t> ends_;
  std::vector<std::size_t> indices_;
};

}  // namespace ellwand::estimate
