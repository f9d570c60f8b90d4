#include "ellwand/studio/files.hpp"

#include "ellwand/studio/staged_file.hpp"
#include "ellwand/units/error.hpp"

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <fstream>
#include <iterator>
#include <system_error>

namespace ellwand::studio {

namespace fs = std::filesystem;

void refuse_file(const fs::path& path, const std::string& why) {
  throw BadInput({{path.string(), 0, 0, why}});
}

std::string read_file(const fs::path& path) {
  std::error_code unseen;
  if (!fs::exists(path, unseen)) refuse_file(path, "there is no such file");
  if (fs::is_directory(path, unseen)) refuse_file(path, "this is a folder; a file is wanted");
  std::ifstream in(path, std::ios::binary);
  if (!in) refuse_file(path, std::string("cannot be opened: ") + std::strerror(errno));
  std::string text{std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
  if (in.bad()) refuse_file(path, "cannot be read to its end; the disk may be damaged");
  return text;
}

bool is_piece(const fs::path& file) {
  return file.extension() == ".toml" && file.filename().string().front() != '.';
}

std::vector<fs::path> piece_files(const fs::path& studio) {
  std::vector<fs::path> files;
  std::error_code missing;
  for (const auto& entry : fs::directory_iterator(studio / "pieces", missing)) {
    if (is_piece(entry.path())) files.push_back(entry.path());
  }
  std::sort(files.begin(), files.end());
  return files;
}

#ifdef __EMSCRIPTEN__

void write_file(const fs::path& path, const std::string& text) {
  std::ofstream out(path, std::ios::binary | std::ios::trunc);
  out << text;
  out.close();
  if (!out) refuse_file(path, "cannot be written");
}

#else

void write_file(const fs::path& path, const std::string& text) {
  StagedFile file(path, text);
  file.take_place();
  force_folder_to_disk(file.target().parent_path());
}

#endif

}  // namespace ellwand::studio
