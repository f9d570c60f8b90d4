#pragma once
/// What several machine outputs have in common, in whatever type they are put together.

#include "ellwand/estimate/estimate.hpp"

#include <optional>

namespace ellwand::studio {

/// What there is, or null.
template <class Json, class Kind>
Json or_null(const std::optional<Kind>& value) {
  return value ? Json(*value) : Json(nullptr);
}

/// "mid", "low" and "high", in the unit of the field's name.
template <class Json>
Json range_json(const numeric::Range& range) {
  return {{"mid", range.mid}, {"low", range.low}, {"high", range.high}};
}

/// "width_cm" and "height_cm".
template <class Json>
Json size_json(const estimate::Size& size) {
  return {{"width_cm", in_centimetres(size.width)}, {"height_cm", in_centimetres(size.height)}};
}

/// Yarn that is had back, with its range in m.
template <class Json>
Json lent_json(const estimate::Lent& lent) {
  return {{"band", lent.band},
          {"yarn", lent.yarn},
          {"plan_m", lent.plan_m},
          {"plan_g", lent.plan_g},
          {"length_m", range_json<Json>(lent.length_m)}};
}

}  // namespace ellwand::studio
