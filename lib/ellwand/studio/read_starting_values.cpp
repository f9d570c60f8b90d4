#include "ellwand/studio/read_starting_values.hpp"

#include "ellwand/studio/cells.hpp"
#include "ellwand/studio/files.hpp"

#include <algorithm>
#include <map>
#include <stdexcept>

namespace ellwand::studio {

namespace {
using estimate::SpreadScale;
using estimate::SpreadTreatment;
using estimate::StartingValue;

const std::vector<std::string> kValueColumns = {"name",      "median",       "unit",
                                                "spread",    "spread_scale", "treatment",
                                                "shared_by", "meaning",      "source"};
constexpr double kLeastMedian = 1e-6;
constexpr double kMostOfAny = 1e6;

void require_cells(const Cells& cells) {
  for (const char* column : {"name", "median", "unit", "spread_scale", "treatment", "meaning"}) {
    if (!cells.has(column)) cells.complain(column, "is empty");
  }
}

void read_spread(const Cells& cells, double metres_per_unit, StartingValue& value) {
  if (const auto scale = cells.choice("spread_scale", {"none", "log", "absolute"})) {
    value.scale = static_cast<SpreadScale>(*scale);
  }
  const bool has_spread = cells.has("spread");
  if (has_spread != (value.scale != SpreadScale::None)) {
    cells.complain("spread", has_spread ? "stands here, but spread_scale says none"
                                        : "is empty, but spread_scale wants one");
  }
  value.spread = cells.number("spread", 0.0, kMostOfAny).value_or(0.0);
  if (value.scale == SpreadScale::Absolute) value.spread *= metres_per_unit;
}

StartingValue read_value(const Cells& cells) {
  require_cells(cells);
  StartingValue value;
  value.name = cells.text("name");
  const std::vector<double> to_metres = {1.0, 1e-3, 1.0, 1.0, 1.0};  // the others stay as they are
  const auto unit = cells.choice("unit", {"ratio", "mm", "m", "g", "min"});
  const double factor = unit ? to_metres[*unit] : 1.0;
  value.median = factor * cells.number("median", kLeastMedian, kMostOfAny).value_or(1.0);
  read_spread(cells, factor, value);
  if (const auto treatment = cells.choice("treatment", {"held", "grid", "rule"})) {
    value.treatment = static_cast<SpreadTreatment>(*treatment);
  }
  value.shared_by = cells.text("shared_by");
  value.meaning = cells.text("meaning");
  value.source = cells.text("source");
  return value;
}
}  // namespace

estimate::StartingValues read_starting_values(const std::string& text, const std::string& file) {
  const Table table = Table::read(text, file);
  Findings findings(file);
  require_columns(table, kValueColumns, findings);
  findings.stop_if_any();
  std::vector<StartingValue> values;
  std::map<std::string, int> lines;
  for (const TableRow& row : table.rows()) {
    const Cells cells(table, row, findings);
    values.push_back(read_value(cells));
    const auto [first, is_new] = lines.emplace(values.back().name, row.line);
    if (!is_new) {
      cells.complain("name", in_quotes(first->first) + " is also the name of line " +
                                 std::to_string(first->second));
    }
  }
  findings.stop_if_any();
  try {
    return estimate::StartingValues(std::move(values));
  } catch (const std::invalid_argument& missing) {
    throw BadInput({{file, 0, 0, missing.what()}});
  }
}

estimate::StartingValues open_starting_values(const std::filesystem::path& path) {
  return read_starting_values(read_file(path), path.string());
}

}  // namespace ellwand::studio
