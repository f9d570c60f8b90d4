#include "print_estimate.hpp"

#include <fmt/format.h>

#include <ostream>

namespace ellwand::tools {

namespace {

using estimate::BandEstimate;
using estimate::Cut;
using estimate::PieceEstimate;
using estimate::Spread;
using estimate::YarnEstimate;

std::string put_ups_text(const YarnEstimate& yarn) {
  return yarn.put_ups ? std::to_string(*yarn.put_ups) : "-";
}

std::vector<std::string> yarn_cells(const YarnEstimate& yarn, const Shower& show) {
  return {yarn.yarn,
          show.range_text(yarn.length_m, show.yarn(1.0)),
          show.range_text(yarn.mass_g, show.mass(1.0)),
          show.enough_yarn_text(yarn.set_aside_m, half(yarn.length_m)),
          show.enough_mass_text(yarn.set_aside_g, half(yarn.mass_g)),
          put_ups_text(yarn),
          yarn.left_over_g ? show.mass_text(*yarn.left_over_g, half(yarn.mass_g)) : "-"};
}

std::vector<std::string> yarn_heads(const Shower& show) {
  return {"yarn",
          std::string(show.yarn_unit()) + " (9 times in 10)",
          std::string(show.mass_unit()) + " (9 times in 10)",
          "set aside",
          "",
          "put-ups",
          "left over"};
}

void print_yarns(const PieceEstimate& piece, const Shower& show, std::ostream& out) {
  TextTable table(yarn_heads(show));
  for (const YarnEstimate& yarn : piece.yarns) table.add(yarn_cells(yarn, show));
  table.print(out);
}

/// What the shelf has, and the chance that it runs short.
void print_shelf(const std::vector<YarnEstimate>& yarns, const Shower& show, std::ostream& out) {
  TextTable shelf({"on the shelf", show.mass_unit(), "runs short"});
  for (const YarnEstimate& yarn : yarns) {
    if (!yarn.on_shelf_g) continue;
    const int decimals = show.mass_unit() == std::string("oz") ? 1 : 0;
    shelf.add({yarn.yarn, fmt::format("{:.{}f}", show.mass(*yarn.on_shelf_g), decimals),
               one_in(yarn.chance_short)});
  }
  if (!shelf.empty()) {
    out << '\n';
    shelf.print(out);
  }
}

void print_chances(const PieceEstimate& piece, const Shower& show, bool joint, std::ostream& out) {
  if (joint) {
    out << "Set aside together: some yarn of the piece runs short "
        << one_in(piece.chance_any_set_aside_short) << ".\n";
  } else {
    out << "Set aside: of 20 such pieces 1 runs short of it, yarn by yarn; some yarn of the piece "
        << one_in(piece.chance_any_set_aside_short) << ".\n";
  }
  print_shelf(piece.yarns, show, out);
}

/// A wrapping has turns and no rows.
std::string rows_text(const BandEstimate& band) {
  return band.turns > 0 ? fmt::format("{} turns", band.turns) : std::to_string(band.rows);
}

void print_bands(const PieceEstimate& piece, const Shower& show, std::ostream& out) {
  TextTable table({"band", "work", "yarn", "rows", std::string(show.size_unit()),
                   show.yarn_unit() + std::string(" (9 times in 10)")},
                  {1, 2});
  for (const BandEstimate& band : piece.bands) {
    const bool worked = band.band > 0;
    const bool bare = band.yarn.empty();
    table.add({worked ? std::to_string(band.band) : "-", band.work, bare ? "-" : band.yarn,
               worked && !bare ? rows_text(band) : "",
               worked ? fmt::format("{:.1f}", show.size(band.height)) : "",
               bare             ? ""
               : band.comes_out ? "comes out again"
                                : show.range_text(band.length_m, show.yarn(1.0))});
  }
  out << "\nFrom the bottom up\n";
  table.print(out);
}

/// What to have at hand beside the piece's own yarn.
void print_lent(const PieceEstimate& piece, const Shower& show, std::ostream& out) {
  if (piece.lent.empty()) return;
  out << "\nLent, and had back when it comes out\n";
  for (const estimate::Lent& lent : piece.lent) {
    out << fmt::format("  {} of {} for band {}\n",
                       show.enough_yarn_text(lent.length_m.high, half(lent.length_m)), lent.yarn,
                       lent.band);
  }
}

/// What to leave hanging for a hem, and when.
std::string leave_text(const Cut& cut, const Shower& show) {
  const bool before = cut.leave == estimate::Leave::BeforeWeaving;
  return fmt::format("  leave {} x {} of {} hanging {} band {}, to hemstitch with\n", cut.count,
                     show.size_text(cut.length), cut.yarn,
                     before ? "before the first row of" : "after the last row of", cut.beside);
}

/// Of yarns whose cuts take more than is set aside for what the piece takes, as the order of work
/// lays them out.
void print_to_have(const PieceEstimate& piece, const Shower& show, std::ostream& out) {
  std::size_t y = 0;
  for (const estimate::Step& step : piece.order) {
    const auto* laid = std::get_if<estimate::LayOut>(&step);
    if (laid == nullptr || laid->lent_for > 0) continue;
    const YarnEstimate& yarn = piece.yarns.at(y++);
    const std::string have = show.enough_yarn_text(laid->to_have_m, laid->doubt_m);
    if (have == show.enough_yarn_text(yarn.set_aside_m, laid->doubt_m)) continue;
    out << fmt::format("  have {}, {} of {}, for whole lengths{}\n", have,
                       show.enough_mass_text(laid->to_have_g, laid->doubt_g), laid->yarn,
                       yarn.spare_m > 0.0 ? " and some to spare" : "");
  }
}

void print_cuts(const PieceEstimate& piece, const Shower& show, std::ostream& out) {
  if (piece.cuts.empty()) return;
  out << "\nCut\n";
  for (const Cut& cut : piece.cuts) {
    if (cut.leave != estimate::Leave::No) {
      out << leave_text(cut, show);
      continue;
    }
    out << fmt::format("  {} x {} of {} for {}", cut.count, show.size_text(cut.length), cut.yarn,
                       cut.what);
    if (cut.enough) {
      out << fmt::format(", long enough 19 times in 20 ({} by plan)", show.size_text(cut.exact));
    }
    if (cut.card_height) {
      out << fmt::format(", wound on a card {} high, and {} to spare",
                         show.size_text(*cut.card_height), cut.spare);
    }
    out << '\n';
  }
  print_to_have(piece, show, out);
}

void print_sizes(const PieceEstimate& piece, const Shower& show, std::ostream& out) {
  const auto size = [&](const estimate::Size& one) {
    return fmt::format("{:.1f} x {}", show.size(one.width), show.size_text(one.height));
  };
  out << "\nSize, wide x high: " << size(piece.loom) << " on the loom, " << size(piece.off_loom)
      << " off it, ";
  const Length<> change = piece.finished.height - piece.washed.height;
  if (change.si() != 0.0) out << size(piece.washed) << " washed, ";
  out << size(piece.finished) << " finished";
  if (piece.height_m) {
    out << fmt::format(" ({:.1f} to {} high 9 times in 10)", show.size(metres(piece.height_m->low)),
                       show.size_text(metres(piece.height_m->high)));
  }
  if (piece.hang.si() > 0.0) out << "; fringe hangs " << show.size_text(piece.hang);
  out << ".\n";
  for (const std::string& line : warp_lines(piece, show)) out << line << '\n';
}

/// What the rest of each yarn could go to: a line a planned piece, and one for thrums.
void print_left_over(const PieceEstimate& piece, const Shower& show, std::ostream& out) {
  std::string name;
  std::string text;
  for (const estimate::LeftOverUse& use : piece.left_over_uses) {
    if (use.name != name) text += "\nLeft over could go to " + use.name + ": ";
    text += (use.name == name ? ", " : "") + use.yarn;
    name = use.name;
  }
  if (!text.empty()) out << text << '\n';
  if (!piece.thrums) return;
  out << fmt::format(
      "\nThrums: {} of each of {} of {} is left in two pieces, before and behind; the longer, {} "
      "at "
      "least, will do for fringe.\n",
      show.size_text(piece.thrums->length), counted(piece.thrums->count, "strand", "strands"),
      piece.thrums->yarn, show.size_text(piece.thrums->longer()));
}

void print_advice(const PieceEstimate& piece, std::ostream& out) {
  if (!piece.warnings.empty()) out << "\nLook out\n";
  for (const estimate::Warning& warning : piece.warnings) out << "  " << warning.text << '\n';
  out << '\n' << whose_ranges(piece.taught) << '\n';
  out << "\nTake care\n";
  for (const std::string& caution : piece.cautions) out << "  " << caution << '\n';
}

}  // namespace

std::vector<std::string> warp_lines(const PieceEstimate& piece, const Shower& show) {
  std::vector<std::string> lines;
  if (!piece.budget) return lines;
  lines.push_back(
      fmt::format("Warp: of {} between the edges {} is left when all is woven and tied.",
                  show.size_text(piece.budget->span), show.size_text(piece.budget->left())));
  if (!piece.warp_edges) return lines;
  const technique::WarpEdges& edges = *piece.warp_edges;
  lines.push_back(fmt::format(
      "It turns {}: {} above, {} below; its free ends are tied {}.",
      edges.turns == 1 ? "once" : fmt::format("{} times", edges.turns),
      counted(edges.loops_above, "loop", "loops"), edges.loops_below,
      edges.ties_above == 0 ? "both below" : "at opposite corners, one below and one above"));
  return lines;
}

std::string whose_ranges(const std::optional<estimate::Taught>& taught) {
  if (!taught) {
    return "These ranges are for a stranger's hand: nothing woven here has been measured yet.";
  }
  std::string text = fmt::format("Ranges learned from {} {} up to {}.", taught->swatches,
                                 taught->swatches == 1 ? "swatch" : "swatches", taught->date);
  if (!taught->stranger_in.empty()) {
    text += fmt::format(" Still a stranger's hand in {}: fewer than {} pieces taught it.",
                        listed(taught->stranger_in), estimate::kPiecesThatTeach);
  }
  if (!taught->never_measured.empty()) {
    text += fmt::format(" Not yet woven and measured: {}.", listed(taught->never_measured));
  }
  if (!taught->is_current) text += " Swatches have changed since; run ellwand calibrate.";
  return text;
}

void print_estimate(const PieceEstimate& piece, const Shower& show, bool joint, std::ostream& out) {
  out << piece.name << "\n\n";
  print_yarns(piece, show, out);
  out << '\n';
  print_chances(piece, show, joint, out);
  print_bands(piece, show, out);
  print_lent(piece, show, out);
  print_cuts(piece, show, out);
  print_sizes(piece, show, out);
  print_left_over(piece, show, out);
  print_advice(piece, out);
}

void print_totals(const estimate::Totals& totals, const Shower& show, bool joint,
                  std::ostream& out) {
  std::vector<std::string> heads = yarn_heads(show);
  heads.emplace_back("for");
  TextTable table(heads, {heads.size() - 1});
  for (std::size_t y = 0; y < totals.yarns.size(); ++y) {
    std::vector<std::string> cells = yarn_cells(totals.yarns[y], show);
    std::string pieces;
    for (const std::string& piece : totals.used_in[y]) {
      pieces += (pieces.empty() ? "" : ", ") + piece;
    }
    cells.push_back(pieces);
    table.add(cells);
  }
  out << fmt::format("All {} pieces together\n\n", totals.pieces.size());
  table.print(out);
  out << (joint ? "\nSet aside together: some yarn runs short "
                : "\nSet aside for all of them, and put-ups counted once; some yarn runs short ")
      << one_in(totals.chance_any_set_aside_short) << ".\n";
  print_shelf(totals.yarns, show, out);
}

}  // namespace ellwand::tools
