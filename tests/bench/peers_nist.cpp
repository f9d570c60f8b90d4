// Our least squares beside Ceres, GSL and Eigen's Levenberg-Marquardt: the same residuals, the same
// slopes, the same starts, evaluations counted alike (residuals once = 1, slopes once = 1).

#include "peers.hpp"

#include "numeric/nist_fits.hpp"
#include "support/draws.hpp"

#include <ceres/ceres.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_multifit_nlinear.h>
#include <unsupported/Eigen/NonLinearOptimization>

#include <cmath>
#include <functional>
#include <limits>

namespace ellwand::bench {

namespace {

using test::NistProblem;
using Start = std::vector<double>;

/// What every solver is given: the model, and its budget.
struct Counted {
  const NistProblem& problem;
  int most = 0;
  mutable int evaluations = 0;

  std::size_t rows() const { return problem.model->y.size(); }
  std::size_t unknowns() const { return problem.certified.size(); }
  bool is_spent() const { return evaluations >= most; }
  void residuals(const double* at, double* out) const {
    ++evaluations;
    problem.model->residuals({at, unknowns()}, {out, rows()});
  }
  void slopes(const double* at, double* out) const {
    ++evaluations;
    problem.model->slopes({at, unknowns()}, {out, rows() * unknowns()});
  }
};

// --- ours

Start by_us(const NistProblem& problem, const Start& start, int most, bool once) {
  const test::NistResiduals model(problem);
  numeric::FitSettings settings;
  settings.search.most_evaluations = most;
  if (once) {
    settings.search.most_starts = 1;
    settings.search.agreeing = 1;
  }
  const numeric::Fit fit =
      numeric::fit_least_squares(model, test::plain_parameters(start), settings);
  return fit.parameters;
}

// --- Ceres

class ForCeres final : public ceres::CostFunction {
 public:
  explicit ForCeres(const Counted& counted) : counted_(counted) {
    set_num_residuals(static_cast<int>(counted.rows()));
    mutable_parameter_block_sizes()->push_back(static_cast<int>(counted.unknowns()));
  }
  bool Evaluate(double const* const* at, double* out, double** slopes) const override {
    counted_.residuals(at[0], out);
    const bool is_there = are_finite(out, counted_.rows());
    if (slopes == nullptr || slopes[0] == nullptr) return is_there;
    counted_.slopes(at[0], slopes[0]);
    return is_there && are_finite(slopes[0], counted_.rows() * counted_.unknowns());
  }

 private:
  static bool are_finite(const double* first, std::size_t count) {
    return std::all_of(first, first + count, [](double x) { return std::isfinite(x); });
  }

  const Counted& counted_;
};

class StopWhenSpent final : public ceres::IterationCallback {
 public:
  explicit StopWhenSpent(const Counted& counted) : counted_(counted) {}
  ceres::CallbackReturnType operator()(const ceres::IterationSummary& /*summary*/) override {
    return counted_.is_spent() ? ceres::SOLVER_TERMINATE_SUCCESSFULLY : ceres::SOLVER_CONTINUE;
  }

 private:
  const Counted& counted_;
};

/// As its own example for these problems has it: trust region, Levenberg-Marquardt, dense QR, all
/// three tolerances at the machine's epsilon.
Start by_ceres(const NistProblem& problem, const Start& start, int most) {
  const Counted counted{problem, most};
  Start at = start;
  ceres::Problem::Options ownership;
  ownership.cost_function_ownership = ceres::DO_NOT_TAKE_OWNERSHIP;
  ceres::Problem all(ownership);
  ForCeres cost(counted);
  all.AddResidualBlock(&cost, nullptr, at.data());
  StopWhenSpent stop(counted);
  ceres::Solver::Options options;
  options.linear_solver_type = ceres::DENSE_QR;
  options.max_num_iterations = most;
  options.function_tolerance = std::numeric_limits<double>::epsilon();
  options.gradient_tolerance = std::numeric_limits<double>::epsilon();
  options.parameter_tolerance = std::numeric_limits<double>::epsilon();
  options.logging_type = ceres::SILENT;
  options.num_threads = 1;
  options.callbacks.push_back(&stop);
  ceres::Solver::Summary summary;
  ceres::Solve(options, &all, &summary);
  return at;
}

// --- GSL

int gsl_residuals(const gsl_vector* at, void* data, gsl_vector* out) {
  static_cast<const Counted*>(data)->residuals(at->data, out->data);
  return GSL_SUCCESS;
}

int gsl_slopes(const gsl_vector* at, void* data, gsl_matrix* out) {
  static_cast<const Counted*>(data)->slopes(at->data, out->data);
  return GSL_SUCCESS;
}

/// As its own tests of these problems have it: Levenberg-Marquardt (or with the geodesic's
/// acceleration), More's scaling, QR, xtol and gtol epsilon^0.9, ftol 0.
Start by_gsl(const NistProblem& problem, const Start& start, int most,
             const gsl_multifit_nlinear_trs* trust) {
  Counted counted{problem, most};
  gsl_multifit_nlinear_parameters settings = gsl_multifit_nlinear_default_parameters();
  settings.trs = trust;
  settings.scale = gsl_multifit_nlinear_scale_more;
  settings.solver = gsl_multifit_nlinear_solver_qr;
  gsl_multifit_nlinear_fdf model{};
  model.f = gsl_residuals;
  model.df = gsl_slopes;
  model.n = counted.rows();
  model.p = counted.unknowns();
  model.params = &counted;
  gsl_multifit_nlinear_workspace* const work =
      gsl_multifit_nlinear_alloc(gsl_multifit_nlinear_trust, &settings, model.n, model.p);
  const gsl_vector_const_view first = gsl_vector_const_view_array(start.data(), start.size());
  const double tight = std::pow(GSL_DBL_EPSILON, 0.9);
  int status = gsl_multifit_nlinear_init(&first.vector, &model, work);
  int info = 0;
  while (status == GSL_SUCCESS && info == 0 && !counted.is_spent()) {
    status = gsl_multifit_nlinear_iterate(work);
    if (status == GSL_SUCCESS) gsl_multifit_nlinear_test(tight, tight, 0.0, &info, work);
  }
  const gsl_vector* const at = gsl_multifit_nlinear_position(work);
  Start found(at->data, at->data + start.size());
  gsl_multifit_nlinear_free(work);
  return found;
}

// --- Eigen

struct ForEigen {
  const Counted& counted;
  int values() const { return static_cast<int>(counted.rows()); }
  int inputs() const { return static_cast<int>(counted.unknowns()); }
  int operator()(const Eigen::VectorXd& at, Eigen::VectorXd& out) const {
    counted.residuals(at.data(), out.data());
    return 0;
  }
  int df(const Eigen::VectorXd& at, Eigen::MatrixXd& slopes) const {
    Eigen::Matrix<double, -1, -1, Eigen::RowMajor> by_rows(values(), inputs());
    counted.slopes(at.data(), by_rows.data());
    slopes = by_rows;
    return 0;
  }
};

/// MINPACK's lmder; ftol and xtol 1e-15, gtol 0: as tight as they go.
Start by_eigen(const NistProblem& problem, const Start& start, int most) {
  const Counted counted{problem, most};
  ForEigen functor{counted};
  Eigen::LevenbergMarquardt<ForEigen> solver(functor);
  solver.parameters.ftol = 1e-15;
  solver.parameters.xtol = 1e-15;
  solver.parameters.gtol = 0.0;
  solver.parameters.maxfev = most;
  Eigen::VectorXd at =
      Eigen::Map<const Eigen::VectorXd>(start.data(), static_cast<Eigen::Index>(start.size()));
  auto status = solver.minimizeInit(at);
  while (!counted.is_spent() && (status == Eigen::LevenbergMarquardtSpace::NotStarted ||
                                 status == Eigen::LevenbergMarquardtSpace::Running)) {
    status = solver.minimizeOneStep(at);
  }
  return {at.data(), at.data() + at.size()};
}

// --- the runs

using Solver = std::function<Start(const NistProblem&, const Start&, int most)>;
struct Peer {
  const char* name;
  Solver solve;
};

std::vector<Peer> peers() {
  return {{"ours", [](const auto& p, const auto& s, int most) { return by_us(p, s, most, false); }},
          {"ours, one descent",
           [](const auto& p, const auto& s, int most) { return by_us(p, s, most, true); }},
          {"Ceres", by_ceres},
          {"GSL lm", [](const auto& p, const auto& s,
                        int most) { return by_gsl(p, s, most, gsl_multifit_nlinear_trs_lm); }},
          {"GSL lmaccel",
           [](const auto& p, const auto& s, int most) {
             return by_gsl(p, s, most, gsl_multifit_nlinear_trs_lmaccel);
           }},
          {"Eigen", by_eigen}};
}

/// Whether the certified minimum was reached: its sum of squares to 1e-6 of it, or of Lanczos1,
/// which has next to no noise, four digits.
bool reached(const NistProblem& problem, const Start& at) {
  if (at.size() != problem.certified.size()) return false;
  if (problem.name == "Lanczos1") return test::fewest_digits(at, problem.certified) >= 4.0;
  std::vector<double> residuals(problem.model->y.size());
  problem.model->residuals(at, residuals);
  double rss = 0.0;
  for (const double r : residuals) rss += r * r;
  return (rss - problem.certified_rss) / problem.certified_rss < 1e-6;
}

struct Tally {
  std::vector<double> digits;
  std::vector<double> seconds;
  std::vector<int> reached;  ///< seed by seed
};

double sum_of(const std::vector<double>& values) {
  double sum = 0.0;
  for (const double one : values) sum += one;
  return sum;
}

Start timed(const Peer& peer, const NistProblem& problem, const Start& start, int most,
            Tally& tally) {
  const auto begin = std::chrono::steady_clock::now();
  Start found = peer.solve(problem, start, most);
  tally.seconds.push_back(seconds_since(begin));
  return found;
}

Tally certified_runs(const std::vector<NistProblem>& problems, const Peer& peer) {
  Tally tally;
  for (const NistProblem& problem : problems) {
    for (const Start& start : problem.starts) {
      const Start found = timed(peer, problem, start, 20000, tally);
      tally.digits.push_back(found.empty() ? 0.0 : test::fewest_digits(found, problem.certified));
    }
  }
  return tally;
}

Tally perturbed_runs(const std::vector<NistProblem>& problems, const Peer& peer) {
  Tally tally;
  for (const std::uint64_t seed : {1U, 2U, 3U}) {
    test::NormalDraws draws(seed);
    tally.reached.push_back(0);
    for (const NistProblem& problem : problems) {
      for (const Start& start : problem.starts) {
        for (int draw = 0; draw < 20; ++draw) {
          Start moved = start;
          for (double& b : moved) b *= std::exp(0.3 * draws.next());
          const Start found = timed(peer, problem, moved, 5000, tally);
          tally.reached.back() += reached(problem, found) ? 1 : 0;
        }
      }
    }
  }
  return tally;
}

auto at_least(double digits) {
  return [digits](double one) { return one >= digits; };
}

}  // namespace

void nist_beside_peers() {
  gsl_set_error_handler_off();
  const std::vector<NistProblem> problems = test::nist_problems();
  fmt::print(
      "Least squares: NIST's 27 problems, both starts, analytic slopes, at most 20000 "
      "evaluations.\nfailed: under 4 digits. ours / theirs: of the microseconds a run; "
      "above 1 we are slower.\n\n");
  fmt::print("{:<18} {:>6} {:>7} {:>8} {:>7} {:>10} {:>10} {:>8}\n", "54 runs", "fewest", "median",
             "8 or more", "failed", "median us", "mean us", "ours / theirs");
  double ours = 0.0;
  for (const Peer& peer : peers()) {
    const Tally t = certified_runs(problems, peer);
    const double mean = sum_of(t.seconds) / static_cast<double>(t.seconds.size());
    if (ours == 0.0) ours = mean;
    fmt::print("{:<18} {:>6.2f} {:>7.2f} {:>6} of 54 {:>5} {:>10.1f} {:>10.1f} {:>8.2f}\n",
               peer.name, *std::min_element(t.digits.begin(), t.digits.end()), median_of(t.digits),
               std::count_if(t.digits.begin(), t.digits.end(), at_least(8.0)),
               54 - std::count_if(t.digits.begin(), t.digits.end(), at_least(4.0)),
               1e6 * median_of(t.seconds), 1e6 * mean, ours / mean);
    std::fflush(stdout);
  }
  fmt::print(
      "\nEach start times exp(N(0, 0.3^2)) per parameter, 20 draws, seeds 1 to 3, at most "
      "5000 evaluations; reached: the certified sum of squares to 1e-6.\n\n");
  fmt::print("{:<18} {:>6} {:>6} {:>6} {:>13} {:>8} {:>10} {:>10} {:>8}\n", "3240 runs", "seed 1",
             "seed 2", "seed 3", "reached", "failed", "median us", "mean us", "ours / theirs");
  ours = 0.0;
  for (const Peer& peer : peers()) {
    const Tally t = perturbed_runs(problems, peer);
    const int all = t.reached[0] + t.reached[1] + t.reached[2];
    const double mean = sum_of(t.seconds) / static_cast<double>(t.seconds.size());
    if (ours == 0.0) ours = mean;
    fmt::print("{:<18} {:>6} {:>6} {:>6} {:>5} of 3240 {:>8} {:>10.1f} {:>10.1f} {:>8.2f}\n",
               peer.name, t.reached[0], t.reached[1], t.reached[2], all, 3240 - all,
               1e6 * median_of(t.seconds), 1e6 * mean, ours / mean);
    std::fflush(stdout);
  }
  fmt::print(
      "\nOurs goes on after the first minimum until a second descent has come as low and "
      "none lower; \"one descent\" stops at the first, as the peers do.\n\n");
}

}  // namespace ellwand::bench
