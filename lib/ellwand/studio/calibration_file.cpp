#include "ellwand/studio/calibration_file.hpp"

#include "ellwand/studio/changes.hpp"
#include "ellwand/studio/estimate_json.hpp"
#include "ellwand/studio/files.hpp"
#include "ellwand/studio/findings.hpp"
#include "ellwand/studio/write_turn.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <set>

namespace ellwand::studio {

namespace fs = std::filesystem;

namespace {

using nlohmann::ordered_json;

constexpr const char* kFile = "calibration.json";
constexpr const char* kFileBefore = "calibration-before.json";

ordered_json coefficients_json(const Calibration& calibration) {
  ordered_json all = ordered_json::array();
  for (const calibrate::FittedCoefficient& one : calibration.coefficients) {
    all.push_back({{"name", one.name},
                   {"meaning", one.meaning},
                   {"start_spread", one.start_spread},
                   {"mean", one.mean},
                   {"spread", one.spread}});
  }
  return all;
}

/// A row of the covariance a line.
std::string covariance_text(const std::vector<double>& covariances, std::size_t n) {
  std::string text = "[";
  for (std::size_t row = 0; row < n; ++row) {
    ordered_json numbers = ordered_json::array();
    for (std::size_t c = 0; c < n; ++c) numbers.push_back(covariances[row * n + c]);
    text += (row == 0 ? "\n    " : ",\n    ") + numbers.dump();
  }
  return text + (n > 0 ? "\n  ]" : "]");
}

}  // namespace

Calibration calibration_from(const calibrate::Fit& fit, const std::string& date,
                             const std::string& fingerprint) {
  Calibration calibration{fit.learned, fit.coefficients, fingerprint, kEngineVersion};
  calibration.learned.date = date;
  return calibration;
}

std::string calibration_json(const Calibration& calibration) {
  const estimate::Learned& learned = calibration.learned;
  ordered_json json = {{"schema", kSchema},
                       {"engine", calibration.engine},
                       {"date", learned.date},
                       {"swatches", learned.swatches},
                       {"fingerprint", calibration.fingerprint},
                       {"one_weaver", learned.one_weaver}};
  json["pieces_by_work"] = ordered_json(learned.pieces_by_work);
  json["spreads"] = ordered_json(learned.spreads);
  json["coefficients"] = coefficients_json(calibration);
  std::string text = json.dump(2, ' ', false, ordered_json::error_handler_t::replace);
  text.resize(text.size() - 2);  // the last line and its bracket
  return text +
         ",\n  \"covariance\": " + covariance_text(learned.covariances, learned.names.size()) +
         "\n}\n";
}

namespace {

/// Asks an object of the file for its fields, gathering what is wrong.
class Fields {
 public:
  Fields(const ordered_json& object, std::string where, Findings& findings)
      : object_(object), where_(std::move(where)), findings_(findings) {}

  const ordered_json* get(const char* name) const {
    const auto found = object_.find(name);
    if (found != object_.end()) return &*found;
    complain(name, "is missing");
    return nullptr;
  }
  std::string text(const char* name) const {
    const ordered_json* value = get(name);
    if (value == nullptr) return {};
    if (value->is_string()) return value->get<std::string>();
    complain(name, fmt::format("is {} and should be a text", shown(*value)));
    return {};
  }
  bool flag(const char* name) const {
    const ordered_json* value = get(name);
    if (value == nullptr) return false;
    if (value->is_boolean()) return value->get<bool>();
    complain(name, fmt::format("is {} and should be true or false", shown(*value)));
    return false;
  }
  double number(const char* name) const {
    const ordered_json* value = get(name);
    return value == nullptr ? 0.0 : number_of(*value, name);
  }
  int count(const char* name) const {
    const ordered_json* value = get(name);
    return value == nullptr ? 0 : count_of(*value, name);
  }
  double number_of(const ordered_json& value, const std::string& name) const {
    if (value.is_number() && std::isfinite(value.get<double>())) return value.get<double>();
    complain(name, fmt::format("is {} and should be a finite number", shown(value)));
    return 0.0;
  }
  int count_of(const ordered_json& value, const std::string& name) const {
    constexpr int kMost = 1'000'000'000;
    if (value.is_number_integer()) {
      const double count = value.get<double>();
      if (count >= 0.0 && count <= kMost) return static_cast<int>(count);
    }
    complain(name, fmt::format("is {} and should be a whole number, 0 or more", shown(value)));
    return 0;
  }
  void complain(const std::string& name, const std::string& what) const {
    findings_.complain({}, fmt::format("{}{} {}", where_, name, what));
  }

 private:
  static std::string shown(const ordered_json& value) {
    if (value.is_structured()) return value.is_array() ? "a list" : "an object";
    return value.dump(-1, ' ', false, ordered_json::error_handler_t::replace);
  }

  const ordered_json& object_;
  std::string where_;
  Findings& findings_;
};

void read_spreads(const Fields& fields, estimate::Learned& learned) {
  const ordered_json* spreads = fields.get("spreads");
  if (spreads == nullptr) return;
  if (!spreads->is_object()) return fields.complain("spreads", "should be an object");
  for (const auto& [name, value] : spreads->items()) {
    const double spread = fields.number_of(value, "spreads, " + name + ":");
    if (spread < 0.0) {
      fields.complain("spreads, " + name + ":", fmt::format("is {}, below 0", spread));
    }
    learned.spreads[name] = spread;
  }
}

void read_pieces_by_work(const Fields& fields, estimate::Learned& learned) {
  const ordered_json* counts = fields.get("pieces_by_work");
  if (counts == nullptr) return;
  if (!counts->is_object()) return fields.complain("pieces_by_work", "should be an object");
  for (const auto& [name, value] : counts->items()) {
    learned.pieces_by_work[name] = fields.count_of(value, "pieces_by_work, " + name + ":");
  }
}

void read_coefficients(const Fields& fields, Findings& findings, Calibration& calibration) {
  const ordered_json* list = fields.get("coefficients");
  if (list == nullptr) return;
  if (!list->is_array()) return fields.complain("coefficients", "should be a list");
  std::set<std::string> names;
  for (std::size_t i = 0; i < list->size(); ++i) {
    const std::string where = fmt::format("coefficient {}: ", i + 1);
    if (!(*list)[i].is_object()) {
      findings.complain({}, where + "it should be an object");
      continue;
    }
    const Fields one((*list)[i], where, findings);
    const calibrate::FittedCoefficient read = {one.text("name"), one.text("meaning"),
                                               one.number("start_spread"), one.number("mean"),
                                               one.number("spread")};
    if (!names.insert(read.name).second) {
      one.complain("name", fmt::format("\"{}\" is there twice", read.name));
    }
    if (read.start_spread < 0.0 || read.spread < 0.0) one.complain("spread", "is below 0");
    calibration.coefficients.push_back(read);
    calibration.learned.names.push_back(read.name);
    calibration.learned.means.push_back(read.mean);
  }
}

/// Symmetric, no variance below 0, no correlation beyond 1, the spreads those of the coefficients.
void check_covariance(const Calibration& calibration, const Fields& fields) {
  const std::vector<double>& all = calibration.learned.covariances;
  const std::size_t n = calibration.learned.names.size();
  constexpr double kRounding = 1e-9;
  for (std::size_t a = 0; a < n; ++a) {
    const std::string name = fmt::format("covariance of {}", calibration.learned.names[a]);
    const double variance = all[a * (n + 1)];
    if (variance < 0.0) {
      fields.complain(name, fmt::format("has the variance {}, below 0", variance));
      continue;
    }
    const double spread = calibration.coefficients[a].spread;
    if (std::abs(std::sqrt(variance) - spread) > kRounding + 1e-6 * spread) {
      fields.complain(name, fmt::format("has the variance {}, which is not that of its spread {}",
                                        variance, spread));
    }
    for (std::size_t b = 0; b < a; ++b) {
      const double one = all[a * n + b];
      const double most = std::sqrt(variance * std::max(all[b * (n + 1)], 0.0));
      const std::string& other = calibration.learned.names[b];
      if (std::abs(one - all[b * n + a]) > kRounding * most) {
        fields.complain(
            name, fmt::format("and {} is {} one way and {} the other", other, one, all[b * n + a]));
      } else if (std::abs(one) > most * (1.0 + kRounding)) {
        fields.complain(
            name, fmt::format("and {} is {}, more than their spreads allow, {}", other, one, most));
      }
    }
  }
}

void read_covariance(const Fields& fields, Findings& findings, Calibration& calibration) {
  const ordered_json* rows = fields.get("covariance");
  if (rows == nullptr) return;
  const std::size_t n = calibration.learned.names.size();
  if (!rows->is_array() || rows->size() != n) {
    return fields.complain("covariance",
                           fmt::format("should have {} rows, one a coefficient, and has {}", n,
                                       rows->is_array() ? rows->size() : 0));
  }
  const std::size_t before = findings.complaint_count();
  for (std::size_t row = 0; row < n; ++row) {
    const ordered_json& numbers = (*rows)[row];
    const std::string name = fmt::format("covariance, row {}:", row + 1);
    if (!numbers.is_array() || numbers.size() != n) {
      fields.complain(name, fmt::format("should have {} numbers and has {}", n,
                                        numbers.is_array() ? numbers.size() : 0));
      continue;
    }
    for (const ordered_json& number : numbers) {
      calibration.learned.covariances.push_back(fields.number_of(number, name));
    }
  }
  if (findings.complaint_count() == before) check_covariance(calibration, fields);
}

constexpr const char* kWhatToDo =
    "it is left as it is; move it away and run 'ellwand calibrate', or 'ellwand calibrate --back' "
    "where the one before it is good";

ordered_json parsed(const std::string& text, const std::string& file) {
  try {
    ordered_json json = ordered_json::parse(text);
    if (json.is_object()) return json;
  } catch (const ordered_json::exception&) {
    throw BadInput({{file, 0, 0, fmt::format("this is not JSON from end to end; {}", kWhatToDo)}});
  }
  throw BadInput({{file, 0, 0, fmt::format("this is no calibration; {}", kWhatToDo)}});
}

void require_schema(const Fields& fields, Findings& findings) {
  const ordered_json* schema = fields.get("schema");
  findings.stop_if_any();
  if (*schema == kSchema) return;
  findings.complain(
      {}, fmt::format("schema is {}, and this program reads {}; {}",
                      schema->is_structured() ? "no number" : schema->dump(), kSchema, kWhatToDo));
  findings.stop_if_any();
}

}  // namespace

Calibration read_calibration(const std::string& text, const std::string& file) {
  const ordered_json json = parsed(text, file);
  Findings findings(file);
  const Fields fields(json, "", findings);
  require_schema(fields, findings);
  Calibration calibration;
  calibration.engine = fields.text("engine");
  calibration.fingerprint = fields.text("fingerprint");
  estimate::Learned& learned = calibration.learned;
  learned.date = fields.text("date");
  learned.swatches = fields.count("swatches");
  learned.one_weaver = fields.flag("one_weaver");
  read_pieces_by_work(fields, learned);
  read_spreads(fields, learned);
  read_coefficients(fields, findings, calibration);
  read_covariance(fields, findings, calibration);
  if (findings.any_complaints()) findings.complain({}, kWhatToDo);
  findings.stop_if_any();
  return calibration;
}

namespace {

bool is_there(const fs::path& file) {
  std::error_code unseen;
  return fs::exists(file, unseen);
}

/// A file's text, or nothing where there is none.
///
/// @throws BadInput where it is no calibration
std::optional<std::string> checked_text(const fs::path& file) {
  std::optional<std::string> text = text_if_there(file);
  if (text) read_calibration(*text, file.string());
  return text;
}

}  // namespace

std::optional<Calibration> open_calibration(const fs::path& studio) {
  const fs::path file = studio / kFile;
  if (!is_there(file)) return std::nullopt;
  return read_calibration(read_file(file), file.string());
}

bool keep_calibration(const fs::path& studio, const Calibration& calibration) {
  const WriteTurn turn(studio);
  const fs::path file = studio / kFile;
  const fs::path before = studio / kFileBefore;
  const std::optional<std::string> old = checked_text(file);
  const std::string now = calibration_json(calibration);
  if (!old) {
    write_changes(studio, {{file, old, now}});
    return true;
  }
  const std::optional<std::string> older = checked_text(before);
  Calibration same = calibration;
  same.learned.date = read_calibration(*old, file.string()).learned.date;
  if (calibration_json(same) == *old) return false;
  write_changes(studio, {{before, older, *old}, {file, old, now}});
  return true;
}

Calibration go_back(const fs::path& studio) {
  const WriteTurn turn(studio);
  const fs::path file = studio / kFile;
  const fs::path before = studio / kFileBefore;
  const std::optional<std::string> old = checked_text(before);
  if (!old) {
    throw BadInput({{before.string(), 0, 0,
                     "there is no calibration to go back to; one is kept there when a second one "
                     "is made"}});
  }
  const std::optional<std::string> now = text_if_there(file);
  std::vector<Change> changes = {{file, now, *old}};
  if (now) changes.push_back({before, old, *now});
  write_changes(studio, changes);
  return read_calibration(*old, file.string());
}

namespace {

/// FNV-1a, text after text.
class Hash {
 public:
  void add(const std::string& text) {
    for (const char letter : text) {
      value_ = (value_ ^ static_cast<unsigned char>(letter)) * 0x100000001b3ULL;
    }
  }
  std::string text() const { return fmt::format("{:016x}", value_); }

 private:
  std::uint64_t value_ = 0xcbf29ce484222325ULL;
};

}  // namespace

std::string fingerprint_of_text(const std::string& text) {
  Hash hash;
  hash.add(text);
  return hash.text();
}

std::string fingerprint_of(const fs::path& studio) {
  Hash hash;
  if (is_there(studio / "swatches.csv")) hash.add(read_file(studio / "swatches.csv"));
  for (const fs::path& file : piece_files(studio)) {
    const std::string text = read_file(file);
    if (text.find("[[measured]]") == std::string::npos) continue;
    hash.add(file.filename().string() + '\n');
    hash.add(text);
  }
  return hash.text();
}

}  // namespace ellwand::studio
