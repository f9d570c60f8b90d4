#include "data_folder.hpp"

#include "ellwand/units/error.hpp"

#include <cstdlib>

namespace ellwand::tools {

namespace fs = std::filesystem;

namespace {

constexpr const char* kTable = "starting-values.csv";

fs::path program_folder() {
  std::error_code unknown;
  const fs::path program = fs::read_symlink("/proc/self/exe", unknown);
  return unknown ? fs::current_path() : program.parent_path();
}

}  // namespace

fs::path data_folder() {
  if (const char* stated = std::getenv("ELLWAND_DATA"); stated != nullptr && *stated != '\0') {
    if (fs::exists(fs::path(stated) / kTable)) return stated;
    throw BadInput({{stated, 0, 0,
                     "ELLWAND_DATA names this folder, but it has no starting-values.csv; name the "
                     "folder that has, or unset it"}});
  }
  const fs::path program = program_folder();
  // A developer's build lies one folder deeper than a plain one.
  for (const char* relative : {"../data", "../../data", "../share/ellwand"}) {
    const fs::path folder = program / relative;
    if (fs::exists(folder / kTable)) return folder.lexically_normal();
  }
  throw BadInput({{kTable, 0, 0,
                   "the table of starting values is not beside the program; install ellwand anew, "
                   "or set ELLWAND_DATA to the folder that has it"}});
}

fs::path notebook_file() {
  const fs::path file = data_folder() / "notebook.py";
  if (fs::exists(file)) return file;
  throw BadInput({{file.string(), 0, 0,
                   "the cells of the notebook are not there; install ellwand anew, or set "
                   "ELLWAND_DATA to a folder that has them"}});
}

fs::path page_file() {
  const fs::path installed = data_folder() / "page.html";
  if (fs::exists(installed)) return installed;
  for (const char* relative : {"../page/ellwand.html", "../../page/ellwand.html"}) {
    const fs::path built = program_folder() / relative;
    if (fs::exists(built)) return built.lexically_normal();
  }
  throw BadInput({{installed.string(), 0, 0,
                   "the studio's page is not there; build it with tools/page/build, then install "
                   "ellwand again or run it from its build folder"}});
}

}  // namespace ellwand::tools
