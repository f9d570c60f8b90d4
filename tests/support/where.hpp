#pragma once
/// Where this checkout and its program lie. Told by one source alone, so that the objects of the
/// other tests are the same in every checkout.

#include <string>

namespace ellwand::test {

const std::string& source_folder();  ///< the top of the repository
const std::string& program_file();   ///< ellwand, as it is built

}  // namespace ellwand::test
