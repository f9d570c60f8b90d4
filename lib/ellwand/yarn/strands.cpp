#include "ellwand/yarn/strands.hpp"

#include "ellwand/units/error.hpp"

namespace ellwand::yarn {
namespace {

constexpr double kLeastStrandTex = 1e-6;
constexpr double kMostStrandTex = 1e9;

void require_strand(const LinearDensity<>& strand) {
  require_range("linear density, tex", in_tex(strand), kLeastStrandTex, kMostStrandTex,
                "a strand of yarn");
}

}  // namespace

LinearDensity<> together(const std::vector<LinearDensity<>>& strands) {
  require_range("number of strands", static_cast<double>(strands.size()), 1, kMostStrands,
                "a yarn of several strands");
  LinearDensity<> sum;
  for (const LinearDensity<>& strand : strands) {
    require_strand(strand);
    sum += strand;
  }
  return sum;
}

LinearDensity<> together(const LinearDensity<>& strand, int strands) {
  require_range("number of strands", strands, 1, kMostStrands, "a yarn of several strands");
  require_strand(strand);
  return strand * static_cast<double>(strands);
}

LinearDensity<> partner_for(const LinearDensity<>& target, const LinearDensity<>& one) {
  require_strand(target);
  require_strand(one);
  const LinearDensity<> partner = target - one;
  require_range("linear density left for the partner, tex", in_tex(partner), kLeastStrandTex,
                kMostStrandTex, "a yarn folded from two");
  return partner;
}

LinearDensity<> split_into(const LinearDensity<>& roving, int parts) {
  require_range("number of strips", parts, 1, kMostStrands, "a roving split by hand");
  require_strand(roving);
  return roving / static_cast<double>(parts);
}

}  // namespace ellwand::yarn
