#include "print_enough.hpp"

#include "print_howfar.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <ostream>

namespace ellwand::tools {

namespace {

using decide::Enough;

/// Amounts of one yarn in her units, whichever they were read in.
class YarnShower {
 public:
  YarnShower(const Enough& answer, const Shower& show) : answer_(answer), show_(show) {}

  double in_mass(double amount) const {
    return show_.mass(answer_.is_mass ? amount : amount * answer_.grams_per_metre);
  }
  double in_length(double amount) const {
    return show_.yarn(answer_.is_mass ? amount / answer_.grams_per_metre : amount);
  }
  /// As it was read.
  std::string text(double amount, double doubt) const {
    return answer_.is_mass ? show_.mass_text(amount, doubt) : show_.yarn_text(amount, doubt);
  }
  double mass_unit() const { return in_mass(1.0); }
  double length_unit() const { return in_length(1.0); }

 private:
  const Enough& answer_;
  const Shower& show_;
};

/// "is enough for the rest of Saltmarsh 81 times in 100".
std::string chance_sentence(const std::string& piece, double chance) {
  if (chance > 0.995) return "is all but surely enough for the rest of " + piece;
  if (chance < 0.005) return "is not enough for the rest of " + piece;
  return fmt::format("is enough for the rest of {} {:.0f} times in 100", piece, 100.0 * chance);
}

std::string safe_sentence(const Enough& answer) {
  const std::string at = percent_text(answer.confidence);
  const decide::Reach& safe = answer.safe;
  if (safe.is_everything) return fmt::format("All of it is safe at {}.", at);
  if (safe.of_rows == 0) {
    return fmt::format("All rows are safe at {}, what comes after them is not.", at);
  }
  const std::string further = safe.band == answer.band ? "more rows of" : "rows of";
  return fmt::format("Safe at {}: up to band {}, {} of the {} {} it.", at, safe.band + 1, safe.rows,
                     safe.of_rows, further);
}

void print_table(const Enough& answer, const Shower& show, std::ostream& out) {
  const YarnShower yarn(answer, show);
  TextTable table({fmt::format("{}, {} of {} rows of band {}", answer.yarn, answer.rows,
                               answer.of_rows, answer.band + 1),
                   show.mass_unit(), show.yarn_unit(), "foretold before"});
  const double before = answer.is_mass ? yarn.mass_unit() : yarn.length_unit();
  const std::string before_unit =
      std::string(" ") + (answer.is_mass ? show.mass_unit() : show.yarn_unit());
  const auto add = [&](const std::string& what, double amount, double doubt,
                       const std::string& foretold) {
    table.add({what, rounded_to(yarn.in_mass(amount), yarn.in_mass(doubt)),
               rounded_to(yarn.in_length(amount), yarn.in_length(doubt)), foretold});
  };
  if (answer.so_far) {
    add("used so far", answer.so_far->used, half(answer.so_far->foretold),
        show.range_text(answer.so_far->foretold, before) + before_unit);
  }
  table.add({"still to come", show.range_text(answer.to_come, yarn.mass_unit()),
             show.range_text(answer.to_come, yarn.length_unit()),
             show.range_text(answer.foretold_to_come, before) + before_unit});
  const double doubt = 0.1 * half(answer.to_come);
  add("left", answer.left, doubt, "");
  const double over = answer.left - answer.to_come.mid;
  add(over < 0.0 ? "short, most likely" : "over, most likely", std::abs(over), doubt, "");
  const double safe = answer.left - answer.needed;
  const std::string at = percent_text(answer.confidence);
  add(safe < 0.0 ? "missing to be safe at " + at : "over though safe at " + at, std::abs(safe),
      doubt, "");
  table.print(out);
}

std::string learned_sentence(const Enough& answer) {
  if (!answer.so_far) {
    return "Nothing that was weighed tells how this piece goes so far; --start or --used says what "
           "it has taken.\n";
  }
  const double factor = answer.to_come.mid / answer.foretold_to_come.mid;
  return fmt::format("By what is woven, the rest takes {:.2f} times what was foretold.\n", factor);
}

std::string changes_sentence(const Enough& answer, const std::vector<decide::Change>& changes,
                             const Shower& show) {
  const std::string at = percent_text(answer.confidence);
  if (changes.empty()) {
    return fmt::format("No change of rows or hang alone makes it safe at {}.\n", at);
  }
  std::string text;
  for (const decide::Change& change : changes) {
    text +=
        fmt::format("{}{} in place of {}", text.empty() ? "" : ", or ",
                    setting_text(change.to, show), value_text({change.to.knob, change.now}, show));
  }
  return fmt::format("It is safe at {} with {}.\n", at, text);
}

}  // namespace

std::string percent_text(double share) { return fmt::format("{:.4g} %", 100.0 * share); }

std::string doubt_of_use(const decide::UseSoFar& use, const std::string& yarn, bool is_mass,
                         const Shower& show) {
  const double unit = is_mass ? show.mass(1.0) : show.yarn(1.0);
  return fmt::format(
      "{} of {} were used where {} {} were foretold; has a decimal point slipped, or was some of "
      "it "
      "used for something else?",
      is_mass ? show.mass_text(use.used, 0.1 * use.used) : show.yarn_text(use.used, 0.1 * use.used),
      yarn, show.ends_text(use.foretold, unit), is_mass ? show.mass_unit() : show.yarn_unit());
}

void print_enough(const std::string& piece, const Enough& answer,
                  const std::vector<decide::Change>& changes, const Shower& show,
                  std::ostream& out) {
  if (!(answer.to_come.mid > 0.0)) {
    out << fmt::format("{} takes no more {}.\n", piece, answer.yarn);
    return;
  }
  const YarnShower yarn(answer, show);
  out << fmt::format("{} of {} {}. {}\n\n", yarn.text(answer.left, 0.1 * half(answer.to_come)),
                     answer.yarn, chance_sentence(piece, answer.chance), safe_sentence(answer));
  print_table(answer, show, out);
  out << '\n' << learned_sentence(answer);
  if (!answer.safe.is_everything) out << changes_sentence(answer, changes, show);
}

}  // namespace ellwand::tools
