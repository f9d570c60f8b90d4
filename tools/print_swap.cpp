#include "print_swap.hpp"

#include "ellwand/decide/in_short.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <ostream>
#include <string>
#include <vector>

namespace ellwand::tools {

namespace {

using decide::PlaceChange;
using decide::SwapRow;
using decide::Where;

constexpr const char* kUnknown = "-";

std::string chance_text(double chance) {
  if (chance < 0.005) return "under 1 %";
  if (chance > 0.995) return "over 99 %";
  return fmt::format("{:.0f} %", 100.0 * chance);
}

/// "2", or "1 of 3" of a roving that is split.
std::string strand_text(const technique::Strand& strand) {
  return strand.split_into > 1 ? fmt::format("{} of {}", strand.held, strand.split_into)
                               : std::to_string(strand.held);
}

/// Those of all places, each once.
std::string strands_text(const SwapRow& row) {
  std::vector<std::string> met;
  for (const PlaceChange& change : row.places) {
    const std::string text = strand_text(change.after.strand);
    if (std::find(met.begin(), met.end(), text) == met.end()) met.push_back(text);
  }
  return fmt::format("{}", fmt::join(met, ", "));
}

/// Without the sign of a nought.
std::string score_text(double score) {
  return fmt::format("{:.2f}", std::abs(score) < 0.005 ? 0.0 : score);
}

std::string place_text(const PlaceChange& change) {
  if (change.before.where != Where::Band) return change.work;
  return fmt::format("band {}, {}", change.before.band + 1, change.work);
}

/// "1.04", against the original.
std::string ratio_text(double ratio) { return fmt::format("{:.2f}", ratio); }

struct Printer {
  const decide::Swap& swap;
  const decide::SwapAnswer& answer;
  const decide::Currency& currency;
  const Shower& show;
  std::vector<const SwapRow*> rows;  ///< the original, and those of the candidates that are shown
  std::ostream& out;

  std::string yarn_of(const SwapRow& row) const {
    return row.yarn + (row.is_elsewhere ? " *" : "");
  }

  std::string buying(const SwapRow& row) const {
    if (!row.to_buy) return kUnknown;
    if (*row.to_buy == 0) return "0";
    if (!row.buy_cost) return std::to_string(*row.to_buy);
    return fmt::format("{}, {}", *row.to_buy, figures(*row.buy_cost, currency));
  }

  void print_amounts() const {
    const std::string cost = currency.code.empty() ? "cost" : currency.code;
    TextTable table({"yarn", "strands", fmt::format("{} (9 times in 10)", show.yarn_unit()),
                     fmt::format("{} (9 times in 10)", show.mass_unit()),
                     fmt::format("set aside, {}", show.mass_unit()),
                     fmt::format("on the shelf, {}", show.mass_unit()), "put-ups to buy", cost});
    for (const SwapRow* row : rows) {
      const estimate::YarnOfPlaces& here = row->here;
      const double doubt_g = 0.5 * (here.mass_g.high - here.mass_g.low);
      const auto& on_shelf_g = row->amounts().on_shelf_g;
      table.add({yarn_of(*row), strands_text(*row), show.range_text(here.length_m, show.yarn(1)),
                 show.range_text(here.mass_g, show.mass(1)),
                 rounded_up_to(show.mass(here.set_aside_g), show.mass(doubt_g)),
                 on_shelf_g ? rounded_to(show.mass(*on_shelf_g), Steps{show.mass(1.0)}) : kUnknown,
                 buying(*row), row->cost ? figures(*row->cost, currency) : kUnknown});
    }
    table.print(out);
  }

  void print_what_changes() const {
    TextTable table({"yarn", fmt::format("wide x high, {}", show.size_unit()), "thickness", "cover",
                     "too thick", "too thin", "score"});
    for (const SwapRow* row : rows) {
      table.add({row->yarn,
                 fmt::format("{:.1f} x {:.1f}", show.size(row->estimate.finished.width),
                             show.size(row->estimate.finished.height)),
                 "x " + ratio_text(decide::thickness_of(*row)),
                 "x " + ratio_text(decide::cover_of(*row)), chance_text(row->too_thick),
                 chance_text(row->too_thin), score_text(row->score)});
    }
    out << '\n';
    table.print(out);
  }

  void print_places(const SwapRow& row) const {
    TextTable table({"with " + row.yarn, "strands", "thickness", "cover", "rows", show.size_unit(),
                     "too thick", "too thin"});
    for (const PlaceChange& change : row.places) {
      const bool is_band = change.before.where == Where::Band;
      const bool has_height = is_band && change.height_before.si() > 0.0;
      table.add(
          {place_text(change),
           fmt::format("{} for {}", strand_text(change.after.strand),
                       strand_text(change.before.strand)),
           "x " + ratio_text(change.thickness),
           change.cover ? "x " + ratio_text(*change.cover) : kUnknown,
           is_band ? fmt::format("{} for {}", change.rows_after, change.rows_before) : kUnknown,
           has_height ? fmt::format("{:.1f} for {:.1f}", show.size(change.height_after),
                                    show.size(change.height_before))
                      : kUnknown,
           chance_text(change.too_thick), chance_text(change.too_thin)});
    }
    out << '\n';
    table.print(out);
    if (!row.warp) return;
    const estimate::Size& before = answer.original.estimate.finished;
    out << fmt::format("Ends of {} leave gaps like those of before at {} in the cloth", row.yarn,
                       show.sett_text(row.warp->sett_that_covers));
    if (row.warp->sett_after.si() == row.warp->sett_before.si()) {
      out << fmt::format("; here they stay at {}.\n", show.sett_text(row.warp->sett_after));
      return;
    }
    out << fmt::format(" ({} before); ", show.sett_text(row.warp->sett_before));
    if (row.warp->ends_for_width == row.warp->ends_before) {
      out << fmt::format("{} ends are as wide as before.\n", row.warp->ends_before);
    } else if (row.warp->ends_after == row.warp->ends_before) {
      out << fmt::format("{} ends make the width of {} again.\n", row.warp->ends_for_width,
                         show.size_text(before.width));
    } else {
      out << fmt::format("{} ends in place of {} keep the stated width.\n", row.warp->ends_after,
                         row.warp->ends_before);
    }
  }

  void print_notes() const {
    bool is_first = true;
    const auto tell = [&](const std::string& yarn, const std::string& text) {
      if (is_first) out << "\nWhat may go wrong\n";
      is_first = false;
      out << "  " << yarn << ": " << text << '\n';
    };
    for (const SwapRow* row : rows) {
      for (const decide::SwapNote& note : row->notes) tell(row->yarn, note.text);
      for (const estimate::Warning& warning : row->warnings) {
        const bool is_named = warning.text.starts_with(row->yarn + ": ");
        tell(row->yarn, is_named ? warning.text.substr(row->yarn.size() + 2) : warning.text);
      }
    }
  }

  /// Where rows or ends change, so do the yarns that stay.
  void print_other_yarns(const SwapRow& row) const {
    constexpr double kWorthTelling = 0.02;
    const auto& before = answer.original.estimate.yarns;
    std::vector<std::string> changes;
    for (const estimate::YarnEstimate& yarn : row.estimate.yarns) {
      const auto was = std::find_if(before.begin(), before.end(),
                                    [&](const auto& one) { return one.yarn == yarn.yarn; });
      const bool is_swapped = yarn.yarn == row.yarn || yarn.yarn == answer.original.yarn;
      if (is_swapped || was == before.end()) continue;
      if (std::abs(yarn.plan_m - was->plan_m) < kWorthTelling * was->plan_m) continue;
      const double doubt_m = 0.5 * (yarn.length_m.high - yarn.length_m.low);
      changes.push_back(fmt::format("{} {} in place of {}", yarn.yarn,
                                    show.yarn_text(yarn.length_m.mid, doubt_m),
                                    show.yarn_text(was->length_m.mid, doubt_m)));
    }
    if (changes.empty()) return;
    out << fmt::format("Of the yarns that stay it takes another amount: {}.\n",
                       fmt::join(changes, ", "));
  }

  /// A yarn that is made to cover as before may still be too thin: where that is from.
  void print_doubt_of_cover() const {
    constexpr double kAlike = 0.005;
    constexpr double kWorthTelling = 0.05;
    const bool is_doubt = std::any_of(rows.begin() + 1, rows.end(), [](const SwapRow* row) {
      return std::abs(decide::cover_of(*row) - 1.0) < kAlike && row->too_thin >= kWorthTelling;
    });
    if (!is_doubt) return;
    out << "\nRows and ends are set so that each covers as before, a thicker one too: where cover "
           "is "
           "x 1.00, too thin is how unsure the thicknesses are; diameter_mm of a measured yarn "
           "lessens it.\n";
  }

  void print_left_out(bool is_named) const {
    if (answer.left_out.empty()) return;
    if (!is_named) {
      out << fmt::format(
          "\nLeft out: {} that cannot serve; --with a yarn tells why.\n",
          answer.left_out.size() == 1 ? "1 yarn" : fmt::format("{} yarns", answer.left_out.size()));
      return;
    }
    out << "\nCannot serve\n";
    for (const decide::CannotServe& one : answer.left_out) {
      out << "  " << one.yarn << ": " << one.reason << '\n';
    }
  }
};

/// "held as before", "2 strands held together".
std::string best_told(const SwapRow& best) {
  const bool as_before =
      std::all_of(best.places.begin(), best.places.end(), [](const PlaceChange& change) {
        return change.before.strand.held == change.after.strand.held &&
               change.before.strand.split_into == change.after.strand.split_into;
      });
  if (as_before) return "held as before";
  const technique::Strand& strand = best.places.front().after.strand;
  const bool all_alike =
      std::all_of(best.places.begin(), best.places.end(), [&](const PlaceChange& change) {
        return change.after.strand.held == strand.held &&
               change.after.strand.split_into == strand.split_into;
      });
  if (!all_alike) return "held as below";
  if (strand.split_into > 1) return fmt::format("split into {}", strand.split_into);
  return strand.held == 1 ? "one strand" : fmt::format("{} strands held together", strand.held);
}

/// "; band 3 and the warp keep it": where the yarn is not replaced.
std::string staying_told(const SwapRow& original) {
  if (!original.is_elsewhere) return "";
  std::vector<std::string> replaced;
  for (const PlaceChange& change : original.places) {
    const bool is_band = change.before.where == Where::Band;
    const std::string place =
        is_band ? fmt::format("band {}", change.before.band + 1) : "the " + change.work;
    if (replaced.empty() || replaced.back() != place) replaced.push_back(place);
  }
  return fmt::format("; replaced in {} only", listed(replaced));
}

}  // namespace

void print_swap(const decide::Swap& swap, const decide::SwapAnswer& answer,
                const decide::Currency& currency, const Shower& show, std::size_t top,
                bool is_named, std::ostream& out) {
  Printer printer{swap, answer, currency, show, {&answer.original}, out};
  const std::size_t shown = std::min(top, answer.candidates.size());
  for (std::size_t i = 0; i < shown; ++i) printer.rows.push_back(&answer.candidates[i]);
  const SwapRow& best = answer.candidates.front();
  out << fmt::format("In {} {} serves best in place of {}, {}{}.\n\n",
                     answer.original.estimate.name, best.yarn, answer.original.yarn,
                     best_told(best), staying_told(answer.original));
  printer.print_amounts();
  printer.print_what_changes();
  for (std::size_t i = 1; i < printer.rows.size(); ++i) {
    if (i > 1 && !is_named) continue;
    printer.print_places(*printer.rows[i]);
    printer.print_other_yarns(*printer.rows[i]);
  }
  printer.print_doubt_of_cover();
  printer.print_notes();
  printer.print_left_out(is_named);
  const bool any_elsewhere = std::any_of(printer.rows.begin(), printer.rows.end(),
                                         [](const SwapRow* row) { return row->is_elsewhere; });
  if (any_elsewhere) out << "\n* elsewhere in the piece too; what is to buy is for all of it.\n";
}

}  // namespace ellwand::tools
