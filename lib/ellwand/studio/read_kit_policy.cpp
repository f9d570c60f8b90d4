#include "ellwand/studio/read_kit_policy.hpp"

#include "ellwand/studio/read_money.hpp"

namespace ellwand::studio {

namespace {

using decide::PackedAs;

std::optional<PackedAs> packed_as(Section& section, const std::string& key) {
  const auto how = section.choice(key, {"balls", "lengths"});
  if (!how) return std::nullopt;
  return *how == 0 ? PackedAs::Ball : PackedAs::Length;
}

/// One way for all yarns, or a table of them by yarn.
void read_packed(Section& section, decide::KitPolicy& policy) {
  const Value* value = section.value("packed");
  if (value == nullptr) return;
  if (value->kind != Value::Kind::Table) {
    if (const auto how = packed_as(section, "packed")) policy.otherwise_packed = *how;
    return;
  }
  auto table = section.table("packed", "[kit.packed]");
  for (const std::string& yarn : table->keys()) {
    if (const auto how = packed_as(*table, yarn)) policy.packed[yarn] = *how;
  }
}

void read_beginners(Section& section, decide::KitPolicy& policy) {
  policy.beginners_spread = section.fraction("beginners_spread", "1 %", "100 %");
  policy.beginners_met = section.whole("beginners_met", 2, 10'000).value_or(0);
  if (!section.has("beginners_met") || section.has("beginners_spread")) return;
  section.complain("beginners_met",
                   "beginners_spread is missing, which so many beginners showed; write it too, "
                   "such as beginners_spread = \"20 %\"");
}

}  // namespace

decide::KitPolicy read_kit_policy(Section& file) {
  decide::KitPolicy policy;
  auto section = file.table("kit", "[kit]");
  if (!section) return policy;
  policy.finish = section->fraction("finish", "50 %", "99.9 %");
  read_beginners(*section, policy);
  read_packed(*section, policy);
  policy.ball_step = section->mass("ball_step", "0.1 g", "1 kg");
  policy.length_step = section->length("length_step", "1 cm", "100 m");
  policy.winding_error = section->fraction("winding_error", "0 %", "20 %");
  policy.lost = section->fraction("lost_in_rewinding", "0 %", "50 %");
  policy.besides = read_consumables(*section, "besides", "[kit.besides]");
  policy.minutes = section->number("minutes", 0.0, 20'000.0).value_or(0.0);
  section->warn_of_unknown_keys();
  return policy;
}

}  // namespace ellwand::studio
