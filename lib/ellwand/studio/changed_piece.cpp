#include "ellwand/studio/changed_piece.hpp"

#include "ellwand/decide/midway.hpp"
#include "ellwand/studio/read_piece_parts.hpp"
#include "ellwand/units/error.hpp"
#include "ellwand/units/text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <numeric>

namespace ellwand::studio {

using decide::Knob;
using decide::Setting;

namespace {

constexpr const char* kKnobs =
    "rows, repeats, height or hang of a band by its number, as in 'rows of band 3'; or ends, width "
    "or size";

[[noreturn]] void refuse_knob(const std::string& text) {
  throw UnreadableText(fmt::format("{} was read where a measure of the piece is wanted: {}",
                                   in_quotes(text), kKnobs));
}

/// The words of a text without "of" and "band".
std::vector<std::string> telling_words(const std::string& text) {
  std::vector<std::string> words;
  std::string word;
  for (const char c : folded(text) + " ") {
    if (c != ' ') {
      word += c;
      continue;
    }
    if (!word.empty() && word != "of" && word != "band") words.push_back(word);
    word.clear();
  }
  return words;
}

}  // namespace

Knob read_knob(const std::string& text) {
  const std::vector<std::string> words = telling_words(text);
  if (words.empty() || words.size() > 2) refuse_knob(text);
  if (words.size() == 1) {
    if (words[0] == "ends" || words[0] == "width") return {Knob::Of::Ends, 0};
    if (words[0] == "size") return {Knob::Of::Size, 0};
    refuse_knob(text);
  }
  constexpr int kMostBands = 10'000;
  for (const Knob::Of of : {Knob::Of::Rows, Knob::Of::Repeats, Knob::Of::Height, Knob::Of::Hang}) {
    if (words[0] != decide::name_of(of)) continue;
    try {
      const double band = read_decimal(words[1]);
      if (band == std::floor(band) && band >= 1.0 && band <= kMostBands) {
        return {of, static_cast<std::size_t>(band) - 1};
      }
    } catch (const UnreadableText&) {
    }
  }
  refuse_knob(text);
}

namespace {

Value* entry(Value& table, const std::string& key) {
  for (Value::Entry& one : table.entries) {
    if (one.key == key) return &one.value;
  }
  return nullptr;
}
const Value* entry(const Value& table, const std::string& key) {
  return entry(const_cast<Value&>(table), key);
}

void erase(Value& table, std::initializer_list<const char*> keys) {
  const auto is_one = [&](const Value::Entry& one) {
    return std::find(keys.begin(), keys.end(), one.key) != keys.end();
  };
  table.entries.erase(std::remove_if(table.entries.begin(), table.entries.end(), is_one),
                      table.entries.end());
}

/// The value of a key, made where it is not there, at the place of its table.
Value& place_for(Value& table, const std::string& key) {
  if (Value* const there = entry(table, key)) return *there;
  Value fresh;
  fresh.place = table.place;
  table.entries.push_back({key, table.place, fresh});
  return table.entries.back().value;
}

void set_whole(Value& table, const std::string& key, double number) {
  Value& value = place_for(table, key);
  value.kind = Value::Kind::Whole;
  value.whole = std::llround(number);
  value.decimal = static_cast<double>(value.whole);
  value.text = fmt::format("{}", value.whole);
}

void set_text(Value& table, const std::string& key, const std::string& text) {
  Value& value = place_for(table, key);
  value.kind = Value::Kind::Text;
  value.text = text;
}

void set_length(Value& table, const std::string& key, const Length<>& length) {
  set_text(table, key, fmt::format("{:.9g} cm", in_centimetres(length)));
}

std::vector<Value>* bands_of(Value& document) {
  Value* const bands = entry(document, "band");
  return bands == nullptr ? nullptr : &bands->items;
}

/// Ends left as they are stated, or shared out anew.
class AreaEnds {
 public:
  AreaEnds(Value& areas, AreaRule rule) : areas_(areas), rule_(rule) {
    for (const Value& area : areas_.items) {
      const Value* const ends = entry(area, "ends");
      ends_.push_back(ends == nullptr ? 0 : static_cast<int>(ends->whole));
    }
  }

  /// @param more  ends than the warp had, or fewer
  void change(int more) {
    const int all = std::accumulate(ends_.begin(), ends_.end(), 0);
    if (all == 0) return;  // drawn shapes on a ground have none
    const auto widest = std::max_element(ends_.begin(), ends_.end());
    if (rule_ == AreaRule::Widest) {
      *widest += more;
    } else {
      share_out(all, all + more);
    }
    for (std::size_t i = 0; i < ends_.size(); ++i) set_whole(areas_.items[i], "ends", ends_[i]);
  }

 private:
  /// Each edge between two areas moves in proportion, to a whole end.
  void share_out(int all, int wanted) {
    int before = 0;
    int shared = 0;
    for (int& ends : ends_) {
      before += ends;
      const int edge = static_cast<int>(std::lround(static_cast<double>(before) * wanted / all));
      ends = edge - shared;
      shared = edge;
    }
  }

  Value& areas_;
  AreaRule rule_;
  std::vector<int> ends_;
};

/// Sets the knobs of one document.
class Changer {
 public:
  Changer(Value& document, const piece::Piece& piece, AreaRule rule)
      : document_(document), piece_(piece), rule_(rule) {}

  void set(const Setting& setting) {
    if (setting.knob.of == Knob::Of::Ends) return set_ends(static_cast<int>(setting.value));
    if (setting.knob.of == Knob::Of::Size) return scale(setting.value);
    Value& band = bands_of(document_)->at(setting.knob.band);
    switch (setting.knob.of) {
      case Knob::Of::Rows:
        erase(band, {"height", "height_state", "repeats"});
        return set_whole(band, "rows", setting.value);
      case Knob::Of::Repeats:
        erase(band, {"height", "height_state", "rows"});
        return set_whole(band, "repeats", setting.value);
      case Knob::Of::Height:
        erase(band, {"rows", "repeats"});
        return set_length(band, "height", metres(setting.value));
      case Knob::Of::Hang:
        return set_length(band, "hang", metres(setting.value));
      default:
        return;
    }
  }

 private:
  int selvedges() const { return piece_.warp.floating_selvedges ? 2 : 0; }

  void set_ends(int ends) {
    const int before = piece_.warp.ends - selvedges();
    keep_sett();
    set_whole(*entry(document_, "warp"), "ends", ends);
    std::vector<Value>& bands = *bands_of(document_);
    for (std::size_t b = 0; b < bands.size(); ++b) {
      if (Value* const areas = entry(bands[b], "areas")) {
        AreaEnds(*areas, rule_).change(ends - before);
      }
      fit_places(b, ends);
    }
  }

  /// Width with ends or sett gives way to ends; what it said of the sett stays.
  void keep_sett() {
    Value& warp = *entry(document_, "warp");
    const bool notched = piece_.loom.kind == piece::LoomKind::Notched;
    if (!notched && entry(warp, "sett") == nullptr && piece_.warp.sett) {
      set_text(warp, "sett", fmt::format("{:.12g} /cm", in_per_cm(*piece_.warp.sett)));
    }
    erase(warp, {"width"});
  }

  /// A wrapping round every end there was.
  void fit_places(std::size_t band, int ends) {
    const auto* wrapping = std::get_if<technique::Wrapping>(&piece_.bands[band].work);
    if (wrapping == nullptr || wrapping->ends == 0) return;
    if (piece_.warp.ends - wrapping->ends * wrapping->places >= wrapping->ends) return;
    const int places = (ends + selvedges()) / wrapping->ends;
    if (places > 0) set_whole((*bands_of(document_))[band], "places", places);
  }

  void scale(double factor) {
    const int ends = piece_.warp.ends - selvedges();
    set_ends(std::max(1, static_cast<int>(std::lround(factor * ends))));
    std::vector<Value>& bands = *bands_of(document_);
    for (Value& band : bands) scale_band(band, factor);
    scale_lengths(entry(document_, "finish"), factor);
  }

  static void scale_count(Value& table, const char* key, double factor) {
    const Value* const count = entry(table, key);
    if (count == nullptr) return;
    set_whole(table, key, std::max(1.0, std::round(factor * static_cast<double>(count->whole))));
  }
  static void scale_length(Value& table, const char* key, double factor) {
    const Value* const length = entry(table, key);
    if (length != nullptr) set_length(table, key, factor * read_length(length->text));
  }

  static void scale_band(Value& band, double factor) {
    scale_count(band, "rows", factor);
    scale_count(band, "repeats", factor);
    for (const char* key : {"height", "hang", "covered"}) scale_length(band, key, factor);
    Value* const areas = entry(band, "areas");
    if (areas == nullptr) return;
    for (Value& area : areas->items) {
      scale_length(area, "width", factor);
      if (const Value* const drawn = entry(area, "area")) {
        const Area<> scaled = factor * factor * read_area(drawn->text);
        set_text(area, "area", fmt::format("{:.9g} cm2", in_square_centimetres(scaled)));
      }
    }
  }

  static void scale_lengths(Value* finish, double factor) {
    if (finish == nullptr) return;
    if (Value* const rod = entry(*finish, "rod")) scale_length(*rod, "length", factor);
    Value* const cord = entry(*finish, "cord");
    if (cord == nullptr) return;
    scale_length(*cord, "rise", factor);
    scale_length(*cord, "tie_distance", factor);
  }

  Value& document_;
  const piece::Piece& piece_;
  AreaRule rule_;
};

piece::Piece read_document(const Value& document, const std::string& file, const Studio& studio,
                           const estimate::StartingValues& starting) {
  Findings findings(file);
  piece::Piece piece = read_piece_table(document, std::filesystem::path(file).stem().string(),
                                        studio, starting, findings);
  findings.stop_if_any();
  return piece;
}

/// The knobs that a band has.
struct KnobsOfWork {
  using All = std::vector<Knob::Of>;

  All operator()(const technique::Woven&) const {
    return {Knob::Of::Rows, Knob::Of::Repeats, Knob::Of::Height};
  }
  All operator()(const technique::KnottedFringe&) const { return {Knob::Of::Rows, Knob::Of::Hang}; }
  All operator()(const technique::Soumak&) const { return {Knob::Of::Rows}; }
  All operator()(const technique::Twining&) const { return {Knob::Of::Rows}; }
  All operator()(const technique::LoopedPile&) const { return {Knob::Of::Rows}; }
  All operator()(const technique::KnottedPile&) const { return {Knob::Of::Rows}; }
  All operator()(const technique::Wrapping&) const { return {}; }
  All operator()(const technique::Gap&) const { return {Knob::Of::Height}; }
  All operator()(const technique::Hemstitch&) const { return {}; }
};

}  // namespace

ChangeablePiece::ChangeablePiece(const std::string& text, std::string file, const Studio& studio,
                                 const estimate::StartingValues& starting, AreaRule areas)
    : document_(read_toml(text, file)),
      file_(std::move(file)),
      studio_(studio),
      starting_(starting),
      areas_(areas),
      piece_(read_document(document_, file_, studio, starting)) {}

bool ChangeablePiece::is_stated_by_width() const {
  const Value* const warp = entry(document_, "warp");
  return warp != nullptr && entry(*warp, "width") != nullptr && entry(*warp, "ends") == nullptr;
}

std::vector<Knob> ChangeablePiece::knobs() const {
  std::vector<Knob> all;
  for (std::size_t b = 0; b < piece_.bands.size(); ++b) {
    for (const Knob::Of of : std::visit(KnobsOfWork(), piece_.bands[b].work)) {
      all.push_back({of, b});
    }
  }
  all.push_back({Knob::Of::Ends, 0});
  all.push_back({Knob::Of::Size, 0});
  return all;
}

namespace {

/// Whether a document's warp has more ends than a loom has notches for.
bool is_beyond(const piece::Loom& loom, const Value& document) {
  const Value* const warp = entry(document, "warp");
  const Value* const ends = warp == nullptr ? nullptr : entry(*warp, "ends");
  if (loom.kind != piece::LoomKind::Notched || loom.notches == 0 || ends == nullptr) return false;
  return (ends->whole - 1) * loom.every + 1 > loom.notches;
}

/// Sentences begin with the key they are about; what was changed is said already.
std::vector<Complaint> without_key(std::vector<Complaint> complaints) {
  for (Complaint& complaint : complaints) {
    const std::string key = "ends: ";
    if (complaint.text.rfind(key, 0) == 0) complaint.text.erase(0, key.size());
  }
  return complaints;
}

}  // namespace

piece::Piece ChangeablePiece::with(const std::vector<Setting>& settings) const {
  Value document = document_;
  Changer changer(document, piece_, areas_);
  for (const Setting& setting : settings) changer.set(setting);
  try {
    return read_document(document, file_, studio_, starting_);
  } catch (const BadInput& bad) {
    if (!is_beyond(piece_.loom, document)) throw;
    throw decide::BeyondLoom(without_key(bad.complaints()));
  }
}

namespace {

[[noreturn]] void refuse_band(const piece::Piece& piece, const Knob& knob) {
  if (knob.band >= piece.bands.size()) {
    throw OutOfRange(fmt::format("{}: the piece has bands 1 to {}; name one of them", told(knob),
                                 piece.bands.size()));
  }
  const technique::Work& work = piece.bands[knob.band].work;
  const KnobsOfWork::All of_work = std::visit(KnobsOfWork(), work);
  std::string has;
  for (std::size_t i = 0; i < of_work.size(); ++i) {
    has += i == 0 ? "" : i + 1 == of_work.size() ? " and " : ", ";
    has += name_of(of_work[i]);
  }
  throw OutOfRange(fmt::format("{}: that band is {}, and no {} of it can be changed{}", told(knob),
                               technique::name_of(work), name_of(knob.of),
                               has.empty() ? "" : ", only " + has));
}

/// The measure as the piece states it, or as its plan has it.
double measured(const piece::Piece& piece, const Knob& knob, const estimate::Workshop& workshop) {
  const technique::Work& work = piece.bands[knob.band].work;
  if (knob.of == Knob::Of::Hang) return in_metres(std::get<technique::KnottedFringe>(work).hang);
  if (const auto* gap = std::get_if<technique::Gap>(&work)) return in_metres(gap->height);
  const auto* woven = std::get_if<technique::Woven>(&work);
  const bool by_height = woven != nullptr && woven->extent.by == technique::Extent::By::Height;
  if (knob.of == Knob::Of::Height && by_height) return in_metres(woven->extent.height);
  const estimate::PieceModel model(piece, workshop);
  if (knob.of == Knob::Of::Height) return in_metres(model.band_heights()[knob.band]);
  const int rows = decide::rows_of_band(model, knob.band);
  if (knob.of == Knob::Of::Rows) return rows;
  return std::max(1.0, std::floor(static_cast<double>(rows) / woven->repeat_picks));
}

}  // namespace

double ChangeablePiece::value(const Knob& knob, const estimate::Workshop& workshop) const {
  if (knob.of == Knob::Of::Size) return 1.0;
  if (knob.of == Knob::Of::Ends) {
    return piece_.warp.ends - (piece_.warp.floating_selvedges ? 2 : 0);
  }
  const std::vector<Knob> all = knobs();
  if (std::find(all.begin(), all.end(), knob) == all.end()) refuse_band(piece_, knob);
  return measured(piece_, knob, workshop);
}

}  // namespace ellwand::studio
