// Why a figure is what it is: its causes, each in a weaver's words, and their sum.

#include "print_estimate.hpp"

#include "command_line.hpp"
#include "ellwand/estimate/cloth_facts.hpp"
#include "ellwand/estimate/yarn_totals.hpp"

#include <fmt/format.h>

#include <ostream>

namespace ellwand::tools {

namespace {

using estimate::BandEstimate;
using estimate::PieceEstimate;
using estimate::Spread;
using technique::Cause;

const char* words_of(Cause cause, const std::string& work) {
  const bool warp = work == "warp";
  switch (cause) {
    case Cause::Straight:
      return warp ? "the straight way along the warp" : "the straight way";
    case Cause::Crimp:
      return "bending over and under";
    case Cause::Floats:
      return "floats, straight over several";
    case Cause::Turns:
      return warp ? "turning at the top and the bottom" : "turning at the edges";
    case Cause::Joins:
      return "where colours hold each other";
    case Cause::Loops:
      return "raised loops";
    case Cause::Wraps:
      return "wraps and knots";
    case Cause::Twist:
      return "shorter for being twisted";
    case Cause::Take:
      return "yarn per straight length, laid in loosely";
    case Cause::Stretch:
      return "less, for the warp is wound stretched";
    case Cause::Tails:
      if (work == "cord") return "its knots and the ends beyond them";
      return warp ? "ties" : "tails left hanging";
    case Cause::Trims:
      return warp ? "left for fringe" : "trimmed off";
    case Cause::Waste:
      return warp ? "loom waste" : "waste";
    case Cause::Knots:
      return "knots in the put-ups: tails and runs thrown away";
    case Cause::SpareEnds:
      return "warp ends to spare";
    case Cause::BrokenEnds:
      return "broken ends mended";
    case Cause::Unpicking:
      return "unpicked and not to be laid again";
    case Cause::Sampling:
      return "a sample strip";
  }
  return "";
}

/// Figures that are added up are shown to the millimetre, so that the sum can be followed.
std::string exact(double value) { return fmt::format("{:.3f}", value); }

class WhyTable {
 public:
  WhyTable(const Shower& show, std::string what)
      : show_(show), table_({std::move(what), show.yarn_unit()}) {}
  void add(const std::string& words, double metres) {
    table_.add({words, exact(show_.yarn(metres))});
  }
  void print(std::ostream& out) const { table_.print(out); }

 private:
  const Shower& show_;
  TextTable table_;
};

/// The causes of a figure that are not nothing, each after `before`.
void add_causes(const std::array<double, technique::kCauses>& causes_m, const std::string& work,
                const std::string& before, WhyTable& table) {
  for (std::size_t c = 0; c < technique::kCauses; ++c) {
    if (causes_m[c] == 0.0) continue;
    table.add(before + words_of(static_cast<Cause>(c), work), causes_m[c]);
  }
}

void add_causes(const BandEstimate& band, const std::string& before, WhyTable& table) {
  add_causes(band.causes_m, band.work, before, table);
}

/// Plan, then what the range's middle differs from it by.
void add_sum(double plan_m, const Spread& range, WhyTable& table) {
  table.add("= the plan", plan_m);
  table.add("unevenness, and rounded counts smoothed", range.mid - plan_m);
  table.add("= likely", range.mid);
}

std::string title_of(const BandEstimate& band) {
  return band.band == 0 ? band.work : fmt::format("band {}, {}", band.band, band.work);
}

/// From the likely amount to what to have.
void add_set_aside(const estimate::YarnEstimate& yarn, WhyTable& table) {
  table.add("for the 19th of 20 such pieces", yarn.set_aside_m - yarn.length_m.mid);
  table.add("= set aside", yarn.set_aside_m);
  if (yarn.cut_rounding_m > 0.0) table.add("whole cuts", yarn.cut_rounding_m);
  if (yarn.spare_m > 0.0) table.add("spare strands", yarn.spare_m);
  if (yarn.cut_rounding_m + yarn.spare_m > 0.0) {
    table.add("= to have", yarn.set_aside_m + yarn.cut_rounding_m + yarn.spare_m);
  }
}

/// The largest parts of the doubt, in her words.
void print_doubt(const estimate::PieceModel& model, const estimate::StartingValues& values,
                 std::size_t yarn, std::ostream& out) {
  const auto shares = estimate::doubt_shares(
      model.parts_by_coefficient(estimate::Line::OverTheDoubt), model.coefficients(), yarn);
  out << "What makes the range wide:\n";
  for (std::size_t i = 0; i < 4 && i < shares.size() && shares[i].share >= 0.05; ++i) {
    out << fmt::format("  {:.0f} % {}\n", 100.0 * shares[i].share,
                       coefficient_meaning(values, shares[i].coefficient, model.all_yarns(),
                                           model.piece().beginner, model.carriers(yarn)));
  }
}

/// Grams depend on the air: said, so that a damp or a dry weighing is not held against them.
void print_moisture(const estimate::YarnEstimate& yarn, const Shower& show, std::ostream& out) {
  out << fmt::format("Weighed in a room at 65 % humidity, as labels count; bone dry it is {}.\n",
                     show.mass_text(yarn.plan_dry_g, 0.01 * yarn.plan_g));
}

void why_yarn(const estimate::PieceModel& model, const PieceEstimate& piece,
              const estimate::StartingValues& values, std::size_t index, const Shower& show,
              std::ostream& out) {
  const estimate::YarnEstimate& yarn = piece.yarns[index];
  WhyTable table(show, yarn.yarn);
  for (const BandEstimate& band : piece.bands) {
    if (band.yarn != yarn.yarn) continue;
    add_causes(band, title_of(band) + ": ", table);
  }
  add_sum(yarn.plan_m, yarn.length_m, table);
  add_set_aside(yarn, table);
  table.print(out);
  const yarn::Yarn& label = *model.yarns()[index];
  out << fmt::format("\n{}, so {} {} by plan; lies {} thick{}.\n",
                     show.count_text(label.linear_density), exact(show.mass(yarn.plan_g)),
                     show.mass_unit(), show.thread_text(model.strand_diameter(index)),
                     label.measured_diameter ? ", as measured" : " by its count and fibre");
  print_moisture(yarn, show, out);
  print_doubt(model, values, index, out);
}

std::string per_size_unit(const ThreadDensity<>& density, const Shower& show) {
  const Length<> unit = show.size_unit() == std::string("cm") ? centimetres(1.0) : inches(1.0);
  return fmt::format("{:.3g} per {}", density * unit, show.size_unit());
}

/// What a woven band is as cloth, for each of its wefts.
void print_cloth(const estimate::PieceModel& model, int number, const std::string& yarn,
                 const Shower& show, std::ostream& out) {
  for (std::size_t i = 0; i < model.band_yarns().size(); ++i) {
    const estimate::BandYarn& one = model.band_yarns()[i];
    if (static_cast<int>(one.band) + 1 != number || model.yarns()[one.yarn]->id != yarn) continue;
    const auto facts = estimate::cloth_facts(model, i);
    if (!facts) return;
    out << fmt::format(
        "Ends {}, picks {}; this weave takes up to {} of these ends (Ashenhurst's rule).\n"
        "The ends fill {:.0f} % of their spacing, the wefts {:.0f} %; the cloth weighs {} "
        "on the loom.\n",
        per_size_unit(facts->ends, show), per_size_unit(facts->picks, show),
        per_size_unit(facts->greatest_sett, show), 100.0 * facts->warp_cover,
        100.0 * facts->weft_cover, show.cloth_mass_text(facts->mass));
    return;
  }
}

/// How high the rows of one yarn are, and their band where it is higher.
std::string rows_height(const BandEstimate& band, const Shower& show) {
  const Length<> rows = (band.turns > 0 ? band.turns : band.rows) * band.row_spacing;
  if (rows > 0.99 * band.height) return show.size_text(band.height);
  return fmt::format("{} of the band's {}", show.size_text(rows), show.size_text(band.height));
}

/// How its rows or turns make its height, and what that is of the warp's.
void print_rows(const estimate::PieceModel& model, const BandEstimate& band, const Shower& show,
                std::ostream& out) {
  const bool turns = band.turns > 0;
  out << fmt::format("\n{}, {} each, {}.\n",
                     turns ? counted(band.turns, "turn", "turns") + " at each place"
                           : counted(band.rows, "row", "rows"),
                     show.thread_text(band.row_spacing), rows_height(band, show));
  if (model.band_heights()[static_cast<std::size_t>(band.band) - 1].si() > 0.0) return;
  out << "It stands beside what is not wrapped and adds nothing to the height.\n";
}

/// A band that comes out has no part in the yarns' amounts.
void why_lent(const PieceEstimate& piece, const BandEstimate& band, const Shower& show,
              std::ostream& out) {
  out << fmt::format(
      "band {}, {} of {}: {}, {}, drawn out again when the piece is woven; its yarn is lent "
      "and not counted in the piece's.\n",
      band.band, band.work, band.yarn, counted(band.rows, "row", "rows"),
      show.size_text(band.height));
  for (const estimate::Lent& lent : piece.lent) {
    if (lent.band != band.band || lent.yarn != band.yarn) continue;
    WhyTable table(show, "lent, " + lent.yarn);
    add_causes(lent.causes_m, band.work, "", table);
    add_sum(lent.plan_m, lent.length_m, table);
    table.print(out);
    out << fmt::format("\nSo {} {} by plan; {} {} to have 19 times in 20.\n\n",
                       exact(show.mass(lent.plan_g)), show.mass_unit(),
                       rounded_up_to(show.yarn(lent.length_m.high),
                                     show.yarn(lent.length_m.high - lent.length_m.low)),
                       show.yarn_unit());
  }
}

/// Every band that comes out, or those of one yarn. @returns whether there is any
bool why_all_lent(const PieceEstimate& piece, const std::string& yarn, const Shower& show,
                  std::ostream& out) {
  bool any = false;
  for (const BandEstimate& band : piece.bands) {
    if (!band.comes_out || (!yarn.empty() && band.yarn != yarn)) continue;
    why_lent(piece, band, show, out);
    any = true;
  }
  return any;
}

void why_band(const estimate::PieceModel& model, const PieceEstimate& piece, int number,
              const Shower& show, std::ostream& out) {
  for (const BandEstimate& band : piece.bands) {
    if (band.band != number) continue;
    if (band.comes_out) {
      why_lent(piece, band, show, out);
      continue;
    }
    if (band.yarn.empty()) {
      out << fmt::format("band {}, {}: {} of warp without yarn of its own.\n\n", number, band.work,
                         show.size_text(band.height));
      continue;
    }
    WhyTable table(show, fmt::format("band {}, {} of {}", number, band.work, band.yarn));
    add_causes(band, "", table);
    add_sum(band.plan_m, band.length_m, table);
    table.print(out);
    if (band.height.si() > 0.0) print_rows(model, band, show, out);
    print_cloth(model, number, band.yarn, show, out);
    out << '\n';
  }
}

void why_work(const PieceEstimate& piece, const std::string& work, const Shower& show,
              std::ostream& out) {
  for (const BandEstimate& band : piece.bands) {
    if (band.band != 0 || band.work != work) continue;
    WhyTable table(show, work + ", " + band.yarn);
    add_causes(band, "", table);
    add_sum(band.plan_m, band.length_m, table);
    table.print(out);
    out << '\n';
  }
}

const char* words_of(estimate::TieDistance from) {
  switch (from) {
    case estimate::TieDistance::Stated:
      return "as stated";
    case estimate::TieDistance::RodLength:
      return "the length of the rod, for no tie_distance is stated";
    case estimate::TieDistance::FinishedWidth:
      return "the finished width, for no tie_distance is stated";
  }
  return "";
}

void why_cord(const PieceEstimate& piece, const Shower& show, std::ostream& out) {
  if (!piece.cord) {
    out << "This piece has no cord; write cord = { yarn = ..., rise = \"20 cm\" } in [finish].\n";
    return;
  }
  why_work(piece, "cord", show, out);
  const technique::HangingCord& cord = piece.cord->cord;
  out << fmt::format(
      "Tied {} apart, {}; its middle {} above the rod.\n"
      "{} strands in {} of cord; wrapped {} times round the rod at each tie.\n"
      "Knots and ends take {}, {}.\n",
      show.size_text(cord.tie_distance), words_of(piece.cord->tie_distance),
      show.size_text(cord.rise), cord.plies * cord.strand.held,
      show.thread_text(piece.cord->thickness), cord.wraps_at_each_tie, show.size_text(cord.knots),
      piece.cord->knots_are_stated
          ? "as stated"
          : "two overhand knots and an end beyond each, for knots is not stated");
}

void why_size(const estimate::PieceModel& model, const PieceEstimate& piece, const Shower& show,
              std::ostream& out) {
  out << fmt::format(
      "Width on the loom: {} ends {} apart, and the edge ends and wefts beyond them: {}.\n"
      "Height on the loom: the bands together{}: {}.\n"
      "Off the loom {:.1f} % less{}{}.\n",
      model.piece().warp.ends, show.thread_text(model.warp_spacing()),
      show.size_text(piece.loom.width),
      piece.lent.empty() ? "" : ", but for what comes out at an edge",
      show.size_text(piece.loom.height), 100.0 * model.relaxation(),
      model.shrinkage() == 0.0
          ? std::string()
          : fmt::format(", washed {:.1f} % less again", 100.0 * model.shrinkage()),
      model.blocked() == 0.0 ? std::string()
                             : fmt::format(", blocked {:+.1f} %", 100.0 * model.blocked()));
}

/// What the loops and the unwoven ends are good for.
void print_rod_and_knots(const PieceEstimate& piece, const Shower& show, std::ostream& out) {
  if (piece.thickest_rod) {
    out << fmt::format("\n{} loops slide on the rod; one of up to {} passes them.\n",
                       piece.warp_edges->loops_above, show.rod_text_within(*piece.thickest_rod));
  }
  for (const estimate::EdgeRoom& edge : piece.edges) {
    out << fmt::format(
        "A knot of {} ends at the {} takes {} of each, no more than {} in 19 of 20 pieces; {} are "
        "left there.\nThat comes out of the unwoven warp and is not counted again.\n",
        edge.ends_per_knot, edge.at_top ? "top" : "bottom", show.size_text(edge.knot.plan),
        show.size_text(edge.knot.high), show.size_text(edge.room));
  }
}

void why_room(const PieceEstimate& piece, const Shower& show, std::ostream& out) {
  if (!piece.budget) {
    out << "A beam loom has no fixed span; its warp is wound as long as the piece needs.\n";
    print_rod_and_knots(piece, show, out);
    return;
  }
  TextTable table({"room on the warp", show.size_unit()});
  const auto add = [&](const char* what, const Length<>& length) {
    if (length.si() != 0.0) table.add({what, fmt::format("{:.2f}", show.size(length))});
  };
  add("the span", piece.budget->span);
  add("header", -piece.budget->header);
  add("room to tie", -piece.budget->tie_room);
  add("room for the needle", -piece.budget->needle_room);
  add("loops on the rod", -piece.budget->rod_loops);
  add("a sample strip", -piece.budget->sample);
  add("the bands", -piece.budget->bands);
  add("= left", piece.budget->left());
  table.print(out);
  print_rod_and_knots(piece, show, out);
}

std::vector<std::string> figures_of(const PieceEstimate& piece) {
  std::vector<std::string> figures = {"warp", "waste", "size", "room"};
  if (piece.cord) figures.emplace_back("cord");
  for (const estimate::YarnEstimate& yarn : piece.yarns) figures.push_back(yarn.yarn);
  if (!piece.lent.empty()) figures.emplace_back("scrap");
  for (const estimate::Lent& lent : piece.lent) figures.push_back(lent.yarn);
  for (const BandEstimate& band : piece.bands) {
    if (band.band > 0) figures.push_back(fmt::format("band {}", band.band));
  }
  return figures;
}

/// "band 9", whether there is one or not.
bool is_band(const std::string& figure) {
  const std::string word = "band ";
  return figure.size() > word.size() && figure.rfind(word, 0) == 0 &&
         figure.find_first_not_of("0123456789", word.size()) == std::string::npos;
}

}  // namespace

void print_why(const estimate::PieceModel& model, const PieceEstimate& piece,
               const estimate::StartingValues& values, const std::string& figure,
               const Shower& show, std::ostream& out) {
  if (figure == "warp" || figure == "waste") return why_work(piece, figure, show, out);
  if (figure == "cord") return why_cord(piece, show, out);
  if (figure == "size") return why_size(model, piece, show, out);
  if (figure == "room") return why_room(piece, show, out);
  for (std::size_t i = 0; i < piece.yarns.size(); ++i) {
    if (piece.yarns[i].yarn == figure) {
      why_yarn(model, piece, values, i, show, out);
      why_all_lent(piece, figure, show, out);
      return;
    }
  }
  if (why_all_lent(piece, figure == "scrap" ? "" : figure, show, out)) return;
  for (const BandEstimate& band : piece.bands) {
    if (band.band > 0 && figure == fmt::format("band {}", band.band)) {
      return why_band(model, piece, band.band, show, out);
    }
  }
  if (is_band(figure)) {
    const std::size_t bands = model.piece().bands.size();
    throw WrongUsage(fmt::format("{} has no {}: it has {} band{}, counted from the bottom",
                                 piece.piece, figure, bands, bands == 1 ? "" : "s"));
  }
  std::string known;
  for (const std::string& name : figures_of(piece)) {
    if (known.find("'" + name + "'") == std::string::npos) known += " '" + name + "'";
  }
  throw WrongUsage(fmt::format("{} has no figure '{}'{} --why takes one of:{}", piece.piece, figure,
                               did_you_mean(figure, figures_of(piece)), known));
}

}  // namespace ellwand::tools
