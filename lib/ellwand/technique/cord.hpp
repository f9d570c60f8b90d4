#pragma once
/// The hanging cord: tied to a rod at two places, wrapped round it there, hung by its middle.

#include "ellwand/technique/ledger_entry.hpp"
#include "ellwand/technique/lie.hpp"
#include "ellwand/technique/strand.hpp"

namespace ellwand::technique {

struct HangingCord {
  Strand strand;              ///< held strands hang as one round bundle
  Length<> tie_distance;      ///< along the rod, between the two places it is tied; 0 or more
  Length<> rise;              ///< of its middle above the rod; above 0, and hers to say: no habit
  int wraps_at_each_tie = 0;  ///< turns round the rod at each of the two places; 0 or more
  Length<> rod;               ///< diameter; above 0 where the cord is wrapped
  Length<> knots;  ///< in its knots and what is left beyond them, of one strand; 0 or more
};

/// The length each strand of a cord is cut to:
/// take (2 sqrt((tie distance / 2)^2 + rise^2) + 2 wraps pi (D + d)) + knots.
///
/// @throws OutOfRange unless the rise is above 0, and outside the ranges of the fields
/// Source: derived: two straight legs, full turns round the rod in the cord's axis; knots are as
///         measured and not multiplied. A turn's advance along the rod is left out: under 0.2 % of
///         it where the rod is five cords thick (test CordCut.LeavesOutTheAdvanceOfATurn).
template <class Scalar>
Length<Scalar> cord_cut(const HangingCord& cord, const Lie<Scalar>& lie);

/// The ledger of a cord: straight, wraps, take, and its knots as tails.
template <class Scalar>
Entries<Scalar> cord_yarn(const HangingCord& cord, const Lie<Scalar>& lie);

}  // namespace ellwand::technique
