// Speed and memory, each beside its bar. Prints a table and never fails on a missed bar.

#include <benchmark/benchmark.h>

#include <fmt/format.h>

#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <fcntl.h>
#include <algorithm>
#include <chrono>
#include <cstdlib>
#include <map>
#include <string>
#include <vector>

#include "ellwand/decide/enough.hpp"
#include "ellwand/decide/howfar.hpp"
#include "ellwand/decide/kit.hpp"
#include "ellwand/decide/price.hpp"
#include "ellwand/decide/swap.hpp"
#include "ellwand/estimate/estimate.hpp"
#include "ellwand/estimate/yarn_totals.hpp"
#include "ellwand/studio/changed_piece.hpp"
#include "ellwand/studio/files.hpp"
#include "support/many_swatches.hpp"
#include "support/simulated_studio.hpp"
#include "support/studios.hpp"
#include "support/where.hpp"

namespace {

using namespace ellwand;

/// Ten bands in eight yarns, the warp's among them, with areas, a twill, roving and fringe.
/// @param split  of the roving: in 3 parts its yarn bends within its doubt, whole it does not
piece::Piece ten_bands(const std::string& split = "1") {
  return test::read_demo_piece(
      std::string(test::kNotchedHead) +
      "[[band]]\nwork = \"knotted fringe\"\nyarn = \"linen-fringe\"\nheld = 3\nhang = \"14 cm\"\n"
      "[[band]]\nwork = \"weave\"\nyarn = \"rug-wool-ash\"\nrows = 36\n"
      "[[band]]\nwork = \"weave\"\nyarn = \"rug-wool-rust\"\nheight = \"3 cm\"\n"
      "[[band]]\nwork = \"weave\"\nheight = \"8 cm\"\nareas = [\n"
      "  { yarn = \"rug-wool-ash\", ends = 12 },\n"
      "  { yarn = \"rug-wool-rust\", ends = 18, join = \"interlocked\" },\n"
      "  { yarn = \"rug-wool-ink\", ends = 15, join = \"dovetailed\" } ]\n"
      "[[band]]\nwork = \"weave\"\nyarn = \"fleece-sliver\"\nsplit_into = " +
      split +
      "\nrows = 4\n"
      "[[band]]\nwork = \"weave\"\nweave = \"2/2 twill\"\nyarn = \"rug-wool-ink\"\nbeat_ratio = "
      "1.0\n"
      "height = \"4 cm\"\n"
      "[[band]]\nwork = \"weave\"\nyarn = \"silk-straw\"\nheld = 4\nrows = 6\n"
      "[[band]]\nwork = \"weave\"\nyarn = \"cotton-tape\"\nrows = 8\n"
      "[[band]]\nwork = \"weave\"\nyarn = \"rug-wool-rust\"\nheight = \"3 cm\"\n"
      "[[band]]\nwork = \"knotted fringe\"\nyarn = \"linen-fringe\"\nhang = \"10 cm\"\nheld = 2\n");
}

/// From a piece as read to yarn with slopes and ranges, sizes, cuts and advice; not the chances
/// that any yarn of the piece runs short.
void estimate_of(benchmark::State& state, const piece::Piece& piece) {
  const estimate::Workshop workshop = test::demo_workshop();
  estimate::Options options;
  options.chances = false;
  for (auto _ : state) {
    benchmark::DoNotOptimize(estimate::estimate(piece, workshop, {}, options));
  }
}

void estimate_without_chances(benchmark::State& state) { estimate_of(state, ten_bands()); }
void estimate_tideline(benchmark::State& state) {
  estimate_of(state, test::demo_piece("tideline"));
}
void estimate_that_bends(benchmark::State& state) { estimate_of(state, ten_bands("3")); }

/// The same with those chances, as a caller who sets no options gets it.
void estimate_with_chances(benchmark::State& state) {
  const estimate::Workshop workshop = test::demo_workshop();
  const piece::Piece piece = ten_bands();
  for (auto _ : state) {
    benchmark::DoNotOptimize(estimate::estimate(piece, workshop, {}, {}));
  }
}

void estimate_demo(benchmark::State& state, const std::string& name) {
  const piece::Piece piece = test::demo_piece(name);
  const estimate::Workshop workshop = test::demo_workshop();
  for (auto _ : state) {
    benchmark::DoNotOptimize(estimate::estimate(piece, workshop, {}, {}));
  }
}

void estimate_saltmarsh(benchmark::State& state) { estimate_demo(state, "saltmarsh"); }
void estimate_sedge(benchmark::State& state) { estimate_demo(state, "sedge"); }

/// From the estimate to the price at 1, 3 and 5 pieces, its range and what makes it.
void price_saltmarsh(benchmark::State& state) {
  const estimate::StartingValues& values = test::starting_values();
  const estimate::PieceModel model(test::demo_piece("saltmarsh"), test::demo_workshop());
  const estimate::PieceEstimate estimate = estimate::estimate(model, {}, {});
  const studio::Studio& studio = test::demo_studio();
  for (auto _ : state) {
    const decide::Pricing pricing(
        {model, estimate, nullptr, studio.prices,
         decide::labour_of(decide::tasks_of(model, estimate, values), {}, values), studio.price,
         studio.currency, 0});
    benchmark::DoNotOptimize(decide::price_of(pricing, 1, 0.95));
  }
}

void plan_ten_bands(benchmark::State& state) {
  const estimate::Workshop workshop = test::demo_workshop();
  const piece::Piece piece = ten_bands();
  for (auto _ : state) benchmark::DoNotOptimize(estimate::PieceModel(piece, workshop));
}

void slopes_of_ten_bands(benchmark::State& state) {
  const estimate::PieceModel model(ten_bands(), test::demo_workshop());
  for (auto _ : state) benchmark::DoNotOptimize(model.parts(estimate::Line::OverTheDoubt));
}

/// From a piece as read to its ledger and the slopes and ranges of every yarn, in metres and in
/// grams: what the bar is set for.
void slopes_and_ranges_of_ten_bands(benchmark::State& state) {
  const estimate::Workshop workshop = test::demo_workshop();
  const piece::Piece piece = ten_bands();
  for (auto _ : state) {
    const estimate::PieceModel model(piece, workshop);
    benchmark::DoNotOptimize(model.plan());
    const estimate::Parts parts = model.parts(estimate::Line::OverTheDoubt);
    const std::vector<estimate::Sum> sums = estimate::sums_by_yarn(parts, model.yarns().size());
    for (std::size_t y = 0; y < sums.size(); ++y) {
      const std::size_t lot = estimate::index_of(estimate::OfYarn::Lot, y);
      benchmark::DoNotOptimize(sums[y].length_points_m());
      benchmark::DoNotOptimize(sums[y].mass_points_g(
          {model.grams_per_metre(y), lot, model.coefficients().spreads[lot]}));
    }
  }
}

struct Row {
  std::string what;
  std::string bar;
  std::string measured;  ///< median of the repetitions
  double of_bar;
  std::string fastest = {};  ///< of the repetitions: how much of the median is the host's doing
};

/// Twenty-four swatches of a studio drawn from the starting values, the spreads averaged.
void fit_24_swatches(benchmark::State& state) {
  const test::SimulatedSeason season(1, {});
  for (auto _ : state) {
    benchmark::DoNotOptimize(calibrate::fit(season.swatches(), test::demo_workshop()));
  }
}

/// Smallest first: memory only ever grows.
std::vector<Row> many_swatches_rows() {
  studio::Studio studio = test::demo_studio();
  for (int y = 0; y < 40; ++y) {
    yarn::Yarn one = studio.yarns.at("rug-wool-ash");
    one.id = fmt::format("yarn-{}", y);
    studio.yarns.emplace(one.id, one);
  }
  const estimate::Workshop workshop{studio.yarns, test::starting_values(), studio.habits};
  std::vector<Row> rows;
  for (const std::size_t count : {1000U, 10000U, 100000U}) {
    const auto swatches = test::many_swatches(studio, count);
    const auto start = std::chrono::steady_clock::now();
    benchmark::DoNotOptimize(calibrate::fit(swatches, workshop));
    const std::chrono::duration<double> took = std::chrono::steady_clock::now() - start;
    rusage usage{};
    getrusage(RUSAGE_SELF, &usage);
    const double megabytes = static_cast<double>(usage.ru_maxrss) / 1024.0;
    const bool has_bar = count == 10000;
    rows.push_back({fmt::format("{} swatches, 40 yarns, 20 weavers", count), has_bar ? "2 s" : "-",
                    fmt::format("{:.2f} s", took.count()), has_bar ? took.count() / 2.0 : 0.0});
    rows.push_back({"  peak memory so far", has_bar ? "200 MB" : "-",
                    fmt::format("{:.0f} MB", megabytes), has_bar ? megabytes / 200.0 : 0.0});
  }
  return rows;
}

/// From the piece's text to the most ends, over areas and shapes.
void how_wide_saltmarsh_goes(benchmark::State& state) {
  const std::string file = test::data_path("demo/pieces/saltmarsh.toml");
  const std::string text = studio::read_file(file);
  const estimate::Workshop workshop = test::demo_workshop();
  const estimate::Shelf stash =
      studio::shelf_totals(test::demo_studio().lots, test::demo_studio().yarns);
  const decide::Knob ends{decide::Knob::Of::Ends, 0};
  for (auto _ : state) {
    const studio::ChangeablePiece piece(text, file, test::demo_studio(), test::starting_values());
    const decide::Design design = [&](const std::vector<decide::Setting>& settings) {
      return piece.with(settings);
    };
    benchmark::DoNotOptimize(decide::how_far({design, workshop, stash}, ends,
                                             piece.value(ends, workshop),
                                             decide::range_of(ends, LengthShown::Centimetres)));
  }
}

constexpr const char* kKit = "demo saltmarsh as a kit, tried on 10 000 buyers";

void kit_of_saltmarsh(benchmark::State& state) {
  const piece::Piece piece = test::demo_piece("saltmarsh");
  const studio::Studio& studio = test::demo_studio();
  const estimate::Shelf shelf = studio::shelf_totals(studio.lots, studio.yarns);
  const decide::KitQuestion question{piece,         test::demo_workshop(), studio.kit, shelf,
                                     studio.prices, std::nullopt,          12,         0,
                                     std::nullopt};
  for (auto _ : state) benchmark::DoNotOptimize(decide::pack_kits(question, 10'000));
}

void is_enough_of_undertow(benchmark::State& state) {
  const piece::Piece piece = test::demo_piece("undertow");
  const estimate::Workshop workshop = test::demo_workshop();
  decide::MidwayQuestion question{piece, workshop};
  question.yarn = "rug-wool-ash";
  question.band = 3;
  question.rows = 12;
  question.used = decide::YarnReading{2.0, 0.04, false};
  question.left.amount = 3.6;
  for (auto _ : state) benchmark::DoNotOptimize(decide::enough(decide::Midway(question)));
}

/// The demo's yarns over and over, each a little finer than the last, so that no two are alike.
estimate::YarnTable many_yarns(std::size_t count) {
  const estimate::YarnTable& demo = test::demo_studio().yarns;
  estimate::YarnTable table = demo;
  for (double finer = 0.99; table.size() < count; finer *= 0.99) {
    for (const auto& [id, yarn] : demo) {
      if (table.size() == count) break;
      yarn::Yarn one = yarn;
      one.id = fmt::format("{}-{}", id, table.size());
      one.linear_density = one.linear_density * finer;
      table[one.id] = one;
    }
  }
  return table;
}

void swap_over_200_yarns(benchmark::State& state) {
  const piece::Piece piece = test::demo_piece("saltmarsh");
  const studio::Studio& studio = test::demo_studio();
  const estimate::YarnTable yarns = many_yarns(200);
  const estimate::Shelf shelf = studio::shelf_totals(studio.lots, studio.yarns);
  const decide::SwapRules rules = decide::settled(studio.swap, test::starting_values());
  for (auto _ : state) {
    const decide::Swap swap({piece,
                             "rug-wool-rust",
                             {},
                             {yarns, test::starting_values(), studio.habits},
                             shelf,
                             studio.prices,
                             rules});
    benchmark::DoNotOptimize(swap.among_all());
  }
}

void read_demo_piece_text(benchmark::State& state) {
  const std::string text = studio::read_file(test::data_path("demo/pieces/saltmarsh.toml"));
  test::demo_studio();
  for (auto _ : state) benchmark::DoNotOptimize(test::read_demo_piece(text));
}

struct Run {
  double milliseconds;
  double megabytes;
};

/// One run of the program, from its start to its exit, its output thrown away. Its memory is an
/// upper bound: a child's peak counts from before it becomes the program, when it is as large as
/// we are.
Run run_program(const std::string& piece) {
  const auto start = std::chrono::steady_clock::now();
  const pid_t child = fork();
  if (child == 0) {
    const int nothing = open("/dev/null", O_WRONLY);
    dup2(nothing, STDOUT_FILENO);
    execl(test::program_file().c_str(), "ellwand", "estimate", piece.c_str(),
          static_cast<char*>(nullptr));
    _exit(127);
  }
  int status = 0;
  rusage usage{};
  wait4(child, &status, 0, &usage);
  const std::chrono::duration<double, std::milli> took = std::chrono::steady_clock::now() - start;
  if (status != 0) {
    fmt::print("the program failed on {}\n", piece);
    std::exit(1);
  }
  return {took.count(), static_cast<double>(usage.ru_maxrss) / 1024.0};
}

std::vector<Row> program_rows() {
  std::vector<Row> rows;
  for (const char* name : {"saltmarsh", "sedge"}) {
    const std::string piece = test::data_path(std::string("demo/pieces/") + name + ".toml");
    std::vector<double> times;
    double memory = 0.0;
    for (int i = 0; i < 41; ++i) {
      const Run run = run_program(piece);
      times.push_back(run.milliseconds);
      memory = std::max(memory, run.megabytes);
    }
    std::sort(times.begin(), times.end());
    const double median = times[times.size() / 2];
    rows.push_back({fmt::format("ellwand estimate {}, start to exit", name), "20 ms",
                    fmt::format("{:.1f} ms", median), median / 20.0,
                    fmt::format("{:.1f} ms", times.front())});
    rows.push_back({fmt::format("ellwand estimate {}, peak memory, at most", name), "32 MB",
                    fmt::format("{:.1f} MB", memory), memory / 32.0});
  }
  return rows;
}

double fastest_of(const std::vector<double>& times) {
  return *std::min_element(times.begin(), times.end());
}

/// Keeps each benchmark's median of repetitions, and the fastest of them.
class Keeper : public benchmark::BenchmarkReporter {
 public:
  static constexpr const char* kFastest = "fastest";

  bool ReportContext(const Context&) override { return true; }
  void ReportRuns(const std::vector<benchmark::BenchmarkReporter::Run>& runs) override {
    Times its;
    for (const auto& run : runs) {
      if (run.aggregate_name == "median") its.median_us = run.GetAdjustedRealTime();
      if (run.aggregate_name == kFastest) its.fastest_us = run.GetAdjustedRealTime();
      its.name = run.run_name.function_name;
    }
    times_.push_back(its);
  }
  struct Times {
    std::string name;
    double median_us = 0.0;
    double fastest_us = 0.0;
  };
  const std::vector<Times>& times() const { return times_; }

 private:
  std::vector<Times> times_;
};

void print_table(const std::vector<Row>& rows) {
  const auto line = [](const auto&... cells) {
    fmt::print("{:<50} {:>10} {:>12} {:>8} {:>12}\n", cells...);
  };
  line("what", "bar", "measured", "of bar", "fastest");
  for (const Row& row : rows) {
    line(row.what, row.bar, row.measured,
         row.of_bar > 0.0 ? fmt::format("{:.2f}", row.of_bar) : "-",
         row.fastest.empty() ? "-" : row.fastest);
  }
}

}  // namespace

int main(int argc, char** argv) {
  benchmark::Initialize(&argc, argv);
  const auto add = [](const char* name, void (*function)(benchmark::State&)) {
    benchmark::RegisterBenchmark(name, function)
        ->Unit(benchmark::kMicrosecond)
        ->Repetitions(9)
        ->ComputeStatistics(Keeper::kFastest, fastest_of)
        ->ReportAggregatesOnly(true);
  };
  constexpr const char* kSlopesAndRanges = "10 bands, yarn with slopes and ranges";
  constexpr const char* kWithoutChances = "the same with sizes, cuts, bands and advice";
  constexpr const char* kBending = "the same again, one band near its jam";
  constexpr const char* kKitSized = "demo tideline, all but the joint chances";
  constexpr const char* kHowfar = "demo saltmarsh, how wide the stash goes";
  constexpr const char* kFit = "24 swatches fitted, spreads averaged";
  constexpr const char* kSwap = "demo saltmarsh, another of 200 yarns";
  constexpr const char* kWithChances = "10 bands, all";
  add(kSlopesAndRanges, slopes_and_ranges_of_ten_bands);
  add("  of that, threads and plan", plan_ten_bands);
  add("  of that, slopes", slopes_of_ten_bands);
  add(kWithoutChances, estimate_without_chances);
  add(kBending, estimate_that_bends);
  add(kKitSized, estimate_tideline);
  add(kWithChances, estimate_with_chances);
  add("demo saltmarsh, all", estimate_saltmarsh);
  add("demo sedge, all", estimate_sedge);
  add("demo saltmarsh, priced", price_saltmarsh);
  add("reading the demo piece", read_demo_piece_text);
  add(kFit, fit_24_swatches);
  add(kHowfar, how_wide_saltmarsh_goes);
  add(kSwap, swap_over_200_yarns);
  add("demo undertow midway, is it enough", is_enough_of_undertow);
  add(kKit, kit_of_saltmarsh);

  // First, while we are small: see run_program.
  const std::vector<Row> program = program_rows();
  Keeper keeper;
  benchmark::RunSpecifiedBenchmarks(&keeper);

  const std::map<std::string, double> bars_ms = {
      {kFit, 20.0}, {kHowfar, 50.0}, {kSwap, 100.0}, {kKit, 200.0}};
  std::vector<Row> rows;
  for (const Keeper::Times& its : keeper.times()) {
    const auto bar_ms = bars_ms.find(its.name);
    if (bar_ms != bars_ms.end()) {
      const double measured_ms = its.median_us / 1e3;
      rows.push_back({its.name, fmt::format("{:.0f} ms", bar_ms->second),
                      fmt::format("{:.1f} ms", measured_ms), measured_ms / bar_ms->second,
                      fmt::format("{:.1f} ms", its.fastest_us / 1e3)});
      continue;
    }
    const bool has_bar = its.name == kSlopesAndRanges || its.name == kWithoutChances ||
                         its.name == kBending || its.name == kKitSized;
    rows.push_back({its.name, has_bar ? "50 us" : "-", fmt::format("{:.1f} us", its.median_us),
                    has_bar ? its.median_us / 50.0 : 0.0,
                    fmt::format("{:.1f} us", its.fastest_us)});
  }
  rows.insert(rows.end(), program.begin(), program.end());
  const std::vector<Row> many = many_swatches_rows();
  rows.insert(rows.end(), many.begin(), many.end());
  print_table(rows);
  return 0;
}
