// ellwand start: makes a studio folder, empty or with the demo.

#include "data_folder.hpp"
#include "verbs.hpp"

#include "ellwand/studio/files.hpp"
#include "ellwand/units/error.hpp"

#include <filesystem>
#include <map>
#include <ostream>
#include <string>
#include <system_error>
#include <vector>

namespace ellwand::tools {

namespace fs = std::filesystem;

namespace {

constexpr const char* kEmptyStudio =
    "[studio]\n"
    "name = \"My studio\"\n"
    "currency = \"EUR\"\n"
    "\n"
    "[show]\n"
    "length = \"cm\"      # or \"in\"\n"
    "yarn = \"m\"         # or \"yd\"\n"
    "mass = \"g\"         # or \"oz\"\n"
    "\n"
    "[habits]            # what you do your own way; the rest has starting values\n"
    "# tail = \"9 cm\"\n"
    "# weaver = \"experienced\"\n"
    "\n"
    "# [price]           # what you charge; take the marks away and write your own\n"
    "# hourly_rate = \"22.00\"\n"
    "# margin = \"30 %\"\n";

constexpr const char* kEmptyYarns =
    "id,label,fibre,kind,ply,count,put_up,price,made,diameter_mm,wraps,wraps_convention,"
    "lies_flat,use,colour\n";
constexpr const char* kEmptyLots = "yarn,lot,bought,net_g,opened,longest_left_m\n";

/// What a studio is made of, by name. studio.toml makes it one, and is written last.
using Texts = std::map<std::string, std::string>;
constexpr const char* kLast = "studio.toml";

Texts empty_texts() {
  return {{"yarns.csv", kEmptyYarns}, {"lots.csv", kEmptyLots}, {kLast, kEmptyStudio}};
}

Texts demo_texts() {
  Texts texts;
  const fs::path demo = data_folder() / "demo";
  for (const auto& entry : fs::recursive_directory_iterator(demo)) {
    if (!entry.is_regular_file()) continue;
    texts[entry.path().lexically_relative(demo).string()] = studio::read_file(entry.path());
  }
  return texts;
}

/// Whether an earlier `start` that was killed can have left this: files as they are to be, and
/// those that never took their place.
bool is_begun(const fs::path& folder, const Texts& texts) {
  for (const auto& entry : fs::recursive_directory_iterator(folder)) {
    const auto text = texts.find(entry.path().lexically_relative(folder).string());
    const bool is_hidden = entry.path().filename().string().rfind(".new-", 0) == 0;
    const bool is_pieces = entry.is_directory() && entry.path().filename() == "pieces";
    if (is_hidden || is_pieces) continue;
    if (text == texts.end() || studio::read_file(entry.path()) != text->second) return false;
  }
  return !fs::exists(folder / kLast);
}

void refuse_used(const fs::path& folder, const Texts& texts) {
  if (!fs::exists(folder)) return;
  if (!fs::is_directory(folder)) {
    throw BadInput({{folder.string(), 0, 0,
                     "this is a file; name a folder that is not there yet, or an empty one"}});
  }
  if (!fs::is_empty(folder) && !is_begun(folder, texts)) {
    throw BadInput({{folder.string(), 0, 0,
                     "this folder has files in it, and a studio is only made in an empty one; name "
                     "another folder"}});
  }
}

/// Makes folders and files, and takes them away again unless all could be made.
class Making {
 public:
  Making() = default;
  Making(const Making&) = delete;
  Making& operator=(const Making&) = delete;
  ~Making() {
    std::error_code unseen;
    for (auto one = made_.rbegin(); one != made_.rend(); ++one) fs::remove(*one, unseen);
  }

  void folder(const fs::path& folder) {
    if (folder.empty() || fs::exists(folder)) return;
    this->folder(folder.parent_path());
    if (fs::create_directory(folder)) made_.push_back(folder);
  }
  void file(const fs::path& file, const std::string& text) {
    if (fs::exists(file)) return;
    studio::write_file(file, text);
    made_.push_back(file);
  }
  void keep() { made_.clear(); }

 private:
  std::vector<fs::path> made_;  ///< in their order
};

void make(const fs::path& folder, const Texts& texts) {
  Making making;
  making.folder(folder / "pieces");
  for (const auto& [name, text] : texts) {
    if (name != kLast) making.file(folder / name, text);
  }
  making.file(folder / kLast, texts.at(kLast));
  making.keep();
}

int run_start(const Given& given, const Streams& streams) {
  if (given.words().size() != 1 || given.words().front().empty()) {
    throw WrongUsage("start takes one folder, as in: ellwand start my-studio");
  }
  const fs::path folder = given.words().front();
  const Texts texts = given.has("demo") ? demo_texts() : empty_texts();
  try {
    refuse_used(folder, texts);
    make(folder, texts);
  } catch (const fs::filesystem_error& error) {
    throw BadInput({{folder.string(), 0, 0,
                     "the studio cannot be made here (" + error.code().message() +
                         "); name a folder you may write to"}});
  }
  const std::string name = folder.string();
  streams.talk << "Made the studio " << name << ".\n";
  if (given.has("demo")) {
    streams.talk << "Next: ellwand estimate "
                 << as_typed((folder / "pieces" / "saltmarsh.toml").string()) << '\n';
  } else {
    streams.talk << "Next: fill in " << (folder / "yarns.csv").string() << " and put a piece into "
                 << (folder / "pieces").string()
                 << "; 'ellwand start another-folder --demo' shows what they look like.\n";
  }
  return kDone;
}

}  // namespace

Verb start_verb() {
  return {"start",
          "makes a studio folder",
          "FOLDER [options]",
          {"ellwand start my-studio", "ellwand start demo-studio --demo"},
          {{"demo", "", "with yarns, stock and pieces of an invented studio"},
           {"help", "", "this text", 'h'}},
          "",
          run_start};
}

}  // namespace ellwand::tools
