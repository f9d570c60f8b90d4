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

double half(const Spread& spread) { return 0.5 * (spread.high - spread.low); }

std::string put_ups_text(const YarnEstimate& yarn) {
  return yarn.put_ups ? std::to_string(*yarn.put_ups) : "-";
}

void print_yarns(const PieceEstimate& piece, const Shower& show, std::ostream& out) {
  const std::string m = show.yarn_unit();
  const std::string g = show.mass_unit();
  TextTable table({"yarn", m + " (9 times in 10)", g + " (9 times in 10)", "set aside", "",
                   "put-ups", "left over"});
  for (const YarnEstimate& yarn : piece.yarns) {
    table.add({yarn.yarn, show.range_text(yarn.length_m, show.yarn(1.0)),
               show.range_text(yarn.mass_g, show.mass(1.0)),
               show.enough_yarn_text(yarn.set_aside_m, half(yarn.length_m)),
               show.enough_mass_text(yarn.set_aside_g, half(yarn.mass_g)), put_ups_text(yarn),
               yarn.left_over_g ? show.mass_text(*yarn.left_over_g, half(yarn.mass_g)) : "-"});
  }
  table.print(out);
}

void print_chances(const PieceEstimate& piece, const Shower& show, bool joint, std::ostream& out) {
  if (joint) {
    out << "Set aside together: some yarn of the piece runs short "
        << one_in(piece.chance_any_set_aside_short) << ".\n";
  } else {
    out << "Set aside: of 20 such pieces 1 runs short of it, yarn by yarn; some yarn of the piece "
        << one_in(piece.chance_any_set_aside_short) << ".\n";
  }
  TextTable shelf({"on the shelf", show.mass_unit(), "runs short"});
  for (const YarnEstimate& yarn : piece.yarns) {
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

void print_bands(const PieceEstimate& piece, const Shower& show, std::ostream& out) {
  TextTable table({"band", "work", "yarn", "rows", std::string(show.size_unit()),
                   show.yarn_unit() + std::string(" (9 times in 10)")},
                  {1, 2});
  for (const BandEstimate& band : piece.bands) {
    const bool worked = band.band > 0;
    const bool bare = band.yarn.empty();
    table.add({worked ? std::to_string(band.band) : "-", band.work, bare ? "-" : band.yarn,
               worked && !bare ? std::to_string(band.rows) : "",
               worked ? fmt::format("{:.1f}", show.size(band.height)) : "",
               bare ? "" : show.range_text(band.length_m, show.yarn(1.0))});
  }
  out << "\nFrom the bottom up\n";
  table.print(out);
}

/// What to leave hanging for a hem, and when.
std::string leave_text(const Cut& cut, const Shower& show) {
  const bool before = cut.leave == estimate::Leave::BeforeWeaving;
  return fmt::format("  leave {} x {} of {} hanging {} band {}, to hemstitch with\n", cut.count,
                     show.size_text(cut.length), cut.yarn,
                     before ? "before the first row of" : "after the last row of", cut.beside);
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
    if (cut.card_height) {
      out << fmt::format(", wound on a card {} high, and {} to spare",
                         show.size_text(*cut.card_height), cut.spare);
    }
    out << '\n';
  }
}

void print_sizes(const PieceEstimate& piece, const Shower& show, std::ostream& out) {
  const auto size = [&](const estimate::Size& one) {
    return fmt::format("{:.1f} x {}", show.size(one.width), show.size_text(one.height));
  };
  out << "\nSize, wide x high: " << size(piece.loom) << " on the loom, " << size(piece.off_loom)
      << " off it, " << size(piece.finished) << " finished";
  if (piece.hang.si() > 0.0) out << "; fringe hangs " << show.size_text(piece.hang);
  out << ".\n";
  if (!piece.budget) return;
  out << fmt::format("Warp: of {} between the edges {} is left when all is woven and tied.\n",
                     show.size_text(piece.budget->span), show.size_text(piece.budget->left()));
}

void print_advice(const PieceEstimate& piece, std::ostream& out) {
  if (!piece.warnings.empty()) out << "\nLook out\n";
  for (const estimate::Warning& warning : piece.warnings) out << "  " << warning.text << '\n';
  out << "\nThese ranges are for a stranger's hand: nothing woven here has been measured yet.\n";
  out << "\nTake care\n";
  for (const std::string& caution : piece.cautions) out << "  " << caution << '\n';
}

}  // namespace

void print_estimate(const PieceEstimate& piece, const Shower& show, bool joint, std::ostream& out) {
  out << piece.name << "\n\n";
  print_yarns(piece, show, out);
  out << '\n';
  print_chances(piece, show, joint, out);
  print_bands(piece, show, out);
  print_cuts(piece, show, out);
  print_sizes(piece, show, out);
  print_advice(piece, out);
}

}  // namespace ellwand::tools
