#include "ellwand/studio/read_buy_policy.hpp"

#include "ellwand/studio/read_money.hpp"

namespace ellwand::studio {

decide::BuyPolicy read_buy_policy(Section& file) {
  decide::BuyPolicy policy;
  auto section = file.table("buy", "[buy]");
  if (!section) return policy;
  policy.enough = section->fraction("enough", "50 %", "99.9 %");
  policy.running_out = money(*section, "running_out");
  if (policy.running_out && !(*policy.running_out > decide::Money())) {
    section->complain("running_out",
                      "0 is nothing; write what it costs when a lot is gone, or leave the key out");
  }
  policy.left_over_worth = section->fraction("left_over_worth", "0 %", "100 %").value_or(0.0);
  if (policy.enough && policy.running_out) {
    section->complain("enough",
                      "running_out is given as well, from which it follows; keep one of them");
  }
  section->warn_of_unknown_keys();
  return policy;
}

}  // namespace ellwand::studio
