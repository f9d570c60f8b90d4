#include "print_order.hpp"

#include "print_estimate.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <ostream>

namespace ellwand::tools {

namespace {

using estimate::Carried;
using estimate::Caution;
using estimate::CutStrands;
using estimate::Finishing;
using estimate::HangSpares;
using estimate::HemThread;
using estimate::LayOut;
using estimate::LeaveFree;
using estimate::PieceEstimate;
using estimate::PutOnRod;
using estimate::SewIn;
using estimate::Step;
using estimate::TakeOff;
using estimate::TieCord;
using estimate::TieEnds;
using estimate::TrimFringe;
using estimate::Wash;
using estimate::WindWarp;
using estimate::WorkBand;

struct HeadingOf {
  Under operator()(const LayOut&) const { return Under::LayOut; }
  Under operator()(const CutStrands&) const { return Under::Cut; }
  Under operator()(const WindWarp&) const { return Under::Before; }
  Under operator()(const HangSpares&) const { return Under::Before; }
  Under operator()(const LeaveFree&) const { return Under::Before; }
  Under operator()(const HemThread&) const { return Under::Before; }
  Under operator()(const WorkBand&) const { return Under::Bands; }
  Under operator()(const TakeOff&) const { return Under::After; }
  Under operator()(const TieEnds&) const { return Under::After; }
  Under operator()(const SewIn&) const { return Under::After; }
  Under operator()(const TrimFringe&) const { return Under::After; }
  Under operator()(const Wash&) const { return Under::After; }
  Under operator()(const Finishing&) const { return Under::After; }
  Under operator()(const PutOnRod&) const { return Under::After; }
  Under operator()(const TieCord&) const { return Under::After; }
  Under operator()(const Caution&) const { return Under::Care; }
};

std::string joined(const std::vector<std::string>& words) {
  std::string text;
  for (const std::string& word : words) text += (text.empty() ? "" : ", ") + word;
  return text;
}

/// Each step as a line or a few.
struct StepText {
  const Shower& show;

  std::string size(const Length<>& width, const Length<>& height) const {
    return fmt::format("{:.1f} x {}", show.size(width), show.size_text(height));
  }

  std::string operator()(const LayOut& step) const {
    std::string text =
        fmt::format("{}: {}, {}", step.yarn, show.enough_yarn_text(step.to_have_m, step.doubt_m),
                    show.enough_mass_text(step.to_have_g, step.doubt_g));
    if (step.lent_for > 0) text += fmt::format(", lent for band {}", step.lent_for);
    if (step.put_ups) text += ", from " + counted(*step.put_ups, "put-up", "put-ups");
    return text;
  }

  std::string operator()(const CutStrands& step) const {
    std::string text =
        fmt::format("{} x {} of {}{} for {}", step.count, show.size_text(step.length), step.yarn,
                    manner(1, step.split_into), step.what);
    if (step.band > 0) text += fmt::format(", band {}", step.band);
    if (step.is_safe) text += ", long enough 19 times in 20";
    if (!step.card_height) return text;
    return text + fmt::format(
                      ": {} turns round a card {} high, two layers at most, cut along one edge; "
                      "{} to spare",
                      step.count + step.spare, show.size_text(*step.card_height), step.spare);
  }

  std::string operator()(const WindWarp& step) const {
    constexpr Steps kCentimetre{0.01};
    return fmt::format(
        "wind {} ends of {}{}: {}, {} of it left at each of the two free ends to tie, which are "
        "at {}",
        step.ends, step.yarn, manner(step.held, 1), show.yarn_text(step.length_m, kCentimetre),
        show.size_text(step.tie), step.ties_at_one_edge ? "the bottom" : "opposite corners");
  }

  std::string operator()(const HangSpares& step) const {
    return fmt::format("cut {} of {}{}, {} each, and hang them beside the warp",
                       counted(step.ends, "spare end", "spare ends"), step.yarn,
                       manner(step.held, 1), show.size_text(step.length));
  }

  std::string operator()(const LeaveFree& step) const {
    const std::string length = show.size_text(step.length);
    switch (step.what) {
      case LeaveFree::What::Header:
        return "put in " + length + " of header, which comes out again";
      case LeaveFree::What::RoomToTie:
        return "leave " + length + " of warp free at the bottom, to tie knots in";
      case LeaveFree::What::WarpFringe:
        return "leave " + length + " of warp free for fringe, and as much after the last pick";
      case LeaveFree::What::SampleStrip:
        return "weave a sample strip of " + length + " and measure it";
      case LeaveFree::What::RoomOnTop:
        return "keep " + length + " of warp free at the top, to tie knots in";
    }
    return {};
  }

  std::string operator()(const HemThread& step) const {
    return fmt::format("leave {} of {}{} hanging {} band {}, to hemstitch with",
                       show.size_text(step.length), step.yarn, manner(step.strands, 1),
                       step.before_weaving ? "before the first row of" : "after the last row of",
                       step.band);
  }

  /// @param is_cut  to a length that is told where it is cut or left hanging, to be enough
  std::string carried(const Carried& yarn, bool is_cut) const {
    constexpr Steps kTenth{0.1};
    const std::string text = fmt::format(
        "{}{}: {}, {} by plan", yarn.yarn, manner(yarn.held, yarn.split_into),
        counted(yarn.rows, yarn.counted_one, yarn.counted), show.yarn_text(yarn.plan_m, kTenth));
    return yarn.lengths == 0 || is_cut ? text : text + "; " + lengths_text(yarn, show);
  }

  /// A line each; of strands twined that are the same yarn, one for all.
  std::string carried_in(const WorkBand& step) const {
    std::vector<std::string> lines;
    for (const Carried& yarn : step.yarns) lines.push_back(carried(yarn, step.work == "hemstitch"));
    const bool is_one = step.work == "twining" && lines.size() > 1 &&
                        std::count(lines.begin(), lines.end(), lines.front()) ==
                            static_cast<std::ptrdiff_t>(lines.size());
    if (is_one) lines = {fmt::format("{} strands, each of {}", lines.size(), lines.front())};
    std::string text;
    for (const std::string& line : lines) text += "\n    " + line;
    return text;
  }

  std::string operator()(const WorkBand& step) const {
    std::string text = fmt::format("band {}, {}: ", step.band, step.called);
    // Wrapped ends that stand beside others, and hems, take up no stretch of the warp.
    text += step.height.si() > 0.0 ? fmt::format("{} high, up to {}", show.size_text(step.height),
                                                 show.size_text(step.up_to))
                                   : "at " + show.size_text(step.up_to);
    if (step.comes_out) text += ", to come out again";
    text += carried_in(step);
    for (const HemThread& thread : step.to_leave) text += "\n    " + (*this)(thread);
    for (const std::string& warning : step.warnings) text += "\n    look out: " + warning;
    return text;
  }

  std::string operator()(const TakeOff& step) const {
    std::string text = "take it off the loom; at rest it is " + size(step.width, step.height) +
                       (step.header_comes_out ? "; take the header out" : "");
    for (const int band : step.drawn_out) text += fmt::format("; draw out band {}", band);
    return text;
  }

  std::string operator()(const TieEnds& step) const {
    std::string text =
        fmt::format("tie the ends at the {}: {} of {} ends each", step.at_top ? "top" : "bottom",
                    counted(step.knots, "knot", "knots"), step.ends_per_knot);
    if (step.ends_in_last != step.ends_per_knot) {
      text += fmt::format(", the last of {}", step.ends_in_last);
    }
    return text + fmt::format(", in {} of warp", show.size_text(step.room));
  }

  std::string operator()(const SewIn& step) const {
    return fmt::format("{} tails: work them in along the rows and cut them off", 2 * step.lengths);
  }

  std::string operator()(const TrimFringe& step) const {
    return fmt::format("cut the {} of band {} even, about {} off, to hang {}", step.work, step.band,
                       show.size_text(step.trim), show.size_text(step.hang));
  }

  std::string operator()(const Wash& step) const {
    std::string text = "wash it; afterwards it is about " + size(step.width, step.height);
    if (!step.felting.empty()) {
      text += "; lukewarm and without rubbing, for these felt: " + joined(step.felting);
    }
    return text;
  }

  std::string operator()(const Finishing& step) const {
    std::string text = step.is_wet ? "dry it flat, pinned out square to "
                                   : "lay it flat and square, and let it rest so: ";
    text += size(step.width, step.height);
    if (!step.no_steam.empty()) text += "; do not steam flat: " + joined(step.no_steam);
    return text;
  }

  std::string operator()(const PutOnRod& step) const {
    const std::string rod = show.rod_text(step.rod);
    if (step.loops == 0) return "tie the ends over the rod, " + rod + " thick";
    return fmt::format("put {} loops of the warp on the rod, {} thick", step.loops, rod);
  }

  std::string operator()(const TieCord& step) const {
    std::string text =
        fmt::format("tie the cord of {} on at two places {} apart, to rise {} above the rod",
                    step.yarn, show.size_text(step.tie_distance), show.size_text(step.rise));
    if (step.wraps_at_each_tie == 0) return text;
    return text + ", " + counted(step.wraps_at_each_tie, "wrap", "wraps") + " at each";
  }

  std::string operator()(const Caution& step) const { return step.text; }
};

}  // namespace

const char* words_for(Under heading) {
  switch (heading) {
    case Under::LayOut:
      return "Lay out";
    case Under::Cut:
      return "Cut";
    case Under::Before:
      return "Before the first pick";
    case Under::Bands:
      return "From the bottom up";
    case Under::After:
      return "Off the loom";
    case Under::Care:
      return "Take care";
  }
  return "";
}

std::string manner(int held, int split_into) {
  std::string text;
  if (held > 1) text += fmt::format(", {} held together", held);
  if (split_into > 1) text += fmt::format(", split in {}", split_into);
  return text;
}

std::string length_text(const Length<>& length, const Shower& show) {
  constexpr Steps kCentimetre{0.01};
  return show.enough_yarn_text(in_metres(length), kCentimetre);
}

std::string lengths_text(const Carried& yarn, const Shower& show) {
  std::string text = fmt::format("{} of {}", counted(yarn.lengths, "length", "lengths"),
                                 length_text(yarn.length, show));
  if (yarn.last) text += ", the last " + length_text(*yarn.last, show);
  return text;
}

Under heading_of(const Step& step) { return std::visit(HeadingOf{}, step); }

std::string step_text(const Step& step, const Shower& show) {
  return std::visit(StepText{show}, step);
}

void print_order(const PieceEstimate& piece, const Shower& show, std::ostream& out) {
  out << piece.name << ", in the order of work\n";
  const auto is_of_all = [](const estimate::Warning& warning) { return warning.band == 0; };
  if (std::any_of(piece.warnings.begin(), piece.warnings.end(), is_of_all)) {
    out << "\nBefore you start\n";
  }
  for (const estimate::Warning& warning : piece.warnings) {
    if (is_of_all(warning)) out << "  look out: " << warning.text << '\n';
  }
  std::optional<Under> heading;
  for (const Step& step : piece.order) {
    const Under under = heading_of(step);
    if (heading != under) out << '\n' << words_for(under) << '\n';
    heading = under;
    out << "  " << step_text(step, show) << '\n';
  }
}

}  // namespace ellwand::tools
