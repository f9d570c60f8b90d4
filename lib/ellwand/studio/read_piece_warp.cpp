#include "ellwand/estimate/coefficients.hpp"
#include "ellwand/studio/read_common.hpp"
#include "ellwand/studio/read_piece_parts.hpp"
#include "ellwand/units/text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <initializer_list>

namespace ellwand::studio {

namespace {
using piece::LoomKind;

constexpr int kFewestEnds = 2;
constexpr int kMostWarpEnds = 20000;
/// How far a sett written with two or three digits may be from a whole number of notches.
constexpr double kNotchTolerance = 0.01;

/// The studio's loom the piece names; nothing when it names none, or none the studio has.
std::optional<piece::Loom> named_loom(Section& loom, const Studio& studio) {
  const auto name = loom.text("use");
  if (!name) return std::nullopt;
  const auto found = studio.looms.find(*name);
  if (found != studio.looms.end()) return found->second;
  std::vector<std::string> names;
  for (const auto& [known, unused] : studio.looms) names.push_back(known);
  std::string hint = did_you_mean(*name, names);
  if (names.empty()) hint = ", which has none; state its kind and measures here instead";
  if (hint.empty()) hint = "; it has " + offered(names);
  loom.complain("use", in_quotes(*name) + " is no [[loom]] of studio.toml" + hint);
  return std::nullopt;
}

bool is_stated(const Length<>& length) { return length > Length<>(); }

/// Whether span and pitch are there where the loom needs them, or complained of.
bool has_its_measures(Section& section, const piece::Loom& loom) {
  const bool needs_span = loom.kind != LoomKind::Beam;
  const bool needs_pitch = loom.kind == LoomKind::Notched;
  if (needs_span && !is_stated(loom.span)) section.require("span", "span = \"34 cm\" or the like");
  if (needs_pitch && !is_stated(loom.pitch))
    section.require("pitch", "pitch = \"4 mm\" or the like");
  return (!needs_span || is_stated(loom.span)) && (!needs_pitch || is_stated(loom.pitch));
}

/// What is stated of ends, width and sett.
struct Stated {
  std::optional<int> ends;
  std::optional<Length<>> width;
  std::optional<ThreadDensity<>> sett;
};

std::string notch_words(int every) {
  if (every == 1) return "every notch";
  if (every == 2) return "every second notch";
  return fmt::format("one notch in {}", every);
}

void refuse_sett(Section& warp, const piece::Loom& loom, const ThreadDensity<>& sett,
                 const Shown& shown) {
  const double notches = 1.0 / (sett * loom.pitch);
  const int closer = std::max(1, static_cast<int>(std::floor(notches)));
  const auto at = [&](int every) {
    return told(1.0 / (loom.pitch * every), shown) + " (" + notch_words(every) + ")";
  };
  warp.complain("sett",
                fmt::format("{} does not fall on notches {} apart; the nearest that do are "
                            "{} and {}",
                            told(sett, shown), in_unit(thread_size(loom.pitch, 4), shown.length),
                            at(closer), at(closer + 1)));
}

/// On a notched loom the sett says which notches are used. Returns the sett they give.
std::optional<ThreadDensity<>> notched_sett(Section& warp, const Stated& stated,
                                            PieceInProgress& progress) {
  piece::Loom& loom = progress.piece.loom;
  if (stated.sett) {
    const double notches = 1.0 / (*stated.sett * loom.pitch);
    const double every = std::round(notches);
    if (every < 1.0 || every > 100.0 || std::abs(notches - every) > kNotchTolerance * every) {
      refuse_sett(warp, loom, *stated.sett, progress.studio.shown);
      return std::nullopt;
    }
    if (progress.piece_states_every && static_cast<int>(every) != loom.every) {
      warp.complain("sett", fmt::format("{} is {}, but [loom] says every = {}; leave one of them "
                                        "out",
                                        told(*stated.sett, progress.studio.shown),
                                        notch_words(static_cast<int>(every)), loom.every));
      return std::nullopt;
    }
    loom.every = static_cast<int>(every);
  }
  return 1.0 / (loom.pitch * loom.every);
}

void refuse_third(Section& warp, const Stated& stated, const ThreadDensity<>& sett,
                  const Shown& shown) {
  warp.complain("ends", fmt::format("{} ends at {} are {} wide, but width says {}; correct one, or "
                                    "leave one out",
                                    *stated.ends, told(sett, shown),
                                    told(*stated.ends / sett, shown), told(*stated.width, shown)));
}

/// Ends from two of the three, the third checked.
std::optional<int> settle_ends(Section& warp, const Stated& stated,
                               const std::optional<ThreadDensity<>>& sett, const Shown& shown) {
  if (!sett || !stated.width) return stated.ends;
  const double ends = *stated.width * *sett;
  if (stated.ends) {
    if (std::abs(ends - *stated.ends) > 1.0 + 1e-9) refuse_third(warp, stated, *sett, shown);
    return stated.ends;
  }
  if (ends < kFewestEnds || ends > kMostWarpEnds) {
    warp.complain("width", fmt::format("{} at {} would be {:.0f} ends; {} to {} are accepted",
                                       told(*stated.width, shown), told(*sett, shown), ends,
                                       kFewestEnds, kMostWarpEnds));
    return std::nullopt;
  }
  return static_cast<int>(std::lround(ends));
}

/// Ends and sett of a loom whose ends are spaced as she likes, or in a reed.
void settle_spaced(Section& warp, const Stated& said, PieceInProgress& progress) {
  Stated stated = said;
  if (!stated.sett && stated.ends && stated.width) stated.sett = *stated.ends / *stated.width;
  progress.piece.warp.sett = stated.sett;
  progress.woven_ends = settle_ends(warp, stated, stated.sett, progress.studio.shown);
  const int given = warp.has("ends") + warp.has("sett") + warp.has("width");
  if (given < 2) {
    warp.findings().complain(warp.place(),
                             "[warp] has too little to tell ends and sett; write two "
                             "of ends, sett and width");
  }
}

/// Ends beyond what the notches hold are refused.
void require_notches(Section& warp, const piece::Loom& loom, int ends) {
  const int most = loom.notches == 0 ? kMostWarpEnds : (loom.notches - 1) / loom.every + 1;
  if (ends <= most) return;
  warp.complain(
      warp.has("ends") ? "ends" : "width",
      fmt::format("{} ends in {} want {} notches, and the loom has {}; take {} ends or "
                  "fewer",
                  ends, notch_words(loom.every), (ends - 1) * loom.every + 1, loom.notches, most));
}

void settle_notched(Section& warp, const Stated& stated, PieceInProgress& progress) {
  const auto sett = notched_sett(warp, stated, progress);
  progress.woven_ends = settle_ends(warp, stated, sett, progress.studio.shown);
  if (progress.woven_ends) require_notches(warp, progress.piece.loom, *progress.woven_ends);
  if (!warp.has("ends") && !warp.has("width")) warp.only_one_of({"ends", "width"}, true);
}

void read_selvedges(Section& section, const PieceInProgress& progress, piece::Warp& warp) {
  warp.floating_selvedges = section.flag("floating_selvedges").value_or(false);
  if (warp.floating_selvedges && progress.loom_is_known &&
      progress.piece.loom.kind == LoomKind::Notched) {
    section.complain("floating_selvedges",
                     "a notched loom holds every end in the weave; leave "
                     "this out, or use a frame or beam loom");
  }
}

void read_beam_lengths(Section& section, const PieceInProgress& progress, piece::Warp& warp) {
  warp.gaps = section.length("gaps", "0 cm", "20 m").value_or(Length<>());
  warp.fringe = section.length("fringe", "0 cm", "20 m").value_or(Length<>());
  warp.loom_waste = section.length("loom_waste", "0 cm", "20 m");
  warp.draw_in = section.fraction("draw_in", "0 %", "50 %");
  if (!progress.loom_is_known || progress.piece.loom.kind == LoomKind::Beam) return;
  for (const char* key : {"gaps", "fringe", "loom_waste", "draw_in"}) {
    if (section.has(key)) section.warn(key, "is counted on beam looms only; it is not used here");
  }
}

/// A share that is more than four of its standard deviations above what is usual.
void ask_about_share(Section& section, const char* key, const std::optional<double>& share,
                     const estimate::StartingValue& usual) {
  if (!share || *share <= usual.median + kStraySds * usual.spread) return;
  section.warn(key, fmt::format("{:.3g} % where about {:.3g} % is usual; is it right?",
                                100.0 * *share, 100.0 * usual.median));
}

void ask_about_warp(Section& section, const PieceInProgress& progress, const piece::Warp& warp) {
  const auto yarn = progress.studio.yarns.find(warp.yarn);
  if (yarn != progress.studio.yarns.end()) {
    ask_about_share(section, "stretch", warp.stretch,
                    progress.starting.at(estimate::stretch_name(yarn->second)));
  }
  ask_about_share(section, "draw_in", warp.draw_in, progress.starting.at("draw_in"));
}

/// What the piece says of its loom that a loom of this kind does not have.
void warn_of_unused(Section& section, LoomKind kind) {
  const auto warn = [&](std::initializer_list<const char*> keys, const char* sentence) {
    for (const char* key : keys) {
      if (section.has(key)) section.warn(key, sentence);
    }
  };
  if (kind == LoomKind::Notched) return;
  warn({"pitch", "every", "notches"}, "is of notched looms only; it is not used here");
  if (kind == LoomKind::Frame) return;
  warn({"span", "needle_room"},
       "a beam loom winds its warp as long as the piece needs; it is not used here");
}
}  // namespace

void read_piece_loom(Section& file, PieceInProgress& progress) {
  file.require("loom", "[loom] with its kind, or with use = the name of a loom of studio.toml");
  auto section = file.table("loom", "[loom]");
  if (!section) return;
  const auto named = named_loom(*section, progress.studio);
  if (!section->has("use")) section->require("kind", "kind = \"notched\", \"frame\" or \"beam\"");
  const LoomReading reading = read_loom(*section, named.value_or(piece::Loom{}));
  progress.piece.loom = reading.loom;
  progress.piece_states_every = section->has("every");
  const bool kind_is_known = reading.kind_was_read || (named && !section->has("kind"));
  if (kind_is_known) warn_of_unused(*section, reading.loom.kind);
  if (kind_is_known) progress.loom_is_known = has_its_measures(*section, reading.loom);
  section->warn_of_unknown_keys();
}

namespace {
/// Areas are of wefts alone. What else she says of the warp is read, and its yarn is wanted where
/// no areas stand in its place.
void read_warp_stripes(Section& section) {
  if (!section.has("areas")) {
    section.require("yarn", "the id of a yarn of yarns.csv");
    return;
  }
  constexpr const char* kOneYarn =
      "a warp is of one yarn here, and stripes of it are not reckoned; write yarn = one of them in "
      "their place, and share out what the warp takes by the ends of each stripe";
  if (section.has("yarn")) {
    section.warn("areas", kOneYarn);
  } else {
    section.complain("areas", kOneYarn);
  }
  section.leave({"areas"});
}
}  // namespace

void read_piece_warp(Section& file, PieceInProgress& progress) {
  file.require("warp", "[warp] with its yarn and ends");
  auto section = file.table("warp", "[warp]");
  if (!section) return;
  piece::Warp& warp = progress.piece.warp;
  read_warp_stripes(*section);
  warp.yarn = read_yarn_id(*section, progress.studio, "yarn");
  warp.held = section->whole("held", 1, 64).value_or(1);
  read_selvedges(*section, progress, warp);
  warp.tie = section->length("tie", "0 cm", "5 m");
  warp.stretch = section->fraction("stretch", "0 %", "50 %");
  read_beam_lengths(*section, progress, warp);
  ask_about_warp(*section, progress, warp);
  const Stated stated{section->whole("ends", kFewestEnds, kMostWarpEnds),
                      section->length("width", "5 mm", "20 m"),
                      section->thread_density("sett", "0.1 /cm", "200 /cm")};
  if (progress.loom_is_known) {
    const bool is_notched = progress.piece.loom.kind == LoomKind::Notched;
    const auto settle = is_notched ? settle_notched : settle_spaced;
    settle(*section, stated, progress);
  } else {
    progress.woven_ends = stated.ends;
  }
  if (const auto ends = progress.all_ends()) warp.ends = *ends;
  section->warn_of_unknown_keys();
}

}  // namespace ellwand::studio
