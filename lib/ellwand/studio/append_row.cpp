#include "ellwand/studio/append_row.hpp"

#include "ellwand/studio/files.hpp"

namespace ellwand::studio {

void append_row(const std::filesystem::path& path, const std::vector<NewCell>& cells) {
  write_file(path, Table::read(read_file(path), path.string()).with_row(cells));
}

}  // namespace ellwand::studio
