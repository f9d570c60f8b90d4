// ellwand start: makes a studio folder, empty or with the demo.

#include "data_folder.hpp"
#include "verbs.hpp"

#include "ellwand/studio/files.hpp"
#include "ellwand/units/error.hpp"

#include <filesystem>
#include <ostream>

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

void refuse_used(const fs::path& folder) {
  if (!fs::exists(folder)) return;
  if (!fs::is_directory(folder)) {
    throw BadInput({{folder.string(), 0, 0,
                     "this is a file; name a folder that is not there yet, or an empty one"}});
  }
  if (!fs::is_empty(folder)) {
    throw BadInput({{folder.string(), 0, 0,
                     "this folder has files in it, and a studio is only made in an empty one; name "
                     "another folder"}});
  }
}

void make_empty(const fs::path& folder) {
  fs::create_directories(folder / "pieces");
  studio::write_file(folder / "yarns.csv", kEmptyYarns);
  studio::write_file(folder / "lots.csv", kEmptyLots);
  studio::write_file(folder / "studio.toml", kEmptyStudio);
}

int run(const Given& given, const Streams& streams) {
  if (given.words().size() != 1 || given.words().front().empty()) {
    throw WrongUsage("start takes one folder, as in: ellwand start my-studio");
  }
  const fs::path folder = given.words().front();
  try {
    refuse_used(folder);
    if (given.has("demo")) {
      fs::create_directories(folder);
      fs::copy(data_folder() / "demo", folder, fs::copy_options::recursive);
    } else {
      make_empty(folder);
    }
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
          run};
}

}  // namespace ellwand::tools
