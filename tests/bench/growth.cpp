// What a band, a yarn, a swatch and a piece more cost as there are ever more of them: time and peak
// memory per unit at each decade, as a table, as a plot in the terminal and as build/growth.svg.
// Each run is a process of its own on one core; time is the processor's. Never fails on what it
// finds: figures are for reading.

#include "peers.hpp"

#include "ellwand/calibrate/fit.hpp"
#include "ellwand/decide/buy.hpp"
#include "ellwand/estimate/estimate.hpp"
#include "ellwand/studio/read_studio.hpp"
#include "ellwand/studio/read_swatches.hpp"
#include "support/many_swatches.hpp"
#include "support/studios.hpp"

#include <sched.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmath>
#include <csignal>
#include <ctime>
#include <filesystem>
#include <functional>
#include <map>
#include <optional>
#include <thread>

namespace ellwand::bench {

namespace {

/// A step of ten times as many may not cost more per unit than this many times as much: linear, and
/// room for what no longer fits in the processor's memory and for a busy machine.
constexpr double kBar = 1.3;
constexpr unsigned kPatience_s = 300;

/// One run's work: set up, then what is measured.
/// It tells how many times over it went through its units: a fit's rounds; 1 otherwise.
using Work = std::function<int()>;
using Growing = std::function<Work(std::size_t)>;

struct Sweep {
  std::string name;
  std::string unit;
  std::vector<std::size_t> sizes;
  Growing of;
};

std::vector<std::size_t> decades(std::size_t first, std::size_t last) {
  std::vector<std::size_t> all;
  for (std::size_t n = first; n <= last; n *= 10) all.push_back(n);
  return all;
}

/// What a busy machine does not blur.
double processor_seconds() {
  timespec now{};
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

struct Measured {
  double processor_s = 0.0;
  double clock_s = 0.0;
  double peak_mb = 0.0;
  int times = 1;  ///< that it went through its units
};

/// This process uses no more cores; the library then starts no more threads than these.
void keep_to(int cores) {
  cpu_set_t set;
  CPU_ZERO(&set);
  for (int i = 0; i < cores; ++i) CPU_SET(static_cast<std::size_t>(i), &set);
  sched_setaffinity(0, sizeof set, &set);
}

/// In a child, so that one run's memory is not another's; none where it died or took too long.
/// @param cores  that it may use: the first of them, or 0 for all
std::optional<Measured> cost_in_a_child(const Growing& of, std::size_t n, int cores) {
  int ends[2];
  if (pipe(ends) != 0) return std::nullopt;
  const pid_t child = fork();
  if (child == 0) {
    close(ends[0]);
    alarm(kPatience_s);
    const Work work = of(n);
    if (cores > 0) keep_to(cores);
    Measured cost{1e9, 1e9, 0.0, 1};
    // Small runs often and large ones three times, for the quickest; the first one's memory.
    double all = 0.0;
    for (int i = 0; i < 200 && (all < 0.3 || (i < 3 && all < 20.0)); ++i) {
      const double before = processor_seconds();
      const Cost one = cost_of([&] { cost.times = work(); });
      const double took = processor_seconds() - before;
      if (i == 0) cost.peak_mb = one.peak_mb;
      cost.processor_s = std::min(cost.processor_s, took);
      cost.clock_s = std::min(cost.clock_s, one.seconds);
      all += took;
    }
    const bool told = write(ends[1], &cost, sizeof cost) == sizeof cost;
    _exit(told ? 0 : 1);
  }
  close(ends[1]);
  Measured cost;
  const bool heard = read(ends[0], &cost, sizeof cost) == sizeof cost;
  close(ends[0]);
  int status = 0;
  waitpid(child, &status, 0);
  if (!heard || status != 0) return std::nullopt;
  return cost;
}

// --- what grows

const char* const kLongLoom =
    "[piece]\nname = \"Trial\"\n[loom]\nkind = \"beam\"\n[warp]\nyarn = \"seine-12-6\"\n"
    "width = \"20 cm\"\nsett = \"2.5 /cm\"\n";

std::string woven_band(const std::string& yarn) {
  return "[[band]]\nwork = \"weave\"\nyarn = \"" + yarn + "\"\nrows = 12\n";
}

/// Plain ones, areas, knots, soumak, twining and pile over and over, in six yarns.
std::string band_text(std::size_t i) {
  static const std::vector<std::string> kinds = {
      woven_band("rug-wool-ash"),
      woven_band("rug-wool-rust"),
      "[[band]]\nwork = \"weave\"\nheight = \"2 cm\"\nareas = [\n"
      "  { yarn = \"rug-wool-ash\", ends = 20 }, { yarn = \"rug-wool-ink\", ends = 30 } ]\n",
      "[[band]]\nwork = \"soumak\"\nover = 4\nback = 2\nyarn = \"rug-wool-rust\"\nrows = 4\n",
      "[[band]]\nwork = \"twining\"\nover = 2\nyarn = \"cotton-8-2\"\nrows = 3\n",
      "[[band]]\nwork = \"looped pile\"\nyarn = \"worsted-moss\"\nheld = 2\nover = 3\nrows = 4\n"
      "loop_height = \"15 mm\"\n"};
  return kinds[i % kinds.size()];
}

std::string many_bands_text(std::size_t n) {
  std::string text = kLongLoom;
  for (std::size_t i = 0; i < n; ++i) text += band_text(i);
  return text;
}

Work estimate_of_bands(std::size_t n) {
  const piece::Piece piece = test::read_demo_piece(many_bands_text(n));
  return [piece] {
    estimate::estimate(piece, test::demo_workshop(), {}, {});
    return 1;
  };
}

/// Roving so near its jam that its yarn bends within the doubt.
Work estimate_of_bending_bands(std::size_t n) {
  std::string text = kLongLoom;
  for (std::size_t i = 0; i < n; ++i) {
    text += "[[band]]\nwork = \"weave\"\nyarn = \"fleece-sliver\"\nsplit_into = 3\nrows = 4\n";
  }
  const piece::Piece piece = test::read_demo_piece(text);
  return [piece] {
    estimate::estimate(piece, test::demo_workshop(), {}, {});
    return 1;
  };
}

Work reading_of_bands(std::size_t n) {
  const std::string text = many_bands_text(n);
  test::demo_studio();
  return [text] {
    test::read_demo_piece(text);
    return 1;
  };
}

/// The demo's studio and so many yarns more, each a little finer than the last.
studio::Studio with_yarns(std::size_t n) {
  studio::Studio studio = test::demo_studio();
  for (std::size_t i = 0; i < n; ++i) {
    yarn::Yarn one = studio.yarns.at("rug-wool-ash");
    one.id = fmt::format("yarn-{}", i);
    one.linear_density = one.linear_density * (1.0 - 0.2 * static_cast<double>(i % 97) / 97.0);
    studio.yarns[one.id] = one;
  }
  return studio;
}

Work estimate_of_yarns(std::size_t n) {
  const auto studio = std::make_shared<studio::Studio>(with_yarns(n));
  std::string text = kLongLoom;
  for (std::size_t i = 0; i < n; ++i) text += woven_band(fmt::format("yarn-{}", i));
  const piece::Piece piece =
      studio::read_piece(text, "many.toml", *studio, test::starting_values()).piece;
  return [studio, piece] {
    estimate::estimate(piece, {studio->yarns, test::starting_values(), studio->habits}, {}, {});
    return 1;
  };
}

/// yarns.csv and lots.csv with so many rows each, as a studio is opened.
Work reading_of_yarns(std::size_t n) {
  const std::string folder =
      (std::filesystem::temp_directory_path() / fmt::format("ellwand-growth-{}", getpid()))
          .string();
  std::filesystem::create_directories(folder);
  std::filesystem::copy_file(test::data_path("demo/studio.toml"), folder + "/studio.toml",
                             std::filesystem::copy_options::overwrite_existing);
  std::ofstream yarns(folder + "/yarns.csv");
  std::ofstream lots(folder + "/lots.csv");
  yarns << "id,label,fibre,kind,count,put_up\n";
  lots << "yarn,lot,net_g\n";
  for (std::size_t i = 0; i < n; ++i) {
    yarns << fmt::format("yarn-{},Yarn {},wool,singles,{} tex,100 g\n", i, i, 400 + i % 300);
    lots << fmt::format("yarn-{},L{},80\n", i, i);
  }
  yarns.close();
  lots.close();
  test::starting_values();
  return [folder] {
    const studio::Studio studio = studio::open_studio(folder, test::starting_values());
    if (studio.yarns.empty()) std::abort();
    return 1;
  };
}

Work fit_of_swatches(std::size_t n) {
  const auto studio = std::make_shared<studio::Studio>(with_yarns(test::kManyYarns));
  return [studio, swatches = test::many_swatches(*studio, n)] {
    return calibrate::fit(swatches, {studio->yarns, test::starting_values(), studio->habits})
        .rounds;
  };
}

Work reading_of_swatches(std::size_t n) {
  std::string text = "swatch,date,loom,warp_yarn,ends,work,yarn,rows,tool_step,used_g\n";
  for (std::size_t i = 0; i < n; ++i) {
    text += fmt::format("s-{},2026-02-14,notched board,seine-12-6,60,weave,rug-wool-ash,60,1,{}\n",
                        i, 10 + i % 8);
  }
  test::demo_studio();
  return [text] {
    studio::read_swatches(text, "swatches.csv", test::demo_studio(), test::starting_values(), {});
    return 1;
  };
}

/// One of the demo's pieces over and over: models, estimates, the list.
Work list_of_pieces(std::size_t n) {
  std::vector<piece::Piece> pieces(n, test::demo_piece("saltmarsh"));
  for (std::size_t i = 0; i < n; ++i) pieces[i].id = fmt::format("saltmarsh-{}", i);
  return [pieces] {
    const studio::Studio& studio = test::demo_studio();
    const estimate::Shelf shelf = studio::shelf_totals(studio.lots, studio.yarns);
    estimate::Options options;
    options.chances = false;
    const std::vector<estimate::ReckonedPiece> reckoned =
        estimate::estimate_each(pieces, test::demo_workshop(), shelf, options);
    std::vector<estimate::Estimated> estimated;
    for (const auto& one : reckoned) estimated.push_back({&one.model, &one.estimate});
    decide::shopping_list({estimated, nullptr, shelf, studio.prices, studio.buy});
    return 1;
  };
}

std::vector<Sweep> sweeps() {
  return {{"estimate of a piece of many bands", "band", decades(10, 10000), estimate_of_bands},
          {"the same, bands near their jam", "band", decades(10, 10000), estimate_of_bending_bands},
          {"reading a piece of many bands", "band", decades(10, 10000), reading_of_bands},
          {"estimate of a piece of many yarns", "yarn", decades(10, 10000), estimate_of_yarns},
          {"opening a studio of many yarns", "yarn", decades(10, 10000), reading_of_yarns},
          {"calibrating swatches, by its rounds", "swatch and round", decades(10, 100000),
           fit_of_swatches},
          {"reading many swatches", "swatch", decades(10, 100000), reading_of_swatches},
          {"one list for many pieces", "piece", decades(1, 10000), list_of_pieces}};
}

// --- what was found

struct Point {
  std::size_t n = 0;
  std::optional<Measured> cost;
};
struct Curve {
  std::string name;
  std::string unit;
  std::vector<Point> points;
};

double us_each(const Point& point) {
  return 1e6 * point.cost->processor_s / static_cast<double>(point.n) / point.cost->times;
}
double kb_each(const Point& point) {
  return 1024.0 * point.cost->peak_mb / static_cast<double>(point.n);
}

std::string of_bar(double ratio) {
  return fmt::format("{:.2f}{}", ratio, ratio > kBar ? " !" : "  ");
}

/// Memory of under a megabyte is a page here or there.
constexpr double kCounts_mb = 1.0;

void print(const Curve& curve) {
  const Point* before = nullptr;
  for (const Point& point : curve.points) {
    const char* name = &point == curve.points.data() ? curve.name.c_str() : "";
    if (!point.cost) {
      fmt::print("{:<36} {:>7}  not within {} s\n", name, point.n, kPatience_s);
      before = nullptr;
      continue;
    }
    std::string time = "-  ";
    std::string memory = "-  ";
    if (before != nullptr) {
      time = of_bar(us_each(point) / us_each(*before));
      if (before->cost->peak_mb > kCounts_mb) memory = of_bar(kb_each(point) / kb_each(*before));
    }
    fmt::print("{:<36} {:>7} {:>10} {:>12.2f} {:>8} {:>9.1f} {:>10.2f} {:>8}\n", name, point.n,
               shown_seconds(point.cost->processor_s), us_each(point), time, point.cost->peak_mb,
               kb_each(point), memory);
    before = &point;
  }
  std::fflush(stdout);
}

Curve measured(const Sweep& sweep) {
  Curve curve{sweep.name, sweep.unit, {}};
  for (const std::size_t n : sweep.sizes) {
    curve.points.push_back({n, cost_in_a_child(sweep.of, n, 1)});
    if (!curve.points.back().cost) break;
  }
  return curve;
}

/// A line of letters for each curve: microseconds a unit over the number of units, both by
/// logarithms.
void plot(const std::vector<Curve>& curves) {
  constexpr int kWide = 61;
  constexpr int kHigh = 21;
  std::vector<std::string> lines(kHigh, std::string(kWide, ' '));
  for (std::size_t k = 0; k < curves.size(); ++k) {
    for (const Point& point : curves[k].points) {
      if (!point.cost) continue;
      const int x = static_cast<int>(std::lround(12.0 * std::log10(static_cast<double>(point.n))));
      const int y = static_cast<int>(std::lround(4.0 * std::log10(us_each(point))));
      if (x >= 0 && x < kWide && y >= 0 && y < kHigh) {
        lines[static_cast<std::size_t>(kHigh - 1 - y)][static_cast<std::size_t>(x)] =
            static_cast<char>('a' + k);
      }
    }
  }
  fmt::print("\nmicroseconds a unit\n");
  for (int y = 0; y < kHigh; ++y) {
    const int decade = (kHigh - 1 - y) / 4;
    const std::string mark = (kHigh - 1 - y) % 4 == 0 ? fmt::format("10^{}", decade) : "";
    fmt::print("{:>6} |{}\n", mark, lines[static_cast<std::size_t>(y)]);
  }
  fmt::print(
      "       +{}\n        1           10          100         1000        10^4        10^5 "
      "units\n",
      std::string(kWide, '-'));
  for (std::size_t k = 0; k < curves.size(); ++k) {
    fmt::print("        {}  {}, a {}\n", static_cast<char>('a' + k), curves[k].name,
               curves[k].unit);
  }
}

/// One panel: a line a curve, both axes by logarithms; horizontal is linear.
class Panel {
 public:
  Panel(std::string title, double left, double low, double high)
      : title_(std::move(title)),
        left_(left),
        low_(std::floor(std::log10(low))),
        high_(std::ceil(std::log10(high))) {}

  std::string frame() const {
    std::string svg = fmt::format("<text x='{}' y='24' font-size='15'>{}</text>\n", left_, title_);
    for (int x = 0; x <= 5; ++x) {
      svg += fmt::format("<text x='{}' y='396' text-anchor='middle'>10^{}</text>\n", at_x(x), x);
      svg += rule(at_x(x), kTop, at_x(x), kBottom);
    }
    for (int y = static_cast<int>(low_); y <= static_cast<int>(high_); ++y) {
      svg += fmt::format("<text x='{}' y='{}' text-anchor='end'>10^{}</text>\n", left_ - 6.0,
                         at_y(y) + 4.0, y);
      svg += rule(left_, at_y(y), left_ + kWide, at_y(y));
    }
    return svg;
  }

  std::string line(const Curve& curve, double (*each)(const Point&), const char* colour) const {
    std::string points;
    std::string dots;
    for (const Point& point : curve.points) {
      if (!point.cost || !(each(point) > 0.0)) continue;
      const double x = at_x(std::log10(static_cast<double>(point.n)));
      const double y = at_y(std::log10(each(point)));
      points += fmt::format("{:.1f},{:.1f} ", x, y);
      dots += fmt::format("<circle cx='{:.1f}' cy='{:.1f}' r='3.5' fill='{}'/>\n", x, y, colour);
    }
    return fmt::format("<polyline points='{}' fill='none' stroke='{}' stroke-width='2'/>\n", points,
                       colour) +
           dots;
  }

 private:
  static constexpr double kTop = 40.0;
  static constexpr double kBottom = 380.0;
  static constexpr double kWide = 340.0;

  static std::string rule(double x1, double y1, double x2, double y2) {
    return fmt::format("<line x1='{}' y1='{}' x2='{}' y2='{}' stroke='#ddd'/>\n", x1, y1, x2, y2);
  }
  double at_x(double log) const { return left_ + kWide * log / 5.0; }
  double at_y(double log) const {
    return kBottom - (kBottom - kTop) * (log - low_) / (high_ - low_);
  }

  std::string title_;
  double left_;
  double low_;
  double high_;
};

Panel panel_of(const std::vector<Curve>& curves, const std::string& title, double left,
               double (*each)(const Point&)) {
  double low = 1e9;
  double high = 1e-9;
  for (const Curve& curve : curves) {
    for (const Point& point : curve.points) {
      if (!point.cost || !(each(point) > 0.0)) continue;
      low = std::min(low, each(point));
      high = std::max(high, each(point));
    }
  }
  return {title, left, low, high};
}

void draw(const std::vector<Curve>& curves, const std::string& file) {
  static const char* const kColours[] = {"#1b6ca8", "#c0392b", "#27864a", "#8e44ad",
                                         "#d68910", "#16a085", "#7f8c8d", "#2c3e50"};
  const Panel time = panel_of(curves, "microseconds a unit", 60.0, us_each);
  const Panel memory = panel_of(curves, "kB at the peak a unit", 500.0, kb_each);
  std::ofstream svg(file);
  svg << "<svg xmlns='http://www.w3.org/2000/svg' width='880' height='600' "
         "font-family='sans-serif' font-size='12'>\n<rect width='880' height='600' fill='white'/>\n"
      << time.frame() << memory.frame();
  for (std::size_t k = 0; k < curves.size(); ++k) {
    const char* const colour = kColours[k % std::size(kColours)];
    svg << time.line(curves[k], us_each, colour) << memory.line(curves[k], kb_each, colour);
    svg << fmt::format("<text x='60' y='{}' fill='{}'>{}, a {}</text>\n", 430 + 20 * k, colour,
                       curves[k].name, curves[k].unit);
  }
  svg << "<text x='500' y='430'>across: how many units; flat or falling is linear or "
         "better</text>\n"
         "</svg>\n";
}

/// What all cores do for the work that uses them, by the clock.
void print_cores() {
  struct Shared {
    const char* name;
    std::size_t n;
    Growing of;
  };
  const std::vector<Shared> shared = {{"calibrating swatches", 100, fit_of_swatches},
                                      {"calibrating swatches", 1000, fit_of_swatches},
                                      {"calibrating swatches", 10000, fit_of_swatches},
                                      {"one list for pieces", 10, list_of_pieces},
                                      {"one list for pieces", 1000, list_of_pieces}};
  fmt::print("\n{:<36} {:>7} {:>10} {:>10} {:>8}\n", "by the clock", "units", "one core",
             fmt::format("{} cores", std::thread::hardware_concurrency()), "quicker");
  for (const Shared& one : shared) {
    const auto alone = cost_in_a_child(one.of, one.n, 1);
    const auto all = cost_in_a_child(one.of, one.n, 0);
    if (!alone || !all) continue;
    fmt::print("{:<36} {:>7} {:>10} {:>10} {:>8.2f}\n", one.name, one.n,
               shown_seconds(alone->clock_s), shown_seconds(all->clock_s),
               alone->clock_s / all->clock_s);
  }
}

}  // namespace

}  // namespace ellwand::bench

/// @param argv  the file to draw to, and which sweeps: a word of their names
int main(int argc, char** argv) {
  using namespace ellwand::bench;
  const std::string file = argc > 1 ? argv[1] : "growth.svg";
  const std::string word = argc > 2 ? argv[2] : "";
  fmt::print("A step: cost per unit over that of a tenth as many; bar {}. \"!\" is over it.\n\n",
             kBar);
  fmt::print("{:<36} {:>7} {:>10} {:>12} {:>8} {:>9} {:>10} {:>8}\n", "what grows", "units", "time",
             "us a unit", "step", "peak MB", "kB a unit", "step");
  std::vector<Curve> curves;
  for (const Sweep& sweep : sweeps()) {
    if (sweep.name.find(word) == std::string::npos) continue;
    curves.push_back(measured(sweep));
    print(curves.back());
  }
  if (word.empty()) print_cores();
  plot(curves);
  draw(curves, file);
  fmt::print("\nDrawn in {}\n", file);
  return 0;
}
