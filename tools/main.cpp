// ellwand: splits the command at its first bare word and runs that verb.

#include "verbs.hpp"

#include "ellwand/studio/estimate_json.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <iostream>
#include <system_error>

namespace ellwand::tools {

namespace {

std::string overview() {
  std::string text =
      "  ellwand start my-studio --demo              a studio to try things on\n"
      "  ellwand estimate my-studio/pieces/saltmarsh.toml\n\n"
      "How much yarn will this piece take?\n\nUsage: ellwand VERB [studio or piece] [options]\n\n";
  for (const Verb& verb : all_verbs()) {
    text += fmt::format("  {:<12} {}\n", verb.name, verb.does);
  }
  return text + "\nellwand VERB --help tells more. ellwand --version tells the version.\n";
}

bool is_help(const std::string& word) { return word == "--help" || word == "-h"; }

/// What stands where the verb should, and what should stand there.
[[noreturn]] void refuse_verb(const std::string& word, const std::vector<std::string>& names) {
  std::error_code unseen;
  if (std::filesystem::exists(word, unseen)) {
    throw WrongUsage(fmt::format("a verb comes first, as in: ellwand estimate {}", as_typed(word)));
  }
  if (word.rfind('-', 0) == 0) {
    throw WrongUsage(fmt::format(
        "'{}' stands where a verb should; options come after the verb. ellwand --help lists the "
        "verbs.",
        word));
  }
  throw WrongUsage(fmt::format("there is no verb '{}'{} ellwand --help lists them.", word,
                               did_you_mean(word, names)));
}

int run_verb(const std::vector<std::string>& given, const Streams& streams) {
  std::vector<std::string> arguments = given;
  const bool asks_of_a_verb = arguments.size() > 1 && arguments[0] == "help";
  if (asks_of_a_verb) arguments = {arguments[1], "--help"};
  if (arguments.empty() || is_help(arguments[0]) || arguments[0] == "help") {
    streams.results << overview();
    return arguments.empty() ? kWrongUsage : kDone;
  }
  if (arguments[0] == "--version") {
    streams.results << "ellwand " << studio::kEngineVersion << '\n';
    return kDone;
  }
  const std::vector<Verb> verbs = all_verbs();
  std::vector<std::string> names;
  for (const Verb& verb : verbs) names.push_back(verb.name);
  for (const Verb& verb : verbs) {
    if (verb.name != arguments[0]) continue;
    const std::vector<std::string> rest(arguments.begin() + 1, arguments.end());
    if (std::any_of(rest.begin(), std::find(rest.begin(), rest.end(), "--"), is_help)) {
      streams.results << help_of(verb);
      return kDone;
    }
    return verb.run(read_options(rest, verb.options), streams);
  }
  refuse_verb(arguments[0], names);
}

}  // namespace
}  // namespace ellwand::tools

int main(int argc, char** argv) {
  std::ios::sync_with_stdio(false);
  const std::vector<std::string> arguments(argv + (argc > 0 ? 1 : 0), argv + argc);
  const int status = ellwand::tools::told_of_refusals(
      [&](const ellwand::tools::Streams& streams) {
        return ellwand::tools::run_verb(arguments, streams);
      },
      {std::cout, std::cerr});
  std::cout.flush();
  if (!std::cout) {  // a full disk behind stdout
    std::cerr << "ellwand: the result could not be written out\n";
    return ellwand::tools::kNoAnswer;
  }
  return status;
}
