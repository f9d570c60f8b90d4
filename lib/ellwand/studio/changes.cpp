#include "ellwand/studio/changes.hpp"

#include "ellwand/studio/calibration_file.hpp"
#include "ellwand/studio/files.hpp"
#include "ellwand/studio/staged_file.hpp"
#include "ellwand/units/error.hpp"

#include <nlohmann/json.hpp>

#include <algorithm>
#include <iterator>
#include <memory>
#include <system_error>

namespace ellwand::studio {

namespace fs = std::filesystem;

std::optional<std::string> text_if_there(const fs::path& path) {
  std::error_code unseen;
  if (!fs::exists(path, unseen)) return std::nullopt;
  return read_file(path);
}

namespace {

void require_unchanged(const Change& change) {
  if (text_if_there(change.path) == change.was) return;
  throw BadInput({{change.path.string(), 0, 0,
                   "another program changed this file meanwhile, and it is left as that wrote it; "
                   "do it again"}});
}

std::vector<Change> real_changes(const std::vector<Change>& changes) {
  std::vector<Change> real;
  std::copy_if(changes.begin(), changes.end(), std::back_inserter(real),
               [](const Change& change) { return change.was != change.now; });
  return real;
}

}  // namespace

#ifdef __EMSCRIPTEN__

void write_changes(const fs::path&, const std::vector<Change>& changes) {
  for (const Change& change : changes) require_unchanged(change);
  for (const Change& change : real_changes(changes)) write_file(change.path, change.now);
}

bool are_changes_left(const fs::path&) { return false; }
void finish_changes(const fs::path&) {}

#else

namespace {

using Staged = std::vector<std::unique_ptr<StagedFile>>;

fs::path note_in(const fs::path& folder) { return folder / ".changing"; }

/// What tells a file from any other text of it, or that there is none.
std::string mark_of(const std::optional<std::string>& text) {
  return text ? fingerprint_of_text(*text) : std::string();
}

/// As the note has it: from the folder, so that it holds wherever the folder is named from.
std::string within(const fs::path& folder, const fs::path& path) {
  std::error_code unseen;
  const fs::path whole = fs::absolute(path, unseen);
  return whole.lexically_proximate(fs::absolute(folder, unseen)).string();
}

std::string note_of(const fs::path& folder, const std::vector<Change>& changes,
                    const Staged& staged) {
  nlohmann::ordered_json note = nlohmann::ordered_json::array();
  for (std::size_t i = 0; i < changes.size(); ++i) {
    note.push_back({{"file", within(folder, staged[i]->target())},
                    {"new", within(folder, staged[i]->name())},
                    {"was", mark_of(changes[i].was)}});
  }
  return note.dump(1, ' ', false, nlohmann::ordered_json::error_handler_t::replace) + '\n';
}

/// Puts the first `done` back as they were; where that cannot be done either, the rest is left to
/// finish_changes.
void put_back(const fs::path& folder, const std::vector<Change>& changes, const Staged& staged,
              std::size_t done) {
  try {
    for (std::size_t i = 0; i < done; ++i) {
      if (changes[i].was) write_file(changes[i].path, *changes[i].was);
      if (!changes[i].was) fs::remove(changes[i].path);
    }
    fs::remove(note_in(folder));
  } catch (const std::exception&) {
    for (const auto& file : staged) file->keep();
    throw BadInput({{changes.front().path.string(), 0, 0,
                     "is written, but what belongs to it could not be; the rest is done when "
                     "this studio is next written to"}});
  }
}

void take_places(const fs::path& folder, const std::vector<Change>& changes, const Staged& staged) {
  std::size_t done = 0;
  try {
    for (; done < staged.size(); ++done) {
      require_unchanged(changes[done]);
      staged[done]->take_place();
    }
  } catch (const BadInput&) {
    put_back(folder, changes, staged, done);
    throw;
  }
}

void write_together(const fs::path& folder, const std::vector<Change>& changes) {
  Staged staged;
  for (const Change& change : changes) {
    staged.push_back(std::make_unique<StagedFile>(change.path, change.now));
  }
  for (const Change& change : changes) require_unchanged(change);
  write_file(note_in(folder), note_of(folder, changes, staged));
  take_places(folder, changes, staged);
  for (const auto& file : staged) force_folder_to_disk(file->target().parent_path());
  std::error_code stays;
  fs::remove(note_in(folder), stays);
}

}  // namespace

void write_changes(const fs::path& folder, const std::vector<Change>& changes) {
  const std::vector<Change> real = real_changes(changes);
  if (real.size() != 1) {
    for (const Change& change : changes) require_unchanged(change);
    if (!real.empty()) write_together(folder, real);
    return;
  }
  StagedFile file(real.front().path, real.front().now);
  for (const Change& change : changes) require_unchanged(change);
  file.take_place();
  force_folder_to_disk(file.target().parent_path());
}

bool are_changes_left(const fs::path& folder) {
  std::error_code unseen;
  return fs::exists(note_in(folder), unseen);
}

namespace {

/// Does one change that was noted. A staged file that is gone has taken its place.
void finish_one(const fs::path& folder, const nlohmann::json& one) {
  const fs::path target = folder / one.at("file").get<std::string>();
  const fs::path staged = folder / one.at("new").get<std::string>();
  std::error_code failed;
  if (!fs::exists(staged, failed)) return;
  const bool is_as_it_was = mark_of(text_if_there(target)) == one.at("was").get<std::string>();
  if (is_as_it_was) {
    fs::rename(staged, target);
    force_folder_to_disk(target.parent_path());
  } else {
    fs::remove(staged);
  }
}

}  // namespace

void finish_changes(const fs::path& folder) {
  try {
    for (const auto& one : nlohmann::json::parse(read_file(note_in(folder)))) {
      finish_one(folder, one);
    }
    fs::remove(note_in(folder));
  } catch (const fs::filesystem_error&) {  // not now: the folder cannot be written
  } catch (const BadInput&) {
  } catch (const nlohmann::json::exception&) {  // no note of ours
  }
}

#endif

}  // namespace ellwand::studio
