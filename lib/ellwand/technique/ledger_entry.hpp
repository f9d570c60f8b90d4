#pragma once
/// What a length of yarn was spent on, and which parts of it are unsure together.

#include "ellwand/units/quantity.hpp"

#include <array>
#include <cassert>
#include <cstddef>
#include <span>

namespace ellwand::technique {

/// Why a length of yarn is needed. The causes of a figure add up to its plan.
enum class Cause {
  Straight,    ///< the straight path across the threads it crosses; for a warp, its path
  Crimp,       ///< bending over and under
  Floats,      ///< the straight path across cells it does not cross in
  Turns,       ///< round the edge, into the next row; round the notches
  Joins,       ///< where two colour areas hold each other
  Loops,       ///< raised pile
  Wraps,       ///< round a bar, a bundle or a pair of ends
  Twist,       ///< what twisting plies into a cord shortens them by
  Take,        ///< yarn over the taut length: the arc laid in, and what geometry leaves out
  Stretch,     ///< a warp measured slack and used stretched: negative
  Tails,       ///< ends of lengths, ties
  Trims,       ///< cut off after weaving
  Waste,       ///< loom waste, and the studio's own share
  Knots,       ///< knots found in put-ups: tails and runs thrown away
  SpareEnds,   ///< warp ends wound to spare
  BrokenEnds,  ///< warp ends mended
  Unpicking,   ///< unpicked and not to be laid again
  Sampling,    ///< a strip woven to try the piece out
};
inline constexpr std::size_t kCauses = 18;

/// "straight", "crimp", ...: the word in the ledger and in the machine output.
const char* name_of(Cause cause);

/// Which doubts a length shares: each portion of a band's yarn is one skewed quantity.
enum class Portion {
  Laid,        ///< follows the hand
  Cut,         ///< cut to a measure: as sure as the ruler
  Tails,       ///< tails, ties and joins of lengths
  HalfLength,  ///< smoothly counted, the tails of the half length that is begun on average
  Trims,
  WasteShare,      ///< a share of everything else
  WastePerColour,  ///< so much for each colour
  Allowance,       ///< beyond the piece: spare and mended ends, a sample, what unpicking spoils
};
inline constexpr std::size_t kPortions = 8;

constexpr bool is_waste(Portion portion) {
  return portion == Portion::WasteShare || portion == Portion::WastePerColour ||
         portion == Portion::Allowance;
}

template <class Scalar>
struct LedgerEntry {
  Cause cause = Cause::Straight;
  Portion portion = Portion::Laid;
  Length<Scalar> yarn;  ///< of yarn as bought; negative where a cause saves yarn
};

/// The entries of one yarn in one band; a handful, kept in place.
template <class Scalar>
class Entries {
 public:
  static constexpr std::size_t kMost = 10;

  void add(Cause cause, Portion portion, const Length<Scalar>& yarn) {
    assert(count_ < kMost);
    entries_[count_++] = {cause, portion, yarn};
  }
  std::span<const LedgerEntry<Scalar>> all() const { return {entries_.data(), count_}; }
  const LedgerEntry<Scalar>* begin() const { return entries_.data(); }
  const LedgerEntry<Scalar>* end() const { return entries_.data() + count_; }

  Length<Scalar> total() const {
    Length<Scalar> sum;
    for (const LedgerEntry<Scalar>& entry : *this) sum += entry.yarn;
    return sum;
  }

 private:
  std::array<LedgerEntry<Scalar>, kMost> entries_{};
  std::size_t count_ = 0;
};

}  // namespace ellwand::technique
