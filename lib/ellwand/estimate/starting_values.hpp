#pragma once
/// What the engine assumes before it has measured anything: one table, read by estimate and
/// calibrate alike. Nothing in it is compiled in.

#include "ellwand/yarn/yarn.hpp"

#include <functional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

namespace ellwand::estimate {

/// How the doubt about a value is stated.
enum class SpreadScale {
  None,      ///< not fitted
  Log,       ///< standard deviation of its logarithm
  Absolute,  ///< standard deviation of the value itself, in its own unit
};

/// How the calibration treats the spread: held, summed over a grid, or by a quadrature rule.
enum class SpreadTreatment { Held, Grid, Rule };

struct StartingValue {
  std::string name;     ///< "take.weave"
  double median = 0.0;  ///< a ratio, or metres, grams, minutes
  double spread = 0.0;  ///< on its scale
  SpreadScale scale = SpreadScale::None;
  SpreadTreatment treatment = SpreadTreatment::Held;
  std::string shared_by;  ///< "a work", "the studio", ...
  std::string meaning;    ///< in a weaver's words
  std::string source;
};

class StartingValues {
 public:
  struct Hash {
    using is_transparent = void;
    std::size_t operator()(std::string_view name) const {
      return std::hash<std::string_view>{}(name);
    }
  };
  using Table = std::unordered_map<std::string, StartingValue, Hash, std::equal_to<>>;

  /// @throws std::invalid_argument naming the first of required_names() that is missing
  explicit StartingValues(std::vector<StartingValue> values);

  /// @throws std::out_of_range for a name the table does not have
  const StartingValue& at(std::string_view name) const;
  double median(std::string_view name) const { return at(name).median; }
  const Table& all() const { return values_; }

  yarn::Packing packing() const;

  /// Every name an estimate may ask for.
  static const std::vector<std::string>& required_names();

 private:
  Table values_;
};

}  // namespace ellwand::estimate
