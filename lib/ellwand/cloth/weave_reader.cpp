// Weaves as they are written: in words, by name, as a draft.

#include <fmt/format.h>

#include <algorithm>
#include <numeric>
#include <optional>
#include <string_view>

#include "ellwand/cloth/weave.hpp"
#include "ellwand/units/characters.hpp"

namespace ellwand::cloth {

namespace {

constexpr int kMostEndsInRow = 100'000;

char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }
bool is_gap(char c) { return c == ' ' || c == '\t' || c == ','; }

/// A whole number without sign at `at`, which moves past it; nothing when there is none. Numbers of
/// more than six digits are given as 999 999, which every caller refuses.
std::optional<int> whole_number(std::string_view text, std::size_t& at) {
  if (at >= text.size() || !is_digit(text[at])) return std::nullopt;
  int number = 0;
  for (; at < text.size() && is_digit(text[at]); ++at) {
    number = std::min(999'999, number * 10 + (text[at] - '0'));
  }
  return number;
}

/// Characters, not bytes: UTF-8's continuation bytes are not counted.
int column_of(std::string_view text, std::size_t at) {
  const auto starts_character = [](char c) {
    return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U;
  };
  return 1 + static_cast<int>(std::count_if(
                 text.begin(), text.begin() + static_cast<std::ptrdiff_t>(at), starts_character));
}

/// The whole character at a place, for a message.
std::string character_at(std::string_view text, std::size_t at) {
  std::size_t end = at + 1;
  while (end < text.size() && (static_cast<unsigned char>(text[end]) & 0xC0U) == 0x80U) ++end;
  return std::string(text.substr(at, end - at));
}

/// One row in words.
class RowReader {
 public:
  RowReader(std::string_view text, int row) : text_(text), row_(row) {}

  std::vector<bool> read() {
    while (skip_gaps()) read_pair();
    if (over_.empty()) fault("the row is empty");
    return over_;
  }

 private:
  bool skip_gaps() {
    while (at_ < text_.size() && is_gap(text_[at_])) ++at_;
    return at_ < text_.size();
  }

  void read_pair() {
    const std::size_t start = at_;
    const char letter = lower(text_[at_]);
    if (letter != 'o' && letter != 'u')
      fault("'" + character_at(text_, at_) + "' is neither o nor u");
    ++at_;
    while (at_ < text_.size() && text_[at_] == ' ') ++at_;
    const std::size_t number_start = at_;
    const std::optional<int> count = whole_number(text_, at_);
    if (!count) fault(fmt::format("'{}' has no number of ends after it", text_[start]));
    if (*count < 1 || over_.size() + static_cast<std::size_t>(*count) > kMostEndsInRow) {
      at_ = number_start;
      fault(fmt::format("{} ends are not from 1 up to {} in all", *count, kMostEndsInRow));
    }
    over_.insert(over_.end(), static_cast<std::size_t>(*count), letter == 'o');
  }

  [[noreturn]] void fault(const std::string& what) const {
    const int column = column_of(text_, std::min(at_, text_.size()));
    throw UnreadableWeave(
        fmt::format(
            "row {} from the bottom, column {}: {}; write o (over) or u (under) and a number "
            "of ends, as in \"o2 u2 o1 u2\"",
            row_, column, what),
        row_, column);
  }

  std::string_view text_;
  int row_;
  std::size_t at_ = 0;
  std::vector<bool> over_;
};

/// Levenshtein's distance: letters to change, add or drop.
std::size_t edits(std::string_view a, std::string_view b) {
  std::vector<std::size_t> row(b.size() + 1);
  std::iota(row.begin(), row.end(), std::size_t{0});
  for (std::size_t i = 1; i <= a.size(); ++i) {
    std::size_t diagonal = row[0];
    row[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t above = row[j];
      row[j] = std::min({above + 1, row[j - 1] + 1, diagonal + (a[i - 1] == b[j - 1] ? 0U : 1U)});
      diagonal = above;
    }
  }
  return row[b.size()];
}

constexpr std::string_view kWeaveWords[] = {"plain", "tabby",  "twill", "basket", "hopsack", "matt",
                                            "satin", "sateen", "left",  "right",  "step"};

/// The word meant by one up to two letters off; empty when none is near.
std::string_view nearest_word(std::string_view word) {
  std::string_view nearest;
  std::size_t fewest = 3;
  for (const std::string_view known : kWeaveWords) {
    const std::size_t count = word.size() > 20 ? 99 : edits(word, known);
    if (count >= fewest || 2 * count >= known.size()) continue;
    fewest = count;
    nearest = known;
  }
  return nearest;
}

std::vector<std::string> words_of(const std::string& name) {
  std::vector<std::string> words;
  bool in_word = false;
  for (const char c : name) {
    if (is_gap(c)) {
      in_word = false;
      continue;
    }
    if (!in_word) words.emplace_back();
    in_word = true;
    words.back() += lower(c);
  }
  if (words.size() > 1 && words.back() == "weave") words.pop_back();
  return words;
}

[[noreturn]] void refuse_name(const std::string& name, const std::string& why) {
  throw UnreadableWeave(
      fmt::format("\"{}\": {}{} plain (tabby), twills as 2/2 twill or "
                  "1/3 twill left, baskets as 2/2 basket, satins as 5-end satin or "
                  "8-end sateen step 5, or a grid in words",
                  name, why, why.back() == '?' ? " Accepted are" : "; accepted are"),
      0, 0);
}

[[noreturn]] void refuse_word(const std::string& name, const std::string& word) {
  const std::string_view nearest = nearest_word(word);
  if (nearest.empty() || nearest == word)
    refuse_name(name, fmt::format("\"{}\" is not read here", word));
  refuse_name(name, fmt::format("\"{}\" is not known; did you mean \"{}\"?", word, nearest));
}

/// "5/2/1/2": whole numbers between strokes; nothing when the word is not that.
std::optional<std::vector<int>> figures_of(std::string_view word) {
  std::vector<int> figures;
  std::size_t at = 0;
  while (true) {
    const std::optional<int> figure = whole_number(word, at);
    if (!figure) return std::nullopt;
    figures.push_back(*figure);
    if (at == word.size()) return figures;
    if (word[at++] != '/') return std::nullopt;
  }
}

/// "5-end" gives 5.
std::optional<int> ends_of(std::string_view word) {
  std::size_t at = 0;
  const std::optional<int> ends = whole_number(word, at);
  const std::string_view rest = word.substr(at);
  return rest == "-end" || rest == "-ends" ? ends : std::nullopt;
}

Grid read_twill(const std::string& name, const std::vector<std::string>& words) {
  const auto figures = figures_of(words[0]);
  if (!figures || figures->size() < 2) refuse_name(name, "a twill begins with its figures");
  TwillLine line = TwillLine::Right;
  if (words.size() > 2) {
    if (words[2] != "left" && words[2] != "right") refuse_word(name, words[2]);
    if (words.size() > 3) refuse_word(name, words[3]);
    line = words[2] == "left" ? TwillLine::Left : TwillLine::Right;
  }
  return twill(*figures, line);
}

Grid read_basket(const std::string& name, const std::vector<std::string>& words) {
  const auto figures = figures_of(words[0]);
  if (!figures || figures->size() != 2) refuse_name(name, "a basket begins with its two figures");
  if (words.size() > 2) refuse_word(name, words[2]);
  return basket((*figures)[0], (*figures)[1]);
}

Grid read_satin(const std::string& name, const std::vector<std::string>& words) {
  const std::optional<int> ends = ends_of(words[0]);
  if (!ends) refuse_name(name, "a satin begins with its ends, as 5-end");
  int step = 2;
  if (words.size() > 2) {
    if (words[2] != "step") refuse_word(name, words[2]);
    std::size_t at = 0;
    const auto given = words.size() > 3 ? whole_number(words[3], at) : std::nullopt;
    if (!given || at != words[3].size()) refuse_name(name, "a whole number must follow step");
    if (words.size() > 4) refuse_word(name, words[4]);
    step = *given;
  } else {
    while (step < *ends - 2 && std::gcd(step, *ends) != 1) ++step;
  }
  return satin(*ends, step, words[1] == "satin" ? SatinFace::Satin : SatinFace::Sateen);
}

[[noreturn]] void refuse_draft(const std::string& what) { throw UnreadableWeave(what, 0, 0); }

/// Which shafts a pick's treadles move, by number; index 0 is not used.
std::vector<bool> moved_shafts(const Draft& draft, std::size_t pick, int shafts) {
  std::vector<bool> moved(static_cast<std::size_t>(shafts) + 1);
  for (const int treadle : draft.treadling[pick]) {
    if (treadle < 1 || static_cast<std::size_t>(treadle) > draft.tie_up.size()) {
      refuse_draft(fmt::format(
          "pick {} of the treadling presses treadle {}; the tie-up has treadles 1 to {}; tie the "
          "treadle or press another",
          pick + 1, treadle, draft.tie_up.size()));
    }
    for (const int shaft : draft.tie_up[static_cast<std::size_t>(treadle) - 1]) {
      if (shaft < 1) {
        refuse_draft(fmt::format("treadle {} is tied to shaft {}; shafts are counted from 1",
                                 treadle, shaft));
      }
      if (shaft <= shafts) moved[static_cast<std::size_t>(shaft)] = true;
    }
  }
  return moved;
}

constexpr int kMostShafts = 999;

/// The highest shaft that holds an end.
int shafts_threaded(const Draft& draft) {
  int shafts = 0;
  for (std::size_t end = 0; end < draft.threading.size(); ++end) {
    const int shaft = draft.threading[end];
    if (shaft < 1 || shaft > kMostShafts) {
      refuse_draft(fmt::format("end {} is threaded on shaft {}; shafts are counted from 1 to {}",
                               end + 1, shaft, kMostShafts));
    }
    shafts = std::max(shafts, shaft);
  }
  return shafts;
}

}  // namespace

namespace {

/// A row that covers a whole part of what the longest covers is repeated to its width.
void repeat_short_rows(std::vector<std::vector<bool>>& rows) {
  std::size_t widest = 0;
  for (const auto& row : rows) widest = std::max(widest, row.size());
  for (auto& row : rows) {
    if (row.empty() || widest % row.size() != 0) continue;
    const std::vector<bool> once = row;
    while (row.size() < widest) row.insert(row.end(), once.begin(), once.end());
  }
}

}  // namespace

Grid weave_from_words(const std::vector<std::string>& rows) {
  std::vector<std::vector<bool>> over;
  over.reserve(rows.size());
  for (std::size_t row = 0; row < rows.size(); ++row) {
    over.push_back(RowReader(rows[row], static_cast<int>(row) + 1).read());
  }
  repeat_short_rows(over);
  return Grid(over);
}

Grid read_weave_name(const std::string& name) {
  const std::vector<std::string> words = words_of(name);
  if (words.empty()) refuse_name(name, "no name is given");
  if (words[0] == "plain" || words[0] == "tabby") {
    if (words.size() > 1) refuse_word(name, words[1]);
    return plain();
  }
  const bool numbered = is_digit(words[0][0]);
  if (!numbered && nearest_word(words[0]) == words[0]) {
    refuse_name(name, fmt::format("\"{}\" needs its numbers before it", words[0]));
  }
  if (!numbered) refuse_word(name, words[0]);
  if (words.size() < 2) refuse_name(name, "the kind of weave is missing after the numbers");
  const std::string& kind = words[1];
  if (kind == "twill") return read_twill(name, words);
  if (kind == "basket" || kind == "hopsack" || kind == "matt") return read_basket(name, words);
  if (kind == "satin" || kind == "sateen") return read_satin(name, words);
  refuse_word(name, kind);
}

Grid weave_from_draft(const Draft& draft) {
  const int shafts = shafts_threaded(draft);
  std::vector<std::vector<bool>> over;
  over.reserve(draft.treadling.size());
  for (std::size_t pick = 0; pick < draft.treadling.size(); ++pick) {
    const std::vector<bool> moved = moved_shafts(draft, pick, shafts);
    std::vector<bool> row;
    row.reserve(draft.threading.size());
    for (const int shaft : draft.threading) {
      const bool moves = moved[static_cast<std::size_t>(shaft)];
      row.push_back(draft.shed == Shed::Rising ? !moves : moves);
    }
    over.push_back(std::move(row));
  }
  return Grid(over);
}

}  // namespace ellwand::cloth
