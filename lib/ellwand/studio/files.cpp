#include "ellwand/studio/files.hpp"

#include "ellwand/units/error.hpp"

#include <cerrno>
#include <cstring>
#include <fstream>
#include <iterator>
#include <system_error>

#ifndef __EMSCRIPTEN__
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cstdlib>
#endif

namespace ellwand::studio {

namespace fs = std::filesystem;

namespace {
[[noreturn]] void refuse(const fs::path& path, const std::string& text) {
  throw BadInput({{path.string(), 0, 0, text}});
}
}  // namespace

std::string read_file(const fs::path& path) {
  std::error_code unseen;
  if (!fs::exists(path, unseen)) refuse(path, "there is no such file");
  if (fs::is_directory(path, unseen)) refuse(path, "this is a folder; a file is wanted");
  std::ifstream in(path, std::ios::binary);
  if (!in) refuse(path, std::string("cannot be opened: ") + std::strerror(errno));
  std::string text{std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
  if (in.bad()) refuse(path, "cannot be read to its end; the disk may be damaged");
  return text;
}

#ifdef __EMSCRIPTEN__

void write_file(const fs::path& path, const std::string& text) {
  std::ofstream out(path, std::ios::binary | std::ios::trunc);
  out << text;
  out.close();
  if (!out) refuse(path, "cannot be written");
}

#else

namespace {
[[noreturn]] void refuse_writing(const fs::path& path, int error) {
  refuse(path, std::string("cannot be written, and is as it was before: ") + std::strerror(error));
}

/// A new file beside the one to be replaced; removed again unless it takes its place.
class NewFile {
 public:
  explicit NewFile(const fs::path& beside) : target_(beside) {
    name_ = (beside.parent_path() / (".new-" + beside.filename().string() + "-XXXXXX")).string();
    descriptor_ = ::mkstemp(name_.data());
    if (descriptor_ < 0) refuse_writing(target_, errno);
  }
  NewFile(const NewFile&) = delete;
  NewFile& operator=(const NewFile&) = delete;
  ~NewFile() {
    if (descriptor_ >= 0) ::close(descriptor_);
    if (!name_.empty()) ::unlink(name_.c_str());
  }

  void write(const std::string& text) {
    std::size_t done = 0;
    while (done < text.size()) {
      const ssize_t wrote = ::write(descriptor_, text.data() + done, text.size() - done);
      if (wrote < 0 && errno == EINTR) continue;
      if (wrote < 0) refuse_writing(target_, errno);
      done += static_cast<std::size_t>(wrote);
    }
  }

  void take_permissions() {
    struct stat old {};
    const bool was_there = ::stat(target_.c_str(), &old) == 0;
    if (!was_there) {
      const mode_t mask = ::umask(0);
      ::umask(mask);
      old.st_mode = 0666 & ~mask;
    }
    if (::fchmod(descriptor_, old.st_mode & 07777) != 0) refuse_writing(target_, errno);
  }

  void take_place() {
    if (::fsync(descriptor_) != 0) refuse_writing(target_, errno);
    const int closed = ::close(descriptor_);
    descriptor_ = -1;
    if (closed != 0) refuse_writing(target_, errno);
    if (::rename(name_.c_str(), target_.c_str()) != 0) refuse_writing(target_, errno);
    name_.clear();
  }

 private:
  fs::path target_;
  std::string name_;
  int descriptor_ = -1;
};

/// So that the new name outlives a power cut. A folder that cannot be forced to the disk is left.
void force_folder_to_disk(const fs::path& folder) {
  const int descriptor = ::open(folder.empty() ? "." : folder.c_str(), O_RDONLY | O_DIRECTORY);
  if (descriptor < 0) return;
  ::fsync(descriptor);
  ::close(descriptor);
}

fs::path behind_links(const fs::path& path) {
  std::error_code unseen;
  const bool is_link = fs::is_symlink(path, unseen);
  const fs::path real = is_link ? fs::canonical(path, unseen) : path;
  return real.empty() ? path : real;
}
}  // namespace

void write_file(const fs::path& path, const std::string& text) {
  const fs::path target = behind_links(path);
  NewFile file(target);
  file.write(text);
  file.take_permissions();
  file.take_place();
  force_folder_to_disk(target.parent_path());
}

#endif

}  // namespace ellwand::studio
