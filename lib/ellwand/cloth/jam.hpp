#pragma once
/// How close threads can lie, and what a weft does that does not fit round.

#include "ellwand/cloth/crossing.hpp"
#include "ellwand/cloth/weave.hpp"
#include "ellwand/units/error.hpp"
#include "ellwand/units/quantity.hpp"

namespace ellwand::cloth {

/// Threads that cannot lie so close even when the weft is flattened.
class CannotBeWoven : public OutOfRange {
 public:
  CannotBeWoven(const std::string& sentence, ThreadDensity<> closest_sett)
      : OutOfRange(sentence), closest_sett_(closest_sett) {}
  /// The nearest sett that works: `closest_sett`.
  ThreadDensity<> closest_sett() const { return closest_sett_; }

 private:
  ThreadDensity<> closest_sett_;
};

/// Least mean spacing of the threads one thread runs across, all threads round: a crossing needs
/// its jam, a float needs the threads side by side.
///
/// @param cells         of the thread that runs across
/// @param crossed       diameter of the threads it runs across
/// @param crossing      its own diameter
/// @param height_share  its part of the crimp height: 0 to 1
/// @throws OutOfRange when there are no cells, or a diameter below 0
///
/// Source: crossings by F. T. Peirce, J. Text. Inst. 28 (1937) T45-T96; floats derived.
template <class Scalar>
Length<Scalar> least_mean_spacing(const Cells& cells, const Length<Scalar>& crossed,
                                  const Length<Scalar>& crossing, double height_share);

/// Least mean spacing of the ends, from the pick that crosses most often.
template <class Scalar>
Length<Scalar> least_end_spacing(const Grid& repeat, const Length<Scalar>& end_diameter,
                                 const Length<Scalar>& weft_diameter, const HeightShares& shares);

/// Least mean spacing of the picks, from the end that crosses most often. In weft-faced cloth the
/// end is straight and its crossings set no bound; there `row_room` does.
template <class Scalar>
Length<Scalar> least_pick_spacing(const Grid& repeat, const Length<Scalar>& end_diameter,
                                  const Length<Scalar>& weft_diameter, const HeightShares& shares);

/// How the ends lie along one pick, and how thick the pick lies between them.
template <class Scalar = double>
struct CellSpacing {
  Length<Scalar> crossing;        ///< between two ends the pick crosses
  Length<Scalar> floating;        ///< between two ends under one float
  Length<Scalar> weft_thickness;  ///< b; the diameter unless the weft is flattened
  bool was_regrouped = false;     ///< crossings and floats differ in spacing
  bool was_flattened = false;     ///< the weft is thinner than round; its `Racetrack` is the wider
};

/// Spreads the ends of one pick so that every crossing finds its room.
///
/// In this order, each joining the next without a jump: all spacings alike; the tighter kind opened
/// to what it needs (a crossing its jam, a float one end diameter) and the other closed for it;
/// floats closed to the end diameter and the weft flattened until its crossing jams in what is
/// left:
///     b = p_c / sqrt(share (2 - share)) - d_e,
/// which is p_c - d_e in weft-faced and 2 p_c / sqrt(3) - d_e in balanced cloth.
///
/// @param cells          of the pick
/// @param mean_spacing   p_e, of the ends; above 0
/// @param end_diameter   d_e, above 0
/// @param weft_diameter  d_w, above 0
/// @throws CannotBeWoven when no thickness is left for the weft, or (a weft that runs straight)
/// none
///         would help; OutOfRange for arguments beyond what is stated
///
/// Source: derived from the jam above.
template <class Scalar>
CellSpacing<Scalar> fit_cells(const Cells& cells, const Length<Scalar>& mean_spacing,
                              const Length<Scalar>& end_diameter,
                              const Length<Scalar>& weft_diameter, const HeightShares& shares);

/// The weft is not proposed flatter than this part of its diameter (it would be some 16 diameters
/// wide). Source: starting value.
inline constexpr double kFlattestProposed = 0.05;

/// In balanced cloth both sets show, so that the ends leave a gap as wide as this part of the
/// weft's diameter at least; closer, the weft would be pressed so wide that its rows lie several
/// times as far apart as the ends. Source: starting value.
inline constexpr double kLeastShown = 0.25;

/// The closest sett of the ends that is proposed in place of one that cannot be woven: the weft
/// flattened to kFlattestProposed; in balanced cloth gaps of kLeastShown.
///
/// @throws OutOfRange for no cells or a diameter not above 0
ThreadDensity<> closest_sett(const Cells& cells, const Length<>& end_diameter,
                             const Length<>& weft_diameter, const HeightShares& shares);

/// The plan of a pick must leave its weft a gap: no closer than `closest_sett`.
/// @param end_diameter  of flat ends their thickness
/// @param wider         than thick, what flat ends are; they lie so much further apart
/// @throws CannotBeWoven; OutOfRange as `closest_sett`
void require_sett(const Cells& cells, const Length<>& mean_spacing, const Length<>& end_diameter,
                  const Length<>& weft_diameter, const HeightShares& shares,
                  const Length<>& wider = {});

/// Least pick spacing at which every pick finds room in the gap between two ends:
/// (p_e - d_e) p_w >= share pi d_w^2 / 4.
///
/// @param end_spacing     p_e, above d_e
/// @param crossing_share  part of the picks that pass the gap: 1 in plain weave,
/// `busiest_gap_share`
///                        for a grid; 0 to 1
/// @throws OutOfRange outside these
///
/// Source: derived: areas seen along the gap; nothing is taken to be compressed.
template <class Scalar>
Length<Scalar> row_room(const Length<Scalar>& end_spacing, const Length<Scalar>& end_diameter,
                        const Length<Scalar>& weft_diameter, double crossing_share = 1.0);

}  // namespace ellwand::cloth
