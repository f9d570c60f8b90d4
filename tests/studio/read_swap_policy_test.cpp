// The table [swap] of studio.toml.

#include "ellwand/studio/read_swap_policy.hpp"

#include "ellwand/studio/read_studio.hpp"
#include "support/studios.hpp"

#include <gtest/gtest.h>

namespace ellwand::studio {
namespace {

using decide::index_of;
using decide::Term;

TEST(SwapPolicy, IsReadWhole) {
  const decide::SwapPolicy policy =
      read_studio(
          "[swap]\ncover = 2\nthickness = 0\nsize = 1.5\ncost = 0.25\nshelf = 3\nrisk = 4\n"
          "fibre = 0.5\nleast_cover = \"90 %\"\nmost_chance = 0.8\nmost_held = 12\n"
          "keep = \"height\"\n",
          "studio.toml")
          .swap;
  EXPECT_EQ(policy.weights[index_of(Term::Cover)], 2.0);
  EXPECT_EQ(policy.weights[index_of(Term::Thickness)], 0.0);
  EXPECT_EQ(policy.weights[index_of(Term::Size)], 1.5);
  EXPECT_EQ(policy.weights[index_of(Term::Cost)], 0.25);
  EXPECT_EQ(policy.weights[index_of(Term::Shelf)], 3.0);
  EXPECT_EQ(policy.weights[index_of(Term::Risk)], 4.0);
  EXPECT_EQ(policy.weights[index_of(Term::Fibre)], 0.5);
  EXPECT_EQ(policy.least_cover, 0.9);
  EXPECT_EQ(policy.most_chance, 0.8);
  EXPECT_EQ(policy.most_held, 12);
  EXPECT_EQ(policy.keep, decide::Keep::Height);
}

TEST(SwapPolicy, IsTheStartingValuesWhereNothingIsSaid) {
  const auto& values = test::starting_values();
  const decide::SwapRules rules =
      decide::settled(read_studio("[swap]\ncover = 7\n", "studio.toml").swap, values);
  EXPECT_EQ(rules.weights[index_of(Term::Cover)], 7.0);
  EXPECT_EQ(rules.weights[index_of(Term::Risk)], values.median("swap.risk"));
  EXPECT_EQ(rules.least_cover, values.median("swap.least_cover"));
  EXPECT_EQ(rules.most_chance, values.median("swap.most_chance"));
  EXPECT_EQ(rules.most_held, values.median("swap.most_held"));
  EXPECT_EQ(rules.keep, decide::Keep::AsStated);
}

TEST(SwapPolicy, WarnsOfAKeyItDoesNotKnow) {
  const Studio studio = read_studio("[swap]\ncovers = 2\n", "studio.toml");
  ASSERT_EQ(studio.warnings.size(), 1U);
  EXPECT_EQ(studio.warnings[0].told(),
            "studio.toml:2:1: unknown key 'covers' in [swap]; did you mean 'cover'? It is kept but "
            "not used.");
}

}  // namespace
}  // namespace ellwand::studio
