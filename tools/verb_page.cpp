// ellwand page: the studio's page for a browser.

#include "data_folder.hpp"
#include "opener.hpp"
#include "verbs.hpp"

#include "ellwand/studio/files.hpp"
#include "ellwand/units/error.hpp"

#include <filesystem>
#include <ostream>
#include <string>

namespace ellwand::tools {

namespace fs = std::filesystem;

namespace {

void write_out(const fs::path& page, const fs::path& file, const Streams& streams) {
  std::error_code unseen;
  if (fs::exists(file, unseen) && !fs::is_regular_file(file, unseen)) {
    throw BadInput({{file.string(), 0, 0, "this is no plain file; name one to write the page to"}});
  }
  studio::write_file(file, studio::read_file(page));
  streams.talk << "Wrote " << file.string() << "; open it in a browser.\n";
}

int run_page(const Given& given, const Streams& streams) {
  if (!given.words().empty()) {
    throw WrongUsage(
        "page takes no studio: its folder is opened on the page itself; as in: ellwand page");
  }
  if (given.has("open") && given.has("output")) {
    throw WrongUsage("--open and -o do not go together; give one of them");
  }
  const fs::path page = page_file();
  if (given.has("output")) {
    write_out(page, given.value("output"), streams);
    return kDone;
  }
  if (given.has("open")) {
    if (is_opened(page)) return kDone;
    streams.talk << "No browser could be started from here; open this file in one:\n";
  }
  streams.results << page.string() << '\n';
  return kDone;
}

}  // namespace

Verb page_verb() {
  return {"page",
          "the studio's page for a browser: one file, to open by a double click",
          "[options]",
          {"ellwand page --open", "ellwand page -o ellwand.html"},
          {{"open", "", "open it in the browser"},
           {"output", "FILE", "write a copy of it", 'o'},
           {"help", "", "this text", 'h'}},
          "Alone it tells where the page is.\n",
          run_page};
}

}  // namespace ellwand::tools
