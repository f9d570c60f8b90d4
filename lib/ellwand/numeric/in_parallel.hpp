#pragma once
/// Work on all cores whose result hangs neither on how many there are nor on who was first.

#include <cstddef>
#include <functional>

namespace ellwand::numeric {

/// Calls work(0), work(1), ... work(count - 1), each once, several of them at a time. Each may read
/// what it likes and writes only what is its own, so that the same bits come out on one thread or
/// many (tests InParallel.*, Fit.HasTheSameBitsOnOneThreadAndTwo, EstimateEach.*).
///
/// Where there are no threads (the page's engine) and for one core, one after the other.
///
/// @param at_a_time  how many indices in a row one thread takes at once: so many that a thread's
///                   start, some 20 us, is little beside their work
/// @param threads    at most; 0 for as many as there are cores
/// @throws what the work with the smallest index throws; that with larger ones may not be done then
void in_parallel(std::size_t count, std::size_t at_a_time, std::size_t threads,
                 const std::function<void(std::size_t)>& work);

}  // namespace ellwand::numeric
