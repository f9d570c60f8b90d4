#include "ellwand/studio/findings.hpp"

#include "ellwand/units/text.hpp"

#include <algorithm>
#include <utility>

namespace ellwand::studio {

namespace {
bool stands_before(const Complaint& a, const Complaint& b) {
  return a.line != b.line ? a.line < b.line : a.column < b.column;
}

std::vector<Complaint> in_order(std::vector<Complaint> all) {
  std::stable_sort(all.begin(), all.end(), stands_before);
  return all;
}
}  // namespace

void Findings::complain(const Place& place, std::string text) {
  if (!told_.emplace(place.line, place.column, text).second) return;
  complaints_.push_back({file_, place.line, place.column, std::move(text)});
}

void Findings::warn(const Place& place, std::string text) {
  warnings_.push_back({file_, place.line, place.column, std::move(text)});
}

std::vector<Complaint> Findings::complaints() const { return in_order(complaints_); }

std::vector<Complaint> Findings::warnings() const { return in_order(warnings_); }

void Findings::stop_if_any() const {
  if (any_complaints()) throw BadInput(listed(complaints()));
}

void append(std::vector<Complaint>& all, const std::vector<Complaint>& more) {
  all.insert(all.end(), more.begin(), more.end());
}

std::vector<Complaint> listed(std::vector<Complaint> complaints) {
  if (complaints.size() <= kMostListed) return complaints;
  const std::size_t more = complaints.size() - kMostListed;
  const std::string file = complaints[kMostListed].file;
  complaints.resize(kMostListed);
  complaints.push_back({file, 0, 0,
                        "and " + std::to_string(more) + " more like these, not listed; put these " +
                            "right first and read the file again"});
  return complaints;
}

std::string did_you_mean(const std::string& word, const std::vector<std::string>& candidates) {
  const std::string nearest = nearest_word(word, candidates);
  return nearest.empty() ? std::string() : "; did you mean '" + nearest + "'?";
}

std::string unknown_name(const std::string& what, const std::string& name, const std::string& where,
                         const std::vector<std::string>& known) {
  const std::string guess = did_you_mean(name, known);
  return "unknown " + what + " '" + name + "'" + where + guess + (guess.empty() ? "." : "") +
         " It is kept but not used.";
}

namespace {
/// The one of the words that is said in part ("fringe" for "knotted fringe"), where no other is.
std::string said_in_part(const std::string& word, const std::vector<std::string>& words) {
  constexpr std::size_t kLeast = 4;
  std::string found;
  for (const std::string& whole : words) {
    const std::string& part = word.size() < whole.size() ? word : whole;
    const std::string& all = word.size() < whole.size() ? whole : word;
    if (part.size() < kLeast || all.find(part) == std::string::npos) continue;
    if (!found.empty()) return {};
    found = whole;
  }
  return found;
}
}  // namespace

std::string unknown_word(const std::string& word, const std::vector<std::string>& words) {
  std::string guess = did_you_mean(word, words);
  const std::string in_part = guess.empty() ? said_in_part(folded(word), words) : "";
  if (!in_part.empty()) guess = "; did you mean '" + in_part + "'?";
  return in_quotes(word) + " is not known here" + (guess.empty() ? ";" : guess) + " " +
         offered(words) + " is accepted";
}

std::string offered(const std::vector<std::string>& words) {
  std::string all;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (i > 0) all += i + 1 == words.size() ? " or " : ", ";
    all += "'" + words[i] + "'";
  }
  return all;
}

}  // namespace ellwand::studio
