#include "ellwand/estimate/piece_model.hpp"
#include "ellwand/studio/cells.hpp"
#include "ellwand/studio/read_common.hpp"
#include "ellwand/studio/read_studio.hpp"
#include "ellwand/units/plain_digits.hpp"

#include <fmt/format.h>

#include <cmath>

namespace ellwand::studio {

namespace {
constexpr double kMostGrams = 1e6;
constexpr double kMostMetres = 1e7;
constexpr double kLeastLeft = 1e-3;

/// How far a lot strays from its label, and how far a length run off or a scale does, as log-sds:
/// data/starting-values.csv has them, of handspun the most.
constexpr double kMostLotSd = 0.12;
constexpr double kMeasuringSd = 0.03;

/// Mass and length of one lot tell its count a second time; its core or card makes it too heavy.
void ask_about_mass_and_length(const Cells& cells, const Lot& lot, const yarn::Yarn& yarn) {
  if (!lot.net_mass || !lot.net_length) return;
  if (in_grams(*lot.net_mass) <= 0.0 || in_metres(*lot.net_length) <= 0.0) return;
  const Mass<> by_length = *lot.net_length * yarn.linear_density;
  const double times = *lot.net_mass / by_length;
  const bool is_even = yarn.made == yarn::Made::Mill;
  const double sd = std::hypot(is_even ? 0.03 : kMostLotSd, kMeasuringSd);
  if (std::abs(std::log(times)) <= kStraySds * sd) return;
  cells.warn("net_g", fmt::format("{} g here, but {} m of it weigh {} g by its count; {}",
                                  cells.text("net_g"), cells.text("net_m"),
                                  plain_digits(in_grams(by_length), 4),
                                  times > 1.0 ? "is a core or card weighed with it?"
                                              : "is the length as it should be?"));
}

/// No piece is longer than all of it.
void ask_about_longest_left(const Cells& cells, const Lot& lot, const yarn::Yarn& yarn) {
  if (!lot.longest_left || (!lot.net_mass && !lot.net_length)) return;
  const Length<> all =
      lot.net_length.value_or(lot.net_mass.value_or(Mass<>()) / yarn.linear_density);
  const double slack = std::exp(kStraySds * std::hypot(kMostLotSd, kMeasuringSd));
  if (in_metres(*lot.longest_left) <= slack * in_metres(all)) return;
  cells.warn("longest_left_m",
             fmt::format("{} m, but the whole lot is about {} m; is it all "
                         "one piece, or less by now?",
                         cells.text("longest_left_m"), plain_digits(in_metres(all))));
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
  if (const auto mass = cells.number("net_g", 0.0, kMostGrams)) lot.net_mass = grams(*mass);
  if (const auto length = cells.number("net_m", 0.0, kMostMetres)) lot.net_length = metres(*length);
  if (!cells.has("net_g") && !cells.has("net_m")) {
    cells.complain("net_g", "is empty, and so is net_m; write how much there is in one of them");
  }
  lot.opened = cells.yes_or_no("opened").value_or(false);
  if (const auto left = cells.number("longest_left_m", kLeastLeft, kMostMetres)) {
    lot.longest_left = metres(*left);
  }
  const auto yarn = yarns.find(lot.yarn);
  if (yarn == yarns.end()) return lot;
  ask_about_mass_and_length(cells, lot, yarn->second);
  ask_about_longest_left(cells, lot, yarn->second);
  return lot;
}
}  // namespace

const std::vector<std::string>& lot_columns() {
  static const std::vector<std::string> all = {"yarn",  "lot",    "bought",        "net_g",
                                               "net_m", "opened", "longest_left_m"};
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
