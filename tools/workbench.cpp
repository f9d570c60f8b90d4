#include "workbench.hpp"

#include "command_line.hpp"
#include "data_folder.hpp"
#include "ellwand/studio/files.hpp"
#include "ellwand/studio/read_starting_values.hpp"
#include "ellwand/studio/read_studio.hpp"
#include "ellwand/units/error.hpp"
#include "ellwand/units/text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <functional>
#include <system_error>
#include <utility>

namespace ellwand::tools {

namespace fs = std::filesystem;

namespace {

/// "; did you mean 'my-studio/pieces/saltmarsh.toml'?" for the nearest file beside it, or nothing.
std::string nearest_beside(const fs::path& word) {
  const fs::path folder = word.has_parent_path() ? word.parent_path() : fs::path(".");
  std::vector<std::string> pieces;
  std::error_code unseen;
  for (const auto& entry : fs::directory_iterator(folder, unseen)) {
    if (studio::is_piece(entry.path())) pieces.push_back(entry.path().filename().string());
  }
  std::string near = word.filename().string();
  if (word.extension() != ".toml") near += ".toml";
  near = nearest_word(near, pieces);
  if (near.empty()) return near;
  return fmt::format("; did you mean '{}'?", (word.parent_path() / near).string());
}

[[noreturn]] void refuse_missing(const std::string& word) {
  const std::string nearest = nearest_beside(word);
  throw BadInput({{word, 0, 0,
                   "there is no such file or folder" +
                       (nearest.empty() ? "; name a piece file or a studio folder" : nearest)}});
}

/// The studio's own files are easily named in place of a piece.
void require_piece(const fs::path& file) {
  if (file.filename() != "studio.toml" && file.extension() != ".csv") return;
  throw BadInput({{file.string(), 0, 0,
                   "this is a file of the studio, not a piece; name the studio's folder, or a "
                   "file of its pieces, NAME.toml"}});
}

/// All pieces of a studio's folder, one or more.
std::vector<PieceFile> pieces_of(const fs::path& folder) {
  const fs::path studio = studio_folder(folder);
  std::vector<PieceFile> pieces;
  for (const fs::path& file : studio::piece_files(studio)) pieces.push_back({studio, file});
  if (pieces.empty()) {
    throw BadInput({{(studio / "pieces").string(), 0, 0,
                     "there is no piece here; write one as NAME.toml, or try "
                     "'ellwand start another-folder --demo' for examples"}});
  }
  return pieces;
}

std::optional<KeptCalibration> calibration_of(const fs::path& studio) {
  auto calibration = studio::open_calibration(studio);
  if (!calibration) return std::nullopt;
  const bool is_current = calibration->fingerprint == studio::fingerprint_of(studio);
  return KeptCalibration{std::move(*calibration), is_current};
}

void require_known(const std::vector<std::string>& asked, const std::vector<fs::path>& files) {
  std::vector<std::string> known;
  for (const fs::path& file : files) known.push_back(file.stem().string());
  for (const std::string& id : asked) {
    if (std::find(known.begin(), known.end(), id) == known.end()) {
      throw WrongUsage(fmt::format("--pieces names '{}', and no piece file is called so{}", id,
                                   did_you_mean(id, known)));
    }
  }
}

/// A piece that can be woven, or its complaints.
void read_into(const fs::path& file, const Workbench& bench, ChosenPieces& all) {
  try {
    piece::Piece piece = bench.open(file).piece;
    const estimate::PieceModel can_be_woven(piece, bench.workshop());
    all.pieces.push_back(std::move(piece));
  } catch (const BadInput& bad) {
    for (const Complaint& complaint : bad.complaints()) all.complaints.push_back(complaint);
  } catch (const OutOfRange& refusal) {
    all.complaints.push_back({file.string(), 0, 0, refusal.what()});
  }
}

}  // namespace

fs::path studio_folder(const fs::path& folder) {
  std::error_code missing;
  if (fs::exists(folder / "studio.toml", missing)) return folder;
  const fs::path above = (folder / ".").lexically_normal().parent_path().parent_path();
  const bool is_within = !above.empty() && fs::exists(above / "studio.toml", missing);
  throw BadInput(
      {{folder.string(), 0, 0,
        fmt::format("this folder has no studio.toml, so it is no studio; name {}",
                    is_within ? "its studio, " + as_typed(above.string()) : "a studio's folder")}});
}

std::vector<PieceFile> named_pieces(const std::vector<std::string>& words) {
  std::vector<PieceFile> pieces;
  for (const std::string& word : words) {
    if (fs::is_directory(word)) {
      const std::vector<PieceFile> all = pieces_of(word);
      pieces.insert(pieces.end(), all.begin(), all.end());
    } else if (!fs::exists(word)) {
      refuse_missing(word);
    } else {
      require_piece(word);
      pieces.push_back({studio::find_studio_of(word), word});
    }
  }
  return pieces;
}

PieceFile named_piece(const std::vector<std::string>& words, const std::string& verb) {
  if (words.size() != 1 || words.front().empty() || fs::is_directory(words.front())) {
    throw WrongUsage(fmt::format(
        "{0} takes one piece file, as in: ellwand {0} my-studio/pieces/saltmarsh.toml", verb));
  }
  return named_pieces(words).front();
}

fs::path named_studio(const std::vector<std::string>& words, const std::string& verb) {
  if (words.size() != 1 || words.front().empty()) {
    throw WrongUsage(
        fmt::format("{0} takes one studio folder, as in: ellwand {0} my-studio", verb));
  }
  return studio_folder(words.front());
}

Workbench::Workbench(fs::path folder, Learning learning)
    : folder_(std::move(folder)),
      values_(studio::open_starting_values(data_folder() / "starting-values.csv")),
      studio_(studio::open_studio(folder_, values_)),
      shelf_(studio::shelf_totals(studio_.lots, studio_.yarns)),
      kept_(learning == Learning::Used ? calibration_of(folder_) : std::nullopt) {}

estimate::Workshop Workbench::workshop() const {
  return {studio_.yarns,        values_,   studio_.habits,
          studio_.shown.length, learned(), {studio_.shown.mass, studio_.shown.yarn}};
}

studio::PieceReading Workbench::open(const fs::path& piece) const {
  return studio::open_piece(piece, studio_, values_);
}

std::vector<std::string> Workbench::warnings() const {
  std::vector<std::string> all;
  for (const Complaint& warning : studio_.warnings) all.push_back(warning.told());
  if (kept_ && !kept_->is_current) {
    all.push_back(fmt::format(
        "What was measured has changed since the calibration of {}; ellwand calibrate {} takes it "
        "in.",
        kept_->calibration.learned.date, as_typed(folder_.string())));
  }
  return all;
}

ChosenPieces choose_pieces(const Workbench& bench, const std::vector<std::string>& ids) {
  ChosenPieces chosen;
  const std::vector<fs::path> files = studio::piece_files(bench.folder());
  require_known(ids, files);
  for (const fs::path& file : files) {
    const bool is_named = std::find(ids.begin(), ids.end(), file.stem().string()) != ids.end();
    if (is_named || ids.empty()) read_into(file, bench, chosen);
  }
  const auto is_planned = [](const piece::Piece& piece) { return piece.planned; };
  chosen.are_planned =
      !ids.empty() || std::any_of(chosen.pieces.begin(), chosen.pieces.end(), is_planned);
  if (ids.empty() && chosen.are_planned) {
    chosen.pieces.erase(
        std::remove_if(chosen.pieces.begin(), chosen.pieces.end(), std::not_fn(is_planned)),
        chosen.pieces.end());
  }
  return chosen;
}

}  // namespace ellwand::tools
