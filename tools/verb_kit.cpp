// ellwand kit: what to pack for buyers, or for a class, so that nearly all of them finish.

#include "option_values.hpp"
#include "print_kit.hpp"
#include "result.hpp"
#include "verbs.hpp"
#include "workbench.hpp"

#include "ellwand/studio/kit_json.hpp"

#include <fmt/format.h>

#include <ostream>
#include <sstream>

namespace ellwand::tools {

namespace {

/// What the command says otherwise than [kit].
decide::KitPolicy kit_policy_of(const Given& given, const studio::Studio& studio) {
  decide::KitPolicy policy = studio.kit;
  if (given.has("finish")) {
    policy.finish = confidence_of(given, "finish", 0.0);
    if (*policy.finish > 0.999) {
      throw WrongUsage(fmt::format(
          "--finish was given '{}'; it takes a share of the buyers above 50 % and up to "
          "99.9 %: nothing that can be packed suffices for all of them",
          given.value("finish")));
    }
  }
  if (given.has("packed")) {
    const std::string& how = given.value("packed");
    if (how != "balls" && how != "lengths") {
      throw WrongUsage(fmt::format("--packed was given '{}'; it takes 'balls' or 'lengths'", how));
    }
    policy.packed.clear();
    policy.otherwise_packed = how == "balls" ? decide::PackedAs::Ball : decide::PackedAs::Length;
  }
  return policy;
}

/// What balls and lengths are rounded up to in an ounce or yard studio that states no steps of its
/// own: amounts her scale and rule can show.
void use_her_steps(const studio::Shown& shown, decide::KitPolicy& policy) {
  if (!policy.ball_step && shown.mass == studio::MassShown::Ounces) policy.ball_step = ounces(0.05);
  if (!policy.length_step && shown.yarn == studio::YarnShown::Yards) {
    policy.length_step = yards(0.5);
  }
}

/// @throws BadInput for a yarn of [kit.packed] that is none
void require_known_yarns(const Workbench& bench) {
  std::vector<std::string> known;
  for (const auto& [id, yarn] : bench.studio().yarns) known.push_back(id);
  std::vector<Complaint> complaints;
  for (const auto& [id, how] : bench.studio().kit.packed) {
    if (bench.studio().yarns.count(id) > 0) continue;
    complaints.push_back({(bench.folder() / "studio.toml").string(), 0, 0,
                          fmt::format("[kit.packed] names '{}', and no yarn is called so{}", id,
                                      name_one_of(id, known))});
  }
  if (!complaints.empty()) throw BadInput(complaints);
}

struct KitAsked {
  PieceFile file;
  int kits = 1;
  int pupils = 0;
  std::optional<double> sure;
};

KitAsked kit_asked_by(const Given& given) {
  KitAsked asked;
  asked.file = named_piece(given.words(), "kit");
  if (given.has("kits") && given.has("class")) {
    throw WrongUsage(
        "--kits packs for buyers, each for herself, --class for pupils who share; give one of "
        "them");
  }
  asked.kits =
      whole_number_of(given, "kits", 1, {1.0, decide::kMostKits, "a whole number from 1 to 10000"});
  asked.pupils =
      whole_number_of(given, "class", 0, {2.0, decide::kMostPupils, "a whole number from 2 to 40"});
  if (given.has("sure")) asked.sure = confidence_of(given, "sure", 0.0);
  if (asked.sure && *asked.sure > 0.999) {
    throw WrongUsage(
        fmt::format("--sure was given '{}'; it takes a chance above 50 % and up to "
                    "99.9 %",
                    given.value("sure")));
  }
  return asked;
}

int run_kit(const Given& given, const Streams& streams) {
  const KitAsked asked = kit_asked_by(given);
  const Workbench bench(asked.file.studio);
  const studio::Studio& studio = bench.studio();
  for (const std::string& warning : bench.warnings()) streams.talk << warning << '\n';
  require_known_yarns(bench);
  decide::KitPolicy policy = kit_policy_of(given, studio);
  use_her_steps(studio.shown, policy);
  if (asked.sure && policy.beginners_met == 0) {
    throw WrongUsage(
        "--sure counts how few beginners the spread was seen of; write beginners_spread and "
        "beginners_met under [kit] of studio.toml");
  }
  const studio::PieceReading reading = bench.open(asked.file.piece);
  for (const Complaint& warning : reading.warnings) streams.talk << warning.told() << '\n';
  const decide::Kits kits = decide::pack_kits(
      {reading.piece, bench.workshop(), policy, bench.shelf(), studio.prices,
       studio.price.hourly_rate, asked.kits, asked.pupils, asked.sure, &studio.priced_by});
  std::ostringstream out;
  if (given.has("json")) {
    out << studio::kit_json(kits, studio.currency);
  } else {
    print_kits(kits, studio.currency, Shower(studio.shown), out);
  }
  put_result(out.str(), given, {asked.file}, streams);
  return kDone;
}

}  // namespace

Verb kit_verb() {
  return {
      "kit",
      "what to pack so that nearly all buyers finish",
      "PIECE [options]",
      {"ellwand kit my-studio/pieces/saltmarsh.toml --kits 12",
       "ellwand kit my-studio/pieces/saltmarsh.toml --finish '95 %'",
       "ellwand kit my-studio/pieces/saltmarsh.toml --class 8"},
      {{"kits", "N", "to pack, up to 10000; 1 unless said"},
       {"class", "N", "pupils who share one supply instead, 2 to 40"},
       {"finish", "SHARE", "of the buyers who are to finish; 98 % unless said here or in [kit]"},
       {"sure", "SHARE", "how sure of that, where beginners_met in [kit] are few"},
       {"packed", "HOW", "'balls' by mass or 'lengths'; otherwise as [kit] says"},
       {"json", "", "for other programs"},
       output_option(),
       {"help", "", "this text", 'h'}},
      "The policy stands in studio.toml, [kit]. Every buyer is taken for a beginner.\n",
      run_kit};
}

}  // namespace ellwand::tools
