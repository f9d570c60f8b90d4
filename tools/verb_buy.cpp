// ellwand buy: the shopping list for several pieces from one shelf.

#include "option_values.hpp"
#include "print_buy.hpp"
#include "result.hpp"
#include "verbs.hpp"
#include "workbench.hpp"

#include "ellwand/estimate/cuts.hpp"
#include "ellwand/studio/buy_json.hpp"

#include <fmt/format.h>

#include <ostream>
#include <sstream>

namespace ellwand::tools {

namespace fs = std::filesystem;

namespace {

decide::BuyPolicy buy_policy_of(const Given& given, const studio::Studio& studio) {
  decide::BuyPolicy policy = studio.buy;
  if (given.has("enough") && given.has("running-out")) {
    throw WrongUsage("--enough follows from --running-out; give one of them");
  }
  if (given.has("enough")) {
    policy.enough = confidence_of(given, "enough", 0.0);
    policy.running_out.reset();
    if (*policy.enough > 0.999) {
      throw WrongUsage(
          fmt::format("--enough was given '{}'; it takes a chance above 50 % and up to 99.9 %",
                      given.value("enough")));
    }
  }
  if (!given.has("running-out")) return policy;
  policy.enough.reset();
  try {
    policy.running_out = decide::read_money(given.value("running-out"));
    if (*policy.running_out > decide::Money()) return policy;
  } catch (const UnreadableText&) {
  }
  throw WrongUsage(fmt::format(
      "--running-out was given '{}'; it takes an amount of money above 0, as in 40 or 12.50",
      given.value("running-out")));
}

/// A studio's planned pieces, or the files that were named, of one studio.
struct BuyAsked {
  fs::path studio;
  std::vector<PieceFile> files;  ///< none for a studio
};

BuyAsked buy_asked_by(const Given& given) {
  const std::vector<std::string>& words = given.words();
  if (words.empty() || words.front().empty()) {
    throw WrongUsage(
        "buy takes a studio folder or piece files of one studio, as in: ellwand buy my-studio");
  }
  if (words.size() == 1 && fs::is_directory(words.front())) {
    return {studio_folder(words.front()), {}};
  }
  BuyAsked asked{{}, named_pieces(words)};
  asked.studio = asked.files.front().studio;
  for (const PieceFile& file : asked.files) {
    if (fs::equivalent(file.studio, asked.studio)) continue;
    throw WrongUsage(
        "these pieces are of different studios, with a shelf each; name pieces of one studio");
  }
  return asked;
}

/// @throws BadInput with every complaint of every piece
std::vector<piece::Piece> pieces_of(const BuyAsked& asked, const Workbench& bench,
                                    const Streams& streams) {
  if (asked.files.empty()) {
    ChosenPieces chosen = choose_pieces(bench, {});
    if (!chosen.complaints.empty()) throw BadInput(chosen.complaints);
    if (chosen.pieces.empty()) {
      throw BadInput({{bench.folder().string(), 0, 0,
                       "this studio has no pieces to buy for; write one as pieces/NAME.toml"}});
    }
    if (!chosen.are_planned) {
      streams.talk << "No piece says planned = true, so this is for all there are.\n";
    }
    return chosen.pieces;
  }
  std::vector<piece::Piece> pieces;
  for (const PieceFile& file : asked.files) {
    const studio::PieceReading reading = bench.open(file.piece);
    for (const Complaint& warning : reading.warnings) streams.talk << warning.told() << '\n';
    pieces.push_back(reading.piece);
  }
  return pieces;
}

int run_buy(const Given& given, const Streams& streams) {
  const BuyAsked asked = buy_asked_by(given);
  const Workbench bench(asked.studio);
  for (const std::string& warning : bench.warnings()) streams.talk << warning << '\n';
  const decide::BuyPolicy policy = buy_policy_of(given, bench.studio());
  estimate::Options options;
  options.chances = false;
  options.cut_step = estimate::usual_cut_step(bench.studio().shown.length);
  const std::vector<estimate::ReckonedPiece> reckoned = estimate::estimate_each(
      pieces_of(asked, bench, streams), bench.workshop(), bench.shelf(), options);
  std::vector<estimate::Estimated> pieces;
  for (const estimate::ReckonedPiece& one : reckoned) pieces.push_back({&one.model, &one.estimate});
  const decide::ShoppingList list =
      decide::shopping_list({pieces, bench.learned(), bench.shelf(), bench.studio().prices, policy,
                             options.service, &bench.studio().sizes, &bench.studio().priced_by});
  std::ostringstream out;
  if (given.has("json")) {
    out << studio::buy_json(list, bench.studio().currency);
  } else {
    const Shower show(bench.studio().shown);
    print_shopping_list(list, bench.studio().currency, show, out);
  }
  std::vector<PieceFile> sources = asked.files;
  if (sources.empty()) sources.push_back({asked.studio, asked.studio / "studio.toml"});
  put_result(out.str(), given, sources, streams);
  return kDone;
}

}  // namespace

Verb buy_verb() {
  return {"buy",
          "the shopping list for several pieces from one shelf",
          "STUDIO or PIECES [options]",
          {"ellwand buy my-studio",
           "ellwand buy my-studio/pieces/saltmarsh.toml my-studio/pieces/tideline.toml",
           "ellwand buy my-studio --running-out 40"},
          {{"enough", "CHANCE", "that what is bought suffices; 95 % unless said here or in [buy]"},
           {"running-out", "MONEY", "what it costs when a lot is gone; the chance follows from it"},
           {"json", "", "for other programs"},
           output_option(),
           {"help", "", "this text", 'h'}},
          "Of a studio the planned pieces are meant, or all where none is planned.\n"
          "The policy stands in studio.toml, [buy].\n",
          run_buy};
}

}  // namespace ellwand::tools
