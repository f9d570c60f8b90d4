#include "print_howfar.hpp"

#include "print_enough.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <ostream>

namespace ellwand::tools {

namespace {

using decide::Frontier;
using decide::HowFar;
using decide::Knob;
using decide::Need;
using decide::Setting;

bool is_length(Knob::Of of) { return of == Knob::Of::Height || of == Knob::Of::Hang; }

/// The last place of grams to have: a gram at most, less where little is over or short.
Steps step_g(const Need& need) { return {std::clamp(0.3 * std::abs(need.over_g()), 0.01, 1.0)}; }

/// What stands in its way, without what to do about it.
std::string first_sentence(const std::string& refusal) {
  return refusal.substr(0, refusal.find(". "));
}

std::string bound_sentence(const HowFar& far, const Shower& show) {
  const Knob& knob = far.at.front().knob;
  if (far.bound == decide::Bound::Nothing)
    return "Nothing binds up to there, which is the most that was tried.";
  const std::string beyond = setting_text({knob, *far.beyond}, show);
  if (far.bound != decide::Bound::Yarn) {
    return fmt::format("{} binds, not the yarn; with {}: {}.",
                       far.bound == decide::Bound::TheLoom ? "The loom" : "The design", beyond,
                       first_sentence(far.at_beyond->refusal));
  }
  const Need& need = far.at_beyond->needs.front();
  return fmt::format("{} binds: with {} it would be {} short.", need.yarn, beyond,
                     show.enough_mass_text(-need.over_g(), step_g(need)));
}

void print_needs(const HowFar& far, const Shower& show, std::ostream& out) {
  TextTable table(
      {"yarn", std::string("to have, ") + show.mass_unit(), "there is", "over", "runs short"});
  for (const Need& need : far.trial.needs) {
    const Steps step{show.mass(step_g(need).size)};
    const double there = show.mass(need.stash_g);
    // What is over is what the figures printed leave, so that they add up.
    const double over = need.over_g() < 0.0
                            ? show.mass(need.over_g())
                            : std::max(0.0, there - rounded_up(show.mass(need.need_g), step));
    table.add({need.yarn, rounded_up_to(show.mass(need.need_g), step), rounded_to(there, step),
               rounded_to(over, step), one_in(need.chance_short)});
  }
  table.print(out);
}

std::string also_sentence(const HowFar& far, const Shower& show) {
  std::string text =
      fmt::format("Finished it measures {} by {}.", show.size_text(far.trial.finished.width),
                  show.size_text(far.trial.finished.height));
  if (!far.trial.not_in_stash.empty()) {
    text +=
        fmt::format(" Not in the stash, and taken to be had: {}.", listed(far.trial.not_in_stash));
  }
  for (const Need& need : far.trial.needs) {
    if (need.is_of_several_lots) {
      text += fmt::format(
          " Of {} no one lot has so much: a change of lot may show within an area of colour.",
          need.yarn);
    }
    if (!(need.lent_g > 0.0)) continue;
    text += fmt::format(" Of what {} takes, {} come out again.", need.yarn,
                        show.enough_mass_text(need.lent_g, 0.1 * need.lent_g));
  }
  return text + "\n";
}

}  // namespace

std::string value_text(const Setting& setting, const Shower& show) {
  if (is_length(setting.knob.of)) return show.size_text(metres(setting.value));
  if (setting.knob.of == Knob::Of::Size) return fmt::format("{:.0f} %", 100.0 * setting.value);
  return fmt::format("{:.0f}", setting.value);
}

std::string setting_text(const Setting& setting, const Shower& show) {
  const std::string value = value_text(setting, show);
  if (setting.knob.of == Knob::Of::Size) return value + " of its size";
  if (is_length(setting.knob.of)) {
    return fmt::format("a {} of {} in band {}", name_of(setting.knob.of), value,
                       setting.knob.band + 1);
  }
  std::string measure = told(setting.knob);
  if (value == "1") measure.erase(measure.find('s'), 1);  // "1 row of band 3", "1 end"
  return fmt::format("{} {}", value, measure);
}

void print_how_far(const std::string& piece, const HowFar& far, double confidence,
                   const Shower& show, std::ostream& out) {
  const Setting& most = far.at.front();
  const Setting now{most.knob, far.now};
  out << fmt::format("{}: the stash suffices for {} at {} (now {}). {}\n\n", piece,
                     setting_text(most, show), percent_text(confidence), value_text(now, show),
                     bound_sentence(far, show));
  print_needs(far, show, out);
  out << '\n' << also_sentence(far, show);
}

void print_frontier(const std::string& piece, const Frontier& answers, double confidence,
                    const Shower& show, std::ostream& out) {
  const std::vector<HowFar>& all = answers.all;
  out << fmt::format("{}: the most that the stash suffices for at {}, {} beside {}.\n\n", piece,
                     percent_text(confidence), told(all.front().at[0].knob),
                     told(all.front().at[1].knob));
  TextTable table({told(all.front().at[1].knob), told(all.front().at[0].knob), "binds", "finished"},
                  {2, 3});
  for (const HowFar& far : all) {
    const std::string binds = far.bound == decide::Bound::Yarn ? far.at_beyond->needs.front().yarn
                              : far.bound == decide::Bound::TheLoom  ? "the loom"
                              : far.bound == decide::Bound::ThePiece ? "the design"
                                                                     : "nothing";
    table.add({value_text(far.at[1], show), value_text(far.at[0], show), binds,
               fmt::format("{} by {}", show.size_text(far.trial.finished.width),
                           show.size_text(far.trial.finished.height))});
  }
  table.print(out);
  if (!answers.nothing_at.empty()) {
    std::vector<std::string> with;
    for (const Setting& one : answers.nothing_at) with.push_back(setting_text(one, show));
    out << fmt::format("\nNo {} suffices or can be with {}.\n", told(all.front().at[0].knob),
                       listed(with));
  }
  for (const decide::Bound bound : {decide::Bound::TheLoom, decide::Bound::ThePiece}) {
    const auto one =
        std::find_if(all.begin(), all.end(), [&](const HowFar& far) { return far.bound == bound; });
    if (one == all.end()) continue;
    out << fmt::format("\nThe {}, {} beside {}: {}.\n",
                       bound == decide::Bound::TheLoom ? "loom" : "design",
                       setting_text({one->at[0].knob, *one->beyond}, show),
                       setting_text(one->at[1], show), first_sentence(one->at_beyond->refusal));
  }
}

}  // namespace ellwand::tools
