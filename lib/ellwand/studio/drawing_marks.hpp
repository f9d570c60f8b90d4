#pragma once
/// What stands round a drawing: measures, a ruler, a scale bar, labels, which pattern is which
/// yarn.

#include "ellwand/studio/drawing.hpp"
#include "ellwand/studio/drawing_layout.hpp"
#include "ellwand/studio/markup.hpp"

#include <string>
#include <vector>

namespace ellwand::studio {

/// Of lines and words.
inline constexpr const char* kInk = "#1b1b1d";

/// A coordinate to the hundredth of a millimetre.
inline std::string at(double mm) { return short_number(mm); }

/// What is said of one band, rod or cord.
struct DrawingLabel {
  double from_mm = 0.0;  ///< above the first pick, where it stands
  double to_mm = 0.0;
  double edge_mm = 0.0;  ///< its right edge, from the cloth's left one
  std::vector<std::string> lines;
  std::size_t bold = 0;  ///< so many of them say what it is

  void say(const std::string& what);  ///< what it is; the first
  void add(const std::string& more);
};

class DrawingMarks {
 public:
  /// All must outlive it.
  DrawingMarks(const estimate::PieceModel& model, const DrawingLayout& layout,
               const DrawingOptions& options);

  /// The least round scale at which the piece and all round it keep to the paper of the options: 1
  /// to 5 by halves, 6, 7, 8, ten times these, and so on.
  double times_smaller() const { return unit_; }

  /// Of the whole drawing, in its own units.
  struct Frame {
    double left_mm = 0.0;
    double top_mm = 0.0;
    double width_mm = 0.0;
    double height_mm = 0.0;
  };
  Frame frame() const { return frame_; }

  /// The same in sentences.
  std::string told() const;

  std::string drawn() const;

 private:
  void set_labels();
  void add_label(double height_mm, double edge_mm, const std::string& what,
                 const std::string& more);
  void set_frame();
  double fitting_unit() const;
  std::string size(double mm) const;
  DrawingLabel label_of(const DrawnBand& band) const;
  std::string yarns_told(const DrawnBand& band) const;
  double key_rows() const;
  double label_height(const DrawingLabel& label) const;  ///< on paper
  std::vector<double> label_middles() const;
  double left_most() const;
  double right_most() const;
  double labels_left() const;

  std::string text(double x, double y, double paper_mm, const std::string& words,
                   const char* more = "") const;
  std::string line(double x1, double y1, double x2, double y2, double paper_mm) const;
  std::string ruler() const;
  std::string measures() const;
  std::string labels() const;
  std::string scale_bar(double y) const;
  std::string key(double y) const;

  const estimate::PieceModel& model_;
  const DrawingLayout& layout_;
  const DrawingOptions& options_;
  std::vector<DrawingLabel> labels_;
  double unit_ = 1.0;
  Frame frame_;
};

/// Where to put things of these heights as near to where they are wanted as they can stand without
/// lying over each other, their order kept: the sum of squared ways is least.
///
/// @param wanted  middles, rising or falling by nothing
/// @returns       middles, rising
std::vector<double> moved_apart(const std::vector<double>& wanted,
                                const std::vector<double>& heights);

}  // namespace ellwand::studio
