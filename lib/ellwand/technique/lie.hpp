#pragma once
/// How the threads lie where a band is worked: everything about it that can be fitted.

#include "ellwand/units/quantity.hpp"

#include <optional>

namespace ellwand::technique {

/// Whole: rows and lengths are whole numbers, as she cuts and counts them. Smooth: the counts a
/// slope can be taken of; a number of lengths is laid / (length less two tails) + 1/2.
enum class Counting { Whole, Smooth };

/// What a plan was drawn up with.
struct Planned {
  /// A band given by its height keeps the height of its planned whole rows, not that asked for.
  Length<> row_spacing;
  Length<> tail;
  Length<> working_length;  ///< above two tails
};

template <class Scalar = double>
struct Lie {
  Length<Scalar> warp_diameter;    ///< d_e, of one end as threaded (its strands together)
  double warp_flatness = 1.0;      ///< width over thickness of an end; 1 when round
  double weft_flatness = 1.0;      ///< width over thickness of the weft; 1 when round
  double weft_before = 1.0;        ///< d_w of the colour area to the left over this one's
  double weft_after = 1.0;         ///< of the one to the right
  Length<Scalar> warp_spacing;     ///< p_e, between neighbouring ends in the cloth
  Length<Scalar> strand_diameter;  ///< of one strand of the weft or fringe
  Scalar row_spacing{1.0};         ///< multiplies the row spacing the work states or implies
  Scalar take{1.0};                ///< yarn per taut length
  Length<Scalar> tail;             ///< left at each end of a length
  Length<Scalar> working_length;   ///< the longest length she weaves with
  Length<Scalar> trim;             ///< cut off each fringe end
  Counting counting = Counting::Whole;
  /// Absent while the plan is being drawn up, which may be refused; what comes after it may not.
  std::optional<Planned> planned;
};

/// How far from a change of the way its threads lie a work is that has none; see nearest_change of
/// the works.
inline constexpr double kFar = 1e3;

}  // namespace ellwand::technique
