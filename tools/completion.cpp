#include "completion.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace ellwand::tools {

namespace {

std::string option_words(const Verb& verb) {
  std::string words;
  for (const Option& option : verb.options) words += (words.empty() ? "--" : " --") + option.name;
  return words;
}

/// Within single quotes of a shell.
std::string in_single_quotes(const std::string& text) {
  std::string quoted;
  for (const char c : text) quoted += c == '\'' ? std::string("'\\''") : std::string(1, c);
  return quoted;
}

/// A text of zsh's _arguments and _describe, where colons and brackets part things.
std::string for_zsh(const std::string& text) {
  std::string marked;
  for (const char c : text) {
    if (c == ':' || c == '[' || c == ']' || c == '\\') marked += '\\';
    marked += c;
  }
  return in_single_quotes(marked);
}

/// A line for man: a hyphen is a minus to be copied, a backslash or a leading mark is no command.
std::string for_man(const std::string& text) {
  std::string marked;
  for (const char c : text) {
    if (c == '\\') {
      marked += "\\e";
    } else if (c == '-') {
      marked += "\\-";
    } else {
      marked += c;
    }
  }
  const bool looks_like_command = !marked.empty() && (marked[0] == '.' || marked[0] == '\'');
  return looks_like_command ? "\\&" + marked : marked;
}

std::string lines_for_man(const std::string& text) {
  std::string all;
  std::size_t begin = 0;
  while (begin < text.size()) {
    const std::size_t end = std::min(text.find('\n', begin), text.size());
    all += for_man(text.substr(begin, end - begin)) + "\n";
    begin = end + 1;
  }
  return all;
}

std::string verb_for_man(const Verb& verb) {
  std::string page =
      fmt::format(".SS {} {}\n{}.\n", verb.name, for_man(verb.usage), for_man(verb.does));
  for (const Option& option : verb.options) {
    if (!option.is_listed) continue;
    const std::string letter = option.letter == 0 ? "" : fmt::format("\\-{}, ", option.letter);
    const std::string value = option.value.empty() ? "" : " " + for_man(option.value);
    page += fmt::format(".TP\n.B {}\\-\\-{}{}\n{}\n", letter, for_man(option.name), value,
                        for_man(option.help));
  }
  if (!verb.more.empty()) page += ".PP\n.nf\n" + lines_for_man(verb.more) + ".fi\n";
  page += ".PP\n.nf\n";
  for (const std::string& example : verb.examples) page += for_man(example) + "\n";
  return page + ".fi\n";
}

}  // namespace

std::string bash_completion(const std::vector<Verb>& verbs) {
  std::string names;
  std::string cases;
  for (const Verb& verb : verbs) {
    names += (names.empty() ? "" : " ") + verb.name;
    cases += fmt::format("    {}) words='{}' ;;\n", verb.name, option_words(verb));
  }
  return "# Completion of ellwand for bash.\n"
         "_ellwand() {\n"
         "  local word=${COMP_WORDS[COMP_CWORD]} words=\n"
         "  COMPREPLY=()\n"
         "  if [ \"$COMP_CWORD\" -eq 1 ]; then\n"
         "    COMPREPLY=($(compgen -W '" +
         names +
         " --help --version' -- \"$word\"))\n"
         "    return\n"
         "  fi\n"
         "  case ${COMP_WORDS[1]} in\n" +
         cases +
         "  esac\n"
         "  case $word in\n"
         "    -*) COMPREPLY=($(compgen -W \"$words\" -- \"$word\")) ;;\n"
         "    *) compopt -o default 2>/dev/null; COMPREPLY=() ;;\n"
         "  esac\n"
         "}\n"
         "complete -F _ellwand ellwand\n";
}

std::string zsh_completion(const std::vector<Verb>& verbs) {
  std::string names;
  std::string cases;
  for (const Verb& verb : verbs) {
    names += fmt::format("    '{}:{}'\n", verb.name, for_zsh(verb.does));
    cases += fmt::format("    {})\n      _arguments \\\n", verb.name);
    for (const Option& option : verb.options) {
      const std::string value =
          option.value.empty() ? "" : fmt::format(":{}:", for_zsh(option.value));
      cases += fmt::format("        '--{}[{}]{}' \\\n", option.name, for_zsh(option.help), value);
    }
    cases += "        '*:file:_files' ;;\n";
  }
  return "#compdef ellwand\n# Completion of ellwand for zsh.\n_ellwand() {\n  local -a verbs\n"
         "  verbs=(\n" +
         names +
         "  )\n  if (( CURRENT == 2 )); then\n    _describe verb verbs\n    return\n  fi\n"
         "  local verb=$words[2]\n  shift words\n  (( CURRENT-- ))\n  case $verb in\n" +
         cases + "  esac\n}\n_ellwand \"$@\"\n";
}

std::string manual_page(const std::vector<Verb>& verbs, const std::string& version) {
  std::string page = fmt::format(
      ".TH ELLWAND 1 \"\" \"ellwand {}\" \"User Commands\"\n.SH NAME\nellwand \\- how much yarn a "
      "hand\\-woven piece takes\n.SH SYNOPSIS\n.B ellwand\n.I VERB\n[studio or piece] [options]\n"
      ".SH DESCRIPTION\nA studio is a folder of plain files: studio.toml, yarns.csv, lots.csv, "
      "swatches.csv, time.csv and one file for each piece in pieces. From them ellwand reckons the "
      "yarn a piece takes, with ranges, learns the weaver\\(aqs hand from measured swatches, and "
      "answers what to buy, pack and charge.\n.SH VERBS\n",
      version);
  for (const Verb& verb : verbs) page += verb_for_man(verb);
  return page +
         ".SH EXIT STATUS\n.TP\n.B 0\ndone\n.TP\n.B 1\nthere is no answer\n.TP\n.B 2\nwrong usage\n"
         ".TP\n.B 3\nbad input\n.SH ENVIRONMENT\n.TP\n.B ELLWAND_DATA\nthe folder with "
         "starting\\-values.csv, where it does not lie beside the program\n"
         ".TP\n.B SOURCE_DATE_EPOCH\na time in seconds since 1970: its day is written into files "
         "in "
         "place of today\n";
}

}  // namespace ellwand::tools
