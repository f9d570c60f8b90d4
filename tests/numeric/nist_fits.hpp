#pragma once
/// NIST's nonlinear problems as the library fits them.

#include <vector>

#include "ellwand/numeric/least_squares.hpp"
#include "numeric/nist_problems.hpp"

namespace ellwand::test {

/// A NIST model behind the library's interface; counts what is asked of it.
class NistResiduals final : public numeric::ResidualModel {
 public:
  explicit NistResiduals(const NistProblem& problem) : model_(*problem.model) {}
  std::size_t rows() const override { return model_.y.size(); }
  void residuals(std::span<const double> parameters, std::span<double> residuals) const override {
    ++evaluations;
    model_.residuals(parameters, residuals);
  }
  void slopes(std::span<const double> parameters, std::span<double> slopes) const override {
    ++evaluations;
    model_.slopes(parameters, slopes);
  }
  mutable int evaluations = 0;  ///< residuals once = 1, slopes once = 1

 private:
  const NistModel& model_;
};

/// The same in plain coordinates for descend() and search().
class NistResidualProblem final : public numeric::ResidualProblem {
 public:
  explicit NistResidualProblem(const NistProblem& problem)
      : model_(*problem.model), unknowns_(problem.certified.size()) {}
  std::size_t rows() const override { return model_.y.size(); }
  std::size_t unknowns() const override { return unknowns_; }
  void residuals(std::span<const double> at, std::span<double> residuals) const override {
    model_.residuals(at, residuals);
  }
  std::unique_ptr<numeric::Linearisation> linearise(std::span<const double> at) const override {
    std::vector<double> slopes(rows() * unknowns_);
    model_.slopes(at, slopes);
    return numeric::dense_linearisation(slopes, unknowns_);
  }

 private:
  const NistModel& model_;
  std::size_t unknowns_;
};

inline std::vector<numeric::Parameter> plain_parameters(std::span<const double> starts) {
  std::vector<numeric::Parameter> parameters;
  for (const double start : starts) {
    parameters.push_back({start, numeric::Coordinate::plain(), std::nullopt});
  }
  return parameters;
}

/// The problem of that name.
inline const NistProblem& named(const std::vector<NistProblem>& problems, const std::string& name) {
  for (const NistProblem& problem : problems) {
    if (problem.name == name) return problem;
  }
  throw std::out_of_range(name);
}

}  // namespace ellwand::test
