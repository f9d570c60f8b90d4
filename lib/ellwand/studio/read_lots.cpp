#include "ellwand/estimate/piece_model.hpp"
#include "ellwand/studio/cells.hpp"
#include "ellwand/studio/read_common.hpp"
#include "ellwand/studio/read_studio.hpp"
#include "ellwand/units/plain_digits.hpp"

#include <fmt/format.h>

#include <cmath>

namespace ellwand::studio {

namespace {
constexpr double kMostMass = 1e6;
constexpr double kMostLength = 1e7;
constexpr double kLeastLeft = 1e-3;

const std::vector<AmountColumn>& left_columns() {
  static const std::vector<AmountColumn> all = {{"longest_left_m", "m", 1.0},
                                                {"longest_left_yd", "yd", kMetresPerYard}};
  return all;
}

/// What one of the columns says, in g or m.
struct AmountSaid {
  const AmountColumn* column = nullptr;  ///< the first that is filled
  std::optional<double> amount;
};

/// A complaint where two of them are filled, for nobody can tell which is right.
AmountSaid amount_said(const Cells& cells, const std::vector<AmountColumn>& columns, double least,
                       double most) {
  AmountSaid said;
  for (const AmountColumn& one : columns) {
    if (!cells.has(one.column)) continue;
    const auto number = cells.number(one.column, least, most);
    if (said.column != nullptr) {
      cells.complain(one.column, fmt::format("{} is filled as well; empty one of the two",
                                             said.column->column));
      continue;
    }
    said.column = &one;
    if (number) said.amount = *number * one.size;
  }
  return said;
}

/// The first column for an amount that the table has.
std::string amount_column_of(const Cells& cells) {
  for (const char* column : {"net_g", "net_oz", "net_m", "net_yd"}) {
    if (cells.place_of(column).column > 0) return column;
  }
  return "net_g";
}

/// "4 oz" as the cell has it.
std::string cell_told(const Cells& cells, const AmountColumn& column) {
  return cells.text(column.column) + ' ' + column.unit;
}

/// An amount in g or m in the unit of a column.
std::string amount_told(const AmountColumn& column, double amount, int digits) {
  return plain_digits(amount / column.size, digits) + ' ' + column.unit;
}

/// How far a lot strays from its label, and how far a length run off or a scale does, as log-sds:
/// data/starting-values.csv has them, of handspun the most.
constexpr double kMostLotSd = 0.12;
constexpr double kMeasuringSd = 0.03;

/// Mass and length of one lot tell its count a second time; its core or card makes it too heavy.
void ask_about_mass_and_length(const Cells& cells, const Lot& lot, const yarn::Yarn& yarn,
                               const AmountSaid& mass, const AmountSaid& length) {
  if (!lot.net_mass || !lot.net_length) return;
  if (in_grams(*lot.net_mass) <= 0.0 || in_metres(*lot.net_length) <= 0.0) return;
  const Mass<> by_length = *lot.net_length * yarn.linear_density;
  const double times = *lot.net_mass / by_length;
  const bool is_even = yarn.made == yarn::Made::Mill;
  const double sd = std::hypot(is_even ? 0.03 : kMostLotSd, kMeasuringSd);
  if (std::abs(std::log(times)) <= kStraySds * sd) return;
  cells.warn(
      mass.column->column,
      fmt::format(
          "{} here, but {} of it weigh {} by its count; {}", cell_told(cells, *mass.column),
          cell_told(cells, *length.column), amount_told(*mass.column, in_grams(by_length), 4),
          times > 1.0 ? "is a core or card weighed with it?" : "is the length as it should be?"));
}

/// No piece is longer than all of it.
void ask_about_longest_left(const Cells& cells, const Lot& lot, const yarn::Yarn& yarn,
                            const AmountSaid& left) {
  if (!lot.longest_left || (!lot.net_mass && !lot.net_length)) return;
  const Length<> all =
      lot.net_length.value_or(lot.net_mass.value_or(Mass<>()) / yarn.linear_density);
  const double slack = std::exp(kStraySds * std::hypot(kMostLotSd, kMeasuringSd));
  if (in_metres(*lot.longest_left) <= slack * in_metres(all)) return;
  cells.warn(
      left.column->column,
      fmt::format("{}, but the whole lot is about {}; is it all one piece, or less by now?",
                  cell_told(cells, *left.column), amount_told(*left.column, in_metres(all), 3)));
}

Lot read_lot(const Cells& cells, const std::map<std::string, yarn::Yarn>& yarns) {
  Lot lot;
  lot.line = cells.line();
  lot.yarn = cells.text("yarn");
  if (lot.yarn.empty()) {
    cells.complain("yarn", "is empty; write the id of a yarn of yarns.csv");
  } else if (yarns.find(lot.yarn) == yarns.end()) {
    cells.complain("yarn", in_quotes(lot.yarn) + " is no yarn of yarns.csv" +
                               did_you_mean(lot.yarn, estimate::ids_of(yarns)));
  }
  lot.lot = cells.text("lot");
  lot.bought = cells.date("bought");
  const AmountSaid mass = amount_said(cells, lot_mass_columns(), 0.0, kMostMass);
  const AmountSaid length = amount_said(cells, lot_length_columns(), 0.0, kMostLength);
  if (mass.amount) lot.net_mass = grams(*mass.amount);
  if (length.amount) lot.net_length = metres(*length.amount);
  if (mass.column == nullptr && length.column == nullptr) {
    cells.complain(amount_column_of(cells),
                   "is empty; write how much there is in net_g, net_oz, net_m or net_yd");
  }
  lot.opened = cells.yes_or_no("opened").value_or(false);
  const AmountSaid left = amount_said(cells, left_columns(), kLeastLeft, kMostLength);
  if (left.amount) lot.longest_left = metres(*left.amount);
  const auto yarn = yarns.find(lot.yarn);
  if (yarn == yarns.end()) return lot;
  ask_about_mass_and_length(cells, lot, yarn->second, mass, length);
  ask_about_longest_left(cells, lot, yarn->second, left);
  return lot;
}
}  // namespace

const std::vector<std::string>& lot_columns() {
  static const std::vector<std::string> all = {
      "yarn",  "lot",    "bought", "net_g",          "net_oz",
      "net_m", "net_yd", "opened", "longest_left_m", "longest_left_yd"};
  return all;
}

const std::vector<AmountColumn>& lot_mass_columns() {
  static const std::vector<AmountColumn> all = {{"net_g", "g", 1.0},
                                                {"net_oz", "oz", in_grams(ounces(1.0))}};
  return all;
}

const std::vector<AmountColumn>& lot_length_columns() {
  static const std::vector<AmountColumn> all = {{"net_m", "m", 1.0},
                                                {"net_yd", "yd", kMetresPerYard}};
  return all;
}

LotTable read_lots(const std::string& text, const std::string& file,
                   const std::map<std::string, yarn::Yarn>& yarns) {
  const Table table = Table::read(text, file);
  Findings findings(file);
  require_columns(table, {"yarn"}, findings);
  table.warn_of_others(lot_columns(), findings);
  LotTable lots;
  for (const TableRow& row : table.rows()) {
    lots.lots.push_back(read_lot(Cells(table, row, findings), yarns));
  }
  findings.stop_if_any();
  lots.warnings = findings.warnings();
  return lots;
}

}  // namespace ellwand::studio
