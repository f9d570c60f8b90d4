#include "ellwand/studio/cells.hpp"
#include "ellwand/studio/read_studio.hpp"
#include "ellwand/units/characters.hpp"
#include "ellwand/units/text.hpp"
#include "ellwand/yarn/colour.hpp"
#include "ellwand/yarn/count.hpp"
#include "ellwand/yarn/diameter.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace ellwand::studio {

namespace {
const std::vector<std::string> kYarnColumns = {"id",
                                               "label",
                                               "fibre",
                                               "kind",
                                               "ply",
                                               "count",
                                               "put_up",
                                               "price",
                                               "use",
                                               "made",
                                               "wraps",
                                               "diameter_mm",
                                               "wraps_convention",
                                               "lies_flat",
                                               "knots_per_100_m",
                                               "colour"};

/// A knot every five metres: no yarn is sold so.
constexpr double kMostKnots = 20.0;

/// How much thicker than the count says a yarn may be before it is asked about: its fibre would
/// then fill less than a tenth of it.
constexpr double kStrayFactor = 2.5;
/// Fuller of fibre than this no yarn is: equal circles fill a plane no further, pi / sqrt(12).
constexpr double kFullest = 0.9069;

bool is_yarn_id(const std::string& text) {
  return !text.empty() && std::all_of(text.begin(), text.end(), [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-';
  });
}

void read_id(const Cells& cells, const std::map<std::string, int>& lines, yarn::Yarn& yarn) {
  yarn.id = cells.text("id");
  yarn.label = cells.has("label") ? cells.text("label") : yarn.id;
  const auto first = lines.find(yarn.id);
  if (yarn.id.empty()) {
    cells.complain("id", "every yarn needs one, such as rug-wool-ash");
  } else if (!is_yarn_id(yarn.id)) {
    cells.complain("id", in_quotes(yarn.id) +
                             " may have only letters a to z, digits and hyphens, such as "
                             "rug-wool-ash");
  } else if (first != lines.end()) {
    cells.complain("id", fmt::format("{} is also the yarn of line {}; give one of them another id",
                                     in_quotes(yarn.id), first->second));
  }
}

void read_fibre(const Cells& cells, yarn::Yarn& yarn) {
  if (!cells.has("fibre")) {
    cells.complain("fibre",
                   "is empty; write a fibre or a blend, such as wool or 80 % wool 20 % "
                   "nylon");
  }
  const DecimalMark mark = cells.decimal_mark();
  const auto blend = cells.read(
      "fibre", [mark](const std::string& text) { return yarn::read_fibre_blend(text, mark); });
  if (blend) yarn.fibre = *blend;
}

/// The ply the count tells, if it does.
std::optional<int> read_count_cell(const Cells& cells, yarn::Yarn& yarn) {
  if (!cells.has("count")) {
    cells.complain("count",
                   "is empty; copy it from the label, such as 8/2 cotton or 250 m / 100 g");
  }
  const DecimalMark mark = cells.decimal_mark();
  const auto count =
      cells.read("count", [mark](const std::string& text) { return yarn::read_count(text, mark); });
  if (!count) return std::nullopt;
  yarn.linear_density = count->linear_density;
  return count->ply;
}

void read_make(const Cells& cells, std::optional<int> told_ply, yarn::Yarn& yarn) {
  const auto kind = cells.choice("kind", {"singles", "plied", "woollen", "roving"});
  const auto ply = cells.whole("ply", 1, 100);
  if (ply && told_ply && *ply != *told_ply) {
    cells.complain("ply", fmt::format("{} here, but the count {} says {}; correct one of them",
                                      *ply, in_quotes(cells.text("count")), *told_ply));
  }
  const bool said_plied = kind && *kind == 1;
  yarn.ply = ply.value_or(told_ply.value_or(said_plied ? 2 : 1));
  yarn.kind = kind ? static_cast<yarn::Kind>(*kind)
                   : (yarn.ply > 1 ? yarn::Kind::Plied : yarn::Kind::Singles);
  const bool fits = (yarn.kind != yarn::Kind::Singles || yarn.ply == 1) &&
                    (yarn.kind != yarn::Kind::Plied || yarn.ply > 1);
  if (!fits) {
    cells.complain("kind", fmt::format("{} does not go with a ply of {}; correct one of them",
                                       cells.text("kind"), yarn.ply));
  }
  const auto made = cells.choice("made", {"mill", "hand-dyed", "handspun"});
  const bool is_roving = yarn.kind == yarn::Kind::Roving;
  yarn.made =
      made ? static_cast<yarn::Made>(*made) : (is_roving ? yarn::Made::Handspun : yarn::Made::Mill);
}

/// "50 g" or "250 m"; the price stands in a column of its own.
yarn::PutUp put_up_of(const std::string& text, DecimalMark mark) {
  yarn::PutUp put_up;
  try {
    put_up.net_mass = read_mass(text, mark);
  } catch (const UnreadableText&) {
    try {
      put_up.length = read_length(text, mark);
    } catch (const UnreadableText&) {
      throw UnreadableText(in_quotes(text) +
                           " is neither a mass such as \"50 g\" or \"8 oz\" nor a length such as "
                           "\"250 m\"");
    }
  }
  const bool is_something =
      put_up.net_mass ? in_grams(*put_up.net_mass) > 0.0 : in_metres(*put_up.length) > 0.0;
  if (!is_something) throw UnreadableText(in_quotes(text) + " is nothing; a put-up has yarn in it");
  return put_up;
}

/// "50 g or 200 g" in its parts.
std::vector<std::string> alternatives(const std::string& text) {
  constexpr std::string_view kOr = " or ";
  std::vector<std::string> parts;
  std::size_t from = 0;
  for (std::size_t at = text.find(kOr); at != std::string::npos; at = text.find(kOr, from)) {
    parts.push_back(text.substr(from, at - from));
    from = at + kOr.size();
  }
  parts.push_back(text.substr(from));
  return parts;
}

std::vector<yarn::PutUp> put_ups_of(const std::string& text, DecimalMark mark) {
  std::vector<yarn::PutUp> all;
  for (const std::string& one : alternatives(text)) {
    all.push_back(put_up_of(one, mark));
    if (all.back().net_mass.has_value() != all.front().net_mass.has_value()) {
      throw UnreadableText(in_quotes(text) +
                           " has masses and lengths; write every size as the one or the other");
    }
  }
  if (all.size() > decide::kMostSizes) {
    throw UnreadableText(fmt::format("{} has {} sizes; write {} at most, those you buy",
                                     in_quotes(text), all.size(), decide::kMostSizes));
  }
  return all;
}

std::vector<WrittenPrice> prices_of(const std::string& text, DecimalMark mark) {
  std::vector<WrittenPrice> all;
  for (const std::string& one : alternatives(text)) all.push_back(read_price(one, mark));
  return all;
}

double holds(const yarn::PutUp& put_up) {
  return put_up.net_mass ? in_grams(*put_up.net_mass) : in_metres(*put_up.length);
}

/// So many times the amount of a price is in a put-up, by the yarn's count where one is a mass and
/// the other a length.
double times_in(const yarn::PutUp& put_up, const yarn::PutUp& per, const yarn::Yarn& yarn) {
  const auto mass = [&](const yarn::PutUp& one) {
    return one.net_mass.value_or(one.length.value_or(Length<>()) * yarn.linear_density);
  };
  const bool are_alike = put_up.net_mass.has_value() == per.net_mass.has_value();
  return are_alike ? holds(put_up) / holds(per) : mass(put_up) / mass(per);
}

/// What each size costs.
/// @returns nothing after a complaint
std::vector<decide::PutUpSize> sizes_of(const Cells& cells, const yarn::Yarn& yarn,
                                        const std::vector<yarn::PutUp>& put_ups,
                                        const std::vector<WrittenPrice>& prices) {
  const bool by_amount = prices.size() == 1 && prices.front().per;
  if (!prices.empty() && !by_amount && prices.size() != put_ups.size()) {
    cells.complain("price", fmt::format("{} price{} for {} size{} of put_up; write one for each, "
                                        "such as 4.20 or 14.00, or one by an amount, such as 9.00 "
                                        "per 100 g",
                                        prices.size(), prices.size() == 1 ? "" : "s",
                                        put_ups.size(), put_ups.size() == 1 ? "" : "s"));
    return {};
  }
  std::vector<decide::PutUpSize> sizes;
  for (std::size_t i = 0; i < put_ups.size(); ++i) {
    sizes.push_back({holds(put_ups[i]), {}});
    if (prices.empty()) continue;
    const WrittenPrice& price = by_amount ? prices.front() : prices[i];
    sizes.back().price =
        price.per ? price.money.times(times_in(put_ups[i], *price.per, yarn)) : price.money;
  }
  return sizes;
}

/// Put-ups, and what they or an amount of the yarn cost.
void read_put_ups(const Cells& cells, yarn::Yarn& yarn, YarnTable& table) {
  const DecimalMark mark = cells.decimal_mark();
  const auto put_ups =
      cells.read("put_up", [mark](const std::string& text) { return put_ups_of(text, mark); });
  const auto prices =
      cells.read("price", [mark](const std::string& text) { return prices_of(text, mark); });
  if (!put_ups) {
    if (!prices || cells.has("put_up")) return;
    if (prices->size() == 1 && prices->front().per) {
      table.prices[yarn.id] = prices->front().money;
      table.priced_by[yarn.id] = *prices->front().per;
      return;
    }
    cells.complain("price",
                   "of what? Write in put_up what it buys, such as 50 g, or here what it is by, "
                   "such as 9.00 per 100 g");
    return;
  }
  yarn.put_up = put_ups->front();
  const auto sizes = sizes_of(cells, yarn, *put_ups, prices.value_or(std::vector<WrittenPrice>()));
  if (sizes.empty()) return;
  if (decide::largest_over_smallest(sizes) > decide::kMostOverSmallest) {
    cells.complain("put_up",
                   fmt::format("the largest is more than {:.0f} times the smallest; write "
                               "those sizes you buy",
                               decide::kMostOverSmallest));
    return;
  }
  if (sizes.front().price) table.prices[yarn.id] = *sizes.front().price;
  if (sizes.size() > 1) table.sizes[yarn.id] = sizes;
}

std::optional<Length<>> read_wraps(const Cells& cells) {
  const auto convention = cells.choice("wraps_convention", {"touching", "thread apart"});
  const DecimalMark mark = cells.decimal_mark();
  const auto wraps = cells.read("wraps", [mark](const std::string& text) {
    const ThreadDensity<> read = read_thread_density(text, mark);
    if (in_per_cm(read) >= 0.1 && in_per_cm(read) <= 1000.0) return read;
    throw UnreadableText(text + " is outside 0.1 /cm to 1000 /cm");
  });
  if (wraps && !cells.has("wraps_convention")) {
    cells.complain("wraps",
                   "needs wraps_convention beside it: touching, or thread apart when a "
                   "thread's width was left between the wraps");
  }
  if (!wraps || !convention) return std::nullopt;
  return yarn::diameter_from_wraps(*wraps, static_cast<yarn::WrapConvention>(*convention));
}

void read_thickness(const Cells& cells, yarn::Yarn& yarn) {
  if (cells.has("diameter_mm") && cells.has("wraps")) {
    cells.complain("wraps",
                   "diameter_mm is given as well; keep the one that was measured last and "
                   "empty the other");
  }
  const auto diameter = cells.number("diameter_mm", 0.02, 50.0);
  const auto wrapped = read_wraps(cells);
  if (diameter) {
    yarn.measured_diameter = millimetres(*diameter);
  } else {
    yarn.measured_diameter = wrapped;
  }
  yarn.width_over_thickness = cells.number("lies_flat", 1.0, 20.0).value_or(1.0);
}

/// What a count was most likely meant to be.
///
/// @param heavy  how many times heavier than its diameter says the count makes the yarn
const char* likely_count(const std::string& count, double heavy) {
  const std::string plain = folded(count);
  const auto says = [&](const char* unit) { return plain.find(unit) != std::string::npos; };
  // Diameters are known to some 11 % (how thick a yarn lies, and how wraps are counted), what
  // follows of the mass to twice that: two standard deviations.
  const auto is_near = [&](double factor) { return std::abs(std::log(heavy / factor)) < 0.45; };
  constexpr double kNeOverNm = 1.6934;  // 840 yd/lb are so many m/g
  if (says("nm") && is_near(kNeOverNm)) return "is it an English count, Ne, and not Nm?";
  if (says("ne") && is_near(1.0 / kNeOverNm)) return "is it a metric count, Nm, and not Ne?";
  if (says("tex") && !says("dtex") && is_near(10.0)) return "is it dtex and not tex?";
  if (says("dtex") && is_near(0.1)) return "is it tex and not dtex?";
  return "is the count right?";
}

/// Roving as thick as it lies loose was measured so, within two standard deviations of the 11 % by
/// which diameters are known; in the cloth it lies less than half as thick.
bool was_measured_loose(const yarn::Yarn& yarn, const yarn::Packing& packing) {
  if (yarn.kind != yarn::Kind::Roving) return false;
  const double ratio = *yarn.measured_diameter / yarn::loose_diameter(yarn, packing);
  return std::abs(std::log(ratio)) < 0.22;
}

void ask_about_thickness(const Cells& cells, const yarn::Yarn& yarn, const yarn::Packing& packing) {
  const bool is_known = in_tex(yarn.linear_density) > 0.0 && !yarn.fibre.empty();
  if (!yarn.measured_diameter || !is_known) return;
  yarn::Yarn by_count = yarn;
  by_count.measured_diameter.reset();
  const Length<> expected = yarn::lying_diameter(by_count, packing);
  const char* const column = cells.has("wraps") ? "wraps" : "diameter_mm";
  if (was_measured_loose(yarn, packing)) {
    cells.warn(column, fmt::format("{} is {:.1f} mm thick here, as roving lies loose; in the cloth "
                                   "it would be about {:.1f} mm; was it measured before it was "
                                   "woven?",
                                   yarn.id, in_millimetres(*yarn.measured_diameter),
                                   in_millimetres(expected)));
    return;
  }
  const double ratio = *yarn.measured_diameter / expected;
  const double filled = yarn::lying_packing(yarn.kind, packing) / (ratio * ratio);
  if (ratio <= kStrayFactor && filled <= kFullest) return;
  const bool is_thick = ratio > 1.0;
  cells.warn(column,
             fmt::format("{} is {:.1f} times as {} as its count and fibre say ({:.2f} mm); {}",
                         yarn.id, is_thick ? ratio : 1.0 / ratio, is_thick ? "thick" : "thin",
                         in_millimetres(expected),
                         likely_count(cells.text("count"), 1.0 / (ratio * ratio))));
}

/// "20/2 spun silk" is the count of the English trade, after folding; labels for weavers by hand
/// say the same words and mean the metric count of each thread (common practice, no published
/// source).
void ask_about_spun_silk(const Cells& cells, const yarn::Yarn& yarn) {
  const std::string count = folded(cells.text("count"));
  const std::size_t stroke = count.find('/');
  if (count.find("spun silk") == std::string::npos || stroke == std::string::npos || stroke == 0) {
    return;
  }
  const bool is_bare = is_digit(count[stroke - 1]);
  const double read_tex = in_tex(yarn.linear_density);
  if (!is_bare || yarn.measured_diameter || !(read_tex > 0.0)) return;
  const std::string metric = count.substr(0, count.find(' '));
  try {
    const double metric_tex = in_tex(yarn::read_count("Nm " + metric).linear_density);
    cells.warn("count",
               fmt::format("\"{}\" is read by the English count after folding, {:.3g} m in a gram; "
                           "if its label says about {:.3g} m in a gram, write \"Nm {}\"",
                           cells.text("count"), 1000.0 / read_tex, 1000.0 / metric_tex, metric));
  } catch (const UnreadableText&) {
    return;  // the count itself was complained of
  }
}

/// A picture is no reason to refuse a yarn.
void read_colour(const Cells& cells, yarn::Yarn& yarn) {
  const std::string text = cells.text("colour");
  if (text.empty()) return;
  yarn.colour = yarn::find_colour(text);
  if (yarn.colour) return;
  const std::string near = did_you_mean(text, yarn::colour_words());
  cells.warn("colour",
             fmt::format("\"{}\" is not known here{} drawn in grey until it is written as "
                         "#rrggbb, such as #7a4b3c",
                         text, near.empty() ? ";" : near + " It is"));
}

yarn::Yarn read_yarn(const Cells& cells, const std::map<std::string, int>& lines,
                     const yarn::Packing& packing, YarnTable& table) {
  yarn::Yarn yarn;
  read_id(cells, lines, yarn);
  read_fibre(cells, yarn);
  read_make(cells, read_count_cell(cells, yarn), yarn);
  read_put_ups(cells, yarn, table);
  read_thickness(cells, yarn);
  yarn.knots_per_metre = cells.number("knots_per_100_m", 0.0, kMostKnots).value_or(0.0) / 100.0;
  ask_about_thickness(cells, yarn, packing);
  ask_about_spun_silk(cells, yarn);
  read_colour(cells, yarn);
  return yarn;
}

/// Money for a gram of a yarn, as a number.
std::optional<double> price_of_a_gram(const YarnTable& yarns, const std::string& id,
                                      const decide::Money& price) {
  const yarn::Yarn& yarn = yarns.yarns.at(id);
  const auto by = yarns.priced_by.find(id);
  const yarn::PutUp& bought = by == yarns.priced_by.end() ? *yarn.put_up : by->second;
  const Mass<> mass =
      bought.net_mass.value_or(bought.length.value_or(Length<>()) * yarn.linear_density);
  if (in_grams(mass) <= 0.0 || price <= decide::Money()) return std::nullopt;
  return price.approximately() / in_grams(mass);
}

/// Logarithms of prices for a gram, and their sums.
struct GramPrices {
  std::map<std::string, double> logs;  ///< by yarn
  double sum = 0.0;
  double squares = 0.0;
};

GramPrices gram_prices(const YarnTable& yarns) {
  GramPrices all;
  for (const auto& [id, price] : yarns.prices) {
    const auto of_a_gram = price_of_a_gram(yarns, id, price);
    if (!of_a_gram) continue;
    const double log = std::log(*of_a_gram);
    all.logs[id] = log;
    all.sum += log;
    all.squares += log * log;
  }
  return all;
}

/// A yarn so much dearer or cheaper by the gram than the others that its price is most likely of
/// another amount: a kilogram, a pack of ten.
///
/// Three standard deviations of the logarithms of the others, or of 0.5 where they are nearer to
/// each other (common practice, no published source: yarns of one shelf differ that much).
void ask_about_price(const Cells& cells, const GramPrices& all) {
  constexpr std::size_t kFewestOthers = 4;
  constexpr double kLeastSd = 0.5;
  constexpr double kSds = 3.0;
  const auto own = all.logs.find(cells.text("id"));
  if (own == all.logs.end() || all.logs.size() <= kFewestOthers) return;
  const auto others = static_cast<double>(all.logs.size() - 1);
  const double mean = (all.sum - own->second) / others;
  const double squares = all.squares - own->second * own->second - others * mean * mean;
  const double sd = std::max(kLeastSd, std::sqrt(std::max(0.0, squares) / (others - 1.0)));
  const double off = own->second - mean;
  if (std::abs(off) <= kSds * sd * std::sqrt(1.0 + 1.0 / others)) return;
  cells.warn("price",
             fmt::format("{}{} is {:.0f} times as {} by the gram as the other yarns; is it the "
                         "price of one put-up?",
                         cells.text("price"),
                         cells.has("put_up") ? " for " + cells.text("put_up") : std::string(),
                         std::exp(std::abs(off)), off > 0.0 ? "dear" : "cheap"));
}

/// A letter written twice stands once.
std::string without_doubles(std::string id) {
  id.erase(std::unique(id.begin(), id.end(), [](char a, char b) { return a == b && !is_digit(a); }),
           id.end());
  return id;
}

/// Whether two ids differ by two neighbouring letters swapped, or a letter written twice.
bool is_written_nearly_as(const std::string& id, const std::string& other) {
  if (without_doubles(id) == without_doubles(other)) return true;
  if (id.size() != other.size()) return false;
  const auto at = std::mismatch(id.begin(), id.end(), other.begin()).first;
  const auto i = static_cast<std::size_t>(at - id.begin());
  return i + 1 < id.size() && id[i] == other[i + 1] && id[i + 1] == other[i] && !is_digit(id[i]) &&
         !is_digit(id[i + 1]) && id.substr(i + 2) == other.substr(i + 2);
}

std::string sorted_letters(std::string id) {
  id = without_doubles(std::move(id));
  std::sort(id.begin(), id.end());
  return id;
}

/// One yarn that was entered twice splits its shelf and its swatches in two.
void ask_about_twins(const Table& table, Findings& findings) {
  std::multimap<std::string, Cells> seen;
  for (const TableRow& row : table.rows()) {
    const Cells cells(table, row, findings);
    const std::string letters = sorted_letters(cells.text("id"));
    const auto [first, last] = seen.equal_range(letters);
    for (auto at = first; at != last; ++at) {
      const Cells& other = at->second;
      const bool is_same_yarn =
          cells.text("count") == other.text("count") && cells.text("fibre") == other.text("fibre");
      if (!is_same_yarn || !is_written_nearly_as(cells.text("id"), other.text("id"))) continue;
      cells.warn("id", fmt::format("{} is written nearly as {} of line {}, with the same fibre and "
                                   "count; are they one yarn?",
                                   cells.text("id"), other.text("id"), other.line()));
    }
    seen.emplace(letters, cells);
  }
}
}  // namespace

WrittenPrice read_price(const std::string& text, DecimalMark mark) {
  constexpr std::string_view kPer = " per ";
  const std::size_t per = text.find(kPer);
  if (per == std::string::npos) return {decide::read_money(text, mark), std::nullopt};
  std::string amount = text.substr(per + kPer.size());
  if (!amount.empty() && !is_digit(amount.front())) amount = "1 " + amount;  // "per kg"
  return {decide::read_money(text.substr(0, per), mark), put_up_of(amount, mark)};
}

YarnTable read_yarns(const std::string& text, const std::string& file,
                     const yarn::Packing& packing) {
  const Table table = Table::read(text, file);
  Findings findings(file);
  require_columns(table, {"id", "fibre", "count"}, findings);
  findings.stop_if_any();
  table.warn_of_others(kYarnColumns, findings);
  YarnTable yarns;
  std::map<std::string, int> lines;
  for (const TableRow& row : table.rows()) {
    const Cells cells(table, row, findings);
    const yarn::Yarn yarn = read_yarn(cells, lines, packing, yarns);
    lines.emplace(yarn.id, row.line);
    if (cells.has("use")) yarns.uses[yarn.id] = cells.text("use");
    yarns.yarns.emplace(yarn.id, yarn);
  }
  findings.stop_if_any();
  const GramPrices prices = gram_prices(yarns);
  for (const TableRow& row : table.rows()) ask_about_price(Cells(table, row, findings), prices);
  ask_about_twins(table, findings);
  yarns.warnings = findings.warnings();
  return yarns;
}

const std::vector<std::string>& yarn_columns() { return kYarnColumns; }

}  // namespace ellwand::studio
