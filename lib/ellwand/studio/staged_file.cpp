#include "ellwand/studio/staged_file.hpp"

#ifndef __EMSCRIPTEN__

#include "ellwand/studio/files.hpp"
#include "ellwand/units/error.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <chrono>
#include <cstdlib>
#include <cstring>
#include <system_error>

namespace ellwand::studio {

namespace fs = std::filesystem;

namespace {

[[noreturn]] void refuse_writing(const fs::path& path, int error) {
  throw BadInput(
      {{path.string(), 0, 0,
        std::string("cannot be written, and is as it was before: ") + std::strerror(error)}});
}

std::string beginning_of_names(const fs::path& target) {
  return ".new-" + target.filename().string() + "-";
}

void remove_leftovers(const fs::path& target) {
  const fs::path folder = target.has_parent_path() ? target.parent_path() : fs::path(".");
  const std::string beginning = beginning_of_names(target);
  const auto now = fs::file_time_type::clock::now();
  std::error_code unseen;
  for (fs::directory_iterator entry(folder, unseen), end; !unseen && entry != end;
       entry.increment(unseen)) {
    const std::string name = entry->path().filename().string();
    if (name.rfind(beginning, 0) != 0 || name.size() != beginning.size() + 6) continue;
    std::error_code gone;
    const auto written = fs::last_write_time(entry->path(), gone);
    if (!gone && now - written > kLeftOver) fs::remove(entry->path(), gone);
  }
}

}  // namespace

fs::path behind_links(const fs::path& path) {
  std::error_code unseen;
  const bool is_link = fs::is_symlink(path, unseen);
  const fs::path real = is_link ? fs::canonical(path, unseen) : path;
  return real.empty() ? path : real;
}

void force_folder_to_disk(const fs::path& folder) {
  const int descriptor = ::open(folder.empty() ? "." : folder.c_str(), O_RDONLY | O_DIRECTORY);
  if (descriptor < 0) return;
  ::fsync(descriptor);
  ::close(descriptor);
}

StagedFile::StagedFile(const fs::path& path, const std::string& text)
    : target_(behind_links(path)) {
  remove_leftovers(target_);
  name_ = (target_.parent_path() / (beginning_of_names(target_) + "XXXXXX")).string();
  descriptor_ = ::mkstemp(name_.data());
  if (descriptor_ < 0) refuse_writing(target_, errno);
  try {
    write(text);
    take_permissions();
    force_to_disk();
  } catch (const BadInput&) {
    remove();  // no destructor runs for what was never made
    throw;
  }
}

StagedFile::~StagedFile() { remove(); }

void StagedFile::remove() {
  if (descriptor_ >= 0) ::close(descriptor_);
  if (!name_.empty()) ::unlink(name_.c_str());
}

void StagedFile::write(const std::string& text) {
  std::size_t done = 0;
  while (done < text.size()) {
    const ssize_t wrote = ::write(descriptor_, text.data() + done, text.size() - done);
    if (wrote < 0 && errno == EINTR) continue;
    if (wrote < 0) refuse_writing(target_, errno);
    done += static_cast<std::size_t>(wrote);
  }
}

void StagedFile::take_permissions() {
  struct stat old {};
  const bool was_there = ::stat(target_.c_str(), &old) == 0;
  if (!was_there) {
    const mode_t mask = ::umask(0);
    ::umask(mask);
    old.st_mode = 0666 & ~mask;
  }
  if (::fchmod(descriptor_, old.st_mode & 07777) != 0) refuse_writing(target_, errno);
}

void StagedFile::force_to_disk() {
  if (::fsync(descriptor_) != 0) refuse_writing(target_, errno);
  const int closed = ::close(descriptor_);
  descriptor_ = -1;
  if (closed != 0) refuse_writing(target_, errno);
}

void StagedFile::take_place() {
  if (::rename(name_.c_str(), target_.c_str()) != 0) refuse_writing(target_, errno);
  name_.clear();
}

}  // namespace ellwand::studio

#endif
