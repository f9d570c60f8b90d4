#pragma once
/// The nonlinear problems of NIST's Statistical Reference Datasets: models, data, certified values.

#include <array>
#include <cmath>
#include <cstddef>
#include <map>
#include <memory>
#include <numbers>
#include <span>
#include <string>
#include <vector>

#include "ellwand/numeric/dual.hpp"
#include "support/published_rows.hpp"

namespace ellwand::test {

inline Dual pow(const Dual& base, const Dual& power) {
  const double value = std::pow(base.value, power.value);
  return detail::chain(base, power, value, power.value * std::pow(base.value, power.value - 1.0),
                       value * std::log(base.value));
}
inline double pow(double base, double power) { return std::pow(base, power); }
inline double atan(double x) { return std::atan(x); }
inline Dual atan(const Dual& x) { return atan2(x, Dual(1.0)); }

/// Data of a problem and its model with plain numbers and with slopes.
class NistModel {
 public:
  NistModel() = default;
  NistModel(const NistModel&) = delete;
  NistModel& operator=(const NistModel&) = delete;
  virtual ~NistModel() = default;
  /// Model less data, row after row.
  virtual void residuals(std::span<const double> b, std::span<double> out) const = 0;
  /// Slopes, row after row.
  virtual void slopes(std::span<const double> b, std::span<double> out) const = 0;

  std::vector<double> y;
  std::vector<double> x;
  std::vector<double> x2;
};

template <class Formula>
class NistModelOf final : public NistModel {
 public:
  void residuals(std::span<const double> b, std::span<double> out) const override {
    for (std::size_t i = 0; i < y.size(); ++i) out[i] = Formula::at(b.data(), x[i], x2[i]) - y[i];
  }
  /// A Dual carries kSlopes slopes; more parameters take another round.
  void slopes(std::span<const double> b, std::span<double> out) const override {
    std::vector<Dual> dual(b.begin(), b.end());
    for (std::size_t first = 0; first < b.size(); first += kSlopes) {
      const std::size_t end = std::min(first + kSlopes, b.size());
      for (std::size_t j = 0; j < b.size(); ++j) {
        dual[j] = first <= j && j < end ? Dual::variable(b[j], j - first) : Dual(b[j]);
      }
      for (std::size_t i = 0; i < y.size(); ++i) {
        const Dual f = Formula::at(dual.data(), x[i], x2[i]);
        for (std::size_t j = first; j < end; ++j) out[i * b.size() + j] = f.slope[j - first];
      }
    }
  }
};

// The models as NIST writes them; b is numbered from 0 here.
namespace nist {
using std::cos;
using std::exp;
using std::log;
using std::sin;
using std::sqrt;

// NOLINTBEGIN(readability-identifier-naming)
#define NIST_MODEL(name, formula)                            \
  struct name {                                              \
    template <class Scalar>                                  \
    static Scalar at(const Scalar* b, double x, double x2) { \
      (void)x2;                                              \
      return formula;                                        \
    }                                                        \
  }

template <class Scalar>
Scalar squared(const Scalar& a) {
  return a * a;
}

NIST_MODEL(Bennett5, b[0] * pow(b[1] + x, -1.0 / b[2]));
NIST_MODEL(BoxBod, b[0] * (1.0 - exp(-b[1] * x)));
NIST_MODEL(Chwirut, exp(-b[0] * x) / (b[1] + b[2] * x));
NIST_MODEL(DanWood, b[0] * pow(Scalar(x), b[1]));
NIST_MODEL(Enso, b[0] + b[1] * std::cos(2.0 * std::numbers::pi * x / 12.0) +
                     b[2] * std::sin(2.0 * std::numbers::pi * x / 12.0) +
                     b[4] * cos(2.0 * std::numbers::pi * x / b[3]) +
                     b[5] * sin(2.0 * std::numbers::pi * x / b[3]) +
                     b[7] * cos(2.0 * std::numbers::pi * x / b[6]) +
                     b[8] * sin(2.0 * std::numbers::pi * x / b[6]));
NIST_MODEL(Eckerle4, b[0] / b[1] * exp(-0.5 * squared((x - b[2]) / b[1])));
NIST_MODEL(Gauss, b[0] * exp(-b[1] * x) + b[2] * exp(-squared((x - b[3]) / b[4])) +
                      b[5] * exp(-squared((x - b[6]) / b[7])));
NIST_MODEL(Cubics, (b[0] + x * (b[1] + x * (b[2] + x * b[3]))) /
                       (1.0 + x * (b[4] + x * (b[5] + x * b[6]))));
NIST_MODEL(Kirby2, (b[0] + x * (b[1] + x * b[2])) / (1.0 + x * (b[3] + x * b[4])));
NIST_MODEL(Lanczos, b[0] * exp(-b[1] * x) + b[2] * exp(-b[3] * x) + b[4] * exp(-b[5] * x));
NIST_MODEL(Mgh09, b[0] * (x * x + x * b[1]) / (x * x + x * b[2] + b[3]));
NIST_MODEL(Mgh10, b[0] * exp(b[1] / (x + b[2])));
NIST_MODEL(Mgh17, b[0] + b[1] * exp(-x * b[3]) + b[2] * exp(-x * b[4]));
NIST_MODEL(Misra1a, b[0] * (1.0 - exp(-b[1] * x)));
NIST_MODEL(Misra1b, b[0] * (1.0 - 1.0 / squared(1.0 + b[1] * x / 2.0)));
NIST_MODEL(Misra1c, b[0] * (1.0 - 1.0 / sqrt(1.0 + 2.0 * b[1] * x)));
NIST_MODEL(Misra1d, b[0] * b[1] * x / (1.0 + b[1] * x));
NIST_MODEL(Nelson, b[0] - b[1] * x * exp(-b[2] * x2));
NIST_MODEL(Rat42, b[0] / (1.0 + exp(b[1] - b[2] * x)));
NIST_MODEL(Rat43, b[0] / pow(1.0 + exp(b[1] - b[2] * x), 1.0 / b[3]));
NIST_MODEL(Roszman1, b[0] - b[1] * x - atan(b[2] / (x - b[3])) / std::numbers::pi);
#undef NIST_MODEL
// NOLINTEND(readability-identifier-naming)

template <class Formula>
std::unique_ptr<NistModel> made() {
  return std::make_unique<NistModelOf<Formula>>();
}

inline std::unique_ptr<NistModel> model_named(const std::string& name) {
  static const std::map<std::string, std::unique_ptr<NistModel> (*)()> kMakers = {
      {"Bennett5", made<Bennett5>}, {"BoxBOD", made<BoxBod>},     {"Chwirut1", made<Chwirut>},
      {"Chwirut2", made<Chwirut>},  {"DanWood", made<DanWood>},   {"ENSO", made<Enso>},
      {"Eckerle4", made<Eckerle4>}, {"Gauss1", made<Gauss>},      {"Gauss2", made<Gauss>},
      {"Gauss3", made<Gauss>},      {"Hahn1", made<Cubics>},      {"Kirby2", made<Kirby2>},
      {"Lanczos1", made<Lanczos>},  {"Lanczos2", made<Lanczos>},  {"Lanczos3", made<Lanczos>},
      {"MGH09", made<Mgh09>},       {"MGH10", made<Mgh10>},       {"MGH17", made<Mgh17>},
      {"Misra1a", made<Misra1a>},   {"Misra1b", made<Misra1b>},   {"Misra1c", made<Misra1c>},
      {"Misra1d", made<Misra1d>},   {"Nelson", made<Nelson>},     {"Rat42", made<Rat42>},
      {"Rat43", made<Rat43>},       {"Roszman1", made<Roszman1>}, {"Thurber", made<Cubics>}};
  return kMakers.at(name)();
}
}  // namespace nist

/// A problem with its certified results.
struct NistProblem {
  std::string name;
  std::unique_ptr<NistModel> model;
  std::array<std::vector<double>, 2> starts;
  std::vector<double> certified;
  std::vector<double> certified_sd;
  double certified_rss = 0.0;
  double certified_residual_sd = 0.0;
};

/// All 27 from data/published/nist.
inline std::vector<NistProblem> nist_problems() {
  std::vector<NistProblem> problems;
  std::map<std::string, std::size_t> place;
  for (const PublishedRow& row : published_rows("nist/nonlinear_problems.csv", 27)) {
    place[row.at("problem")] = problems.size();
    NistProblem& problem = problems.emplace_back();
    problem.name = row.at("problem");
    problem.model = nist::model_named(problem.name);
    problem.certified_rss = number(row, "certified_rss");
    problem.certified_residual_sd = number(row, "certified_residual_sd");
  }
  for (const PublishedRow& row : published_rows("nist/nonlinear_parameters.csv", 100)) {
    NistProblem& problem = problems[place.at(row.at("problem"))];
    problem.starts[0].push_back(number(row, "start_1"));
    problem.starts[1].push_back(number(row, "start_2"));
    problem.certified.push_back(number(row, "certified"));
    problem.certified_sd.push_back(number(row, "certified_sd"));
  }
  for (const PublishedRow& row : published_rows("nist/nonlinear_data.csv", 2000)) {
    NistModel& model = *problems[place.at(row.at("problem"))].model;
    const double y = number(row, "y");
    model.y.push_back(row.at("problem") == "Nelson" ? std::log(y) : y);
    model.x.push_back(number(row, "x1"));
    model.x2.push_back(row.at("x2").empty() ? 0.0 : number(row, "x2"));
  }
  return problems;
}

/// Digits that agree: -log10 of the relative error, at most 11 (NIST's log relative error).
inline double digits(double found, double certified) {
  const double error = std::abs(found - certified) / std::abs(certified);
  if (!std::isfinite(error)) return 0.0;
  return error < 1e-11 ? 11.0 : std::max(0.0, -std::log10(error));
}

/// The fewest over all parameters.
inline double fewest_digits(std::span<const double> found, std::span<const double> certified) {
  double fewest = 11.0;
  for (std::size_t j = 0; j < certified.size(); ++j) {
    fewest = std::min(fewest, digits(found[j], certified[j]));
  }
  return fewest;
}

}  // namespace ellwand::test
