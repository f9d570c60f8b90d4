// Our linear rows and our calibration beside R's lme4, each given the same rows.

#include "peers.hpp"

#include "ellwand/calibrate/observe.hpp"
#include "ellwand/calibrate/reading.hpp"
#include "ellwand/calibrate/relinearise.hpp"
#include "support/simulated_studio.hpp"

#include <Eigen/Core>
#include <Eigen/LU>

#include <array>
#include <cmath>
#include <functional>
#include <limits>
#include <map>
#include <numbers>
#include <sstream>

namespace ellwand::bench {

namespace {

using calibrate::LinearRow;
using calibrate::Means;
using calibrate::NormalRows;

/// Less than this beyond what R had already is no figure.
constexpr double kPage_mb = 0.1;

constexpr double kNothingKnown = std::numeric_limits<double>::infinity();

/// What R says: "name value" lines.
using Figures = std::map<std::string, double>;

Figures from_r(const std::string& what, const std::string& folder) {
  const std::string command = "Rscript --vanilla " + test::source_folder() +
                              "/tests/bench/peers.R " + what + " " + folder + " 2>&1";
  Figures figures;
  FILE* const pipe = popen(command.c_str(), "r");
  if (pipe == nullptr) return figures;
  std::array<char, 512> line{};
  while (std::fgets(line.data(), line.size(), pipe) != nullptr) {
    std::istringstream words(line.data());
    std::string mark;
    std::string name;
    double value = 0.0;
    if (words >> mark >> name >> value && mark == "figure") {
      figures[name] = value;
    } else {
      fmt::print("  R: {}", line.data());
    }
  }
  pclose(pipe);
  return figures;
}

double figure(const Figures& figures, const std::string& name) {
  const auto found = figures.find(name);
  return found == figures.end() ? std::numeric_limits<double>::quiet_NaN() : found->second;
}

/// The greatest of a smooth function, by Newton's method with differences for slopes.
Eigen::VectorXd greatest(const std::function<double(const Eigen::VectorXd&)>& f,
                         Eigen::VectorXd at) {
  constexpr double kStep = 1e-3;
  const Eigen::Index n = at.size();
  const auto moved = [&](Eigen::Index i, double by_i, Eigen::Index j, double by_j) {
    Eigen::VectorXd x = at;
    x[i] += by_i * kStep;
    x[j] += by_j * kStep;
    return f(x);
  };
  for (int round = 0; round < 60; ++round) {
    const double here = f(at);
    Eigen::VectorXd slope(n);
    Eigen::MatrixXd bend(n, n);
    for (Eigen::Index i = 0; i < n; ++i) {
      const double above = moved(i, 1.0, i, 0.0);
      const double below = moved(i, -1.0, i, 0.0);
      slope[i] = (above - below) / (2.0 * kStep);
      bend(i, i) = (above - 2.0 * here + below) / (kStep * kStep);
      for (Eigen::Index j = 0; j < i; ++j) {
        bend(i, j) = bend(j, i) =
            (moved(i, 1, j, 1) - moved(i, 1, j, -1) - moved(i, -1, j, 1) + moved(i, -1, j, -1)) /
            (4.0 * kStep * kStep);
      }
    }
    Eigen::VectorXd step = -bend.fullPivLu().solve(slope);
    if (!step.allFinite() || step.dot(slope) < 0.0) step = slope;  // not at a peak: uphill
    const double longest = step.cwiseAbs().maxCoeff();
    if (longest > 0.7) step *= 0.7 / longest;
    while (step.norm() > 1e-9 && !(f(at + step) >= here)) step *= 0.5;
    at += step;
    if (step.norm() < 1e-7) break;
  }
  return at;
}

// --- variance components

/// Ten thousand rows of one of the models.
struct Table {
  std::string name;
  std::string formula;
  std::size_t common_levels = 0;  ///< of the random effect that is a common coefficient
  std::vector<double> x;
  std::vector<double> y;
  std::vector<std::size_t> large;  ///< level of the common one
  std::vector<std::size_t> small;  ///< of the one with most levels, each a "piece"
};

Table drawn(const std::string& name, const std::string& formula, std::size_t common_levels,
            const std::function<std::size_t(std::size_t row, test::Draws&)>& small_of,
            const std::function<std::size_t(std::size_t small, test::Draws&)>& large_of) {
  constexpr std::size_t kRows = 10000;
  Table table{name, formula, common_levels, {}, {}, {}, {}};
  test::Draws draws(7);
  std::vector<double> small_effect(1000);
  std::vector<double> large_effect(std::max<std::size_t>(1, common_levels));
  for (double& one : small_effect) one = 0.5 * draws.normal();
  for (double& one : large_effect) one = common_levels > 0 ? 0.8 * draws.normal() : 0.0;
  for (std::size_t i = 0; i < kRows; ++i) {
    const std::size_t small = small_of(i, draws);
    const std::size_t large = common_levels > 0 ? large_of(small, draws) : 0;
    const double x = draws.normal();
    table.small.push_back(small);
    table.large.push_back(large);
    table.x.push_back(x);
    table.y.push_back(2.0 + 0.3 * x + small_effect[small] + large_effect[large] + draws.normal());
  }
  return table;
}

std::vector<Table> tables() {
  const auto tenth = [](std::size_t row, test::Draws& /*draws*/) { return row / 10; };
  const auto any = [](std::size_t /*row*/, test::Draws& draws) {
    return static_cast<std::size_t>(draws.whole(0, 999));
  };
  return {drawn("linear", "y ~ x + (1 | small)", 0, tenth, {}),
          drawn("nested", "y ~ x + (1 | large / small)", 50, tenth,
                [](std::size_t small, test::Draws& /*draws*/) { return small / 20; }),
          drawn("crossed", "y ~ x + (1 | large) + (1 | small)", 50, any,
                [](std::size_t /*small*/, test::Draws& draws) {
                  return static_cast<std::size_t>(draws.whole(0, 49));
                })};
}

struct Components {
  double log_likelihood = 0.0;
  double intercept = 0.0;
  double slope = 0.0;
  double small_sd = 0.0;
  double large_sd = 0.0;
  double noise = 0.0;
};

NormalRows rows_of(const Table& table) {
  std::vector<LinearRow> rows(table.y.size());
  for (std::size_t i = 0; i < rows.size(); ++i) {
    rows[i].common = {{0, 1.0}, {1, table.x[i]}};
    if (table.common_levels > 0) rows[i].common.push_back({2 + table.large[i], 1.0});
    rows[i].own = {{0, 1.0}};
    rows[i].piece = table.small[i];
    rows[i].value = table.y[i];
  }
  return {rows, 2 + table.common_levels, 1};
}

/// The restricted likelihood at spreads over the noise, the noise put where it is greatest: by its
/// values at two noises, which have the sum of squares in them.
struct Profile {
  const NormalRows& rows;
  double left_over;  ///< rows less what is fitted freely
  std::size_t levels;

  std::vector<double> common(double large) const {
    std::vector<double> variances(2, kNothingKnown);
    variances.resize(2 + levels, large * large);
    return variances;
  }
  double at(const Eigen::VectorXd& logs, double noise) const {
    const double small = noise * std::exp(logs[0]);
    const double large = noise * (levels > 0 ? std::exp(logs[1]) : 0.0);
    return rows.without_own(std::array{small * small}, noise).log_likelihood(common(large));
  }
  double squares(const Eigen::VectorXd& logs, double at_1) const {
    return 4.0 / 3.0 * (2.0 * at(logs, 2.0) - 2.0 * at_1 + left_over * std::log(4.0));
  }
  double operator()(const Eigen::VectorXd& logs) const {
    const double at_1 = at(logs, 1.0);
    const double sum = squares(logs, at_1);
    return at_1 + 0.5 * sum - 0.5 * left_over * (1.0 + std::log(sum / left_over));
  }
};

Components fitted(const Table& table) {
  const NormalRows rows = rows_of(table);
  const Profile profile{rows, static_cast<double>(table.y.size()) - 2.0, table.common_levels};
  const Eigen::VectorXd best =
      greatest(profile, Eigen::VectorXd::Zero(table.common_levels > 0 ? 2 : 1));
  Components found;
  found.log_likelihood = profile(best);
  found.noise = std::sqrt(profile.squares(best, profile.at(best, 1.0)) / profile.left_over);
  found.small_sd = found.noise * std::exp(best[0]);
  found.large_sd = table.common_levels > 0 ? found.noise * std::exp(best[1]) : 0.0;
  const std::vector<double> means =
      rows.without_own(std::array{found.small_sd * found.small_sd}, found.noise)
          .posterior(profile.common(found.large_sd))
          .means;
  found.intercept = means[0];
  found.slope = means[1];
  return found;
}

void write(const Table& table, const std::string& folder) {
  std::ofstream file(folder + "/" + table.name + ".csv");
  file << "x,y,large,small\n";
  for (std::size_t i = 0; i < table.y.size(); ++i) {
    file << fmt::format("{:.17g},{:.17g},{},{}\n", table.x[i], table.y[i], table.large[i],
                        table.small[i]);
  }
}

}  // namespace

void mixed_models_beside_lme4(const std::string& folder) {
  const std::vector<Table> all = tables();
  std::ofstream models(folder + "/models.txt");
  for (const Table& table : all) {
    write(table, folder);
    models << table.name << '\t' << table.formula << '\n';
  }
  models.close();
  const Figures r = from_r("mixed", folder);
  fmt::print(
      "Variance components: 10000 rows, 1000 small groups, 50 large ones; restricted "
      "likelihood; ours maximises it with the rows of calibrate, R with lme4's lmer.\n\n");
  fmt::print("{:<9} {:<6} {:>16} {:>10} {:>9} {:>9} {:>9} {:>9} {:>9} {:>9}\n", "", "",
             "log-likelihood", "intercept", "slope", "sd small", "sd large", "residual", "time",
             "memory");
  for (const Table& table : all) {
    Components ours;
    const Cost cost = cost_of([&] { ours = fitted(table); });
    const auto of_r = [&](const char* what) { return figure(r, table.name + "." + what); };
    fmt::print(
        "{:<9} {:<6} {:>16.6f} {:>10.6f} {:>9.6f} {:>9.6f} {:>9.6f} {:>9.6f} {:>9} {:>6.1f} MB\n",
        table.name, "ours", ours.log_likelihood, ours.intercept, ours.slope, ours.small_sd,
        ours.large_sd, ours.noise, shown_seconds(cost.seconds), cost.peak_mb);
    fmt::print(
        "{:<9} {:<6} {:>16.6f} {:>10.6f} {:>9.6f} {:>9.6f} {:>9.6f} {:>9.6f} {:>9} {:>6.1f} MB\n",
        "", "lme4", of_r("loglik"), of_r("intercept"), of_r("slope"), of_r("small"), of_r("large"),
        of_r("residual"), shown_seconds(of_r("seconds")), of_r("peak_mb"));
    const double theirs_mb = of_r("peak_mb");
    fmt::print("{:<9} {:<6} {:>92.3f} {:>9}\n", "", "ours / theirs", cost.seconds / of_r("seconds"),
               theirs_mb < kPage_mb ? "-" : fmt::format("{:.3f}", cost.peak_mb / theirs_mb));
  }
  fmt::print("\n");
}

// --- whole calibrations

namespace {

/// One coefficient of the studio, before anything is measured.
struct Prior {
  std::string name;
  double spread = 0.0;
};

/// The rows of calibrate with every spread as it starts and errors normal, written from what the
/// library offers: so that R can be given the very rows.
class PlainCalibration {
 public:
  explicit PlainCalibration(const std::vector<calibrate::Swatch>& swatches)
      : swatches_(swatches), workshop_(test::demo_workshop()) {
    for (const calibrate::Swatch& swatch : swatches) prepare(swatch);
  }

  void run() {
    Means means{std::vector<double>(common_.size(), 0.0),
                std::vector<double>(2 * swatches_.size(), 0.0)};
    Means units;
    std::vector<double> common_variances;
    for (const Prior& one : common_) {
      units.common.push_back(one.spread);
      common_variances.push_back(one.spread * one.spread);
    }
    const std::array<double, 2> own = own_spreads();
    for (std::size_t p = 0; p < swatches_.size(); ++p) {
      units.own.insert(units.own.end(), own.begin(), own.end());
    }
    const std::array own_variances = {own[0] * own[0], own[1] * own[1]};
    ended_ = calibrate::relinearise(
        means, units,
        [&](const Means& at) {
          const auto start = std::chrono::steady_clock::now();
          rounds_.push_back(rows_at(at));
          linearising_ += seconds_since(start);
          return NormalRows(rounds_.back(), common_.size(), 2);
        },
        [&](const NormalRows& rows, double /*moved*/) {
          posterior_ = rows.without_own(own_variances).posterior(common_variances);
          return calibrate::Proposal{
              {posterior_.means, rows.own_means(own_variances, posterior_.means)}, true};
        },
        1e-6, 100);
    means_ = means;
  }

  const std::vector<std::vector<LinearRow>>& rounds() const { return rounds_; }
  const std::vector<Prior>& common() const { return common_; }
  const Means& means() const { return means_; }
  const calibrate::Posterior& posterior() const { return posterior_; }
  double linearising() const { return linearising_; }
  std::array<double, 2> own_spreads() const {
    return {test::starting_values().at("piece").spread,
            test::starting_values().at("beat.piece").spread};
  }

  /// Where the second and the first slope of a piece's own are: of each round, one file.
  void write(const std::string& stem) const {
    std::ofstream priors(stem + ".priors.csv");
    priors << "name,spread,group\n";
    for (const Prior& one : common_) {
      priors << fmt::format("{},{:.17g},{}\n", one.name, one.spread,
                            one.name.rfind("yarn ", 0) == 0 ? "yarn" : "held");
    }
    const std::array<double, 2> own = own_spreads();
    for (std::size_t p = 0; p < swatches_.size(); ++p) {
      for (const double spread : own) priors << fmt::format("own {},{:.17g},piece\n", p, spread);
    }
    for (std::size_t k = 0; k < rounds_.size(); ++k) write_round(fmt::format("{}.{}", stem, k), k);
  }

 private:
  void prepare(const calibrate::Swatch& swatch) {
    const auto yarns = estimate::yarns_of(swatch.piece, workshop_.yarns);
    estimate::Coefficients starting =
        estimate::starting_coefficients(workshop_.values, yarns, 0, false);
    const auto ids = estimate::coefficient_ids(swatch.piece, yarns, 0);
    // A lone weaver's own way is in the hand.
    double& hand = starting.spreads[index_of(estimate::Shared::Hand)];
    hand = std::hypot(hand, starting.spreads[index_of(estimate::Shared::Weaver)]);
    std::vector<std::ptrdiff_t>& places = places_.emplace_back();
    for (std::size_t c = 0; c < starting.size(); ++c) {
      if (c == index_of(estimate::Shared::PieceTake)) {
        places.push_back(kTake);
      } else if (c == index_of(estimate::Shared::BeatPiece)) {
        places.push_back(kBeat);
      } else if (c == index_of(estimate::Shared::Weaver) || ids[c].empty()) {
        places.push_back(kLeftOut);
      } else {
        const auto [place, is_new] = place_of_.emplace(ids[c], common_.size());
        if (is_new) common_.push_back({ids[c], starting.spreads[c]});
        places.push_back(static_cast<std::ptrdiff_t>(place->second));
      }
    }
  }

  std::vector<LinearRow> rows_at(const Means& at) const {
    std::vector<LinearRow> rows;
    for (std::size_t s = 0; s < swatches_.size(); ++s) add_rows(s, at, rows);
    return rows;
  }

  double mean_at(const Means& at, std::size_t swatch, std::ptrdiff_t place) const {
    if (place == kTake) return at.own[2 * swatch];
    if (place == kBeat) return at.own[2 * swatch + 1];
    return place == kLeftOut ? 0.0 : at.common[static_cast<std::size_t>(place)];
  }

  void add_rows(std::size_t s, const Means& at, std::vector<LinearRow>& rows) const {
    const std::vector<std::ptrdiff_t>& places = places_[s];
    estimate::Coefficients here;
    here.spreads.assign(places.size(), 1.0);
    for (const std::ptrdiff_t place : places) here.means.push_back(mean_at(at, s, place));
    const estimate::PieceModel model(swatches_[s].piece, workshop_, here);
    const calibrate::Observed observed(model, workshop_.values);
    for (const calibrate::Measurement& measured : swatches_[s].measurements) {
      const calibrate::Expected expected = observed.expected(measured);
      const double kind = workshop_.values.median(calibrate::error_name(measured.what));
      const calibrate::LogReading reading = calibrate::log_reading(
          {measured.value, measured.reading_sd, measured.value < 5.0 * measured.step},
          expected.log_value, std::hypot(kind, expected.extra_sd));
      LinearRow row;
      row.piece = s;
      row.value = reading.residual;
      row.sd = reading.sd;
      for (std::size_t c = 0; c < places.size(); ++c) {
        const double slope = expected.slopes[c];
        if (slope == 0.0 || places[c] == kLeftOut) continue;
        row.value += slope * here.means[c];
        if (places[c] < 0) {
          row.own.push_back({places[c] == kTake ? 0U : 1U, slope});
        } else {
          row.common.push_back({static_cast<std::size_t>(places[c]), slope});
        }
      }
      rows.push_back(row);
    }
  }

  void write_round(const std::string& stem, std::size_t round) const {
    std::ofstream rows(stem + ".rows.csv");
    std::ofstream slopes(stem + ".slopes.csv");
    rows << "y,sd\n";
    slopes << "row,coefficient,slope\n";
    for (std::size_t i = 0; i < rounds_[round].size(); ++i) {
      const LinearRow& row = rounds_[round][i];
      rows << fmt::format("{:.17g},{:.17g}\n", row.value, row.sd);
      const auto put = [&](std::size_t coefficient, double slope) {
        slopes << fmt::format("{},{},{:.17g}\n", i + 1, coefficient + 1, slope);
      };
      for (const calibrate::Slope& one : row.common) put(one.coefficient, one.slope);
      for (const calibrate::Slope& one : row.own) {
        put(common_.size() + 2 * row.piece + one.coefficient, one.slope);
      }
    }
  }

  static constexpr std::ptrdiff_t kTake = -1;
  static constexpr std::ptrdiff_t kBeat = -2;
  static constexpr std::ptrdiff_t kLeftOut = -3;

  const std::vector<calibrate::Swatch>& swatches_;
  estimate::Workshop workshop_;
  std::vector<Prior> common_;
  std::map<std::string, std::size_t> place_of_;
  std::vector<std::vector<std::ptrdiff_t>> places_;  ///< swatch by swatch
  std::vector<std::vector<LinearRow>> rounds_;
  calibrate::Relinearised ended_;
  calibrate::Posterior posterior_;
  Means means_;
  double linearising_ = 0.0;
};

/// The farthest that two sets of means lie apart, in posterior sds of the first.
double farthest_apart(const calibrate::Fit& fit,
                      const std::function<double(const std::string&)>& other) {
  double farthest = 0.0;
  for (const calibrate::FittedCoefficient& one : fit.coefficients) {
    farthest = std::max(farthest, std::abs(one.mean - other(one.name)) / one.spread);
  }
  return farthest;
}

/// What nlmer can be told of a swatch: ln mass = a + take + work + c1 row + c2 row^2, ln height = a
/// + row, by the work's take and one number for how high the rows lie.
struct Simple {
  std::size_t swatch = 0;
  bool is_mass = false;
  std::size_t yarn = 0;
  std::size_t work = 0;  ///< weave, soumak, twining
  double y = 0.0;        ///< ln of the reading, less what is expected at the starting values
  double sd = 0.0;
  double c1 = 0.0;
  double c2 = 0.0;
};

double expected_at(const calibrate::Swatch& swatch, const calibrate::Measurement& measurement,
                   double row) {
  const estimate::Workshop workshop = test::demo_workshop();
  const auto yarns = estimate::yarns_of(swatch.piece, workshop.yarns);
  estimate::Coefficients here = estimate::starting_coefficients(workshop.values, yarns, 0, false);
  here.means[index_of(estimate::Shared::BeatPiece)] = row;
  const estimate::PieceModel model(swatch.piece, workshop, here);
  return calibrate::Observed(model, workshop.values).expected(measurement).log_value;
}

std::vector<Simple> simple_rows(const std::vector<calibrate::Swatch>& swatches) {
  constexpr double kStep = 0.05;
  std::vector<Simple> rows;
  std::map<std::string, std::size_t> yarns;
  for (std::size_t s = 0; s < swatches.size(); ++s) {
    const technique::Work& work = swatches[s].piece.bands.front().work;
    std::string yarn;
    technique::for_each_strand(work, [&](const technique::Strand& strand) { yarn = strand.yarn; });
    for (const calibrate::Measurement& one : swatches[s].measurements) {
      Simple row{s, one.what == calibrate::Measured::Mass};
      row.yarn = yarns.emplace(yarn, yarns.size()).first->second;
      row.work = std::holds_alternative<technique::Soumak>(work)    ? 1
                 : std::holds_alternative<technique::Twining>(work) ? 2
                                                                    : 0;
      const double middle = expected_at(swatches[s], one, 0.0);
      const double above = expected_at(swatches[s], one, kStep) - middle;
      const double below = expected_at(swatches[s], one, -kStep) - middle;
      row.y = std::log(one.value) - middle;
      row.sd = std::hypot(test::starting_values().median(calibrate::error_name(one.what)),
                          one.reading_sd / one.value);
      row.c1 = (above - below) / (2.0 * kStep);
      row.c2 = (above + below) / (2.0 * kStep * kStep);
      rows.push_back(row);
    }
  }
  return rows;
}

/// What both sides estimate of it: take of weave, and what soumak, twining and rows have beyond;
/// spreads of take between yarns and of rows between swatches; noise over the readings' own sds.
struct SimpleFit {
  std::array<double, 4> fixed{};
  std::array<double, 3> spreads{};
  double log_likelihood = 0.0;
};
constexpr const char* kSimpleNames[] = {"take", "soumak", "twining", "row"};

NormalRows linearised(const std::vector<Simple>& simple, std::size_t yarns, const Means& at) {
  std::vector<LinearRow> rows;
  for (const Simple& one : simple) {
    const double row = at.common[3] + at.own[one.swatch];
    const double slope = one.c1 + 2.0 * one.c2 * row;
    LinearRow linear;
    linear.piece = one.swatch;
    linear.sd = one.sd;
    linear.value = one.y + one.c2 * row * row;  // what the slope takes too much
    if (one.is_mass) {
      linear.common = {{0, 1.0}, {4 + one.yarn, 1.0}};
      if (one.work > 0) linear.common.push_back({one.work, 1.0});
    }
    linear.common.push_back({3, slope});
    linear.own = {{0, slope}};
    rows.push_back(linear);
  }
  return {rows, 4 + yarns, 1};
}

std::vector<double> simple_priors(std::size_t yarns, double yarn_sd) {
  std::vector<double> variances(4, kNothingKnown);
  variances.resize(4 + yarns, yarn_sd * yarn_sd);
  return variances;
}

/// The likelihood at its greatest over what is fitted freely: see
/// Relinearise.OrangeTreesAsNlmeDoes.
double greatest_over_fixed(const NormalRows& rows, std::size_t yarns, const Eigen::VectorXd& logs) {
  const double own = std::exp(logs[1]);
  const calibrate::CommonRows common = rows.without_own(std::array{own * own}, std::exp(logs[2]));
  const std::vector<double> priors = simple_priors(yarns, std::exp(logs[0]));
  const std::vector<double> covariances = common.posterior(priors).covariances;
  const auto size = static_cast<Eigen::Index>(4 + yarns);
  const Eigen::MatrixXd of_fixed =
      Eigen::Map<const Eigen::MatrixXd>(covariances.data(), size, size).topLeftCorner(4, 4);
  return common.log_likelihood(priors) - 2.0 * std::log(2.0 * std::numbers::pi) -
         0.5 * std::log(of_fixed.determinant());
}

SimpleFit fitted(const std::vector<Simple>& simple, std::size_t swatches, std::size_t yarns) {
  Means means{std::vector<double>(4 + yarns, 0.0), std::vector<double>(swatches, 0.0)};
  const Means units{std::vector<double>(4 + yarns, 1.0), std::vector<double>(swatches, 1.0)};
  Eigen::VectorXd logs(3);
  logs << std::log(0.05), std::log(0.05), 0.0;
  SimpleFit fit;
  calibrate::relinearise(
      means, units, [&](const Means& at) { return linearised(simple, yarns, at); },
      [&](const NormalRows& rows, double /*moved*/) {
        logs = greatest([&](const auto& x) { return greatest_over_fixed(rows, yarns, x); }, logs);
        const double own = std::exp(logs[1]);
        const double noise = std::exp(logs[2]);
        const std::vector<double> common = rows.without_own(std::array{own * own}, noise)
                                               .posterior(simple_priors(yarns, std::exp(logs[0])))
                                               .means;
        fit.log_likelihood = greatest_over_fixed(rows, yarns, logs);
        return calibrate::Proposal{{common, rows.own_means(std::array{own * own}, common, noise)},
                                   true};
      },
      1e-6, 50);
  std::copy_n(means.common.begin(), 4, fit.fixed.begin());
  for (int i = 0; i < 3; ++i) fit.spreads[static_cast<std::size_t>(i)] = std::exp(logs[i]);
  return fit;
}

void write(const std::vector<Simple>& rows, const std::string& file) {
  std::ofstream out(file);
  out << "swatch,mass,yarn,soumak,twining,y,sd,c1,c2\n";
  for (const Simple& row : rows) {
    out << fmt::format("{},{},{},{},{},{:.17g},{:.17g},{:.17g},{:.17g}\n", row.swatch,
                       row.is_mass ? 1 : 0, row.yarn, row.work == 1 ? 1 : 0, row.work == 2 ? 1 : 0,
                       row.y, row.sd, row.c1, row.c2);
  }
}

void print_simple(int count, const SimpleFit& ours, double seconds, const Figures& r) {
  const auto of_r = [&](const std::string& what) {
    return figure(r, fmt::format("nlmer.{}.{}", count, what));
  };
  fmt::print("  the nearest model nlmer can state, by both:\n");
  fmt::print("  {:<8} {:>9} {:>9} {:>9} {:>9} {:>9} {:>9} {:>9} {:>11} {:>9}\n", "", "take",
             "soumak", "twining", "row", "sd yarns", "sd rows", "noise", "likelihood", "time");
  fmt::print("  {:<8}", "ours");
  for (const double one : ours.fixed) fmt::print(" {:>9.5f}", one);
  for (const double one : ours.spreads) fmt::print(" {:>9.5f}", one);
  fmt::print(" {:>11.4f} {:>9}\n  {:<8}", ours.log_likelihood, shown_seconds(seconds), "nlmer");
  for (const char* name : kSimpleNames) fmt::print(" {:>9.5f}", of_r(name));
  for (const char* name : {"sd_yarn", "sd_row", "noise"}) fmt::print(" {:>9.5f}", of_r(name));
  fmt::print(" {:>11.4f} {:>9}\n", of_r("loglik"), shown_seconds(of_r("seconds")));
  fmt::print("  ours / theirs of the time: {:.4f}\n", seconds / of_r("seconds"));
}

struct OneCalibration {
  int count = 0;
  std::vector<calibrate::Swatch> swatches;
  std::vector<Simple> simple;
  calibrate::Fit whole;  ///< as `calibrate` has it
  calibrate::Fit plain;  ///< spreads as they start, normal errors
  Cost of_whole;
  Cost of_plain;
  Cost of_simple;
  SimpleFit by_us;
};

std::size_t yarns_in(const std::vector<Simple>& rows) {
  std::size_t most = 0;
  for (const Simple& row : rows) most = std::max(most, row.yarn + 1);
  return most;
}

void print_calibration(const OneCalibration& one, const PlainCalibration& same, const Figures& r) {
  const auto of_r = [&](const std::string& what) {
    return figure(r, fmt::format("lmer.{}.{}", one.count, what));
  };
  std::map<std::string, std::size_t> places;
  for (std::size_t i = 0; i < same.common().size(); ++i) places[same.common()[i].name] = i;
  const auto by = [&](const std::string& stem) {
    return [&, stem](const std::string& name) {
      return of_r(stem + std::to_string(places.at(name) + 1));
    };
  };
  const double ours_s = one.of_plain.seconds;
  const double theirs_s = of_r("held_seconds");
  fmt::print("{} swatches, {} readings, {} common coefficients, {} of the pieces' own\n", one.count,
             same.rounds().back().size(), same.common().size(), 2 * one.count);
  fmt::print("  {:<66} {:>10} {:>9}\n", "", "time", "memory");
  fmt::print("  {:<66} {:>10} {:>6.1f} MB\n",
             "ours: calibrate::fit, spreads averaged, errors by Student's t",
             shown_seconds(one.of_whole.seconds), one.of_whole.peak_mb);
  fmt::print("  {:<66} {:>10} {:>6.1f} MB\n", "ours: the same, spreads held, normal errors",
             shown_seconds(ours_s), one.of_plain.peak_mb);
  fmt::print("  {:<66} {:>10} {:>6.1f} MB\n",
             fmt::format("lme4: its {} rounds of linearised rows, spreads held (linearised by us)",
                         same.rounds().size()),
             shown_seconds(theirs_s), of_r("held_peak_mb"));
  fmt::print("  {:<66} {:>10} {:>6.1f} MB\n",
             "lme4: the last round, likeliest spreads of pieces and yarns",
             shown_seconds(of_r("likeliest_seconds")), of_r("likeliest_peak_mb"));
  fmt::print(
      "  ours / theirs: spreads held {:.3f}, ours averaged / theirs likeliest (one round) {:.3f}\n",
      ours_s / theirs_s, one.of_whole.seconds / of_r("likeliest_seconds"));
  fmt::print(
      "  farthest apart, in posterior sds: same model {:.2g} (lme4 on our last rows), averaged "
      "and likeliest spreads {:.2g}\n",
      farthest_apart(one.plain, by("held.")), farthest_apart(one.whole, by("likeliest.")));
  print_simple(one.count, one.by_us, one.of_simple.seconds, r);
  fmt::print("  calibrate::fit, all of it, over nlmer's time: {:.4f}\n\n",
             one.of_whole.seconds / figure(r, fmt::format("nlmer.{}.seconds", one.count)));
}

}  // namespace

void calibrations_beside_lme4(const std::string& folder) {
  std::vector<OneCalibration> all;
  std::vector<std::unique_ptr<PlainCalibration>> same;
  std::ofstream list(folder + "/calibrations.txt");
  const estimate::Workshop workshop = test::demo_workshop();
  calibrate::FitOptions held;
  held.average_spreads = false;
  held.robustness = std::numeric_limits<double>::infinity();
  all.reserve(2);
  for (const int count : {24, 1000}) {
    OneCalibration& one = all.emplace_back();
    one.count = count;
    one.swatches = test::SimulatedSeason(1, {}, count).swatches();
    one.simple = simple_rows(one.swatches);
    calibrate::fit(one.swatches, workshop);  // warm, as R's is
    one.of_whole = cost_of([&] { one.whole = calibrate::fit(one.swatches, workshop); });
    one.of_plain = cost_of([&] { one.plain = calibrate::fit(one.swatches, workshop, held); });
    one.of_simple =
        cost_of([&] { one.by_us = fitted(one.simple, one.swatches.size(), yarns_in(one.simple)); });
    same.push_back(std::make_unique<PlainCalibration>(one.swatches));
    same.back()->run();
    same.back()->write(fmt::format("{}/calibration-{}", folder, count));
    write(one.simple, fmt::format("{}/simple-{}.csv", folder, count));
    list << count << ' ' << same.back()->rounds().size() << '\n';
  }
  list.close();
  const Figures r = from_r("calibrations", folder);
  fmt::print(
      "Whole calibrations of a simulated studio, beside lme4.\n"
      "lmer: its own penalised least squares on our rows, whose design and priors are put in place "
      "of its "
      "grouping factors; it has no model of a reading, so we linearise for it, and its time is of "
      "the "
      "solving alone.\n"
      "nlmer: needs the model as one expression with slopes, so it is given ln mass = take + work "
      "+ c1 row + "
      "c2 row^2 and ln height = row, coefficients from our geometry, take unlike from yarn to yarn "
      "and row "
      "from swatch to swatch. Left out there: priors, thickness, lots, hand, what heights share by "
      "work, "
      "errors by Student's t. Its likelihood is Laplace's, ours that of the linearised rows.\n\n");
  for (std::size_t k = 0; k < all.size(); ++k) print_calibration(all[k], *same[k], r);
}

}  // namespace ellwand::bench
