// ellwand price: what to charge for a piece, and a quote.

#include "option_values.hpp"
#include "print_price.hpp"
#include "quote.hpp"
#include "result.hpp"
#include "verbs.hpp"
#include "workbench.hpp"

#include "ellwand/studio/cells.hpp"
#include "ellwand/studio/freeze.hpp"
#include "ellwand/studio/price_json.hpp"
#include "ellwand/studio/read_studio.hpp"
#include "ellwand/studio/time_log.hpp"
#include "ellwand/units/text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <map>
#include <optional>
#include <ostream>
#include <sstream>

namespace ellwand::tools {

namespace fs = std::filesystem;

namespace {

using decide::Money;

std::optional<double> share_in(const Given& given, const std::string& option, double most,
                               const char* accepted) {
  if (!given.has(option)) return std::nullopt;
  try {
    const double share = read_fraction(given.value(option));
    if (share <= most) return share;
  } catch (const UnreadableText&) {
  }
  refuse(given, option, accepted);
}

std::optional<Money> money_in(const Given& given, const std::string& option) {
  if (!given.has(option)) return std::nullopt;
  try {
    const Money amount = decide::read_money(given.value(option));
    if (amount > Money() && amount <= Money::of_units(100'000)) return amount;
  } catch (const UnreadableText&) {
  }
  refuse(given, option, "an amount of money above 0 and up to 100000, as in 22 or 22.50");
}

/// Margin and markup as the command says, one taking the place of the other.
void take_put_on(const Given& given, decide::PricePolicy& policy) {
  if (given.has("margin") && given.has("markup")) {
    throw WrongUsage(
        "--margin and --markup say the same in two ways; give one of them: a margin is a share of "
        "the price, a markup a share of the cost");
  }
  const auto margin =
      share_in(given, "margin", 0.9, "a share of the price up to 90 %, as in '30 %' or 0.3");
  const auto markup =
      share_in(given, "markup", 20.0, "a share of the cost up to 2000 %, as in '45 %' or 0.45");
  if (margin || markup) {
    policy.margin = margin;
    policy.markup = markup;
  }
  if (policy.margin.value_or(0.0) + policy.fees <= decide::kMostOfPrice) return;
  throw WrongUsage(fmt::format(
      "--margin was given '{}', and the fees of studio.toml are {:g} % of the price; "
      "together they leave less than 5 % of it for the cost; take less of the one or the other",
      given.value("margin"), 100.0 * policy.fees));
}

/// The studio's policy with what the command says otherwise.
decide::PricePolicy price_policy_of(const Given& given, const studio::Studio& studio) {
  decide::PricePolicy policy = studio.price;
  if (const auto rate = money_in(given, "hourly-rate")) policy.hourly_rate = rate;
  take_put_on(given, policy);
  if (given.has("yarn-by")) {
    const std::string& by = given.value("yarn-by");
    if (by != "use" && by != "put-up") refuse(given, "yarn-by", "'use' or 'put-up'");
    policy.yarn_by = by == "use" ? decide::YarnBy::Use : decide::YarnBy::PutUp;
  }
  return policy;
}

/// "rug-wool-ash=7.90,linen-fringe=14" put upon the studio's prices.
struct Prices {
  std::map<std::string, Money> of_one;
  decide::PricedBy by;
  decide::PutUpSizes sizes;
};

/// Of the yarn's put-up, or by an amount where it has none.
void take_price(const std::string& text, const yarn::Yarn& yarn, Prices& prices) {
  const studio::WrittenPrice price = studio::read_price(text);
  if (yarn.put_up.has_value() == price.per.has_value()) {
    throw WrongUsage(
        yarn.put_up
            ? fmt::format("--prices, {0}: '{1}' is by an amount, and {0} has a put-up; write what "
                          "one costs, as in {0}=7.90",
                          yarn.id, text)
            : fmt::format("--prices, {0}: {0} has no put-up; write what it costs by an amount, as "
                          "in '{0}=9.00 per 100 g'",
                          yarn.id));
  }
  prices.of_one[yarn.id] = price.money;
  prices.sizes.erase(yarn.id);  // the price said is of the first of them
  if (price.per) prices.by[yarn.id] = *price.per;
}

Prices prices_of(const Given& given, const studio::Studio& studio) {
  Prices prices{studio.prices, studio.priced_by, studio.sizes};
  std::vector<std::string> known;
  for (const auto& [id, yarn] : studio.yarns) known.push_back(id);
  for (const std::string& word : split_at_commas(given.value("prices"))) {
    const std::size_t at = word.find('=');
    const std::string id = word.substr(0, at);
    if (at == std::string::npos) {
      throw WrongUsage(fmt::format(
          "--prices has '{}'; write a yarn and what one put-up of it costs, as in {}=7.90", word,
          word.empty() ? "rug-wool-ash" : word));
    }
    if (studio.yarns.count(id) == 0) {
      throw WrongUsage(fmt::format("--prices names '{}', and no yarn is called so{}", id,
                                   name_one_of(id, known)));
    }
    try {
      take_price(word.substr(at + 1), studio.yarns.at(id), prices);
    } catch (const UnreadableText& unreadable) {
      throw WrongUsage(fmt::format("--prices, {}: {}", id, unreadable.what()));
    }
  }
  return prices;
}

constexpr const char* kNoHour =
    "[price] does not say what an hour costs; write hourly_rate = \"22.00\" under [price], or give "
    "--hourly-rate";
constexpr const char* kNothingPutOn =
    "[price] does not say what is put on the cost; write margin = \"30 %\" (of the price) or "
    "markup "
    "= \"45 %\" (of the cost) under [price], or give --margin or --markup";

/// @throws BadInput with everything that is wanted and not there, at once
void require_whole(const decide::PricePolicy& policy, const estimate::PieceModel& model,
                   const std::map<std::string, Money>& prices, const fs::path& folder) {
  const std::string studio = (folder / "studio.toml").string();
  const std::string yarns = (folder / "yarns.csv").string();
  std::vector<Complaint> complaints;
  if (!policy.hourly_rate) complaints.push_back({studio, 0, 0, kNoHour});
  if (!policy.margin && !policy.markup) complaints.push_back({studio, 0, 0, kNothingPutOn});
  for (const std::string& id : decide::yarns_without_price(model, prices)) {
    complaints.push_back(
        {yarns, 0, 0,
         fmt::format(
             "{0} has no price; write in its row what one put-up costs, or give --prices {0}=7.90",
             id)});
  }
  if (!complaints.empty()) throw BadInput(complaints);
}

decide::Minutes minutes_of(const Given& given, const decide::PricePolicy& policy,
                           const studio::TimeLog& log, const estimate::StartingValues& values) {
  decide::Minutes minutes;
  if (given.has("minutes")) {
    minutes.given =
        number_of(given, "minutes", 0.0, {1.0, 1e6, "minutes from 1 to 1000000, without a unit"});
  }
  minutes.logged = decide::paces_of(log.works, values);
  minutes.stated = policy.minutes;
  return minutes;
}

QuoteDetails details_of(const Given& given) {
  for (const char* day : {"date", "until"}) {
    if (given.has(day) && !studio::is_date(given.value(day))) {
      refuse(given, day, "a day as year-month-day, such as 2026-03-14");
    }
  }
  return {given.value("for"), given.has("date") ? given.value("date") : studio::today(),
          given.value("until")};
}

void require_one_form_of_price(const Given& given) {
  std::vector<std::string> forms;
  for (const char* form : {"json", "quote", "page"}) {
    if (given.has(form)) forms.push_back(std::string("--") + form);
  }
  if (forms.size() > 1) throw WrongUsage(listed(forms) + " are different forms; ask for one");
  for (const char* of_quote : {"for", "date", "until"}) {
    if (given.has(of_quote) && !given.has("quote") && !given.has("page")) {
      throw WrongUsage(
          fmt::format("--{} stands in a quote; give --quote or --page with it", of_quote));
    }
  }
}

struct PriceAsked {
  PieceFile file;
  int pieces = 1;
  int woven = 0;
  double confidence = 0.95;
  QuoteDetails details;
};

PriceAsked price_asked_by(const Given& given) {
  require_one_form_of_price(given);
  PriceAsked asked;
  asked.file = named_piece(given.words(), "price");
  asked.pieces = whole_number_of(given, "pieces", 1,
                                 {1.0, decide::kMostPieces, "a whole number from 1 to 40"});
  asked.woven =
      whole_number_of(given, "woven", 0, {0.0, 10'000.0, "a whole number from 0 to 10000"});
  asked.confidence = confidence_of(given, "confidence", 0.95);
  asked.details = details_of(given);
  return asked;
}

/// Shares and days that can hardly be meant are asked about.
void ask_about_options(const Given& given, const QuoteDetails& details, const Streams& streams) {
  for (const char* option : {"margin", "markup"}) {
    if (!given.has(option)) continue;
    const std::string doubt =
        doubt_of_share(given.value(option), read_fraction(given.value(option)));
    if (!doubt.empty()) streams.talk << "--" << option << ": " << doubt << '\n';
  }
  if (!details.until.empty() && details.until < details.date) {
    streams.talk << fmt::format(
        "--until: {} is before the day of the quote, {}; is the year right?\n", details.until,
        details.date);
  }
}

/// Minutes of a whole piece, against those of its bands.
void ask_about_minutes(const decide::Minutes& known, const std::vector<decide::Task>& tasks,
                       const estimate::StartingValues& values, const Streams& streams) {
  if (!known.given) return;
  decide::Minutes by_band = known;
  by_band.given.reset();
  double usual = 0.0;
  for (const decide::Labour& line : decide::labour_of(tasks, by_band, values)) {
    usual += line.minutes;
  }
  const std::string doubt = decide::doubt_of_minutes(*known.given, usual);
  if (!doubt.empty()) streams.talk << "--minutes: " << doubt << '\n';
}

/// The labour of a piece by its weaver's own log, the studio's policy, or starting values.
std::vector<decide::Labour> labour_of(const Given& given, const Workbench& bench,
                                      const estimate::PieceModel& model,
                                      const estimate::PieceEstimate& estimate,
                                      const decide::PricePolicy& policy, const Streams& streams) {
  const std::string& named = model.piece().weaver;
  const studio::TimeLog log =
      studio::open_time_log(bench.folder(), bench.studio(), bench.workshop(),
                            named.empty() ? bench.studio().weaver.name : named);
  for (const Complaint& warning : log.warnings) streams.talk << warning.told() << '\n';
  const std::vector<decide::Task> tasks = decide::tasks_of(model, estimate, bench.values());
  const decide::Minutes minutes = minutes_of(given, policy, log, bench.values());
  ask_about_minutes(minutes, tasks, bench.values(), streams);
  return decide::labour_of(tasks, minutes, bench.values());
}

/// In the form that was asked for.
std::string result_of(const Given& given, const studio::Studio& studio,
                      const decide::Pricing& pricing, const PriceAsked& asked,
                      const Streams& streams) {
  const decide::Priced priced = decide::price_of(pricing, asked.pieces, asked.confidence);
  const Shower show(studio.shown);
  const std::string left_out = left_out_sentence(priced);
  const bool is_quote = given.has("quote") || given.has("page");
  if (is_quote && !left_out.empty()) streams.talk << left_out << '\n';
  if (given.has("json")) return studio::price_json(pricing, priced);
  if (given.has("quote")) return quote_text(quote_of(studio, pricing, priced, show, asked.details));
  if (given.has("page")) return quote_page(quote_of(studio, pricing, priced, show, asked.details));
  std::ostringstream out;
  print_price(pricing, priced, show, out);
  return out.str();
}

int run_price(const Given& given, const Streams& streams) {
  const PriceAsked asked = price_asked_by(given);
  const Workbench bench(asked.file.studio);
  const studio::Studio& studio = bench.studio();
  for (const std::string& warning : bench.warnings()) streams.talk << warning << '\n';
  const studio::PieceReading reading = bench.open(asked.file.piece);
  for (const Complaint& warning : reading.warnings) streams.talk << warning.told() << '\n';
  const estimate::PieceModel model(reading.piece, bench.workshop());
  estimate::Options options;
  options.chances = false;
  const estimate::PieceEstimate estimate = estimate::estimate(model, {}, options);
  const decide::PricePolicy policy = price_policy_of(given, studio);
  ask_about_options(given, asked.details, streams);
  const Prices prices = prices_of(given, studio);
  require_whole(policy, model, prices.of_one, bench.folder());
  const decide::Pricing pricing({model, estimate, bench.learned(), prices.of_one,
                                 labour_of(given, bench, model, estimate, policy, streams), policy,
                                 studio.currency, asked.woven, &prices.by, &prices.sizes});
  put_result(result_of(given, studio, pricing, asked, streams), given, {asked.file}, streams);
  return kDone;
}

}  // namespace

Verb price_verb() {
  return {"price",
          "what to charge for a piece, and a quote",
          "PIECE [options]",
          {"ellwand price my-studio/pieces/saltmarsh.toml",
           "ellwand price my-studio/pieces/saltmarsh.toml --pieces 5",
           "ellwand price my-studio/pieces/saltmarsh.toml --page --for 'R. Quill' -o quote.html"},
          {{"pieces", "N", "for a series of so many, up to 40"},
           {"woven", "N", "of which so many were woven before"},
           {"hourly-rate", "MONEY", "what an hour of work costs"},
           {"margin", "SHARE", "left of the price, over the price: '30 %'"},
           {"markup", "SHARE", "or the same over the cost: '45 %'"},
           {"minutes", "N", "of work in the first piece, whatever was logged or stated"},
           {"prices", "LIST", "of put-ups: rug-wool-ash=7.90,linen-fringe=14"},
           {"yarn-by", "HOW", "charge yarn by 'use' or whole 'put-up'"},
           {"confidence", "SHARE", "that the lowest price covers the cost; 95 % unless said"},
           {"quote", "", "a quote to hand over, as text"},
           {"page", "", "the same as a page to print, HTML"},
           {"for", "NAME", "whom the quote is for"},
           {"date", "DAY", "of the quote; today unless said"},
           {"until", "DAY", "the quote holds until"},
           {"json", "", "for other programs"},
           output_option(),
           {"help", "", "this text", 'h'}},
          "The policy stands in studio.toml, [price]. Tax is never reckoned.\n",
          run_price};
}

}  // namespace ellwand::tools
