#include "print_sheet.hpp"

#include "print_estimate.hpp"
#include "print_order.hpp"

#include "ellwand/studio/estimate_json.hpp"
#include "ellwand/studio/markup.hpp"
#include "ellwand/units/text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>
#include <variant>

namespace ellwand::tools {

namespace {

using estimate::Carried;
using estimate::LayOut;
using estimate::PieceEstimate;
using estimate::Size;
using estimate::Step;
using estimate::WorkBand;
using studio::escaped;

/// On a screen nothing is wider than it: on a narrow one a band's cells stand below each other,
/// each with its head. On paper it is a table.
constexpr const char* kHead = R"(<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title}</title>
<style>
@page {{ {size}margin: 10mm 12mm; }}
* {{ box-sizing: border-box; }}
body {{ font: 9pt/1.32 system-ui, "DejaVu Sans", Arial, sans-serif; color: #1b1b1d; background: #fff; max-width: 186mm; margin: 8mm auto; padding: 0 3mm; }}
header {{ display: flex; flex-wrap: wrap; justify-content: space-between; align-items: baseline; gap: 0 6mm; }}
header p {{ margin: 0; }}
h1 {{ font-size: 20pt; line-height: 1.1; margin: 0; font-weight: 700; letter-spacing: -0.01em; }}
.selvedge {{ display: block; width: 100%; height: 3mm; margin: 1.5mm 0 3mm; }}
h2 {{ font-size: 10pt; margin: 0 0 1mm; break-after: avoid; }}
section {{ margin: 0 0 3.4mm; }}
.whole {{ break-inside: avoid; }}
figure {{ margin: 0 0 2mm; break-inside: avoid; }}
figure svg {{ display: block; max-width: 100%; height: auto; overflow: visible; }}
figure svg svg {{ overflow: hidden; max-width: none; }}
.beside {{ display: flex; flex-wrap: wrap; gap: 0 7mm; }}
.beside > .wide {{ flex: 1 1 auto; min-width: 0; }}
.beside > .narrow {{ flex: 1 1 50mm; }}
.scroll {{ overflow-x: auto; }}
table {{ border-collapse: collapse; width: 100%; }}
th {{ text-align: left; font-weight: 600; font-size: 8pt; border-bottom: 0.9pt solid #1b1b1d; padding: 0.4mm 1.6mm 0.6mm 0; vertical-align: bottom; }}
td {{ border-bottom: 0.4pt solid #9a9a9a; padding: 0.6mm 1.6mm 0.6mm 0; vertical-align: top; }}
thead td {{ border-bottom: 0.9pt solid #1b1b1d; }}
tbody th {{ border-bottom: 0.4pt solid #9a9a9a; font-size: 9pt; font-weight: 400; vertical-align: top; padding: 0.6mm 1.6mm 0.6mm 0; }}
.n {{ text-align: right; white-space: nowrap; font-variant-numeric: tabular-nums; }}
.used {{ min-width: 16mm; }}
.number {{ font-size: 12pt; font-weight: 700; line-height: 1; }}
.key {{ width: 8.6mm; }}
.key svg {{ display: block; }}
.order {{ font-size: 8.6pt; }}
.order .kind {{ white-space: nowrap; }}
tbody.band {{ break-inside: avoid; border-bottom: 0.4pt solid #555; }}
tbody.band td, tbody.band th {{ border-bottom: 0; }}
.look {{ border-left: 1.2mm solid #1b1b1d; padding-left: 1.4mm; }}
.box {{ display: inline-block; width: 3.1mm; height: 3.1mm; border: 0.7pt solid #1b1b1d; vertical-align: -0.4mm; }}
.tick {{ width: 5mm; }}
ul {{ list-style: none; margin: 0; padding: 0; }}
li {{ padding: 0.35mm 0 0.35mm 5mm; position: relative; break-inside: avoid; }}
li > .box {{ position: absolute; left: 0; top: 1.1mm; }}
.small {{ font-size: 8pt; }}
.care {{ columns: 2; column-gap: 7mm; }}
.small li {{ padding-left: 0; }}
p {{ margin: 0 0 1mm; }}
.sum td, .sum th {{ border-top: 0.9pt solid #1b1b1d; font-weight: 700; }}
.unseen {{ position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); white-space: nowrap; }}
footer {{ font-size: 7.5pt; color: #444; }}
@media print {{ body {{ max-width: none; margin: 0; padding: 0; }} .scroll {{ overflow: visible; }} }}
@media screen {{ .order .kind, .order td.n {{ white-space: normal; }} }}
@media screen and (max-width: 40em) {{
.care {{ columns: 1; }}
.beside > .wide {{ flex: 1 1 100%; }}
.have thead th {{ white-space: normal; vertical-align: bottom; }}
.have .used {{ min-width: 0; }}
.order, .order tbody {{ display: block; }}
.order thead {{ position: absolute; clip-path: inset(50%); }}
.order tr {{ display: grid; grid-template-columns: 5mm 9mm minmax(0, 1fr) auto; column-gap: 1.5mm; align-items: baseline; }}
.order td, .order th {{ display: block; padding: 0.3mm 0; grid-column: 3 / 5; text-align: left; }}
.order td:empty {{ display: none; }}
.order td.tick {{ grid-area: 1 / 1; }}
.order th.number {{ grid-area: 1 / 2; }}
.order .number + td {{ grid-area: 1 / 3; }}
.order .number + td + td {{ grid-area: 1 / 4; text-align: right; }}
.order .number + td + td + td {{ grid-area: 2 / 4; text-align: right; }}
.order .key {{ grid-area: 2 / 2; }}
.order .key + td {{ grid-area: 2 / 3; }}
.order .key + td + td {{ grid-area: 3 / 3; }}
.order .key + td + td + td {{ grid-area: 4 / 3 / auto / 5; }}
.order .key + td + td + td + td {{ grid-area: 3 / 4; text-align: right; }}
.order td.note {{ grid-column: 2 / 5; }}
.order [data-head]::before {{ content: attr(data-head) ": "; font-size: 7.5pt; color: #444; }}
}}
</style>
</head>
<body>
)";

const char* size_rule(Paper paper) {
  switch (paper) {
    case Paper::AsThePrinterHas:
      return "";
    case Paper::A4:
      return "size: A4; ";
    case Paper::Letter:
      return "size: letter; ";
  }
  return "";
}

constexpr const char* kBox = "<span class=\"box\"></span>";

/// Writes the page part by part.
class Page {
 public:
  Page(const Sheet& sheet, const Shower& show, const studio::DrawingOptions& options)
      : sheet_(sheet),
        piece_(sheet.estimate),
        show_(show),
        options_(options),
        drawing_(studio::piece_drawing(sheet.model, sheet.estimate, options)) {}

  std::string written() {
    head();
    // Sizes and warp stand beside the drawing where it leaves room, or else beside the yarns.
    constexpr double kRoom = 54.0;  // mm
    const double page_mm = in_millimetres(options_.most_width);
    if (in_millimetres(drawing_.width) + kRoom <= page_mm) {
      side_by_side([this] { figure(); }, [this] { sizes_and_warp(); });
      section([this] { lay_out(); });
    } else {
      figure();
      side_by_side([this] { lay_out(); }, [this] { sizes_and_warp(); });
    }
    steps(Under::Cut);
    steps(Under::Before);
    bands();
    steps(Under::After);
    look_out();
    ranges();
    care();
    foot();
    return out_;
  }

 private:
  template <class Write>
  void section(Write write, const char* kind = "") {
    out_ += fmt::format("<section{}>\n", kind);
    write();
    out_ += "</section>\n";
  }
  template <class Left, class Right>
  void side_by_side(Left left, Right right) {
    out_ += "<div class=\"beside\">\n";
    section(left, " class=\"wide\"");
    section(right, " class=\"narrow\"");
    out_ += "</div>\n";
  }

  void sizes_and_warp() {
    sizes();
    warp();
  }

  void head() {
    out_ += fmt::format(kHead, fmt::arg("title", escaped(piece_.name + ": sheet for the loom")),
                        fmt::arg("size", size_rule(sheet_.paper)));
    out_ += fmt::format(
        "<header>\n<h1>{}</h1>\n<p>Sheet for the loom{}{}, <time datetime=\"{}\">{}</time></p>\n"
        "</header>\n<main>\n",
        escaped(piece_.name), sheet_.head.studio.empty() ? "" : ", ", escaped(sheet_.head.studio),
        escaped(sheet_.head.date), escaped(sheet_.head.date));
    selvedge();
  }

  /// A stripe of the yarns, each as wide as its share of the piece's mass.
  void selvedge() {
    double all = 0.0;
    for (const auto& yarn : piece_.yarns) all += yarn.plan_g;
    constexpr double kWide = 1000.0;
    const double high = 16.0;
    out_ += fmt::format(
        "<svg class=\"selvedge\" aria-hidden=\"true\" viewBox=\"0 0 {} {}\" "
        "preserveAspectRatio=\"none\">",
        kWide, high);
    double x = 0.0;
    for (std::size_t y = 0; y < piece_.yarns.size() && all > 0.0; ++y) {
      const double wide = kWide * piece_.yarns[y].plan_g / all;
      out_ += fmt::format(
          "<rect x=\"{}\" y=\"0\" width=\"{}\" height=\"{}\" fill=\"{}\" stroke=\"#1b1b1d\" "
          "stroke-width=\"1\"/>",
          studio::short_number(x), studio::short_number(wide), high,
          studio::yarn_colour(sheet_.model, y));
      x += wide;
    }
    out_ += "</svg>\n";
  }

  void figure() { out_ += fmt::format("<figure>\n{}</figure>\n", drawing_.svg); }

  std::string patch(const std::string& id) const {
    const auto& yarns = sheet_.model.all_yarns();
    for (std::size_t y = 0; y < yarns.size(); ++y) {
      if (yarns[y]->id == id) return studio::yarn_patch(sheet_.model, y);
    }
    return {};
  }

  const yarn::Yarn* yarn_of(const std::string& id) const {
    for (const yarn::Yarn* yarn : sheet_.model.all_yarns()) {
      if (yarn->id == id) return yarn;
    }
    return nullptr;
  }

  void lay_out() {
    out_ +=
        "<h2>Lay out</h2>\n<div class=\"scroll\" tabindex=\"0\"><table "
        "class=\"have\">\n<thead><tr><th "
        "class=\"tick\"><span "
        "class=\"unseen\">done</span></th><th class=\"key\"><span "
        "class=\"unseen\">pattern</span></th><th scope=\"col\">yarn</th><th scope=\"col\" "
        "class=\"n\">have ready</th><th scope=\"col\" class=\"n\">or weighed</th><th "
        "scope=\"col\" class=\"n\">put-ups</th><th scope=\"col\" class=\"used\">used</th></tr>"
        "</thead>\n<tbody>\n";
    for (const Step& step : piece_.order) {
      if (const auto* yarn = std::get_if<LayOut>(&step)) lay_out(*yarn);
    }
    out_ += "</tbody>\n</table></div>\n";
  }

  /// "Rug wool ash" adds nothing to rug-wool-ash.
  static bool says_the_same(const std::string& label, std::string id) {
    std::replace(id.begin(), id.end(), '-', ' ');
    return folded(label) == folded(id);
  }

  void lay_out(const LayOut& step) {
    const yarn::Yarn* yarn = yarn_of(step.yarn);
    std::string name = escaped(step.yarn);
    if (yarn != nullptr && !says_the_same(yarn->label, yarn->id)) {
      name += "<br><span class=\"small\">" + escaped(yarn->label) + "</span>";
    }
    if (step.lent_for > 0) {
      name += fmt::format("<br><span class=\"small\">lent for band {}</span>", step.lent_for);
    }
    out_ += fmt::format(
        "<tr><td class=\"tick\">{}</td><td class=\"key\">{}</td><th scope=\"row\">{}</th><td "
        "class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td><td></td></tr>\n",
        kBox, patch(step.yarn), name, show_.enough_yarn_text(step.to_have_m, step.doubt_m),
        show_.enough_mass_text(step.to_have_g, step.doubt_g),
        step.put_ups ? std::to_string(*step.put_ups) : "");
  }

  void size_row(const char* when, const Size& size) {
    out_ += fmt::format(
        "<tr><th scope=\"row\">{}</th><td class=\"n\">{}</td><td class=\"n\">{}</td></tr>\n", when,
        show_.size_text(size.width), show_.size_text(size.height));
  }

  void sizes() {
    out_ +=
        "<h2>Sizes</h2>\n<table>\n<thead><tr><td></td><th scope=\"col\" class=\"n\">wide</th><th "
        "scope=\"col\" class=\"n\">high</th></tr></thead>\n<tbody>\n";
    size_row("on the loom", piece_.loom);
    size_row("off it, at rest", piece_.off_loom);
    if ((piece_.finished.height - piece_.washed.height).si() != 0.0) {
      size_row("washed", piece_.washed);
    }
    size_row("finished", piece_.finished);
    if (piece_.hang.si() > 0.0) {
      out_ += fmt::format(
          "<tr><th scope=\"row\">fringe hangs</th><td></td><td class=\"n\">{}</td></tr>\n",
          show_.size_text(piece_.hang));
    }
    out_ += "</tbody>\n</table>\n";
  }

  void warp() {
    if (!piece_.budget) return;
    const estimate::Budget& budget = *piece_.budget;
    const std::vector<std::pair<const char*, Length<>>> rows = {
        {"the span", budget.span},
        {"header", -budget.header},
        {"room to tie", -budget.tie_room},
        {"room for the needle", -budget.needle_room},
        {"loops on the rod", -budget.rod_loops},
        {"sample strip", -budget.sample},
        {"the bands", -budget.bands}};
    out_ += "<h2 style=\"margin-top: 3mm\">Room on the warp</h2>\n<table>\n<tbody>\n";
    for (const auto& [what, length] : rows) {
      if (length.si() == 0.0) continue;
      out_ += fmt::format("<tr><th scope=\"row\">{}</th><td class=\"n\">{}</td></tr>\n", what,
                          show_.size_text(length));
    }
    out_ += fmt::format(
        "<tr class=\"sum\"><th scope=\"row\">left</th><td class=\"n\">{}</td></tr>\n"
        "</tbody>\n</table>\n",
        show_.size_text(budget.left()));
  }

  void steps(Under heading) {
    std::string items;
    for (const Step& step : piece_.order) {
      if (heading_of(step) != heading) continue;
      items += fmt::format("<li>{} {}</li>\n", kBox, escaped(step_text(step, show_)));
    }
    // The first of the warp's lines, what is left of the span, stands with the sizes.
    if (heading == Under::Before) {
      const std::vector<std::string> lines = warp_lines(piece_, show_);
      for (std::size_t l = 1; l < lines.size(); ++l)
        items += "<li>" + escaped(lines[l]) + "</li>\n";
    }
    if (items.empty()) return;
    out_ += fmt::format("<section class=\"whole\">\n<h2>{}</h2>\n<ul>\n{}</ul>\n</section>\n",
                        words_for(heading), items);
  }

  void bands() {
    out_ += fmt::format(
        "<section>\n<h2>{}</h2>\n<div class=\"scroll\" tabindex=\"0\"><table "
        "class=\"order\">\n<thead><tr><th "
        "class=\"tick\"><span class=\"unseen\">done</span></th><th scope=\"col\">band</th><th "
        "scope=\"col\">work</th><th scope=\"col\" class=\"n\">high, {}</th><th scope=\"col\" "
        "class=\"n\">up to, {}</th><th class=\"key\"><span class=\"unseen\">pattern</span></th><th "
        "scope=\"col\">yarn</th><th scope=\"col\" class=\"n\">rows</th><th scope=\"col\" "
        "class=\"n\">lengths</th><th scope=\"col\" class=\"n\">by plan, {}</th></tr></thead>\n",
        words_for(Under::Bands), show_.size_unit(), show_.size_unit(), show_.yarn_unit());
    for (const Step& step : piece_.order) {
      if (const auto* band = std::get_if<WorkBand>(&step)) work(*band);
    }
    out_ += "</table></div>\n</section>\n";
  }

  void work(const WorkBand& band) {
    std::string rows;
    const std::size_t lines = std::max<std::size_t>(band.yarns.size(), 1);
    for (std::size_t l = 0; l < lines; ++l) {
      rows += "<tr>";
      if (l == 0) rows += band_cells(band, lines);
      rows += l < band.yarns.size() ? yarn_cells(band, band.yarns[l])
                                    : "<td class=\"key\"></td><td>bare warp</td><td></td><td></td>"
                                      "<td></td>";
      rows += "</tr>\n";
    }
    for (const estimate::HemThread& thread : band.to_leave) {
      rows += note_row("", step_text(thread, show_));
    }
    const std::string number = fmt::format("band {}: ", band.band);
    for (const std::string& warning : band.warnings) {
      const bool says_it = warning.rfind(number, 0) == 0;
      rows += note_row("look out: ", says_it ? warning.substr(number.size()) : warning);
    }
    out_ += "<tbody class=\"band\">\n" + rows + "</tbody>\n";
  }

  static std::string note_row(const char* lead, const std::string& text) {
    return fmt::format(
        "<tr><td></td><td></td><td class=\"note\" colspan=\"8\"><div class=\"look "
        "small\">{}{}</div></td></tr>\n",
        lead, escaped(text));
  }

  std::string band_cells(const WorkBand& band, std::size_t lines) const {
    const bool is_high = band.height.si() > 0.0;
    return fmt::format(
        "<td class=\"tick\" rowspan=\"{0}\">{1}</td><th scope=\"rowgroup\" class=\"number\" "
        "rowspan=\"{0}\">{2}</th><td class=\"kind\" rowspan=\"{0}\">{3}{4}</td><td class=\"n\" "
        "data-head=\"high, {7}\" rowspan=\"{0}\">{5}</td><td class=\"n\" data-head=\"up to, {7}\" "
        "rowspan=\"{0}\">{6}</td>",
        lines, kBox, band.band, escaped(band.called),
        band.comes_out ? "<br><span class=\"small\">to come out again</span>" : "",
        is_high ? number_of(show_.size_text(band.height)) : "",
        number_of(show_.size_text(band.up_to)), show_.size_unit());
  }

  std::string yarn_cells(const WorkBand& band, const Carried& yarn) const {
    constexpr Steps kTenth{0.1};
    const bool is_cut = yarn.lengths == 0 || band.work == "hemstitch";
    const std::string how = manner(yarn.held, yarn.split_into);
    return fmt::format(
        "<td class=\"key\">{}</td><td class=\"kind\">{}{}</td><td class=\"n\"{}>{}</td><td "
        "class=\"n\" data-head=\"lengths\">{}</td><td class=\"n\" data-head=\"by plan, "
        "{}\">{}</td>",
        patch(yarn.yarn), escaped(yarn.yarn),
        how.empty() ? "" : "<span class=\"small\">" + escaped(how) + "</span>",
        yarn.counted == "rows" ? " data-head=\"rows\"" : "", counted_text(yarn),
        is_cut ? "" : lengths(yarn), show_.yarn_unit(),
        number_of(show_.yarn_text(yarn.plan_m, kTenth)));
  }

  /// "6 x 1.50 m, 1 x 0.28 m"
  std::string lengths(const Carried& yarn) const {
    const std::string each = length_text(yarn.length, show_);
    if (!yarn.last) return fmt::format("{} x {}", yarn.lengths, each);
    return fmt::format("{} x {}, 1 x {}", yarn.lengths - 1, each, length_text(*yarn.last, show_));
  }

  /// Without the unit, which stands at the head of its column.
  static std::string number_of(const std::string& text) { return text.substr(0, text.find(' ')); }

  /// The column says "rows"; what is counted otherwise says so.
  static std::string counted_text(const Carried& yarn) {
    if (yarn.counted == "rows") return std::to_string(yarn.rows);
    return counted(yarn.rows, yarn.counted_one, yarn.counted);
  }

  void look_out() {
    std::string items;
    for (const estimate::Warning& warning : piece_.warnings) {
      if (warning.band == 0) items += "<li class=\"look\">" + escaped(warning.text) + "</li>\n";
    }
    if (items.empty()) return;
    out_ += "<section class=\"small\">\n<h2>Look out</h2>\n<ul>\n" + items + "</ul>\n</section>\n";
  }

  void ranges() {
    out_ += fmt::format(
        "<section class=\"small\">\n<h2>What the figures mean</h2>\n<p>What to have ready "
        "suffices 19 times in 20, yarn by yarn; by plan is what the design comes to before "
        "unevenness. Sizes of bands are on the loom, above the first pick. {}</p>\n</section>\n",
        escaped(whose_ranges(piece_.taught)));
  }

  void care() {
    if (piece_.cautions.empty()) return;
    out_ += fmt::format("<section class=\"small\">\n<h2>{}</h2>\n<ul class=\"care\">\n",
                        words_for(Under::Care));
    for (const std::string& caution : piece_.cautions) {
      out_ += "<li>" + escaped(caution) + "</li>\n";
    }
    out_ += "</ul>\n</section>\n";
  }

  void foot() {
    out_ += fmt::format("</main>\n<footer>{}, reckoned by Ellwand {}</footer>\n</body>\n</html>\n",
                        escaped(piece_.piece), studio::kEngineVersion);
  }

  const Sheet& sheet_;
  const PieceEstimate& piece_;
  const Shower& show_;
  const studio::DrawingOptions& options_;
  studio::Drawing drawing_;
  std::string out_;
};

}  // namespace

std::string sheet_page(const Sheet& sheet, const Shower& show,
                       const studio::DrawingOptions& drawing) {
  return Page(sheet, show, drawing).written();
}

}  // namespace ellwand::tools
