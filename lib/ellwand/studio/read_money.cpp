#include "ellwand/studio/read_money.hpp"

#include "ellwand/units/text.hpp"

namespace ellwand::studio {

using decide::Money;

std::optional<Money> money(Section& section, const std::string& key) {
  const Value* value = section.value(key);
  if (value == nullptr) return std::nullopt;
  const bool is_number = value->kind == Value::Kind::Whole || value->kind == Value::Kind::Decimal;
  if (!is_number && value->kind != Value::Kind::Text) {
    section.complain(
        key, kind_and_text(*value) + " stands where an amount of money should, such as \"9.80\"");
    return std::nullopt;
  }
  try {
    return decide::read_money(value->text);
  } catch (const UnreadableText& unreadable) {
    section.complain(key, unreadable.what());
    return std::nullopt;
  }
}

std::vector<decide::Consumable> read_consumables(Section& section, const std::string& key,
                                                 const std::string& name) {
  std::vector<decide::Consumable> all;
  const Value* value = section.value(key);
  if (value == nullptr) return all;
  if (value->kind != Value::Kind::Table) {
    if (const auto amount = money(section, key)) all.push_back({key, *amount});
    return all;
  }
  auto table = section.table(key, name);
  for (const std::string& what : table->keys()) {
    if (const auto amount = money(*table, what)) all.push_back({what, *amount});
  }
  return all;
}

}  // namespace ellwand::studio
