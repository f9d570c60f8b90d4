#include "ellwand/studio/new_folder.hpp"

#include "ellwand/studio/files.hpp"
#include "ellwand/units/error.hpp"

#include <fcntl.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <system_error>

namespace ellwand::studio {

namespace fs = std::filesystem;

namespace {

using Names = std::set<std::string>;

/// What Jupyter keeps beside a notebook that was opened.
constexpr const char* kCheckpoints = ".ipynb_checkpoints";

/// Without links, "." and a last slash.
fs::path plain(const fs::path& folder) {
  std::error_code unseen;
  fs::path real = fs::weakly_canonical(fs::absolute(folder, unseen), unseen);
  if (unseen) real = fs::absolute(folder).lexically_normal();
  return real.has_filename() ? real : real.parent_path();
}

/// Refuses a studio's folder and those of its pieces and estimates, and what lies in these.
void refuse_in_studio(const fs::path& folder, const fs::path& named) {
  for (fs::path above = folder;; above = above.parent_path()) {
    std::error_code unseen;
    if (fs::exists(above / "studio.toml", unseen)) {
      const std::string first = folder.lexically_relative(above).begin()->string();
      if (first == "." || first == "pieces" || first == "estimates") {
        refuse_file(
            named,
            "this is the folder of a studio, or lies in its pieces or estimates, where nothing "
            "else is put; name another");
      }
      return;
    }
    if (above == above.parent_path()) return;
  }
}

/// What is in a folder by name, and whether it is a file of ours.
std::map<std::string, bool> entries_of(const fs::path& folder, const Names& files) {
  std::map<std::string, bool> all;
  for (const auto& entry : fs::directory_iterator(folder)) {
    const std::string name = entry.path().filename().string();
    all[name] = files.count(name) > 0 && entry.is_regular_file();
  }
  return all;
}

void refuse_full(const fs::path& folder, const fs::path& named, const Names& files,
                 Earlier earlier) {
  const std::map<std::string, bool> entries = entries_of(folder, files);
  for (const auto& [name, is_ours] : entries) {
    const bool may_go = is_ours || name == kCheckpoints;
    if (!may_go) {
      refuse_file(named,
                  "there is " + name +
                      " in it, which is no part of an export; name a new folder or an empty one");
    }
  }
  if (earlier == Earlier::Refused && !entries.empty()) {
    refuse_file(named, "there is " + entries.rbegin()->first +
                           " in it already; name a new folder, or give --again to have what was "
                           "exported before replaced, changes made to it as well");
  }
}

void refuse_unfit(const fs::path& folder, const fs::path& named, const Names& files,
                  Earlier earlier) {
  refuse_in_studio(folder, named);
  std::error_code unseen;
  if (!fs::is_directory(folder.parent_path(), unseen)) {
    refuse_file(named, "there is no folder " + named.parent_path().string() +
                           " to make it in; make that, or name another folder");
  }
  if (!fs::exists(folder, unseen)) return;
  if (!fs::is_directory(folder, unseen)) refuse_file(named, "this is a file; name a new folder");
  if (fs::equivalent(folder, fs::current_path(unseen), unseen)) {
    refuse_file(named, "this is the folder you are in; name a new one in it");
  }
  refuse_full(folder, named, files, earlier);
}

bool is_left_over(const fs::path& folder) {
  std::error_code gone;
  const auto written = fs::last_write_time(folder, gone);
  return !gone && fs::file_time_type::clock::now() - written > kLeftOver;
}

/// A hidden folder beside the one to come, gone again unless it took its place. One that a killed
/// program left long ago is made anew.
class Beside {
 public:
  Beside(const fs::path& folder, const std::string& why) {
    for (int n = 1;; ++n) {
      path_ = folder.parent_path() /
              ("." + why + "-" + folder.filename().string() + "-" + std::to_string(n));
      if (is_left_over(path_)) fs::remove_all(path_);
      if (fs::create_directory(path_)) return;
    }
  }
  Beside(const Beside&) = delete;
  Beside& operator=(const Beside&) = delete;
  ~Beside() {
    std::error_code unseen;
    fs::remove_all(path_, unseen);
  }
  const fs::path& path() const { return path_; }

 private:
  fs::path path_;
};

/// In one step, where the file system knows how to.
bool exchange_at_once([[maybe_unused]] const fs::path& made,
                      [[maybe_unused]] const fs::path& folder) {
#ifdef RENAME_EXCHANGE
  return ::renameat2(AT_FDCWD, made.c_str(), AT_FDCWD, folder.c_str(), RENAME_EXCHANGE) == 0;
#else
  return false;
#endif
}

/// Otherwise the old folder goes aside and comes back if the new one cannot take its place.
void exchange(const fs::path& made, const fs::path& folder, const fs::path& aside) {
  if (exchange_at_once(made, folder)) return;
  fs::rename(folder, aside);
  try {
    fs::rename(made, folder);
  } catch (const fs::filesystem_error&) {
    fs::rename(aside, folder);
    throw;
  }
}

}  // namespace

void refuse_unfit_folder(const fs::path& folder, const Names& files, Earlier earlier) {
  try {
    refuse_unfit(plain(folder), folder, files, earlier);
  } catch (const fs::filesystem_error& error) {
    refuse_file(folder,
                "cannot be looked into (" + error.code().message() + "); name another folder");
  }
}

void write_folder(const fs::path& folder, const std::map<std::string, std::string>& files,
                  Earlier earlier) {
  Names names;
  for (const auto& [name, text] : files) names.insert(name);
  try {
    const fs::path target = plain(folder);
    refuse_unfit(target, folder, names, earlier);
    const Beside made(target, "new");
    for (const auto& [name, text] : files) write_file(made.path() / name, text);
    const bool is_there = fs::exists(target);
    if (is_there && !fs::is_empty(target)) {
      const Beside aside(target, "old");
      exchange(made.path(), target, aside.path());
      return;
    }
    fs::rename(made.path(), target);
  } catch (const fs::filesystem_error& error) {
    refuse_file(folder, "cannot be written (" + error.code().message() + "); name another folder");
  }
}

}  // namespace ellwand::studio
