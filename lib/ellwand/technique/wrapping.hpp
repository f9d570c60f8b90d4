#pragma once
/// Wrapping: a yarn wound turn beside turn round a bundle of ends, a bar or a cord.

#include "ellwand/technique/ledger_entry.hpp"
#include "ellwand/technique/lie.hpp"
#include "ellwand/technique/strand.hpp"

namespace ellwand::technique {

/// Wraps of one yarn, at one or several places that are wrapped alike.
struct Wrapping {
  Strand strand;     ///< held strands wind on as one round bundle
  int ends = 0;      ///< warp ends gathered into what is wrapped; 0 when `core` is stated
  Length<> core;     ///< diameter of what is wrapped, where no ends are counted; above 0
  int places = 1;    ///< separate places, each with its own two tails; 1 or more
  int turns = 0;     ///< at each place; 0 when `covered` is stated
  Length<> covered;  ///< of the core, at each place, where no turns are counted; above 0
};

/// One turn of a wrap.
///
/// @param core   D, diameter of what is wrapped; 0 or more
/// @param wrap   d, diameter of what is wound on; above 0
/// @param pitch  from one turn to the next; 0 or more, d where the turns lie side by side
/// @returns      sqrt((pi (D + d))^2 + pitch^2)
/// @throws OutOfRange outside these
/// Source:   derived: the axis is a helix of diameter D + d, which unrolls flat.
/// Accuracy: exact for round threads that do not give: within 1e-6 of a helix added up chord by
///           chord (test WrapTurn.IsAHelixAddedUpChordByChord). Soft yarn sinks in; that is in the
///           take.
template <class Scalar>
Length<Scalar> wrap_turn(const Length<Scalar>& core, const Length<Scalar>& wrap,
                         const Length<Scalar>& pitch);

/// What one wrapping comes to at one place.
template <class Scalar>
struct Wraps {
  Length<Scalar> wrap;     ///< d, of the strands held together
  Length<Scalar> core;     ///< D
  Length<Scalar> pitch;    ///< d times the lie's row spacing
  Scalar turns{0.0};       ///< stated, or covered / pitch
  Length<Scalar> covered;  ///< turns x pitch, along the core: its height where it is a band
};

/// @throws OutOfRange unless there are either ends or a core, and either turns or a covered length;
///         the sentence says which is missing or stated twice
template <class Scalar>
Wraps<Scalar> wraps_of(const Wrapping& wrapping, const Lie<Scalar>& lie);

/// The ledger of a wrapping: wraps, take, and two tails for each length; each place begins with a
/// new one.
/// @throws OutOfRange as `wraps_of` and `lengths_laid` do
template <class Scalar>
Entries<Scalar> wrapping_yarn(const Wrapping& wrapping, const Lie<Scalar>& lie);

/// Whether a wrapping takes up a stretch of the warp: only where so many ends are wrapped that none
/// are left for another place. Otherwise what lies beside it, bare ends or cloth, takes up the
/// warp and the wrapped ends stand within it; a core that is no ends is not on the warp at all.
bool takes_up_warp(const Wrapping& wrapping, int warp_ends);

/// Height of a wrapping as a band: what is covered of what is wrapped.
template <class Scalar>
Length<Scalar> wrapping_height(const Wrapping& wrapping, const Lie<Scalar>& lie);

}  // namespace ellwand::technique
