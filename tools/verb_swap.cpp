// ellwand swap: another yarn for one of a piece's.

#include "option_values.hpp"
#include "print_swap.hpp"
#include "result.hpp"
#include "verbs.hpp"
#include "workbench.hpp"

#include "ellwand/studio/changed_piece.hpp"
#include "ellwand/studio/files.hpp"
#include "ellwand/studio/swap_json.hpp"
#include "ellwand/units/error.hpp"
#include "ellwand/units/text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <ostream>
#include <sstream>

namespace ellwand::tools {

namespace {

/// Those of the piece, unless another of the studio's is nearer.
std::vector<std::string> near_ids(const std::string& word, const std::vector<std::string>& own,
                                  const estimate::YarnTable& yarns) {
  const std::vector<std::string> all = estimate::ids_of(yarns);
  return nearest_word(word, all).empty() ? own : all;
}

/// The yarn to replace: one of the piece's.
std::string replaced_yarn(const Given& given, const piece::Piece& piece,
                          const estimate::YarnTable& table) {
  const std::string& yarn = given.value("yarn");
  std::vector<std::string> known;
  for (const yarn::Yarn* one : estimate::yarns_of(piece, table)) known.push_back(one->id);
  if (!given.has("yarn")) {
    throw WrongUsage(
        fmt::format("swap needs --yarn and a yarn of the piece, as in --yarn {}; it has {}",
                    known.back(), listed(known)));
  }
  if (std::find(known.begin(), known.end(), yarn) != known.end()) return yarn;
  const bool exists = table.count(yarn) > 0;
  throw WrongUsage(exists ? fmt::format("--yarn names '{}', which is not in {}; it has {}", yarn,
                                        piece.name, listed(known))
                          : fmt::format("--yarn names '{}', and no yarn is called so{}", yarn,
                                        name_one_of(yarn, near_ids(yarn, known, table))));
}

std::vector<std::string> named_yarns(const Given& given, const std::string& replaced,
                                     const estimate::YarnTable& table) {
  const std::vector<std::string> named = split_at_commas(given.value("with"));
  if (given.has("with") && named.empty()) {
    throw WrongUsage("--with names none; write --with rug-wool-ash,worsted-moss");
  }
  for (const std::string& yarn : named) {
    if (table.count(yarn) == 0) {
      throw WrongUsage(fmt::format("--with names '{}', and no yarn is called so{}", yarn,
                                   name_one_of(yarn, estimate::ids_of(table))));
    }
    if (yarn == replaced) {
      throw WrongUsage(
          fmt::format("--with names '{}', which is the yarn to replace; name others", yarn));
    }
    if (std::count(named.begin(), named.end(), yarn) > 1) {
      throw WrongUsage(fmt::format("--with names '{}' twice; name it once", yarn));
    }
  }
  return named;
}

/// "warp", "weft", "cord", or numbers of bands.
decide::Within within_of(const Given& given, const piece::Piece& piece) {
  decide::Within within;
  if (!given.has("in")) return within;
  constexpr const char* kAccepted = "warp, weft, cord, or numbers of bands, as in --in 3,5";
  const std::vector<std::string> words = split_at_commas(given.value("in"));
  if (words.empty()) refuse(given, "in", kAccepted);
  within = {false, false, false, {}};
  bool all_bands = false;
  for (const std::string& word : words) {
    if (word == "warp") {
      within.warp = true;
    } else if (word == "cord") {
      within.cord = true;
    } else if (word == "weft") {
      within.bands = all_bands = true;
    } else if (!word.empty() && word.size() < 6 &&
               word.find_first_not_of("0123456789") == std::string::npos) {
      const int band = std::stoi(word);
      if (band < 1 || band > static_cast<int>(piece.bands.size())) {
        throw WrongUsage(
            fmt::format("--in names band {}, and {} has bands 1 to {}; name one of them", word,
                        piece.name, piece.bands.size()));
      }
      within.bands = true;
      within.only.insert(band);
    } else {
      refuse(given, "in", kAccepted);
    }
  }
  if (all_bands) within.only.clear();
  return within;
}

/// Some of what is to be replaced must stay in the piece.
void require_places(const Given& given, const piece::Piece& piece, const std::string& yarn,
                    const decide::Within& within) {
  if (!decide::places_of(piece, yarn, within).empty()) return;
  throw WrongUsage(fmt::format("--in {} has no {} in {}; leave --in out, or name where it is",
                               given.value("in"), yarn, piece.name));
}

decide::SwapRules rules_of(const Given& given, const Workbench& bench) {
  decide::SwapRules rules = decide::settled(bench.studio().swap, bench.values());
  if (!given.has("keep")) return rules;
  for (const decide::Keep keep :
       {decide::Keep::AsStated, decide::Keep::Rows, decide::Keep::Height}) {
    if (given.value("keep") != decide::name_of(keep)) continue;
    rules.keep = keep;
    return rules;
  }
  refuse(given, "keep", "'rows', 'height' or 'as stated'");
}

/// Other ends where the piece is stated by its width: areas of colour keep their share of it.
decide::Design with_ends(const studio::ChangeablePiece& piece) {
  if (!piece.is_stated_by_width()) return {};
  return [&piece](const std::vector<decide::Setting>& settings) { return piece.with(settings); };
}

/// There is nothing to show where none can serve.
void require_some(const decide::SwapAnswer& answer, const std::string& replaced, bool is_named) {
  if (!answer.candidates.empty()) return;
  std::string told = fmt::format("no yarn can serve in place of {}", replaced);
  if (answer.left_out.empty()) {
    throw NoAnswer(told + "; the studio's yarn table has no other");
  }
  if (!is_named) throw NoAnswer(told + "; --with a yarn tells why it cannot");
  for (const decide::CannotServe& one : answer.left_out) {
    told += fmt::format("\n  {}: {}", one.yarn, one.reason);
  }
  throw NoAnswer(told);
}

std::string result_of(const Given& given, const studio::Studio& studio, const decide::Swap& swap,
                      const decide::SwapAnswer& answer, std::size_t top) {
  if (given.has("json")) return studio::swap_json(swap, answer, studio.currency);
  std::ostringstream out;
  const bool is_named = given.has("with");
  print_swap(swap, answer, studio.currency, Shower(studio.shown),
             is_named ? answer.candidates.size() : top, is_named, out);
  return out.str();
}

int run_swap(const Given& given, const Streams& streams) {
  const PieceFile file = named_piece(given.words(), "swap");
  const int top = whole_number_of(given, "top", 5, {1.0, 1000.0, "a whole number from 1 to 1000"});
  const Workbench bench(file.studio);
  for (const std::string& warning : bench.warnings()) streams.talk << warning << '\n';
  const studio::PieceReading reading = bench.open(file.piece);
  for (const Complaint& warning : reading.warnings) streams.talk << warning.told() << '\n';
  const estimate::YarnTable& yarns = bench.studio().yarns;
  const std::string replaced = replaced_yarn(given, reading.piece, yarns);
  const std::vector<std::string> named = named_yarns(given, replaced, yarns);
  const decide::Within within = within_of(given, reading.piece);
  require_places(given, reading.piece, replaced, within);
  const studio::ChangeablePiece changeable(studio::read_file(file.piece), file.piece.string(),
                                           bench.studio(), bench.values(),
                                           studio::AreaRule::InProportion);
  const decide::Swap swap({reading.piece, replaced, within, bench.workshop(), bench.shelf(),
                           bench.studio().prices, rules_of(given, bench), &bench.studio().priced_by,
                           with_ends(changeable)});
  const decide::SwapAnswer answer = named.empty() ? swap.among_all() : swap.among(named);
  require_some(answer, replaced, !named.empty());
  put_result(result_of(given, bench.studio(), swap, answer, static_cast<std::size_t>(top)), given,
             {file}, streams);
  return kDone;
}

}  // namespace

Verb swap_verb() {
  return {"swap",
          "another yarn in place of one: what changes, what may go wrong",
          "PIECE --yarn YARN [options]",
          {"ellwand swap my-studio/pieces/saltmarsh.toml --yarn rug-wool-rust",
           "ellwand swap my-studio/pieces/saltmarsh.toml --yarn rug-wool-rust --with "
           "rug-wool-ash,worsted-moss",
           "ellwand swap my-studio/pieces/sedge.toml --yarn cotton-8-2 --in warp"},
          {{"yarn", "YARN", "the yarn to replace, an id of yarns.csv"},
           {"with", "YARNS", "only these, poor ones too; otherwise every yarn that could serve"},
           {"in", "PLACES", "only there: warp, weft, cord, or numbers of bands"},
           {"keep", "WHAT", "of its bands: 'rows', 'height', or 'as stated'"},
           {"top", "N", "show so many of those that could serve; 5 unless said"},
           {"json", "", "for other programs"},
           output_option(),
           {"help", "", "this text", 'h'}},
          "What counts, and how much, stands in studio.toml, [swap]; less of a score is better.\n",
          run_swap};
}

}  // namespace ellwand::tools
