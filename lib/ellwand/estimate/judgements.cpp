#include "ellwand/estimate/judgements.hpp"

namespace ellwand::estimate {

Judgements::Judgements(const StartingValues& values)
    : hidden_picks(values.median(row("judge.hidden_picks"))),
      few_rows(values.median(row("judge.few_rows"))),
      many_lengths(values.median(row("judge.many_lengths"))),
      uneven(values.median(row("judge.uneven"))),
      ends_apart(values.median(row("judge.ends_apart"))),
      too_wide(values.median(row("judge.too_wide"))),
      tallest_loop(metres(values.median(row("judge.tallest_loop")))),
      bare_warp(metres(values.median(row("judge.bare_warp")))) {}

}  // namespace ellwand::estimate
