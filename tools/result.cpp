#include "result.hpp"

#include "ellwand/studio/files.hpp"

#include <algorithm>
#include <filesystem>
#include <ostream>
#include <system_error>

namespace ellwand::tools {

namespace fs = std::filesystem;

namespace {

bool is_same_file(const fs::path& one, const fs::path& other) {
  std::error_code unseen;
  return fs::equivalent(one, other, unseen) && !unseen;
}

/// Whether this is a file that a studio is made of, or would be read as one.
bool is_of(const fs::path& studio, const fs::path& file) {
  for (const char* name : {"studio.toml", "yarns.csv", "lots.csv", "swatches.csv", "time.csv",
                           "calibration.json", "calibration-before.json"}) {
    if (is_same_file(file, studio / name)) return true;
  }
  const fs::path folder = file.has_parent_path() ? file.parent_path() : fs::path(".");
  return studio::is_piece(file) && is_same_file(folder, studio / "pieces");
}

/// What keeps a result from being put in a file of this name, or nothing.
std::string why_not_into(const fs::path& file, const std::vector<PieceFile>& sources) {
  std::error_code unseen;
  const bool is_input = std::any_of(sources.begin(), sources.end(), [&](const PieceFile& source) {
    return is_same_file(file, source.piece) || is_of(source.studio, file);
  });
  if (is_input) {
    return "this is one of the studio's own files, which a result would take the place of; name "
           "another";
  }
  const fs::path folder = file.parent_path();
  if (!folder.empty() && !fs::is_directory(folder, unseen)) {
    return "there is no folder " + folder.string() + "; make it, or name another file";
  }
  if (fs::is_directory(file, unseen)) return "this is a folder; name a file in it";
  if (fs::exists(file, unseen) && !fs::is_regular_file(file, unseen)) {
    return "this is no plain file and is left as it is; name another, or leave -o out to have the "
           "result printed";
  }
  return {};
}

}  // namespace

void put_result(const std::string& text, const Given& given, const std::vector<PieceFile>& sources,
                const Streams& streams) {
  if (!given.has("output")) {
    streams.results << text;
    return;
  }
  const fs::path file = given.value("output");
  const std::string reason = why_not_into(file, sources);
  if (!reason.empty()) throw BadInput({{file.string(), 0, 0, reason}});
  studio::write_file(file, text);
}

Option output_option() { return {"output", "FILE", "write the result to a file", 'o'}; }

}  // namespace ellwand::tools
