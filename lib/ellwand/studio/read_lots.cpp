#include "ellwand/studio/cells.hpp"
#include "ellwand/studio/read_studio.hpp"

namespace ellwand::studio {

namespace {
constexpr double kMostGrams = 1e6;
constexpr double kMostMetres = 1e7;
constexpr double kLeastLeft = 1e-3;

std::vector<std::string> ids_of(const std::map<std::string, yarn::Yarn>& yarns) {
  std::vector<std::string> ids;
  for (const auto& [id, yarn] : yarns) ids.push_back(id);
  return ids;
}

Lot read_lot(const Cells& cells, const std::map<std::string, yarn::Yarn>& yarns) {
  Lot lot;
  lot.line = cells.line();
  lot.yarn = cells.text("yarn");
  if (lot.yarn.empty()) {
    cells.complain("yarn", "is empty; write the id of a yarn of yarns.csv");
  } else if (yarns.find(lot.yarn) == yarns.end()) {
    cells.complain("yarn", in_quotes(lot.yarn) + " is no yarn of yarns.csv" +
                               did_you_mean(lot.yarn, ids_of(yarns)));
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
