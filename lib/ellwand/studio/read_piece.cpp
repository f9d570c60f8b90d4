#include "ellwand/studio/read_piece.hpp"

#include "ellwand/studio/document.hpp"
#include "ellwand/studio/files.hpp"
#include "ellwand/studio/read_common.hpp"
#include "ellwand/studio/read_piece_parts.hpp"
#include "ellwand/studio/slips.hpp"
#include "ellwand/units/text.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace ellwand::studio {

std::optional<int> PieceInProgress::all_ends() const {
  if (!woven_ends) return std::nullopt;
  return *woven_ends + (piece.warp.floating_selvedges ? 2 : 0);
}

std::string told(const Length<>& length, const Shown& shown) {
  const bool in_cm = shown.length == LengthShown::Centimetres;
  return in_cm ? fmt::format("{:.4g} cm", in_centimetres(length))
               : fmt::format("{:.4g} in", in_inches(length));
}

std::string told(const ThreadDensity<>& density, const Shown& shown) {
  const bool in_cm = shown.length == LengthShown::Centimetres;
  return in_cm ? fmt::format("{:.3g} /cm", in_per_cm(density))
               : fmt::format("{:.3g} /in", in_per_inch(density));
}

std::string read_yarn_id(Section& section, const Studio& studio, const std::string& key) {
  const auto id = section.text(key);
  if (!id) return {};
  if (studio.yarns.find(*id) == studio.yarns.end()) {
    std::vector<std::string> ids;
    for (const auto& [known, yarn] : studio.yarns) ids.push_back(known);
    section.complain(
        key, ids.empty() ? in_quotes(*id) +
                               ": there are no yarns yet; write a row for it "
                               "in yarns.csv"
                         : in_quotes(*id) + " is no yarn of yarns.csv" + did_you_mean(*id, ids));
  }
  return *id;
}

technique::Strand read_strand(Section& section, const Studio& studio) {
  technique::Strand strand;
  section.require("yarn", "the id of a yarn of yarns.csv");
  strand.yarn = read_yarn_id(section, studio, "yarn");
  strand.held = section.whole("held", 1, 64).value_or(1);
  strand.split_into = section.whole("split_into", 1, 64).value_or(1);
  return strand;
}

void set_weaver(const Weaver& weaver, piece::Piece& piece) {
  piece.weaver = weaver.name;
  piece.beginner = weaver.beginner;
}

namespace {
void read_name(Section& file, PieceInProgress& progress) {
  piece::Piece& piece = progress.piece;
  set_weaver(progress.studio.weaver, piece);
  auto section = file.table("piece", "[piece]");
  if (!section) return;
  piece.name = section->text("name").value_or(piece.name);
  piece.planned = section->flag("planned").value_or(false);
  const auto weaver = read_weaver(*section, progress.studio.weavers);
  progress.weaver_is_stated = weaver.has_value();
  if (weaver) set_weaver(*weaver, piece);
  piece.lots_may_mix = section->choice("lots", {"one an area", "may mix"}) == std::size_t{1};
  section->text("note");
  section->warn_of_unknown_keys();
}

void read_piece_habits(Section& file, PieceInProgress& progress) {
  auto section = file.table("habits", "[habits]");
  if (!section) return;
  progress.piece.habits = read_habits(*section);
  ask_about_habits(*section, progress.piece.habits, progress.starting, progress.studio.shown);
  const auto weaver = read_weaver(*section, progress.studio.weavers);
  if (weaver && !progress.weaver_is_stated) set_weaver(*weaver, progress.piece);
  section->warn_of_unknown_keys();
}

/// [lots]: of which dye lot each yarn is.
void read_lots_of_yarns(Section& file, PieceInProgress& progress) {
  auto section = file.table("lots", "[lots]");
  if (!section) return;
  std::vector<std::string> ids;
  for (const auto& [id, yarn] : progress.studio.yarns) ids.push_back(id);
  for (const std::string& id : section->keys()) {
    const auto lot = section->text(id);
    if (lot) {
      progress.piece.lots[id] = *lot;
      const std::string doubt = doubt_of_lot(id, *lot, progress.studio.lots);
      if (!doubt.empty()) section->warn(id, doubt);
    }
    if (progress.studio.yarns.find(id) == progress.studio.yarns.end()) {
      section->complain(id, "this is no yarn of yarns.csv" + did_you_mean(id, ids));
    }
  }
}

void read_bands(Section& file, PieceInProgress& progress) {
  file.require("band", "a [[band]] for each band, from the bottom up");
  for (Section& band : file.tables("band", "[[band]]")) {
    progress.piece.bands.push_back(read_band(band, progress));
  }
  const std::vector<piece::Band>& bands = progress.piece.bands;
  const auto comes_out = [](const piece::Band& band) { return band.comes_out; };
  if (!bands.empty() && std::all_of(bands.begin(), bands.end(), comes_out)) {
    file.complain(
        "band",
        "every band comes out again, so nothing is left of the piece; give it a band that "
        "stays");
  }
  if (!file.findings().any_complaints()) settle_hems(progress.piece, file.findings());
}

void read_parts(Section& file, PieceInProgress& progress) {
  read_name(file, progress);
  read_lots_of_yarns(file, progress);
  read_piece_loom(file, progress);
  read_piece_warp(file, progress);
  read_piece_habits(file, progress);
  read_bands(file, progress);
  read_finish(file, progress);
  file.leave({"measured"});
  file.warn_of_unknown_keys();
}
}  // namespace

piece::Piece read_piece_table(const Value& table, const std::string& id, const Studio& studio,
                              const estimate::StartingValues& starting, Findings& findings) {
  Section section(table, "this file", findings);
  piece::Piece piece;
  piece.file = findings.file();
  piece.id = id;
  piece.name = id;
  PieceInProgress progress{studio, starting, piece, std::nullopt, false, false, false};
  read_parts(section, progress);
  return piece;
}

PieceReading read_piece(const std::string& text, const std::string& file, const Studio& studio,
                        const estimate::StartingValues& starting) {
  const Value document = read_toml(text, file);
  Findings findings(file);
  PieceReading reading;
  reading.piece = read_piece_table(document, std::filesystem::path(file).stem().string(), studio,
                                   starting, findings);
  findings.stop_if_any();
  reading.warnings = findings.warnings();
  reading.is_woven = std::any_of(document.entries.begin(), document.entries.end(),
                                 [](const Value::Entry& entry) { return entry.key == "measured"; });
  return reading;
}

PieceReading open_piece(const std::filesystem::path& path, const Studio& studio,
                        const estimate::StartingValues& starting) {
  return read_piece(read_file(path), path.string(), studio, starting);
}

}  // namespace ellwand::studio
