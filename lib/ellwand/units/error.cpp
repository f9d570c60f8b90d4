#include "ellwand/units/error.hpp"

#include <fmt/format.h>

namespace ellwand {

void refuse_range(std::string_view what, double value, double low, double high,
                  std::string_view holder) {
  throw OutOfRange(
      fmt::format("{} is {:.6g}; {} holds from {:.6g} to {:.6g}", what, value, holder, low, high));
}

std::string Complaint::told() const {
  std::string place = file;
  if (line > 0) place = fmt::format("{}{}{}", file, file.empty() ? "line " : ":", line);
  if (line > 0 && column > 0) place = fmt::format("{}:{}", place, column);
  return place.empty() ? text : fmt::format("{}: {}", place, text);
}

namespace {
std::string joined(const std::vector<Complaint>& complaints) {
  std::string all;
  for (const Complaint& complaint : complaints) {
    if (!all.empty()) all += '\n';
    all += complaint.told();
  }
  return all;
}
}  // namespace

BadInput::BadInput(std::vector<Complaint> complaints)
    : std::runtime_error(joined(complaints)), complaints_(std::move(complaints)) {}

}  // namespace ellwand
