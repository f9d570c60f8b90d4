/// Work on several threads: all of it, once, and the first failure.

#include "ellwand/numeric/in_parallel.hpp"

#include <gtest/gtest.h>

#include <atomic>
#include <cmath>
#include <stdexcept>
#include <string>
#include <vector>

namespace ellwand::numeric {
namespace {

TEST(InParallel, DoesEachOnce) {
  for (const std::size_t threads : {0U, 1U, 2U, 7U}) {
    for (const std::size_t at_a_time : {0U, 1U, 3U, 1000U}) {
      std::vector<std::atomic<int>> done(101);
      in_parallel(done.size(), at_a_time, threads, [&](std::size_t i) { ++done[i]; });
      for (const auto& one : done) EXPECT_EQ(one, 1);
    }
  }
}

TEST(InParallel, DoesNothingOfNothing) {
  in_parallel(0, 1, 2, [](std::size_t /*i*/) { FAIL(); });
}

TEST(InParallel, HasTheSameBitsOnOneThreadAndMany) {
  const auto sines = [](std::size_t threads) {
    std::vector<double> all(1000);
    in_parallel(all.size(), 10, threads,
                [&](std::size_t i) { all[i] = std::sin(static_cast<double>(i)); });
    return all;
  };
  EXPECT_EQ(sines(1), sines(2));
  EXPECT_EQ(sines(1), sines(5));
}

// Whichever thread fails first, the failure told is that of the smallest index.
TEST(InParallel, TellsOfTheFirstFailure) {
  for (const std::size_t threads : {1U, 2U, 4U}) {
    for (int again = 0; again < 50; ++again) {
      std::string told;
      try {
        in_parallel(64, 1, threads, [](std::size_t i) {
          if (i >= 20) throw std::runtime_error(std::to_string(i));
        });
      } catch (const std::runtime_error& failure) {
        told = failure.what();
      }
      EXPECT_EQ(told, "20");
    }
  }
}

}  // namespace
}  // namespace ellwand::numeric
