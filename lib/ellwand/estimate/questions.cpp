#include "ellwand/estimate/questions.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace ellwand::estimate {

namespace {

/// So many standard deviations of the beat.
constexpr double kSds = 4.0;

Length<> thickest_weft(const PieceModel& model) {
  Length<> thickest;
  for (const BandYarn& one : model.band_yarns()) {
    thickest = std::max(
        thickest, yarn::side_by_side_diameter(one.medians.strand_diameter, model.strand(one).held));
  }
  return thickest;
}

/// Ends too far apart hold nothing. Millimetres for centimetres make such a warp.
void ask_about_ends(const PieceModel& model, std::vector<Warning>& questions) {
  const Length<> threads = model.end_diameter() + thickest_weft(model);
  const Length<> apart = model.warp_spacing();
  if (!(threads.si() > 0.0) || apart <= model.judgements().ends_apart * threads) return;
  questions.push_back(
      {"ends_far_apart",
       fmt::format("the ends lie {} apart, {:.0f} times as far as end and weft are thick together, "
                   "and would hold nothing; is the pitch or sett in the right unit?",
                   thread_size(apart), apart / threads)});
}

void ask_about_width(const PieceModel& model, std::vector<Warning>& questions) {
  const piece::Piece& piece = model.piece();
  if (piece.loom.kind == piece::LoomKind::Beam) return;
  const Length<> width = model.warp_spacing() * (piece.warp.ends - 1);
  if (width <= model.judgements().too_wide * piece.loom.span) return;
  questions.push_back(
      {"warp_far_too_wide",
       fmt::format("{} ends {} apart are {} wide, on a span of {}; is the pitch in the right "
                   "unit?",
                   piece.warp.ends, thread_size(model.warp_spacing()), cloth_size(width),
                   cloth_size(piece.loom.span))});
}

/// Of the logarithm. Her own beat may be known far better, but a design may ask for another.
double beat_spread(cloth::Face face, const Coefficients& coefficients) {
  constexpr double kLeast = 0.15;
  const Shared which = face == cloth::Face::Weft       ? Shared::BeatWeftFaced
                       : face == cloth::Face::Balanced ? Shared::BeatBalanced
                                                       : Shared::BeatWarpFaced;
  return std::max(kLeast, coefficients.spreads[index_of(which)]);
}

const char* words_for(cloth::Face face) {
  return face == cloth::Face::Weft       ? "weft-faced"
         : face == cloth::Face::Balanced ? "balanced"
                                         : "warp-faced";
}

/// Where the rows of one weft would lie without what is stated of them; nothing where it cannot be
/// woven so.
std::optional<Length<>> usual_rows(const BandYarn& one, technique::Work work) {
  technique::Beat* beat = nullptr;
  if (auto* woven = std::get_if<technique::Woven>(&work)) beat = &woven->beat;
  if (auto* pile = std::get_if<technique::KnottedPile>(&work)) beat = &pile->ground.beat;
  if (beat == nullptr) return std::nullopt;
  beat->picks.reset();
  beat->measured.reset();
  try {
    return work_band(work, one, one.medians).row_spacing;
  } catch (const OutOfRange&) {
    return std::nullopt;
  }
}

/// Rows stated or measured far from where the beat has them: picks per inch for picks per cm, rows
/// counted over another height.
void ask_about_rows(const PieceModel& model, std::size_t i, std::vector<Warning>& questions) {
  const BandYarn& one = model.band_yarns()[i];
  const technique::Work& work = model.piece().bands[one.band].work;
  const auto part = technique::woven_part(work, one.part);
  if (part.cloth == nullptr || part.area != 0 || !part.cloth->beat.is_stated()) return;
  const technique::Beat& beat = part.cloth->beat;
  const auto usual = usual_rows(one, work);
  if (!usual) return;
  const Length<> rows = model.planned()[i].row_spacing;
  const double reach = std::exp(kSds * beat_spread(beat.face, model.coefficients()));
  if (rows <= *usual * reach && rows >= *usual / reach) return;
  const char* question = beat.measured   ? "were rows and height taken together, in the right unit?"
                         : rows > *usual ? "is it picks per cm and not per inch?"
                                         : "is it picks per inch and not per cm?";
  questions.push_back(
      {"rows_far_from_usual",
       fmt::format("band {}: {} rows of {} lie {}, and {} they lie about {}; {}", one.band + 1,
                   words_for(beat.face), model.yarns()[one.yarn]->id, density(1.0 / rows),
                   beat.measured ? "unmeasured" : "unless stated", density(1.0 / *usual), question),
       static_cast<int>(one.band) + 1});
}

void ask_about_loops(const PieceModel& model, std::vector<Warning>& questions) {
  const Length<> tallest = model.judgements().tallest_loop;
  for (const BandYarn& one : model.band_yarns()) {
    const auto* loops = std::get_if<technique::LoopedPile>(&model.piece().bands[one.band].work);
    if (loops == nullptr || loops->loop_height <= tallest) continue;
    questions.push_back({"loops_too_tall",
                         fmt::format("band {}: loops {} high do not stand; is loop_height in the "
                                     "right unit?",
                                     one.band + 1, cloth_size(loops->loop_height)),
                         static_cast<int>(one.band) + 1});
  }
}

/// What hangs below the knot is cut off again.
void ask_about_hang(const PieceModel& model, std::vector<Warning>& questions) {
  for (const BandYarn& one : model.band_yarns()) {
    const auto* fringe = std::get_if<technique::KnottedFringe>(&model.piece().bands[one.band].work);
    if (fringe == nullptr || fringe->hang >= 2.0 * one.medians.trim) continue;
    questions.push_back(
        {"fringe_all_trim",
         fmt::format("band {}: the fringe hangs {} and {} is trimmed off each strand; is hang in "
                     "the right unit?",
                     one.band + 1, cloth_size(fringe->hang), cloth_size(one.medians.trim)),
         static_cast<int>(one.band) + 1});
  }
}

bool is_gap(const piece::Band& band) { return std::holds_alternative<technique::Gap>(band.work); }

/// Some ends wrapped between two bands: the others lie bare, which takes warp, or cloth stands
/// there, which is counted already; the piece does not say which.
void ask_about_wrapping(const PieceModel& model, std::vector<Warning>& questions) {
  const std::vector<piece::Band>& bands = model.piece().bands;
  for (std::size_t i = 0; i < model.band_yarns().size(); ++i) {
    const std::size_t band = model.band_yarns()[i].band;
    const auto* wrapping = std::get_if<technique::Wrapping>(&bands[band].work);
    if (wrapping == nullptr || wrapping->ends == 0 || band == 0 || band + 1 == bands.size())
      continue;
    if (technique::takes_up_warp(*wrapping, model.piece().warp.ends)) continue;
    if (is_gap(bands[band - 1]) || is_gap(bands[band + 1])) continue;
    questions.push_back(
        {"wrapped_beside_what",
         fmt::format("band {}: {} of {} ends are wrapped for {}, and no height is counted for it; "
                     "if cloth stands beside them that is right, but if the other ends lie bare "
                     "write a band of work = \"gap\" and that height after it",
                     band + 1, wrapping->ends * wrapping->places, model.piece().warp.ends,
                     cloth_size(model.planned()[i].height)),
         static_cast<int>(band) + 1});
  }
}

}  // namespace

std::vector<Warning> questions_about(const PieceModel& model) {
  std::vector<Warning> questions;
  ask_about_ends(model, questions);
  ask_about_width(model, questions);
  for (std::size_t i = 0; i < model.band_yarns().size(); ++i) {
    ask_about_rows(model, i, questions);
  }
  ask_about_loops(model, questions);
  ask_about_hang(model, questions);
  ask_about_wrapping(model, questions);
  return questions;
}

}  // namespace ellwand::estimate
