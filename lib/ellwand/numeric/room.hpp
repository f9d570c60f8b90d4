#pragma once
/// Room for numbers that are few as a rule: for few the heap is not asked.

#include <array>
#include <cstddef>
#include <vector>

namespace ellwand::numeric {

class Room {
 public:
  /// Numbers are as they happen to be until they are written.
  explicit Room(std::size_t count) : many_(count > kFew ? count : 0) {}
  Room(const Room&) = delete;
  Room& operator=(const Room&) = delete;

  double* data() { return many_.empty() ? few_.data() : many_.data(); }

 private:
  static constexpr std::size_t kFew = 256;
  std::array<double, kFew> few_;  // NOLINT(cppcoreguidelines-pro-type-member-init)
  std::vector<double> many_;
};

}  // namespace ellwand::numeric
