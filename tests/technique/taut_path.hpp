#pragma once
/// The shortest path of threads of full thickness round bars, cloth and each other, in three
/// dimensions: what a formula for a wrap or a knot is measured against. Lengths in mm.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <utility>
#include <vector>

namespace ellwand::test {

/// A place or a way in the cloth: x along the weft, y up the warp, z towards the weaver.
struct Point {
  double x = 0.0;
  double y = 0.0;
  double z = 0.0;
};
inline Point operator+(const Point& a, const Point& b) { return {a.x + b.x, a.y + b.y, a.z + b.z}; }
inline Point operator-(const Point& a, const Point& b) { return {a.x - b.x, a.y - b.y, a.z - b.z}; }
inline Point operator*(double k, const Point& a) { return {k * a.x, k * a.y, k * a.z}; }
inline double dot(const Point& a, const Point& b) { return a.x * b.x + a.y * b.y + a.z * b.z; }
inline double norm(const Point& a) { return std::sqrt(dot(a, a)); }

/// A straight round bar that gives way to nothing: an end, a bundle of ends, a rod.
struct Bar {
  Point through;         ///< a point of its axis
  Point along{0, 1, 0};  ///< unit length
  double diameter = 0.0;
};

/// A strip of cloth along x: from y `low` to `high`, z within `half_thickness` of 0.
struct Strip {
  double low = 0.0;
  double high = 0.0;
  double half_thickness = 0.0;
};

/// A thread as it is first laid: right in what passes over what, however loose.
struct Thread {
  std::vector<Point> laid;  ///< corners of its axis; of a repeating thread one repeat
  double diameter = 0.0;
  bool repeats = false;  ///< on and on: its last corner joins its first, one `period` further
  Point period;          ///< all 0 for a closed ring
  int strands = 1;       ///< alike, each period / strands further than the one before
  std::array<bool, 3> start_held{true, true, true};  ///< in x, y, z; of a thread that has ends
  std::array<bool, 3> end_held{true, true, true};
};

struct Scene {
  std::vector<Thread> threads;
  std::vector<Bar> bars;
  std::optional<Strip> strip;
};

struct Taut {
  std::vector<double> lengths;  ///< of each thread; of one repeat of one strand where it repeats
  double overlap = 0.0;         ///< deepest that any two bodies share, over the thread's diameter
  std::vector<std::vector<Point>> paths;
  int steps = 0;
};

/// Draws threads tight without friction.
///
/// Each axis is a polyline of N equal pieces pulled by the energy N/2 sum piece^2, whose least
/// value is half the square of the least length. Bodies that overlap push each other apart by stiff
/// springs; the energy is brought down by limited-memory quasi-Newton steps. What the springs still
/// give is made up for at the end: without overlap the energy is greater by force times overlap,
/// summed over the contacts, to first order. The threads grow from thin to full thickness. No step
/// is so long that a thread could pass through another, so what passes over what stays as it was
/// laid.
class Tightener {
 public:
  /// @param piece  length of a piece of the axis, in diameters of its thread as first laid
  /// @param grown_from  part of the full thickness the threads grow from; 1 keeps a lay that only
  ///               full threads hold, such as one passed over another, but then it must be laid
  ///               clear
  explicit Tightener(const Scene& scene, double piece = 0.2, double grown_from = 0.5)
      : scene_(scene), grown_from_(grown_from) {
    for (const Thread& thread : scene.threads) add(thread, piece);
    gradient_.resize(nodes_.size());
  }

  Taut tighten() {
    const double stiffness = grown_from_ < 1.0 ? 60.0 : kStiff;
    for (const double part : {0.0, 0.2, 0.4, 0.6, 0.8, 1.0}) {
      relax(grown_from_ + part * (1.0 - grown_from_), stiffness, 100);
    }
    relax(1.0, stiffness, 300);
    relax(1.0, kStiff, 2000);
    return result();
  }

 private:
  static inline double kStiff = 100.0;
  struct Run {  // one thread's nodes
    const Thread* thread = nullptr;
    std::size_t first = 0;
    std::size_t pieces = 0;
    std::size_t nodes() const { return thread->repeats ? pieces : pieces + 1; }
  };
  struct Pair {  // two pieces that may touch
    std::size_t run_a = 0, piece_a = 0, run_b = 0, piece_b = 0;
    Point shift;         // of the second
    double reach = 0.0;  // mean diameter of the two, full grown
  };
  struct Touch {  // a node at a bar or at the strip (bar == number of bars)
    std::size_t node = 0, bar = 0;
    double radius = 0.0;  // of the thread, full grown
  };

  void add(const Thread& thread, double piece) {
    std::vector<Point> corners = thread.laid;
    if (thread.repeats) corners.push_back(corners.front() + thread.period);
    double length = 0.0;
    for (std::size_t i = 1; i < corners.size(); ++i) length += norm(corners[i] - corners[i - 1]);
    Run run{&thread, nodes_.size(), 0};
    run.pieces =
        std::max<std::size_t>(24, static_cast<std::size_t>(length / (piece * thread.diameter)));
    std::size_t corner = 1;
    double before = 0.0;
    for (std::size_t i = 0; i < run.nodes(); ++i) {
      const double at = length * static_cast<double>(i) / static_cast<double>(run.pieces);
      while (corner + 1 < corners.size() &&
             before + norm(corners[corner] - corners[corner - 1]) < at) {
        before += norm(corners[corner] - corners[corner - 1]);
        ++corner;
      }
      const double side = norm(corners[corner] - corners[corner - 1]);
      const double part = std::min(1.0, (at - before) / side);
      nodes_.push_back(corners[corner - 1] + part * (corners[corner] - corners[corner - 1]));
      held_.push_back({false, false, false});
      run_of_.push_back(runs_.size());
    }
    if (!thread.repeats) {
      held_[run.first] = thread.start_held;
      held_.back() = thread.end_held;
    }
    runs_.push_back(run);
    for (std::size_t i = 0; i < run.nodes(); ++i) {
      const std::size_t walls = scene_.bars.size() + (scene_.strip ? 1 : 0);
      for (std::size_t bar = 0; bar < walls; ++bar) {
        touches_.push_back({run.first + i, bar, 0.5 * thread.diameter});
      }
    }
  }

  /// Node i of a run, in the next repeat where i is past the last.
  Point node(const Run& run, std::size_t i) const {
    if (i < run.nodes()) return nodes_[run.first + i];
    return nodes_[run.first] + run.thread->period;
  }
  static std::size_t wrapped(const Run& run, std::size_t i) {
    return run.first + (i < run.nodes() ? i : 0);
  }

  double length(const Run& run) const {
    double sum = 0.0;
    for (std::size_t i = 0; i < run.pieces; ++i) sum += norm(node(run, i + 1) - node(run, i));
    return sum;
  }

  /// Nearest points of two pieces: parts along each, and from the second to the first.
  struct Nearest {
    double s = 0.0, t = 0.0;
    Point apart;
  };
  static Nearest nearest(const Point& p, const Point& p_end, const Point& q, const Point& q_end) {
    const Point u = p_end - p;
    const Point v = q_end - q;
    const Point w = p - q;
    const double a = dot(u, u), b = dot(u, v), c = dot(v, v), d = dot(u, w), e = dot(v, w);
    const double det = a * c - b * b;
    const auto unit = [](double x) { return std::clamp(x, 0.0, 1.0); };
    double s = det > 1e-9 * a * c ? unit((b * e - c * d) / det) : 0.5;
    const double t = unit((b * s + e) / c);
    s = unit((b * t - d) / a);
    return {s, t, w + s * u - t * v};
  }
  Nearest nearest(const Pair& pair) const {
    const Run& a = runs_[pair.run_a];
    const Run& b = runs_[pair.run_b];
    return nearest(node(a, pair.piece_a), node(a, pair.piece_a + 1),
                   node(b, pair.piece_b) + pair.shift, node(b, pair.piece_b + 1) + pair.shift);
  }

  void find_pairs(double grown) {
    pairs_.clear();
    for (std::size_t a = 0; a < runs_.size(); ++a) {
      for (std::size_t b = a; b < runs_.size(); ++b) {
        const Thread& thread = *runs_[b].thread;
        // A repeating thread meets its other strands and its own repeats, up to a few further on.
        const int copies = thread.repeats && norm(thread.period) > 0.0 ? 4 * thread.strands : 0;
        for (int copy = a == b ? 0 : -copies; copy <= copies; ++copy) {
          find_pairs(a, b, copy, grown);
        }
      }
    }
    moved_ = 0.0;
  }

  void find_pairs(std::size_t a, std::size_t b, int copy, double grown) {
    const Run& run_a = runs_[a];
    const Run& run_b = runs_[b];
    const double reach = 0.5 * (run_a.thread->diameter + run_b.thread->diameter);
    margin_ = 0.5 * reach;
    const Point shift = (static_cast<double>(copy) / run_b.thread->strands) * run_b.thread->period;
    const bool same = a == b && copy % run_b.thread->strands == 0;
    const double step_a = length(run_a) / static_cast<double>(run_a.pieces);
    const double step_b = length(run_b) / static_cast<double>(run_b.pieces);
    const double near = grown * reach + margin_ + 0.5 * (step_a + step_b);
    const bool ring = run_a.thread->repeats && norm(run_a.thread->period) == 0.0;
    for (std::size_t i = 0; i < run_a.pieces; ++i) {
      const Point middle = 0.5 * (node(run_a, i) + node(run_a, i + 1)) - shift;
      for (std::size_t j = same && copy == 0 ? i + 1 : 0; j < run_b.pieces; ++j) {
        const Point apart = middle - 0.5 * (node(run_b, j) + node(run_b, j + 1));
        if (std::abs(apart.x) > near || dot(apart, apart) > near * near) continue;
        if (same) {
          // Neighbours along the thread: not quite half a turn of the sharpest bend, pi/2
          // diameters.
          const int repeats = copy / run_b.thread->strands;
          double between = static_cast<double>(j) - static_cast<double>(i) +
                           repeats * static_cast<double>(run_b.pieces);
          if (ring) between = std::min(between, static_cast<double>(run_a.pieces) - between);
          if (between * step_a < 1.4 * grown * reach) continue;
        }
        pairs_.push_back({a, i, b, j, shift, reach});
      }
    }
  }

  /// How far a node's axis is from a bar's axis or the strip's face, and which way is out.
  std::pair<double, Point> clear_of(const Touch& touch) const {
    const Point& at = nodes_[touch.node];
    if (touch.bar < scene_.bars.size()) {
      const Bar& bar = scene_.bars[touch.bar];
      const Point from = at - bar.through;
      const Point out = from - dot(from, bar.along) * bar.along;
      const double distance = std::max(norm(out), 1e-9);
      return {distance - 0.5 * bar.diameter, (1.0 / distance) * out};
    }
    const Strip& strip = *scene_.strip;
    const double middle = 0.5 * (strip.low + strip.high);
    const double beyond_y = std::abs(at.y - middle) - 0.5 * (strip.high - strip.low);
    const double beyond_z = std::abs(at.z) - strip.half_thickness;
    const double up = at.y > middle ? 1.0 : -1.0;
    const double front = at.z > 0.0 ? 1.0 : -1.0;
    if (beyond_y > 0.0 && beyond_z > 0.0) {
      const double distance = std::hypot(beyond_y, beyond_z);
      return {distance, {0.0, up * beyond_y / distance, front * beyond_z / distance}};
    }
    if (beyond_y > beyond_z) return {beyond_y, {0.0, up, 0.0}};
    return {beyond_z, {0.0, 0.0, front}};
  }

  /// Energy of pull and contact; fills the gradient, and the least distance of any two axes over
  /// their reach.
  double energy(double grown) {
    double sum = 0.0;
    std::fill(gradient_.begin(), gradient_.end(), Point{});
    for (const Run& run : runs_) {
      const auto pieces = static_cast<double>(run.pieces);
      for (std::size_t i = 0; i < run.pieces; ++i) {
        const Point piece = node(run, i + 1) - node(run, i);
        sum += 0.5 * pieces * dot(piece, piece);
        push(wrapped(run, i), -pieces, piece);
        push(wrapped(run, i + 1), pieces, piece);
      }
    }
    closest_ = 1e9;
    for (const Touch& touch : touches_) {
      const auto [distance, out] = clear_of(touch);
      const double core = touch.bar < scene_.bars.size() ? 0.5 * scene_.bars[touch.bar].diameter
                                                         : scene_.strip->half_thickness;
      closest_ = std::min(closest_, (distance + core) / (grown * touch.radius + core));
      const double force = stiffness_ * (grown * touch.radius - distance);
      if (force <= 0.0) continue;
      sum += 0.5 * force * force / stiffness_;
      push(touch.node, -force, out);
    }
    for (const Pair& pair : pairs_) {
      const Nearest at = nearest(pair);
      const double distance = std::max(norm(at.apart), 1e-9);
      closest_ = std::min(closest_, distance / (grown * pair.reach));
      const double force = stiffness_ * (grown * pair.reach - distance);
      if (force <= 0.0) continue;
      sum += 0.5 * force * force / stiffness_;
      const Run& a = runs_[pair.run_a];
      const Run& b = runs_[pair.run_b];
      const double scale = force / distance;
      push(wrapped(a, pair.piece_a), -scale * (1.0 - at.s), at.apart);
      push(wrapped(a, pair.piece_a + 1), -scale * at.s, at.apart);
      push(wrapped(b, pair.piece_b), scale * (1.0 - at.t), at.apart);
      push(wrapped(b, pair.piece_b + 1), scale * at.t, at.apart);
    }
    for (std::size_t i = 0; i < nodes_.size(); ++i) {
      if (held_[i][0]) gradient_[i].x = 0.0;
      if (held_[i][1]) gradient_[i].y = 0.0;
      if (held_[i][2]) gradient_[i].z = 0.0;
    }
    return sum;
  }
  void push(std::size_t node, double scale, const Point& way) {
    gradient_[node] = gradient_[node] + scale * way;
  }

  using Way = std::vector<Point>;
  static double dot_all(const Way& a, const Way& b) {
    double sum = 0.0;
    for (std::size_t i = 0; i < a.size(); ++i) sum += dot(a[i], b[i]);
    return sum;
  }

  /// The inverse of the pull's own stiffness (a chain of springs) on a gradient.
  Way softened(Way right) const {
    for (const Run& run : runs_) {
      const auto spring = static_cast<double>(run.pieces);
      const double ground = 0.02 * stiffness_ + 1.0 / spring;
      std::vector<double> diagonal(run.nodes());
      for (std::size_t i = 0; i < run.nodes(); ++i) {
        const bool at_end = !run.thread->repeats && (i == 0 || i + 1 == run.nodes());
        diagonal[i] = ground + (at_end ? 1.0 : 2.0) * spring;
        if (at_end && held_[run.first + i][0]) diagonal[i] = 1e12;
        if (i == 0) continue;
        const double factor = spring / diagonal[i - 1];
        diagonal[i] -= factor * spring;
        right[run.first + i] = right[run.first + i] + factor * right[run.first + i - 1];
      }
      for (std::size_t i = run.nodes(); i-- > 0;) {
        if (i + 1 < run.nodes()) {
          right[run.first + i] = right[run.first + i] + spring * right[run.first + i + 1];
        }
        right[run.first + i] = (1.0 / diagonal[i]) * right[run.first + i];
      }
    }
    for (std::size_t i = 0; i < right.size(); ++i) {
      if (held_[i][0]) right[i].x = 0.0;
      if (held_[i][1]) right[i].y = 0.0;
      if (held_[i][2]) right[i].z = 0.0;
    }
    return right;
  }

  struct Memory {
    Way step, turn;
    double inverse = 0.0;
  };

  Way downhill() const {
    Way way = gradient_;
    std::vector<double> part(memory_.size());
    for (std::size_t i = memory_.size(); i-- > 0;) {
      part[i] = memory_[i].inverse * dot_all(memory_[i].step, way);
      for (std::size_t k = 0; k < way.size(); ++k) way[k] = way[k] - part[i] * memory_[i].turn[k];
    }
    way = softened(std::move(way));
    for (std::size_t i = 0; i < memory_.size(); ++i) {
      const double back = part[i] - memory_[i].inverse * dot_all(memory_[i].turn, way);
      for (std::size_t k = 0; k < way.size(); ++k) way[k] = way[k] + back * memory_[i].step[k];
    }
    for (Point& w : way) w = -1.0 * w;
    return way;
  }

  double thinnest() const {
    double least = 1e9;
    for (const Run& run : runs_) least = std::min(least, run.thread->diameter);
    return least;
  }

  /// One step downhill; false when none can be found or none is worth it.
  bool step(double grown, double& now) {
    Way way = downhill();
    double slope = dot_all(way, gradient_);
    if (!(slope < 0.0)) {
      if (memory_.empty()) return false;
      memory_.clear();
      way = downhill();
      slope = dot_all(way, gradient_);
    }
    double farthest = 0.0;
    for (const Point& w : way) farthest = std::max(farthest, norm(w));
    double part = std::min(1.0, 0.1 * grown * thinnest() / farthest);
    const double clear = std::min(0.5, closest_);
    const Way from = nodes_;
    const Way old_gradient = gradient_;
    for (int tries = 0; tries < 25; ++tries, part *= 0.5) {
      for (std::size_t i = 0; i < nodes_.size(); ++i) nodes_[i] = from[i] + part * way[i];
      const double then = energy(grown);
      if (closest_ < clear || then > now + 1e-4 * part * slope) continue;
      remember(from, old_gradient);
      const bool worth_it = now - then > 1e-9 * now;
      now = then;
      moved_ += part * farthest;
      idle_ = worth_it ? 0 : idle_ + 1;
      return idle_ < 5;
    }
    nodes_ = from;
    energy(grown);
    if (memory_.empty()) return false;
    memory_.clear();
    return true;
  }

  void remember(const Way& from, const Way& old_gradient) {
    Memory memory{nodes_, gradient_, 0.0};
    for (std::size_t i = 0; i < nodes_.size(); ++i) {
      memory.step[i] = nodes_[i] - from[i];
      memory.turn[i] = gradient_[i] - old_gradient[i];
    }
    const double along = dot_all(memory.step, memory.turn);
    if (along <= 1e-12 * dot_all(memory.step, memory.step)) return;
    memory.inverse = 1.0 / along;
    memory_.push_back(std::move(memory));
    if (memory_.size() > 15) memory_.erase(memory_.begin());
  }

  /// `times`: a thread bent round its own full thickness sinks in by one part in so many.
  void set_stiffness(double times) {
    stiffness_ = 0.0;
    for (const Run& run : runs_) {
      const double in_diameters = length(run) / run.thread->diameter;
      stiffness_ = std::max(stiffness_,
                            times * in_diameters * in_diameters / static_cast<double>(run.pieces));
    }
  }

  void relax(double grown, double times, int steps) {
    set_stiffness(times / (grown * grown));
    idle_ = 0;
    memory_.clear();
    find_pairs(grown);
    double now = energy(grown);
    for (int k = 0; k < steps && step(grown, now); ++k) {
      ++steps_;
      if (moved_ < 0.5 * margin_) continue;
      find_pairs(grown);
      now = energy(grown);
    }
  }

  /// Twice the work still to be done to part what overlaps.
  double unparted() {
    double work = 0.0;
    overlap_ = 0.0;
    for (const Touch& touch : touches_) {
      const double depth = std::max(0.0, touch.radius - clear_of(touch).first);
      overlap_ = std::max(overlap_, depth / (2.0 * touch.radius));
      work += 2.0 * stiffness_ * depth * depth;
    }
    for (const Pair& pair : pairs_) {
      const double depth = std::max(0.0, pair.reach - norm(nearest(pair).apart));
      overlap_ = std::max(overlap_, depth / pair.reach);
      work += 2.0 * stiffness_ * depth * depth;
    }
    return work;
  }

  Taut result() {
    Taut taut;
    double squares = 0.0;
    for (const Run& run : runs_) squares += length(run) * length(run);
    const double longer = std::sqrt(1.0 + unparted() / squares);
    taut.overlap = overlap_;
    taut.steps = steps_;
    for (const Run& run : runs_) {
      taut.lengths.push_back(longer * length(run));
      const auto first = nodes_.begin() + static_cast<std::ptrdiff_t>(run.first);
      taut.paths.emplace_back(first, first + static_cast<std::ptrdiff_t>(run.nodes()));
    }
    return taut;
  }

  const Scene& scene_;
  double grown_from_;
  std::vector<Run> runs_;
  std::vector<Point> nodes_;
  std::vector<std::array<bool, 3>> held_;
  std::vector<std::size_t> run_of_;
  std::vector<Touch> touches_;
  std::vector<Pair> pairs_;
  Way gradient_;
  std::vector<Memory> memory_;
  double stiffness_ = 1.0;
  double margin_ = 0.0;
  double moved_ = 0.0;
  double overlap_ = 0.0;
  double closest_ = 0.0;
  int idle_ = 0;
  int steps_ = 0;
};

inline Taut pull_taut(const Scene& scene, double piece = 0.2, double grown_from = 0.5) {
  return Tightener(scene, piece, grown_from).tighten();
}

}  // namespace ellwand::test
