#include "ellwand/numeric/in_parallel.hpp"

#include <algorithm>

#if defined(__EMSCRIPTEN__) && !defined(__EMSCRIPTEN_PTHREADS__)
#define ELLWAND_HAS_THREADS 0
#else
#define ELLWAND_HAS_THREADS 1
#include <atomic>
#include <exception>
#include <thread>
#include <vector>
#endif

namespace ellwand::numeric {

namespace {

void one_after_the_other(std::size_t count, const std::function<void(std::size_t)>& work) {
  for (std::size_t i = 0; i < count; ++i) work(i);
}

}  // namespace

#if ELLWAND_HAS_THREADS

namespace {

/// Indices handed out some in a row; the failure that comes first in their order is kept.
class Shared {
 public:
  Shared(std::size_t count, std::size_t at_a_time, const std::function<void(std::size_t)>& work)
      : count_(count), at_a_time_(at_a_time), work_(work), failures_(runs()) {}

  std::size_t runs() const { return (count_ + at_a_time_ - 1) / at_a_time_; }

  void take_part() {
    while (!has_failed_) {
      const std::size_t run = next_++;  // runs taken are done: all before a failed one as well
      if (run >= runs()) return;
      try {
        const std::size_t end = std::min(count_, (run + 1) * at_a_time_);
        for (std::size_t i = run * at_a_time_; i < end; ++i) work_(i);
      } catch (...) {
        failures_[run] = std::current_exception();
        has_failed_ = true;
      }
    }
  }

  void rethrow() const {
    for (const std::exception_ptr& failure : failures_) {
      if (failure) std::rethrow_exception(failure);
    }
  }

 private:
  std::size_t count_;
  std::size_t at_a_time_;
  const std::function<void(std::size_t)>& work_;
  std::vector<std::exception_ptr> failures_;
  std::atomic<std::size_t> next_ = 0;
  std::atomic<bool> has_failed_ = false;
};

}  // namespace

void in_parallel(std::size_t count, std::size_t at_a_time, std::size_t threads,
                 const std::function<void(std::size_t)>& work) {
  const std::size_t cores = threads > 0 ? threads : std::thread::hardware_concurrency();
  Shared shared(count, std::max<std::size_t>(1, at_a_time), work);
  const std::size_t helpers = std::min(cores, shared.runs());
  if (helpers < 2) {
    one_after_the_other(count, work);
    return;
  }
  std::vector<std::thread> others;
  try {
    for (std::size_t i = 1; i < helpers; ++i)
      others.emplace_back([&shared] { shared.take_part(); });
  } catch (const std::exception&) {
    // The system gives no more threads: those there are do it all.
  }
  shared.take_part();
  for (std::thread& other : others) other.join();
  shared.rethrow();
}

#else

void in_parallel(std::size_t count, std::size_t /*at_a_time*/, std::size_t /*threads*/,
                 const std::function<void(std::size_t)>& work) {
  one_after_the_other(count, work);
}

#endif

}  // namespace ellwand::numeric
