#include "planned_piece.hpp"

#include "ellwand/studio/files.hpp"
#include "ellwand/units/error.hpp"

#include <fmt/format.h>

#include <cstddef>
#include <map>
#include <mutex>
#include <utility>

namespace ellwand::tools {

namespace fs = std::filesystem;

namespace {

using MaybeEstimate = std::optional<estimate::PieceEstimate>;

MaybeEstimate estimate_of(const Workbench& bench, const fs::path& file) {
  estimate::Options options;
  options.chances = false;
  options.bands = false;
  try {
    const auto reading = bench.open(file);
    if (!reading.piece.planned) return std::nullopt;
    return estimate::estimate(reading.piece, bench.workshop(), {}, options);
  } catch (const BadInput&) {
    return std::nullopt;
  } catch (const OutOfRange&) {
    return std::nullopt;
  }
}

/// Estimates by the texts they rest on, of the last pieces asked for.
class Kept {
 public:
  std::optional<MaybeEstimate> find(const std::string& texts) {
    const std::lock_guard lock(mutex_);
    const auto found = by_texts_.find(texts);
    if (found == by_texts_.end()) return std::nullopt;
    return found->second;
  }
  void keep(const std::string& texts, const MaybeEstimate& estimate) {
    const std::lock_guard lock(mutex_);
    if (by_texts_.size() >= kMost) by_texts_.clear();
    by_texts_.emplace(texts, estimate);
  }

 private:
  static constexpr std::size_t kMost = 32;
  std::mutex mutex_;
  std::map<std::string, MaybeEstimate> by_texts_;
};

/// With its name and length, so that no two sets of files make one text; nothing of a file that
/// cannot be read.
std::string named_text(const fs::path& file) {
  std::string text;
  try {
    text = studio::read_file(file);
  } catch (const BadInput&) {
  }
  return fmt::format("{} {}\n{}", file.string(), text.size(), text);
}

}  // namespace

void PlannedPiece::reckon() {
  static Kept kept;
  const std::string texts = studio_text + named_text(file);
  if (std::optional<MaybeEstimate> known = kept.find(texts)) {
    estimate = std::move(*known);
    return;
  }
  estimate = estimate_of(*bench, file);
  kept.keep(texts, estimate);
}

void add_pieces_of(const std::shared_ptr<const Workbench>& bench, std::vector<PlannedPiece>& all) {
  const bool is_taught = bench->learned() != nullptr;
  std::string studio_text = is_taught ? "taught\n" : "\n";
  for (const char* name : {"studio.toml", "yarns.csv", "lots.csv", "calibration.json"}) {
    studio_text += named_text(bench->folder() / name);
  }
  for (const fs::path& file : studio::piece_files(bench->folder())) {
    all.push_back({bench, file, studio_text, std::nullopt});
  }
}

}  // namespace ellwand::tools
