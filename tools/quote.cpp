#include "quote.hpp"

#include "ellwand/studio/markup.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <sstream>

namespace ellwand::tools {

namespace {

using decide::Money;
using studio::escaped;

/// "cotton, wool and silk": the fibres of the yarns that stay in it.
std::string fibres_of(const estimate::PieceModel& model) {
  std::vector<std::string> names;
  for (const yarn::Yarn* yarn : model.yarns()) {
    for (const yarn::FibreShare& part : yarn->fibre) {
      const std::string& name = part.fibre.name;
      if (std::find(names.begin(), names.end(), name) == names.end()) names.push_back(name);
    }
  }
  return listed(names);
}

/// "fringe of the warp, about 6.0 cm at each edge": what a beam warp leaves free, half of it at
/// each. Round a rod no fringe hangs. Empty where there is none.
std::string warp_fringe(const piece::Piece& piece, const Shower& show) {
  const bool is_beam = piece.loom.kind == piece::LoomKind::Beam;
  if (!is_beam || !(piece.warp.fringe.si() > 0.0)) return {};
  const piece::Finish& finish = piece.finish;
  const bool has_rod = finish.rod.has_value();
  const bool is_knotted = finish.bottom.has_value() || (finish.top.has_value() && !has_rod);
  return fmt::format("fringe of the warp, about {} at {}{}",
                     show.size_text(0.5 * piece.warp.fringe), has_rod ? "the bottom" : "each edge",
                     is_knotted ? ", knots included" : "");
}

std::vector<std::string> about(const decide::PriceQuestion& question, const Shower& show) {
  const estimate::PieceEstimate& estimate = question.estimate;
  std::vector<std::string> all = {fmt::format("about {} wide and {} high",
                                              show.size_text(estimate.finished.width),
                                              show.size_text(estimate.finished.height))};
  if (in_millimetres(estimate.hang) > 0.0) {
    all.push_back(fmt::format("fringe hanging {}", show.size_text(estimate.hang)));
  }
  const std::string fringe = warp_fringe(question.model.piece(), show);
  if (!fringe.empty()) all.push_back(fringe);
  all.push_back("woven by hand of " + fibres_of(question.model));
  return all;
}

}  // namespace

Quote quote_of(const studio::Studio& studio, const decide::Pricing& pricing,
               const decide::Priced& priced, const Shower& show, const QuoteDetails& details) {
  const decide::PriceQuestion& question = pricing.question();
  const decide::Currency& currency = question.currency;
  const decide::SeriesPrice& each = priced.asked;
  const std::int64_t pieces = each.pieces;
  const Money materials = decide::rounded(each.yarn + each.consumables, currency);
  const Money total = each.price.times(pieces);
  const auto in_words = [&](const Money& amount) { return told(amount, currency); };
  Quote quote;
  quote.studio = studio.name;
  quote.details = details;
  quote.piece = question.estimate.name;
  quote.about = about(question, show);
  std::string of;
  if (pieces > 1) {
    quote.about.front() = "each " + quote.about.front();
    quote.about.push_back(fmt::format("{} pieces at {} each", pieces, in_words(each.price)));
    of = fmt::format(" of all {}", pieces);
  }
  quote.lines = {{"materials" + of, in_words(materials.times(pieces))},
                 {"making" + of, in_words((each.price - materials).times(pieces))}};
  quote.total = {"total" + of, in_words(total)};
  if (each.deposit) {
    quote.to_pay = {{"to pay on ordering", in_words(*each.deposit)},
                    {"to pay on delivery", in_words(total - *each.deposit)}};
  }
  quote.notes.push_back(
      "Tax is not included; where the rules of the place ask for it, it is added.");
  quote.notes.push_back("Woven by hand: sizes and colours vary a little from piece to piece.");
  if (!details.until.empty())
    quote.notes.push_back("This quote holds until " + details.until + ".");
  return quote;
}

namespace {

/// On one line: whatever would break it is a blank.
std::string plain(std::string text) {
  for (char& c : text) {
    if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f) c = ' ';
  }
  return text;
}

using Lines = std::vector<std::pair<std::string, std::string>>;

constexpr const char* kPageHead = R"(<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width">
<title>{title}</title>
<style>
@page {{ size: A4; margin: 22mm 20mm; }}
body {{ font: 11pt/1.45 Georgia, "DejaVu Serif", serif; color: #222; max-width: 170mm; margin: 12mm auto; }}
header {{ display: flex; justify-content: space-between; border-bottom: 1.5pt solid #222; padding-bottom: 3mm; }}
h1 {{ font-size: 20pt; margin: 10mm 0 2mm; }}
ul {{ padding-left: 5mm; margin: 0 0 8mm; }}
table {{ width: 100%; border-collapse: collapse; }}
td {{ padding: 1.6mm 0; border-bottom: 0.4pt solid #bbb; }}
td + td {{ text-align: right; white-space: nowrap; font-variant-numeric: tabular-nums; }}
.total td {{ border-top: 1pt solid #222; border-bottom: 1pt solid #222; font-weight: bold; }}
.notes {{ margin-top: 10mm; font-size: 9.5pt; color: #444; }}
@media print {{ body {{ margin: 0; }} }}
</style>
</head>
<body>
)";

void put_rows(const Lines& lines, const char* kind, std::ostream& out) {
  for (const auto& [what, amount] : lines) {
    out << fmt::format("<tr{}><td>{}</td><td>{}</td></tr>\n", kind, escaped(what), escaped(amount));
  }
}

}  // namespace

std::string quote_text(const Quote& quote) {
  std::ostringstream out;
  out << "Quote";
  if (!quote.studio.empty()) out << " by " << plain(quote.studio);
  out << ", " << plain(quote.details.date) << '\n';
  if (!quote.details.customer.empty()) out << "for " << plain(quote.details.customer) << '\n';
  out << '\n' << plain(quote.piece) << '\n';
  for (const std::string& line : quote.about) out << "  " << plain(line) << '\n';
  Lines lines = quote.lines;
  lines.push_back(quote.total);
  lines.insert(lines.end(), quote.to_pay.begin(), quote.to_pay.end());
  std::size_t wide = 0;
  for (const auto& [what, amount] : lines) wide = std::max(wide, what.size() + amount.size());
  out << '\n';
  for (const auto& [what, amount] : lines) {
    out << "  " << what << std::string(wide - what.size() - amount.size() + 4, ' ') << amount
        << '\n';
  }
  out << '\n';
  for (const std::string& note : quote.notes) out << plain(note) << '\n';
  return out.str();
}

std::string quote_page(const Quote& quote) {
  std::ostringstream out;
  out << fmt::format(kPageHead, fmt::arg("title", escaped("Quote: " + quote.piece)));
  out << "<header><div>" << escaped(quote.studio) << "</div><div>" << escaped(quote.details.date)
      << "</div></header>\n";
  out << "<h1>" << escaped(quote.piece) << "</h1>\n";
  const std::string& customer = quote.details.customer;
  out << "<p>Quote" << (customer.empty() ? "" : " for " + escaped(customer)) << "</p>\n<ul>\n";
  for (const std::string& line : quote.about) out << "<li>" << escaped(line) << "</li>\n";
  out << "</ul>\n<table>\n";
  put_rows(quote.lines, "", out);
  put_rows({quote.total}, " class=\"total\"", out);
  put_rows(quote.to_pay, "", out);
  out << "</table>\n<div class=\"notes\">\n";
  for (const std::string& note : quote.notes) out << "<p>" << escaped(note) << "</p>\n";
  out << "</div>\n</body>\n</html>\n";
  return out.str();
}

}  // namespace ellwand::tools
