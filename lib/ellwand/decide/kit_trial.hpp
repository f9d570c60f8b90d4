#pragma once
/// A kit tried on buyers who are drawn: each weaves the piece by the whole ledger, row by row and
/// length by length, and not by the ranges that the kit was packed from.

#include "ellwand/decide/buyers.hpp"
#include "ellwand/decide/kit.hpp"
#include "ellwand/estimate/piece_model.hpp"

#include <cstdint>
#include <vector>

namespace ellwand::decide {

/// What is in a kit of one yarn for weaving, without what whole cuts and spares take.
struct KitPack {
  bool is_mass = true;
  double amount = 0.0;         ///< g or m
  double winding_error = 0.0;  ///< log-sd
};

struct KitTrial {
  const estimate::PieceModel& model;  ///< of one buyer
  Buyers buyers;
  int pupils = 1;  ///< who share it
  std::vector<KitPack> packs;
};

/// Draws buyers (or classes of them), the same ones each time. Of a class the draws are pupils.
///
/// Where few beginners were met, how a buyer differs is drawn with Student's t, as a few leave it
/// unsure: spread sqrt(1 + 1/n) t(n - 1).
///
/// @param draws  1 or more
Tried try_on_buyers(const KitTrial& trial, int draws, std::uint64_t seed = 20261126);

}  // namespace ellwand::decide
