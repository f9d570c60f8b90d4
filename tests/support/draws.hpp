#pragma once
/// Normal draws that are the same on every machine.

#include "ellwand/numeric/draws.hpp"

namespace ellwand::test {

using numeric::NormalDraws;

}  // namespace ellwand::test
