#pragma once
/// Figures as the weaver reads them: her units, and no more digits than the range supports.

#include "ellwand/estimate/estimate.hpp"
#include "ellwand/studio/studio.hpp"

#include <iosfwd>
#include <string>
#include <vector>

namespace ellwand::tools {

/// A step that amounts are told in, such as a gram of what a scale shows.
struct Steps {
  double size = 1.0;
};

/// The last place that a step leaves: a power of ten not above it, and whole units as long as the
/// step is under fifty of them.
double last_place(double value, Steps step);

/// The last place that half the width of a range leaves: that of such a step, or one finer where
/// the value would have one digit and the doubt begins with less than 3.55. So the digits hardly
/// hang on the unit: 2.7 between 1.8 and 4.0 as well as 27 between 18 and 40.
///
/// Source: a doubt from 100 to 354 has two digits, from 355 one: Particle Data Group, Review of
///         Particle Physics, introduction, rounding rules (from memory).
double last_place(double value, double doubt);

/// A number to its last place: 18.24 with a doubt of 2.2 is "18", 207 with one of 76 is "210", 2.68
/// with one of 1.1 is "2.7".
std::string rounded_to(double value, double doubt);
std::string rounded_to(double value, Steps step);

/// The same, up: for what has to be enough. `rounded_up` is the number that it shows.
double rounded_up(double value, Steps step);
std::string rounded_up_to(double value, double doubt);
std::string rounded_up_to(double value, Steps step);

/// Shows lengths and masses in the studio's units.
class Shower {
 public:
  explicit Shower(const studio::Shown& shown) : shown_(shown) {}

  const char* yarn_unit() const;
  const char* mass_unit() const;
  const char* size_unit() const;
  double yarn(double metres) const;
  double mass(double grams) const;
  double size(const Length<>& length) const;

  /// "18 m", with the digits that `doubt_m` leaves.
  std::string yarn_text(double metres, double doubt_m) const;
  std::string mass_text(double grams, double doubt_g) const;
  /// The same, rounded up.
  std::string enough_yarn_text(double metres, double doubt_m) const;
  std::string enough_mass_text(double grams, double doubt_g) const;
  /// Amounts told in steps, of metres and grams.
  std::string yarn_text(double metres, Steps step_m) const;
  std::string mass_text(double grams, Steps step_g) const;
  std::string enough_yarn_text(double metres, Steps step_m) const;
  std::string enough_mass_text(double grams, Steps step_g) const;
  /// "28.4 cm", to a millimetre or a tenth of an inch.
  std::string size_text(const Length<>& length) const;
  /// "1.9 cm" or "0.75 in": how thick a rod is.
  std::string rod_text(const Length<>& diameter) const;
  /// The same of one that still passes: never more than it is.
  std::string rod_text_within(const Length<>& diameter) const;
  /// "1.6 mm" or "0.063 in": of threads and rows.
  std::string thread_text(const Length<>& length) const;
  /// "2.50 per cm" or "6.35 per inch".
  std::string sett_text(const ThreadDensity<>& sett) const;
  /// "825 g per square metre" or "24.3 oz per square yard".
  std::string cloth_mass_text(const ArealDensity<>& mass) const;
  /// "500 tex (200 m to 100 g)" or "500 tex (992 yd to 1 lb)".
  std::string count_text(const LinearDensity<>& yarn) const;
  /// "16 to 21" without a unit, the ends outwards, so that the range printed holds the range
  /// reckoned.
  std::string ends_text(const estimate::Spread& spread, double unit) const;
  /// "18 (16 to 21)" without a unit.
  std::string range_text(const estimate::Spread& spread, double unit) const;

 private:
  studio::Shown shown_;
};

/// Rows of text in columns: the first and those named in `left` to the left, the rest to the right.
class TextTable {
 public:
  explicit TextTable(std::vector<std::string> heads, std::vector<std::size_t> left = {});
  void add(std::vector<std::string> cells);
  bool empty() const { return rows_.size() < 2; }
  void print(std::ostream& out) const;

 private:
  std::vector<std::vector<std::string>> rows_;
  std::vector<std::size_t> left_;
};

/// "1 in 20", for chances that are neither nothing nor sure.
std::string one_in(double chance);

/// Half the width of a range: the doubt by which its figures are rounded.
inline double half(const estimate::Spread& range) { return 0.5 * (range.high - range.low); }

/// "1 row", "36 rows"
std::string counted(int count, const std::string& one, const std::string& many);

/// "a", "a and b", "a, b and c".
std::string listed(const std::vector<std::string>& words);

}  // namespace ellwand::tools
