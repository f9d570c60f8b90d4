#pragma once
/// A reader of markup that believes nothing: for tests of what is written as HTML or SVG.

#include <algorithm>
#include <cstddef>
#include <set>
#include <string>
#include <vector>

namespace ellwand::test {

/// What is wrong first with a text of markup, or nothing: tags that do not close, attributes
/// without quotes, an id twice, a bare & or < in a text.
inline std::string fault_in_markup(const std::string& text) {
  static const std::set<std::string> kVoid = {"meta", "br", "hr", "input", "link", "img"};
  std::vector<std::string> open;
  std::set<std::string> ids;
  std::size_t at = 0;
  const auto near = [&] { return " near: " + text.substr(at, 60); };
  while (at < text.size()) {
    if (text[at] == '&') {
      const std::size_t end = text.find(';', at);
      if (end == std::string::npos || end - at > 8) return "bare &" + near();
      at = end + 1;
      continue;
    }
    if (text[at] != '<') {
      if (text[at] == '>') return "bare >" + near();
      ++at;
      continue;
    }
    std::size_t end = at + 1;
    char quote = 0;
    std::string bare;  // the tag without what stands in quotes
    std::string value;
    for (; end < text.size() && (quote != 0 || text[end] != '>'); ++end) {
      if (quote == 0 && text[end] == '"') {
        quote = '"';
        value.clear();
      } else if (quote != 0 && text[end] == quote) {
        quote = 0;
        const bool is_id = bare.size() >= 4 && bare.substr(bare.size() - 4) == " id=";
        if (is_id && !ids.insert(value).second) return "id twice: " + value;
      } else if (quote != 0) {
        if (text[end] == '<') return "< in an attribute" + near();
        value += text[end];
      } else {
        bare += text[end];
      }
    }
    if (end >= text.size()) return "a tag without end" + near();
    if (bare.find('=') != std::string::npos && bare.find('<') != std::string::npos) {
      return "< in a tag" + near();
    }
    const bool closes_itself = !bare.empty() && bare.back() == '/';
    const std::string name = bare.substr(0, bare.find_first_of(" \n/", 1));
    at = end + 1;
    if (name[0] == '!') continue;
    if (name[0] == '/') {
      const std::string closed = bare.substr(1);
      if (open.empty() || open.back() != closed) return "</" + closed + "> closes nothing" + near();
      open.pop_back();
      continue;
    }
    if (closes_itself || kVoid.count(name) > 0) continue;
    if (name == "style") {
      at = text.find("</style>", at);
      if (at == std::string::npos) return "a style without end";
      at += std::string("</style>").size();
      continue;
    }
    open.push_back(name);
  }
  return open.empty() ? "" : "<" + open.back() + "> is never closed";
}

/// The texts of every element of one kind, tags within them left out, entities as they stand.
/// @param opening  how it begins, "<td" or "<li"
inline std::vector<std::string> texts_of(const std::string& text, const std::string& opening) {
  const std::string closing = "</" + opening.substr(1, opening.find(' ') - 1) + ">";
  std::vector<std::string> texts;
  for (std::size_t at = text.find(opening); at != std::string::npos; at = text.find(opening, at)) {
    const std::size_t end = text.find(closing, at);
    if (end == std::string::npos) break;
    std::string plain;
    bool is_tag = false;
    for (std::size_t i = at; i < end; ++i) {
      if (text[i] == '<') is_tag = true;
      if (!is_tag) plain += text[i];
      if (text[i] == '>') is_tag = false;
    }
    texts.push_back(plain);
    at = end;
  }
  return texts;
}

}  // namespace ellwand::test
