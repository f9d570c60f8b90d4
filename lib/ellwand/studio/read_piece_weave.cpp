#include "ellwand/cloth/weave.hpp"
#include "ellwand/studio/read_piece_parts.hpp"

#include <fmt/format.h>

namespace ellwand::studio {

namespace {
using cloth::Remainder;

constexpr int kMostShafts = 999;

/// One whole number of a list, or a complaint and nothing.
std::optional<int> read_number(const Value& item, const std::string& key, int high,
                               Findings& findings) {
  const bool is_whole = item.kind == Value::Kind::Whole;
  if (is_whole && item.whole >= 1 && item.whole <= high) return static_cast<int>(item.whole);
  findings.complain(item.place, fmt::format("{}: {} was read where a whole number from 1 to {} is "
                                            "wanted",
                                            key, kind_and_text(item), high));
  return std::nullopt;
}

std::vector<int> read_numbers(const Value& list, const std::string& key, Findings& findings) {
  std::vector<int> numbers;
  for (const Value& item : list.items) {
    if (const auto number = read_number(item, key, kMostShafts, findings)) {
      numbers.push_back(*number);
    }
  }
  return numbers;
}

/// A list of lists; a number alone is a list of one where `alone_is_fine`.
std::vector<std::vector<int>> read_lists(Section& band, const std::string& key,
                                         bool alone_is_fine) {
  std::vector<std::vector<int>> lists;
  const Value* all = band.array(key);
  if (all == nullptr) return lists;
  for (const Value& item : all->items) {
    if (item.kind == Value::Kind::Array) {
      lists.push_back(read_numbers(item, key, band.findings()));
    } else if (alone_is_fine) {
      lists.push_back({read_number(item, key, kMostShafts, band.findings()).value_or(1)});
    } else {
      band.findings().complain(item.place, key + ": " + kind_and_text(item) +
                                               " was read where a list is wanted, such as [1, 2]");
    }
  }
  return lists;
}

/// Whether the lists of a draft are there and not empty.
bool has_draft_lists(Section& band) {
  const std::string example = "tie_up = [[1, 2], [2, 3]] and treadling = [1, 2]";
  band.require("tie_up", example);
  band.require("treadling", example);
  bool all = true;
  for (const char* key : {"threading", "tie_up", "treadling"}) {
    const Value* list = band.value(key);
    const bool is_empty_list =
        list != nullptr && list->kind == Value::Kind::Array && list->items.empty();
    if (is_empty_list) band.complain(key, "the list is empty");
    all = all && list != nullptr && !is_empty_list;
  }
  return all;
}

/// The rest of a draft without its threading says nothing of any weave.
void refuse_draft_without_threading(Section& band) {
  for (const char* key : {"tie_up", "treadling", "shed"}) {
    if (!band.has(key)) continue;
    band.complain(key,
                  "is read with a threading only, and there is none; write threading = "
                  "[1, 2, 3, 4] or the like, the shaft of each end, or leave this out");
  }
}

std::optional<cloth::Grid> read_draft(Section& band) {
  const std::size_t complaints_before = band.findings().complaint_count();
  cloth::Draft draft;
  const Value* threading = band.array("threading");
  if (threading != nullptr)
    draft.threading = read_numbers(*threading, "threading", band.findings());
  draft.tie_up = read_lists(band, "tie_up", false);
  draft.treadling = read_lists(band, "treadling", true);
  const auto shed = band.choice("shed", {"rising", "sinking"});
  draft.shed = shed.value_or(0) == 0 ? cloth::Shed::Rising : cloth::Shed::Sinking;
  const bool has_lists = has_draft_lists(band);
  if (!has_lists || band.findings().complaint_count() > complaints_before) return std::nullopt;
  return cloth::weave_from_draft(draft);
}

/// The rows in words, or nothing when one of them is no text.
std::optional<std::vector<std::string>> words_of(Section& band, const Value& list) {
  std::vector<std::string> rows;
  for (const Value& item : list.items) {
    if (item.kind == Value::Kind::Text) {
      rows.push_back(item.text);
      continue;
    }
    band.findings().complain(item.place, "grid: " + kind_and_text(item) +
                                             " was read where a row in words is wanted, such as "
                                             "\"o2 u2 o1 u2\"");
  }
  if (list.items.empty()) band.complain("grid", "the list is empty");
  if (rows.empty() || rows.size() != list.items.size()) return std::nullopt;
  return rows;
}

std::optional<cloth::Grid> read_words(Section& band) {
  const Value* list = band.array("grid");
  if (list == nullptr) return std::nullopt;
  const auto rows = words_of(band, *list);
  if (!rows) return std::nullopt;
  try {
    return cloth::weave_from_words(*rows);
  } catch (const cloth::UnreadableWeave& unreadable) {
    if (unreadable.row() == 0) throw;
    Place place = list->items[static_cast<std::size_t>(unreadable.row()) - 1].place;
    place.column += unreadable.column();  // the opening quote is one character
    band.findings().complain(place, std::string("grid: ") + unreadable.what());
    return std::nullopt;
  }
}

std::optional<cloth::Grid> read_named(Section& band) {
  const auto name = band.text("weave");
  if (!band.has("weave")) return cloth::plain();
  if (!name) return std::nullopt;
  return cloth::read_weave_name(*name);
}

std::optional<Remainder> read_remainder(Section& band) {
  const auto place = band.choice(
      "remainder", {"left", "right", "both", "plain left", "plain right", "plain both"});
  if (!place) return std::nullopt;
  constexpr Remainder kPlaces[] = {Remainder::Left,       Remainder::Right,
                                   Remainder::Both,       Remainder::PlainLeft,
                                   Remainder::PlainRight, Remainder::PlainBoth};
  return kPlaces[*place];
}

std::string widths_that_divide(int repeat, int ends) {
  const int below = ends / repeat * repeat;
  return below == 0 ? std::to_string(repeat) : fmt::format("{} or {}", below, below + repeat);
}

/// The repeat over every end of the warp; ends left over need a place.
cloth::Grid spread_over_warp(Section& band, const cloth::Grid& repeat, const std::string& given,
                             const PieceInProgress& progress) {
  const auto remainder = read_remainder(band);
  if (!progress.woven_ends) return repeat;
  const int ends = *progress.woven_ends;
  const bool needs_place = given == "grid" || given == "threading";
  if (needs_place && !band.has("remainder") && ends % repeat.ends() != 0) {
    band.complain(given, fmt::format("a repeat of {} ends leaves {} of the warp's {} over; write "
                                     "remainder = \"left\", \"right\", \"both\", \"plain left\", "
                                     "\"plain right\" or \"plain both\", or take {} ends",
                                     repeat.ends(), ends % repeat.ends(), ends,
                                     widths_that_divide(repeat.ends(), ends)));
    return repeat;
  }
  const cloth::Grid grid =
      cloth::spread(repeat, ends, remainder.value_or(cloth::kNamedWeaveRemainder));
  return progress.piece.warp.floating_selvedges ? cloth::with_floating_selvedges(grid) : grid;
}
}  // namespace

cloth::Grid read_weave_grid(Section& band, const PieceInProgress& progress, int& repeat_picks) {
  const std::string given = band.only_one_of({"weave", "grid", "threading"}, false);
  try {
    const bool is_draft = given == "threading";
    if (!is_draft) {
      band.leave({"tie_up", "treadling", "shed"});
      refuse_draft_without_threading(band);
    }
    const auto repeat = is_draft          ? read_draft(band)
                        : given == "grid" ? read_words(band)
                                          : read_named(band);
    if (repeat) {
      repeat_picks = repeat->picks();
      return spread_over_warp(band, *repeat, given, progress);
    }
  } catch (const cloth::UnreadableWeave& unreadable) {
    band.complain(given.empty() ? "weave" : given, unreadable.what());
  }
  read_remainder(band);
  return cloth::plain();
}

}  // namespace ellwand::studio
