// A studio's own files, one after the other under headings as in tests/cases: "=== yarns.csv".
// What reads well estimates and prices a piece of the demo.

#include "checks.hpp"

#include "ellwand/decide/price.hpp"
#include "ellwand/studio/read_time.hpp"
#include "ellwand/units/error.hpp"
#include "support/studios.hpp"

#include <optional>
#include <sstream>

namespace ellwand::fuzz {

namespace {

struct Files {
  studio::StudioTexts texts;
  std::string time_csv;
};

/// What stands above any heading is studio.toml.
Files files_of(const std::string& text) {
  Files files;
  files.texts.folder = "studio";
  std::string* now = &files.texts.studio_toml;
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    if (line == "=== yarns.csv") {
      now = &files.texts.yarns_csv.emplace();
    } else if (line == "=== lots.csv") {
      now = &files.texts.lots_csv.emplace();
    } else if (line == "=== time.csv") {
      now = &files.time_csv;
    } else {
      *now += line + '\n';
    }
  }
  return files;
}

const std::string& piece_text() {
  static const std::string text = [] {
    const std::string head = test::kNotchedHead;
    return head +
           "[[band]]\nwork = \"weave\"\nyarn = \"rug-wool-ash\"\nrows = 24\n"
           "[[band]]\nwork = \"knotted fringe\"\nyarn = \"linen-fringe\"\nheld = 3\nhang = \"14 "
           "cm\"\n";
  }();
  return text;
}

/// The price of the piece, where the studio states all that one needs.
void price_it(const studio::Studio& studio, const estimate::PieceModel& model,
              const estimate::PieceEstimate& estimate) {
  const decide::PricePolicy& policy = studio.price;
  const bool is_stated = policy.hourly_rate && (policy.margin || policy.markup) &&
                         decide::yarns_without_price(model, studio.prices).empty();
  if (!is_stated) return;
  decide::Minutes minutes;
  minutes.stated = policy.minutes;
  const estimate::StartingValues& values = test::starting_values();
  const decide::Pricing pricing(
      {model, estimate, nullptr, studio.prices,
       decide::labour_of(decide::tasks_of(model, estimate, values), minutes, values), policy,
       studio.currency, 0});
  const decide::Priced priced = decide::price_of(pricing, 2, 0.95);
  must(priced.low <= priced.high, "the range of a price is out of order");
}

void estimate_in(const studio::Studio& studio) {
  for (const auto& [id, stock] : studio::shelf_totals(studio.lots, studio.yarns)) {
    must_be_amount(in_grams(stock.mass), "on the shelf");
  }
  const estimate::StartingValues& values = test::starting_values();
  const piece::Piece piece = studio::read_piece(piece_text(), "piece.toml", studio, values).piece;
  const estimate::Workshop workshop{studio.yarns, values, studio.habits, studio.shown.length};
  const estimate::PieceModel model(piece, workshop);
  estimate::Options options;
  options.chances = false;
  options.order = true;
  const estimate::PieceEstimate estimate =
      estimate::estimate(model, studio::shelf_totals(studio.lots, studio.yarns), options);
  must_be_told(estimate);
  price_it(studio, model, estimate);
}

}  // namespace
}  // namespace ellwand::fuzz

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const ellwand::fuzz::Within within(1);
  using namespace ellwand;
  const std::string text(reinterpret_cast<const char*>(data), size);
  const fuzz::Files files = fuzz::files_of(text);
  std::optional<studio::Studio> studio;
  try {
    studio = studio::studio_from(files.texts, test::starting_values());
  } catch (const BadInput&) {
    return 0;
  }
  try {
    for (const studio::TimeSpent& one :
         studio::read_times(files.time_csv, "time.csv", *studio).spent) {
      fuzz::must_be_amount(one.minutes, "minutes");
    }
  } catch (const BadInput&) {
  }
  try {
    fuzz::estimate_in(*studio);
  } catch (const BadInput&) {
  } catch (const OutOfRange&) {  // whoever calls a formula beyond its range is told so
  }
  return 0;
}
