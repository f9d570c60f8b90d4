// ellwand completion: for a shell, or the manual page.

#include "completion.hpp"
#include "verbs.hpp"

#include "ellwand/studio/estimate_json.hpp"

#include <fmt/format.h>

#include <ostream>

namespace ellwand::tools {

namespace {

int run_completion(const Given& given, const Streams& streams) {
  const std::string word = given.words().size() == 1 ? given.words().front() : "";
  if (word == "bash") {
    streams.results << bash_completion(all_verbs());
  } else if (word == "zsh") {
    streams.results << zsh_completion(all_verbs());
  } else if (word == "man") {
    streams.results << manual_page(all_verbs(), studio::kEngineVersion);
  } else {
    throw WrongUsage("completion takes bash, zsh or man, as in: ellwand completion bash");
  }
  return kDone;
}

}  // namespace

Verb completion_verb() {
  return {"completion",
          "what a shell completes by, and the manual page",
          "bash|zsh|man",
          {"ellwand completion bash > ~/.local/share/bash-completion/completions/ellwand",
           "ellwand completion zsh > ~/.zfunc/_ellwand", "ellwand completion man | man -l -"},
          {{"help", "", "this text", 'h'}},
          "An installed ellwand has them in place.\n",
          run_completion};
}

}  // namespace ellwand::tools
