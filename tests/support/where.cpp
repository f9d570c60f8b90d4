#include "support/where.hpp"

namespace ellwand::test {

const std::string& source_folder() {
  static const std::string folder = ELLWAND_SOURCE_DIR;
  return folder;
}

const std::string& program_file() {
  static const std::string file = ELLWAND_PROGRAM;
  return file;
}

}  // namespace ellwand::test
