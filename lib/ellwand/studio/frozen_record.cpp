#include "ellwand/studio/frozen_record.hpp"

#include "ellwand/studio/estimate_json.hpp"
#include "ellwand/studio/files.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <tuple>

namespace ellwand::studio {

namespace fs = std::filesystem;

double Outcome::outside_g() const {
  if (used_g > high_g) return used_g - high_g;
  return used_g < low_g ? used_g - low_g : 0.0;
}

namespace {

/// The ranges of one kept estimate.
struct Frozen {
  std::string piece;
  std::string date;
  std::string file;
  std::vector<Outcome> yarns;  ///< nothing used yet
};

double finite(const nlohmann::json& value) {
  const double number = value.get<double>();
  if (!std::isfinite(number)) throw std::domain_error("not finite");
  return number;
}

void add_piece(const nlohmann::json& piece, const std::string& date, const std::string& file,
               std::vector<Frozen>& all) {
  Frozen frozen{piece.at("piece").get<std::string>(), date, file, {}};
  for (const nlohmann::json& yarn : piece.at("yarns")) {
    const nlohmann::json& mass = yarn.at("mass_g");
    frozen.yarns.push_back({frozen.piece, date, yarn.at("yarn").get<std::string>(),
                            finite(mass.at("low")), finite(mass.at("mid")), finite(mass.at("high")),
                            0.0});
  }
  all.push_back(std::move(frozen));
}

void require_schema(const nlohmann::json& kept) {
  if (kept.at("schema") != kSchema) throw std::domain_error("another schema");
}

/// Every estimate of the folder, the earliest first.
std::vector<Frozen> kept_estimates(const fs::path& studio, std::vector<Complaint>& warnings) {
  std::vector<Frozen> all;
  std::error_code missing;
  for (const auto& entry : fs::directory_iterator(studio / "estimates", missing)) {
    if (entry.path().extension() != ".json") continue;
    const std::string file = entry.path().string();
    try {
      const nlohmann::json kept = nlohmann::json::parse(read_file(entry.path()));
      require_schema(kept);
      const std::string date = kept.at("frozen").get<std::string>();
      for (const nlohmann::json& piece : kept.at("pieces")) add_piece(piece, date, file, all);
    } catch (const std::exception&) {
      warnings.push_back({file, 0, 0,
                          "this is no estimate as this program's 'estimate --freeze' keeps it; "
                          "it is passed over"});
    }
  }
  // Of one day the one with the higher number is the later: its name is as long or longer.
  std::sort(all.begin(), all.end(), [](const Frozen& one, const Frozen& other) {
    return std::make_tuple(one.date, one.file.size(), one.file, one.piece) <
           std::make_tuple(other.date, other.file.size(), other.file, other.piece);
  });
  return all;
}

/// What left the balls for a whole piece, by yarn, and when it was weighed.
struct Used {
  std::string date;
  std::map<std::string, double> grams;
};

std::map<std::string, Used> used_by_piece(const std::vector<calibrate::Swatch>& swatches) {
  std::map<std::string, Used> all;
  for (const calibrate::Swatch& swatch : swatches) {
    for (const calibrate::Measurement& one : swatch.measurements) {
      const bool is_whole = !one.band && one.share == 1.0 &&
                            one.what == calibrate::Measured::Mass &&
                            one.includes == calibrate::Includes::LeftTheBall;
      if (!is_whole) continue;
      Used& used = all[swatch.piece.id];
      used.date = swatch.date;
      used.grams[one.yarn] = one.value;
    }
  }
  return all;
}

/// The last that foretold a piece weighed on that day.
const Frozen* last_before(const std::vector<Frozen>& kept, const std::string& piece,
                          const std::string& weighed) {
  const Frozen* last = nullptr;
  for (const Frozen& one : kept) {
    const bool is_before = weighed.empty() || one.date <= weighed;
    if (one.piece == piece && is_before) last = &one;
  }
  return last;
}

}  // namespace

FrozenRecord frozen_record(const fs::path& studio, const std::vector<calibrate::Swatch>& swatches) {
  FrozenRecord record;
  const std::vector<Frozen> kept = kept_estimates(studio, record.warnings);
  for (const auto& [piece, used] : used_by_piece(swatches)) {
    const Frozen* frozen = last_before(kept, piece, used.date);
    if (frozen == nullptr) continue;
    for (Outcome outcome : frozen->yarns) {
      const auto grams = used.grams.find(outcome.yarn);
      if (grams == used.grams.end()) continue;
      outcome.used_g = grams->second;
      record.outcomes.push_back(outcome);
    }
  }
  std::stable_sort(
      record.outcomes.begin(), record.outcomes.end(),
      [](const Outcome& one, const Outcome& other) { return one.frozen < other.frozen; });
  return record;
}

}  // namespace ellwand::studio
