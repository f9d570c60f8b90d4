#include "ellwand/estimate/estimate.hpp"

#include "ellwand/estimate/advice.hpp"
#include "ellwand/estimate/cuts.hpp"
#include "ellwand/estimate/sizes.hpp"
#include "ellwand/estimate/yarn_totals.hpp"

#include <algorithm>

namespace ellwand::estimate {

namespace {

/// Band 0 has two lines for a yarn that is both warp and weft: the warp itself, and the waste.
bool is_same_place(const BandEstimate& band, const LedgerLine& line, const std::string& yarn,
                   const std::string& work) {
  return band.band == line.band && band.yarn == yarn && band.work == work;
}

std::string work_of(const PieceModel& model, const LedgerLine& line) {
  if (line.band > 0) {
    return technique::name_of(model.piece().bands[static_cast<std::size_t>(line.band) - 1].work);
  }
  return line.portion == technique::Portion::Waste ? "waste" : "warp";
}

/// The ledger gathered by band and yarn.
std::vector<BandEstimate> gather_bands(const PieceModel& model,
                                       const std::vector<LedgerLine>& ledger) {
  std::vector<BandEstimate> bands;
  for (const LedgerLine& line : ledger) {
    const std::string& yarn = model.yarns()[line.yarn]->id;
    const std::string work = work_of(model, line);
    auto found = std::find_if(bands.begin(), bands.end(), [&](const BandEstimate& band) {
      return is_same_place(band, line, yarn, work);
    });
    if (found == bands.end()) {
      BandEstimate next;
      next.band = line.band;
      next.work = work;
      next.yarn = yarn;
      found = bands.insert(bands.end(), next);
    }
    found->plan_m += in_metres(line.length);
    found->causes_m[line.cause] += in_metres(line.length);
  }
  std::stable_sort(bands.begin(), bands.end(),
                   [](const BandEstimate& a, const BandEstimate& b) { return a.band < b.band; });
  return bands;
}

void state_rows(const PieceModel& model, std::vector<BandEstimate>& bands) {
  for (std::size_t i = 0; i < model.band_yarns().size(); ++i) {
    const BandYarn& one = model.band_yarns()[i];
    const Worked<double>& worked = model.planned()[i];
    for (BandEstimate& band : bands) {
      if (band.band != static_cast<int>(one.band) + 1) continue;
      if (band.yarn != model.yarns()[one.yarn]->id || band.rows > 0) continue;
      band.rows = static_cast<int>(worked.rows + 0.5);
      band.height = worked.height;
      band.row_spacing = worked.row_spacing;
    }
  }
}

std::vector<YarnEstimate> plan_yarns(const PieceModel& model, const std::vector<LedgerLine>& ledger,
                                     const std::vector<Cut>& cuts) {
  std::vector<YarnEstimate> yarns(model.yarns().size());
  for (const LedgerLine& line : ledger) yarns[line.yarn].plan_m += in_metres(line.length);
  for (std::size_t y = 0; y < yarns.size(); ++y) {
    yarns[y].yarn = model.yarns()[y]->id;
    yarns[y].plan_g = in_grams(metres(yarns[y].plan_m) * model.yarns()[y]->linear_density);
    yarns[y].cut_rounding_m = cut_rounding_m(cuts, yarns[y].yarn);
    yarns[y].spare_m = spare_m(cuts, yarns[y].yarn);
  }
  return yarns;
}

}  // namespace

PieceEstimate estimate(const PieceModel& model, const Shelf& shelf, const Options& options) {
  PieceEstimate result;
  result.piece = model.piece().id;
  result.name = model.piece().name;
  result.budget = span_budget(model);
  if (result.budget) {
    const auto complaint = does_not_fit(model, *result.budget);
    if (complaint) throw BadInput({*complaint});
  }

  const std::vector<double> medians(model.coefficients().size(), 0.0);
  const std::vector<LedgerLine> ledger = model.ledger(medians, technique::Counting::Whole);
  const Parts parts = model.parts();
  result.cuts = cut_list(model, options.cut_step);
  result.yarns = plan_yarns(model, ledger, result.cuts);
  result.bands = gather_bands(model, ledger);
  state_rows(model, result.bands);
  reckon_yarns(model, parts, shelf, options, result);
  reckon_bands(parts, model, result);
  reckon_sizes(model, result);
  result.warnings = warnings_of(model, shelf, result);
  result.cautions = cautions_of(model);
  return result;
}

PieceEstimate estimate(const piece::Piece& piece, const Workshop& workshop, const Shelf& shelf,
                       const Options& options) {
  return estimate(PieceModel(piece, workshop), shelf, options);
}

}  // namespace ellwand::estimate
