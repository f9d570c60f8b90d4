#pragma once
/// Where a design begins to look wrong: judgements of cloth, from the table of starting values.

#include "ellwand/estimate/starting_values.hpp"
#include "ellwand/units/quantity.hpp"

namespace ellwand::estimate {

struct Judgements {
  explicit Judgements(const StartingValues& values);

  double hidden_picks;    ///< to an end, beyond which a weave with floats hardly shows
  double few_rows;        ///< to a length of weft, below which tails are told of
  double many_lengths;    ///< of weft in a band, from which tails are told of
  double uneven;          ///< highest area over lowest, beyond which they are no cloth
  double ends_apart;      ///< spacing of the ends over end and weft together, at most
  double too_wide;        ///< width of a warp on a fixed span over its length, at most
  Length<> tallest_loop;  ///< that stands
  Length<> bare_warp;  ///< left between the last row and what it hangs by, above which it is told
};

}  // namespace ellwand::estimate
