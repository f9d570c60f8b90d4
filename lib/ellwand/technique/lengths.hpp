#pragma once
/// Lengths of weft: how many she takes, and what is left of each in its two tails.

#include "ellwand/numeric/dual.hpp"
#include "ellwand/technique/ledger_entry.hpp"
#include "ellwand/technique/lie.hpp"

namespace ellwand::technique {

/// One length as she weaves with it.
template <class Scalar>
struct WorkingLength {
  Length<Scalar> used;  ///< woven in
  Length<Scalar> tail;  ///< left at each of its two ends
};

/// While the plan is drawn up, a length less its two tails. Once it is, what is left in tails over
/// what is woven moves as exp((ln tail - ln length) / (1 - planned share in tails)): with the
/// slopes that the plan's own formula has, and never more than a length. Her tails can turn out so
/// long that the plain difference would leave nothing to weave with; she would take a longer
/// length.
/// @throws OutOfRange, while the plan is drawn up, unless the length exceeds its two tails
template <class Scalar>
WorkingLength<Scalar> working_length(const Lie<Scalar>& lie);

/// Lengths taken for what is laid at several places alike, and their tails.
template <class Scalar>
struct LengthsLaid {
  Scalar count{0.0};
  Length<Scalar> tails;
  Length<Scalar> half_length;  ///< smoothly counted, tails of the half length begun on average at
                               ///< each place; 0 where a place takes one length only
};

/// x = laid / (length - 2 tail) lengths at each place, rounded up; or smoothly (x^8 + 2^-8)^(1/8) +
/// 1/2, which is x + 1/2, the mean of rounding up, for all but the fewest, and 1 for the least of
/// x. Every place begins with a length of its own. Source: derived, by counting.
///
/// @param laid    at all places together, of one strand; 0 or more
/// @param places  1 or more
/// @throws OutOfRange as `working_length` does
template <class Scalar>
LengthsLaid<Scalar> lengths_laid(const Length<Scalar>& laid, int places, const Lie<Scalar>& lie);

/// Adds the tails of lengths to a ledger.
/// @param strands  yarn as bought in one metre of what is laid (Strand::yarn_per_laid)
template <class Scalar>
void add_tails(const LengthsLaid<Scalar>& lengths, double strands, Entries<Scalar>& entries) {
  entries.add(Cause::Tails, Portion::Tails, strands * lengths.tails);
  if (value_of(lengths.half_length.si()) > 0.0) {
    entries.add(Cause::Tails, Portion::HalfLength, strands * lengths.half_length);
  }
}

}  // namespace ellwand::technique
