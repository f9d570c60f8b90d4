#include "ellwand/studio/files.hpp"

#include "ellwand/studio/staged_file.hpp"
#include "ellwand/units/error.hpp"

#include <cerrno>
#include <cstring>
#include <fstream>
#include <iterator>
#include <system_error>

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

void write_file(const fs::path& path, const std::string& text) {
  StagedFile file(path, text);
  file.take_place();
  force_folder_to_disk(file.target().parent_path());
}

#endif

}  // namespace ellwand::studio
