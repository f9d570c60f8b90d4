#pragma once
/// The demo studio and small pieces of every kind, for tests of whole pieces.

#include <string>
#include <vector>

#include "ellwand/studio/read_piece.hpp"
#include "ellwand/studio/read_starting_values.hpp"
#include "ellwand/studio/read_studio.hpp"
#include "support/where.hpp"

namespace ellwand::test {

inline std::string data_path(const std::string& name) {
  return test::source_folder() + "/data/" + name;
}

inline const estimate::StartingValues& starting_values() {
  static const estimate::StartingValues values =
      studio::open_starting_values(data_path("starting-values.csv"));
  return values;
}

inline const studio::Studio& demo_studio() {
  static const studio::Studio studio = studio::open_studio(data_path("demo"), starting_values());
  return studio;
}

inline estimate::Workshop demo_workshop() {
  return {demo_studio().yarns, starting_values(), demo_studio().habits};
}

inline piece::Piece read_demo_piece(const std::string& text, const std::string& name = "trial") {
  return studio::read_piece(text, name + ".toml", demo_studio(), starting_values()).piece;
}

inline piece::Piece demo_piece(const std::string& name) {
  return studio::open_piece(data_path("demo/pieces/" + name + ".toml"), demo_studio(),
                            starting_values())
      .piece;
}

inline constexpr const char* kNotchedHead =
    "[piece]\nname = \"Trial\"\n[loom]\nkind = \"notched\"\nspan = \"90 cm\"\npitch = \"4 mm\"\n"
    "[warp]\nyarn = \"seine-12-6\"\nends = 45\n";

/// A piece of each kind that a range has to hold for, by name.
struct NamedPiece {
  std::string name;
  piece::Piece piece;
};

inline std::vector<NamedPiece> pieces_of_every_kind() {
  const std::string head = kNotchedHead;
  return {
      {"demo saltmarsh", demo_piece("saltmarsh")},
      {"demo sedge", demo_piece("sedge")},
      {"fringe alone",
       read_demo_piece(head + "[[band]]\nwork = \"knotted fringe\"\nyarn = \"linen-fringe\"\n"
                              "held = 3\nhang = \"14 cm\"\nrows = 2\n")},
      {"roving", read_demo_piece(head + "[[band]]\nwork = \"weave\"\nyarn = \"fleece-sliver\"\n"
                                        "split_into = 2\nrows = 12\n")},
      {"allowances",
       read_demo_piece("[habits]\nspare_warp_ends = 2\nbroken_ends = 3\nunpicking = \"20 %\"\n"
                       "sampling = \"4 cm\"\n" +
                       head +
                       "[[band]]\nwork = \"weave\"\nyarn = \"rug-wool-ash\"\nrows = 60\n"
                       "[[band]]\nwork = \"weave\"\nyarn = \"fleece-sliver\"\nsplit_into = "
                       "2\nrows = 6\n")},
      {"a few rows", read_demo_piece(head + "[[band]]\nwork = \"weave\"\n"
                                            "yarn = \"rug-wool-ash\"\nrows = 3\n")},
      {"drawn shapes",
       read_demo_piece(head + "[[band]]\nwork = \"weave\"\nheight = \"20 cm\"\nareas = [ "
                              "{ yarn = \"silk-straw\", area = \"40 cm2\", shapes = 3, held = 4 }, "
                              "{ yarn = \"rug-wool-ink\", ground = true } ]\n")},
      {"every other work",
       read_demo_piece(head + "[[band]]\nwork = \"twining\"\nyarn = \"seine-12-6\"\nover = 2\n"
                              "rows = 3\n"
                              "[[band]]\nwork = \"soumak\"\nyarn = \"rug-wool-rust\"\nover = 4\n"
                              "back = 2\nrows = 6\n"
                              "[[band]]\nwork = \"looped pile\"\nyarn = \"rug-wool-ash\"\n"
                              "held = 2\nover = 3\nrows = 8\nloop_height = \"15 mm\"\n"
                              "[[band]]\nwork = \"wrapping\"\nyarn = \"linen-fringe\"\n"
                              "ends = 3\nturns = 15\nplaces = 11\n"
                              "[finish]\nrod = { diameter = \"12 mm\" }\n"
                              "cord = { yarn = \"linen-fringe\", held = 3, plies = 2, "
                              "twist = \"0.5 /cm\", rise = \"18 cm\", wraps = 5 }\n")},
      {"pile, a gap, a pile of one yarn",
       read_demo_piece(head + "[[band]]\nwork = \"knotted pile\"\nyarn = \"rug-wool-rust\"\n"
                              "held = 2\nrows = 6\npile_height = \"15 mm\"\nedge_ends = 2\n"
                              "ground = { yarn = \"cotton-8-2\", held = 2, picks_between = 2 }\n"
                              "[[band]]\nwork = \"gap\"\nheight = \"3 cm\"\n"
                              "[[band]]\nwork = \"knotted pile\"\nyarn = \"rug-wool-ink\"\n"
                              "rows = 2\npile_height = \"2 cm\"\nends_per_knot = 4\n"
                              "ground = { yarn = \"rug-wool-ink\", picks_between = 3 }\n")},
      {"hemstitched at both edges",
       read_demo_piece(head + "[[band]]\nwork = \"weave\"\nyarn = \"worsted-moss\"\nrows = 8\n"
                              "comes_out = true\n"
                              "[[band]]\nwork = \"hemstitch\"\nends_per_stitch = 4\n"
                              "[[band]]\nwork = \"weave\"\nyarn = \"rug-wool-rust\"\nrows = 6\n"
                              "[[band]]\nwork = \"hemstitch\"\nyarn = \"cotton-8-2\"\nheld = 2\n"
                              "ends_per_stitch = 3\nrows_deep = 3\ndrawn_together = false\n")},
      {"frame, joined areas",
       read_demo_piece("[piece]\nname = \"Trial\"\n[loom]\nkind = \"frame\"\nspan = \"60 cm\"\n"
                       "[warp]\nyarn = \"cotton-8-2\"\nheld = 2\nends = 60\nsett = \"3 /cm\"\n"
                       "[[band]]\nwork = \"weave\"\nheight = \"15 cm\"\nweft_angle = \"15 deg\"\n"
                       "areas = [ { yarn = \"worsted-moss\", ends = 20, held = 3 }, "
                       "{ yarn = \"rug-wool-rust\", ends = 25, join = \"interlocked\" }, "
                       "{ yarn = \"rug-wool-ink\", ends = 15, join = \"dovetailed\" } ]\n"
                       "[[band]]\nwork = \"weave\"\nweave = \"2/2 twill\"\nbeat = \"warp-faced\"\n"
                       "yarn = \"cotton-slub\"\nrows = 30\n")},
      {"beam, balanced, doubled warp",
       read_demo_piece(
           "[piece]\nname = \"Trial\"\nweaver = \"beginner\"\n[loom]\n"
           "kind = \"beam\"\n[warp]\nyarn = \"worsted-moss\"\nwidth = \"30 cm\"\n"
           "sett = \"5 /cm\"\nfringe = \"20 cm\"\nloom_waste = \"50 cm\"\n"
           "[[band]]\nwork = \"weave\"\nyarn = \"cotton-slub\"\nheight = \"5 cm\"\n"
           "comes_out = true\n"
           "[[band]]\nwork = \"twining\"\nyarn = \"worsted-moss\"\nrows = 4\n"
           "[[band]]\nwork = \"gap\"\nheight = \"4 cm\"\nheight_state = \"off the loom\"\n"
           "[[band]]\nwork = \"knotted pile\"\nyarn = \"worsted-moss\"\nheld = 3\nrows = 8\n"
           "pile_height = \"1 cm\"\nground = { yarn = \"worsted-moss\" }\n"
           "[[band]]\nwork = \"weave\"\nyarn = \"worsted-moss\"\nheight = \"80 cm\"\n")},
  };
}

}  // namespace ellwand::test
