#include "ellwand/studio/drawing_marks.hpp"

#include "ellwand/studio/markup.hpp"
#include "ellwand/studio/yarn_fills.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace ellwand::studio {

namespace {

// Millimetres of paper.
constexpr double kGutter = 17.0;  // left of the piece: its height and the ruler
constexpr double kLeaders = 9.0;  // between the piece and the labels
constexpr double kLabels = 60.0;  // their width
constexpr double kAbove = 3.0;    // above all
constexpr double kBelow = 14.0;   // below the piece: its width and the scale bar
constexpr double kLabelText = 2.7;
constexpr double kSmallText = 2.5;
constexpr double kLineGap = 3.4;
constexpr double kLabelGap = 1.6;
constexpr double kKeyRow = 5.4;
constexpr std::size_t kKeysInARow = 3;
constexpr std::size_t kLettersInALine = 40;       // of the small text, in a wide font
constexpr std::size_t kLettersInAFirstLine = 33;  // which is bold

/// Words in lines of at most so many letters; one longer than that has a line of its own.
std::vector<std::string> in_lines(const std::string& words, std::size_t letters) {
  std::vector<std::string> lines;
  std::string line;
  std::size_t from = 0;
  while (from < words.size()) {
    const std::size_t to = std::min(words.find(' ', from), words.size());
    const std::string word = words.substr(from, to - from);
    if (!line.empty() && line.size() + 1 + word.size() > letters) {
      lines.push_back(line);
      line.clear();
    }
    line += (line.empty() ? "" : " ") + word;
    from = to + 1;
  }
  if (!line.empty()) lines.push_back(line);
  return lines;
}

/// The least of 1, 2, 5 times a power of ten that is no less.
double round_step(double least) {
  double step = std::pow(10.0, std::floor(std::log10(least)));
  for (const double times : {1.0, 2.0, 5.0}) {
    if (times * step >= least * (1.0 - 1e-9)) return times * step;
  }
  return 10.0 * step;
}

}  // namespace

void DrawingLabel::say(const std::string& what) {
  lines = in_lines(what, kLettersInAFirstLine);
  bold = lines.size();
}

void DrawingLabel::add(const std::string& more) {
  for (const std::string& line : in_lines(more, kLettersInALine)) lines.push_back(line);
}

std::vector<double> moved_apart(const std::vector<double>& wanted,
                                const std::vector<double>& heights) {
  // Less the room of all before it each wants an offset; the nearest that never fall are means over
  // runs of them (pool adjacent violators).
  struct Run {
    double sum;
    int count;
    double mean() const { return sum / count; }
  };
  std::vector<double> room(wanted.size(), 0.0);
  for (std::size_t i = 1; i < wanted.size(); ++i) {
    room[i] = room[i - 1] + 0.5 * (heights[i - 1] + heights[i]);
  }
  std::vector<Run> runs;
  for (std::size_t i = 0; i < wanted.size(); ++i) {
    runs.push_back({wanted[i] - room[i], 1});
    while (runs.size() > 1 && runs.back().mean() < runs[runs.size() - 2].mean()) {
      const Run last = runs.back();
      runs.pop_back();
      runs.back().sum += last.sum;
      runs.back().count += last.count;
    }
  }
  std::vector<double> middles;
  for (const Run& run : runs) {
    for (int i = 0; i < run.count; ++i) middles.push_back(run.mean() + room[middles.size()]);
  }
  return middles;
}

DrawingMarks::DrawingMarks(const estimate::PieceModel& model, const DrawingLayout& layout,
                           const DrawingOptions& options)
    : model_(model), layout_(layout), options_(options) {
  set_labels();
  unit_ = fitting_unit();
  set_frame();
}

std::string DrawingMarks::size(double mm) const {
  return in_unit(cloth_size(millimetres(mm)), options_.shown);
}

/// Of several areas from left to right, of which one may come again.
std::string DrawingMarks::yarns_told(const DrawnBand& band) const {
  std::vector<std::size_t> yarns = band.yarns;
  if (band.areas.size() > 1) {
    yarns.clear();
    for (const DrawnArea& area : band.areas) yarns.push_back(area.yarn);
  }
  std::string told;
  for (const std::size_t yarn : yarns) {
    told += (told.empty() ? "" : ", ") + model_.all_yarns()[yarn]->id;
  }
  return told;
}

DrawingLabel DrawingMarks::label_of(const DrawnBand& band) const {
  DrawingLabel label;
  label.from_mm = band.bottom_mm;
  label.to_mm = band.bottom_mm + band.height_mm;
  label.edge_mm = layout_.width_mm;
  if (band.bundles && band.height_mm == 0.0) label.to_mm += band.bundles->covered_mm;
  std::string what = fmt::format("{} {}", band.band, band.work);
  if (!band.rows.empty()) what += ", " + band.rows;
  if (band.height_mm > 0.0) what += ", " + size(band.height_mm);
  label.say(what);
  std::string more = band.is_bare ? "bare warp" : yarns_told(band);
  if (band.strands) {
    more += (band.surface == Surface::Pile ? "; pile " : "; hangs ") + size(band.strands->hang_mm);
  }
  if (band.areas.size() > 1) more += "; left to right";
  if (!band.shapes.empty()) more += "; places of the shapes not stated";
  if (band.bundles && !band.bundles->places_are_stated) more += "; which ends is not stated";
  if (band.comes_out) more += "; comes out again";
  label.add(more);
  return label;
}

/// Of what is no band: it has no number.
void DrawingMarks::add_label(double height_mm, double edge_mm, const std::string& what,
                             const std::string& more) {
  DrawingLabel label;
  label.from_mm = height_mm;
  label.to_mm = height_mm;
  label.edge_mm = edge_mm;
  label.say(what);
  label.add(more);
  labels_.push_back(label);
}

/// From the bottom up.
void DrawingMarks::set_labels() {
  const bool has_fringe = model_.piece().warp.fringe.si() > 0.0;
  const char* what_for = has_fringe ? "for fringe" : "to tie knots in";
  if (layout_.free_below_mm > 0.0) {
    add_label(-0.5 * layout_.free_below_mm, layout_.width_mm,
              "warp left free, " + size(layout_.free_below_mm), what_for);
  }
  for (const DrawnBand& band : layout_.bands) labels_.push_back(label_of(band));
  if (layout_.free_above_mm > 0.0) {
    add_label(layout_.height_mm + 0.5 * layout_.free_above_mm, layout_.width_mm,
              "warp left free, " + size(layout_.free_above_mm), what_for);
  }
  const double middle = 0.5 * layout_.width_mm;
  if (layout_.rod) {
    const DrawnRod& rod = *layout_.rod;
    add_label(rod.middle_mm, middle + 0.5 * rod.length_mm,
              fmt::format("rod, {} thick",
                          in_unit(rod_size(millimetres(rod.thickness_mm)), options_.shown)),
              rod.length_is_stated ? size(rod.length_mm) + " long" : "its length is not stated");
  }
  if (!layout_.cord) return;
  const DrawnCord& cord = *layout_.cord;
  add_label(cord.from_mm + 0.5 * cord.rise_mm, middle + 0.25 * cord.tie_distance_mm,
            fmt::format("cord, rises {}", size(cord.rise_mm)), model_.all_yarns()[cord.yarn]->id);
}

double DrawingMarks::left_most() const {
  double left = 0.0;
  if (layout_.rod) left = std::min(left, 0.5 * (layout_.width_mm - layout_.rod->length_mm));
  if (layout_.cord) left = std::min(left, 0.5 * (layout_.width_mm - layout_.cord->tie_distance_mm));
  return left;
}

double DrawingMarks::right_most() const { return layout_.width_mm - left_most(); }

double DrawingMarks::labels_left() const { return right_most() + kLeaders * unit_; }

double DrawingMarks::key_rows() const {
  if (!options_.key) return 0.0;
  const std::size_t yarns = model_.all_yarns().size();
  const std::size_t rows = (yarns + kKeysInARow - 1) / kKeysInARow;
  return static_cast<double>(rows);
}

double DrawingMarks::label_height(const DrawingLabel& label) const {
  return kLineGap * static_cast<double>(label.lines.size()) + kLabelGap;
}

double DrawingMarks::fitting_unit() const {
  const double wide = right_most() - left_most();
  const double high = layout_.highest_mm() - layout_.lowest_mm();
  const double room_wide =
      std::max(in_millimetres(options_.most_width) - kGutter - kLeaders - kLabels, 10.0);
  const double room_high = std::max(in_millimetres(options_.most_height) - kAbove - kBelow, 10.0);
  const double least = std::max(wide / room_wide, high / room_high);
  constexpr std::array<double, 13> kScales{1.0, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0,
                                           4.5, 5.0, 6.0, 7.0, 8.0, 9.0};
  for (double ten = 1.0; ten < 1e6; ten *= 10.0) {
    for (const double scale : kScales) {
      if (scale * ten >= least) return scale * ten;
    }
  }
  return least;
}

std::vector<double> DrawingMarks::label_middles() const {
  std::vector<double> wanted;
  std::vector<double> heights;
  for (const DrawingLabel& label : labels_) {
    wanted.push_back(0.5 * (label.from_mm + label.to_mm));
    heights.push_back(unit_ * label_height(label));
  }
  return moved_apart(wanted, heights);
}

void DrawingMarks::set_frame() {
  double top = layout_.highest_mm() + kAbove * unit_;
  double bottom = layout_.lowest_mm() - kBelow * unit_;
  const std::vector<double> middles = label_middles();
  if (!middles.empty()) {
    top = std::max(top, middles.back() + 0.5 * unit_ * label_height(labels_.back()));
    bottom = std::min(bottom, middles.front() - 0.5 * unit_ * label_height(labels_.front()));
  }
  bottom -= key_rows() * kKeyRow * unit_;
  frame_.left_mm = left_most() - kGutter * unit_;
  frame_.top_mm = -top;
  frame_.width_mm = labels_left() + kLabels * unit_ - frame_.left_mm;
  frame_.height_mm = top - bottom;
}

std::string DrawingMarks::told() const {
  std::string told =
      fmt::format("{} wide and {} high on the loom. From the bottom up: ", size(layout_.width_mm),
                  size(layout_.stays_to_mm - layout_.stays_from_mm));
  for (const DrawingLabel& label : labels_) {
    for (std::size_t i = 0; i < label.lines.size(); ++i) {
      told += (i == 0 ? "" : i == label.bold ? ": " : " ") + label.lines[i];
    }
    told += ". ";
  }
  told.pop_back();
  return told;
}

std::string DrawingMarks::text(double x, double y, double paper_mm, const std::string& words,
                               const char* more) const {
  return fmt::format("<text x=\"{}\" y=\"{}\" font-size=\"{}\"{}>{}</text>\n", at(x), at(y),
                     at(paper_mm * unit_), more, escaped(words));
}

std::string DrawingMarks::line(double x1, double y1, double x2, double y2, double paper_mm) const {
  return fmt::format("<path d=\"M{} {}L{} {}\" fill=\"none\" stroke=\"{}\" stroke-width=\"{}\"/>\n",
                     at(x1), at(y1), at(x2), at(y2), kInk, at(paper_mm * unit_));
}

/// Ticks from the first pick up, every fifth or second longer and with its number.
std::string DrawingMarks::ruler() const {
  const bool in_cm = options_.shown == LengthShown::Centimetres;
  const double one_mm = in_cm ? 10.0 : 25.4;
  const double step = std::max(1.0, round_step(1.4 * unit_ / one_mm));
  const double numbered = std::max(in_cm ? 5.0 : 2.0, round_step(6.0 * unit_ / one_mm));
  const double x = left_most() - 2.0 * unit_;
  std::string ticks = fmt::format("M{} 0V{}", at(x), at(-layout_.height_mm));
  std::string numbers;
  for (double value = 0.0; value * one_mm <= layout_.height_mm + 1e-6; value += step) {
    const bool is_long = std::abs(std::remainder(value, numbered)) < 1e-6;
    const double y = -value * one_mm;
    ticks += fmt::format("M{} {}h{}", at(x), at(y), at((is_long ? -2.2 : -1.1) * unit_));
    if (!is_long) continue;
    numbers += text(x - 2.8 * unit_, y + 0.9 * unit_, kSmallText, short_number(value),
                    " text-anchor=\"end\"");
  }
  return fmt::format("<path d=\"{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"{}\"/>\n", ticks,
                     kInk, at(0.2 * unit_)) +
         numbers;
}

/// The whole height at the left, the whole width below.
std::string DrawingMarks::measures() const {
  const double x = left_most() - 12.5 * unit_;
  const double from = -layout_.stays_from_mm;
  const double to = -layout_.stays_to_mm;
  const double tick = 1.2 * unit_;
  std::string out = line(x, from, x, to, 0.25) + line(x - tick, from, x + tick, from, 0.25) +
                    line(x - tick, to, x + tick, to, 0.25);
  const double middle = 0.5 * (from + to);
  out += text(x - 1.4 * unit_, middle, kLabelText,
              size(layout_.stays_to_mm - layout_.stays_from_mm) + " high",
              fmt::format(" text-anchor=\"middle\" transform=\"rotate(-90 {} {})\"",
                          at(x - 1.4 * unit_), at(middle))
                  .c_str());
  const double y = -layout_.lowest_mm() + 3.0 * unit_;
  out += line(0.0, y, layout_.width_mm, y, 0.25) + line(0.0, y - tick, 0.0, y + tick, 0.25) +
         line(layout_.width_mm, y - tick, layout_.width_mm, y + tick, 0.25);
  return out + text(0.5 * layout_.width_mm, y + 3.6 * unit_, kLabelText,
                    size(layout_.width_mm) + " wide", " text-anchor=\"middle\"");
}

std::string DrawingMarks::labels() const {
  const std::vector<double> middles = label_middles();
  const double x = labels_left();
  std::string out;
  for (std::size_t i = 0; i < labels_.size(); ++i) {
    const DrawingLabel& label = labels_[i];
    const double bracket = label.edge_mm + 1.2 * unit_;
    const double y = -0.5 * (label.from_mm + label.to_mm);
    const double inset = std::min(0.3 * unit_, 0.25 * (label.to_mm - label.from_mm));
    if (label.to_mm > label.from_mm) {
      out += line(bracket, -label.from_mm - inset, bracket, -label.to_mm + inset, 0.6);
    }
    double text_y = -middles[i] - 0.5 * unit_ * kLineGap * static_cast<double>(label.lines.size());
    const double first = text_y + 0.5 * kLineGap * unit_;
    out += fmt::format(
        "<path d=\"M{} {}H{}L{} {}H{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"{}\"/>\n",
        at(bracket), at(y), at(right_most() + 2.0 * unit_), at(x - 2.4 * unit_), at(first),
        at(x - 1.0 * unit_), kInk, at(0.18 * unit_));
    for (std::size_t l = 0; l < label.lines.size(); ++l) {
      text_y += kLineGap * unit_;
      const bool is_bold = l < label.bold;
      out += text(x, text_y - 0.8 * unit_, is_bold ? kLabelText : kSmallText, label.lines[l],
                  is_bold ? " font-weight=\"600\"" : "");
    }
  }
  return out;
}

/// Five parts by turns, about as long as a hand is wide.
std::string DrawingMarks::scale_bar(double y) const {
  const bool in_cm = options_.shown == LengthShown::Centimetres;
  const double one_mm = in_cm ? 10.0 : 25.4;
  const double length = round_step(18.0 * unit_ / one_mm);
  const double part = length * one_mm / 5.0;
  std::string out;
  for (int p = 0; p < 5; ++p) {
    out += fmt::format(
        "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"{}\" stroke=\"{}\" "
        "stroke-width=\"{}\"/>\n",
        at(p * part), at(y), at(part), at(1.3 * unit_), p % 2 == 0 ? kInk : "#ffffff", kInk,
        at(0.2 * unit_));
  }
  return out + text(5.0 * part + 1.5 * unit_, y + 1.5 * unit_, kSmallText,
                    fmt::format("{} {}; 1 : {} on paper", short_number(length), in_cm ? "cm" : "in",
                                short_number(unit_)));
}

std::string DrawingMarks::key(double y) const {
  const auto& yarns = model_.all_yarns();
  const std::vector<YarnFill> fills = fills_of(yarns);
  const double column = frame_.width_mm / static_cast<double>(kKeysInARow);
  std::string out;
  for (std::size_t i = 0; i < yarns.size(); ++i) {
    const double x = frame_.left_mm + unit_ + column * static_cast<double>(i % kKeysInARow);
    const std::size_t row = i / kKeysInARow;
    const double top = y + kKeyRow * unit_ * static_cast<double>(row);
    out += filled_box(fills[i], {x, top, 7.0 * unit_, 4.0 * unit_}, unit_,
                      fmt::format(" stroke=\"{}\" stroke-width=\"{}\"", kInk, at(0.2 * unit_)));
    out += text(x + 8.5 * unit_, top + 3.0 * unit_, kSmallText, yarns[i]->id);
  }
  return out;
}

std::string DrawingMarks::drawn() const {
  const double bottom = frame_.top_mm + frame_.height_mm;
  const double keys = bottom - key_rows() * kKeyRow * unit_;
  std::string out = ruler() + measures() + labels();
  out += scale_bar(-layout_.lowest_mm() + 10.5 * unit_);
  if (options_.key) out += key(keys);
  return out;
}

}  // namespace ellwand::studio
