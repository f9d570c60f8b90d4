#include "ellwand/yarn/count.hpp"

#include "ellwand/units/error.hpp"

namespace ellwand::yarn {
namespace {

constexpr double kKilogramsPerGrain = kKilogramsPerPound / 7000.0;

/// tex of yarn of which `length_yd` weigh `mass_lb`.
constexpr double tex_of(double length_yd, double mass_lb) {
  return 1e6 * mass_lb * kKilogramsPerPound / (length_yd * kMetresPerYard);
}

struct SystemFacts {
  const char* name;
  bool direct;
  double tex;  ///< of a yarn of count 1
};

SystemFacts facts_of(CountSystem system) {
  switch (system) {
    case CountSystem::Tex:
      return {"tex", true, 1.0};
    case CountSystem::Kilotex:
      return {"ktex", true, 1e3};
    case CountSystem::Decitex:
      return {"dtex", true, 0.1};
    case CountSystem::Denier:
      return {"denier", true, 1.0 / 9.0};
    case CountSystem::Spyndle:
      return {"lb/spyndle", true, tex_of(14400.0, 1.0)};
    case CountSystem::AmericanGrain:
      return {"grains/120 yd", true, 1e6 * kKilogramsPerGrain / (120.0 * kMetresPerYard)};
    case CountSystem::Metric:
      return {"Nm", false, 1e3};
    case CountSystem::Cotton:
      return {"cotton count", false, tex_of(840.0, 1.0)};
    case CountSystem::SpunSilk:
      return {"spun silk count", false, tex_of(840.0, 1.0)};
    case CountSystem::Worsted:
      return {"worsted count", false, tex_of(560.0, 1.0)};
    case CountSystem::Linen:
      return {"linen lea", false, tex_of(300.0, 1.0)};
    case CountSystem::WoollenRun:
      return {"woollen run", false, tex_of(1600.0, 1.0)};
    case CountSystem::WoollenCut:
      return {"woollen cut", false, tex_of(300.0, 1.0)};
    case CountSystem::YorkshireSkein:
      return {"Yorkshire skein", false, tex_of(1536.0, 6.0)};
    case CountSystem::GalashielsCut:
      return {"Galashiels cut", false, tex_of(300.0, 24.0 / 16.0)};
    case CountSystem::WestOfEngland:
      return {"West of England count", false, tex_of(320.0, 1.0)};
    case CountSystem::Alloa:
      return {"Alloa count", false, tex_of(11520.0, 24.0)};
    case CountSystem::Hawick:
      return {"Hawick cut", false, tex_of(300.0, 26.0 / 16.0)};
    case CountSystem::Dewsbury:
      return {"Dewsbury count", false, tex_of(1.0, 1.0 / 16.0)};
    case CountSystem::FrenchCotton:
      return {"French cotton count", false, 500.0};
    case CountSystem::YardsPerPound:
      return {"yd/lb", false, tex_of(1.0, 1.0)};
  }
  return {"", true, 1.0};
}

constexpr double kLeast = 1e-12;  // so that no quotient below overflows
constexpr double kMost = 1e12;

}  // namespace

std::string name_of(CountSystem system) { return facts_of(system).name; }

bool is_direct(CountSystem system) { return facts_of(system).direct; }

LinearDensity<> linear_density_of(CountSystem system, double count) {
  const SystemFacts facts = facts_of(system);
  require_range(facts.name, count, kLeast, kMost, "a yarn count");
  return tex(facts.direct ? facts.tex * count : facts.tex / count);
}

double count_of(CountSystem system, const LinearDensity<>& linear_density) {
  const SystemFacts facts = facts_of(system);
  const double yarn_tex = in_tex(linear_density);
  require_range("linear density, tex", yarn_tex, kLeast, kMost, "a yarn count");
  return facts.direct ? yarn_tex / facts.tex : facts.tex / yarn_tex;
}

}  // namespace ellwand::yarn
