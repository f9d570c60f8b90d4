"""What fuzzing a target starts from: its seeds and its dictionary.

    gather.py TOP TARGET FOLDER

Seeds come from the demo studio, tests/cases, tests/bad_inputs and tests/fuzz/seeds; the words of the dictionary
from the sources of the readers, so that it has whatever they know.
"""

import pathlib
import re
import sys

WORDS_OF = {
    "table": [],
    "quantities": ["lib/ellwand/units/text.cpp", "lib/ellwand/yarn/*.cpp", "lib/ellwand/decide/money.cpp",
                   "lib/ellwand/decide/knob.cpp", "lib/ellwand/studio/bring_in.cpp"],
    "weave": ["lib/ellwand/cloth/weave_reader.cpp"],
    "piece": ["lib/ellwand/studio/read_piece*.cpp", "lib/ellwand/studio/read_common.cpp"],
    "studio": ["lib/ellwand/studio/read_*policy.cpp", "lib/ellwand/studio/read_studio.cpp",
               "lib/ellwand/studio/read_yarns.cpp", "lib/ellwand/studio/read_lots.cpp",
               "lib/ellwand/studio/read_time.cpp", "lib/ellwand/studio/read_common.cpp"],
    "swatches": ["lib/ellwand/studio/swatch_columns.cpp", "lib/ellwand/studio/read_figures.cpp",
                 "lib/ellwand/studio/read_swatches.cpp", "lib/ellwand/studio/read_piece_band.cpp"],
    "calibration": ["lib/ellwand/studio/calibration_file.cpp", "lib/ellwand/estimate/coefficients.cpp"],
}

READERS = 15  # of quantities.cpp

# What stands between the words of each format.
MARKS = {
    "table": [",", ";", "\t", '"', '""', "\r\n", "\n", "\r", ",,", '","', "\xef\xbb\xbf", " "],
    "quantities": ["1 3/8", "/", "%", ".5", "1e3", "1e308", ",5", " x ", "-", "+", "0", "999999999", "\u00bd", "\u00b0"],
    "weave": ["o1", "u1", "o2 u2", "o99999", "2/2 ", "/", "\n", " step ", "1234", "1 2 12"],
    "piece": ["[[band]]\n", "[finish]\n", "[habits]\n", "[loom]\n", "[warp]\n", " = ", "{ ", " }", "[ ", " ]", ", ",
              '"14 cm"', '"3 mm"', '"2 %"', "1000000", "0", "-1", "nan", "inf", "1e308", "true", "false", "\n"],
    "studio": ["=== yarns.csv\n", "=== lots.csv\n", "=== time.csv\n", "[price]\n", "[kit]\n", "[swap]\n", "[buy]\n",
               "[[loom]]\n", "[[weaver]]\n", " = ", '"2 %"', '"14 cm"', '"22.00"', ",", "\n", "1e308", "nan"],
    "swatches": [",", "\n", "1e308", "nan", "0", "-", "100", "\t", ";"],
    "calibration": ["{", "}", "[", "]", ":", ",", "null", "true", "1e308", "-1e308", "1e-320", "0", "1", '"'],
}


def sections(text, mark):
    """The texts of a file that stand under headings."""
    parts = re.split(rf"^{mark} (.*)\n", text, flags=re.M)
    return list(zip(parts[1::2], parts[2::2]))


def demo_names(piece, yarns):
    """The piece with the demo's yarns in place of its own."""
    known = ["seine-12-6", "rug-wool-ash", "linen-fringe", "cotton-8-2"]
    ids = [row.split(",")[0] for row in yarns.splitlines()[1:]]
    for place, name in enumerate(ids):
        piece = piece.replace(f'"{name}"', f'"{known[place % len(known)]}"')
    return piece


class Tree:
    def __init__(self, top):
        self.top = top
        self.demo = top / "data/demo"
        self.cases = [dict(sections(file.read_text(), "==="))
                      for file in sorted((top / "tests/cases").glob("*.case"))]
        bad = (top / "tests/bad_inputs/bad_inputs.txt").read_text()
        self.bad = sections(bad.replace("\n== ", "\n-- title "), "--")

    def texts(self, pattern):
        return [file.read_text() for file in sorted(self.demo.glob(pattern))]

    def pieces(self):
        usual = "id\nwarp\nweft\n"
        head = '[piece]\nname = "Trial"\n[loom]\nkind = "notched"\nspan = "34 cm"\npitch = "4 mm"\n' \
               '[warp]\nyarn = "warp"\nends = 33\n'
        return self.texts("pieces/*.toml") + \
            [demo_names(case["piece.toml"], case["yarns.csv"]) for case in self.cases] + \
            [demo_names(text, usual) for kind, text in self.bad if kind == "piece"] + \
            [demo_names(head + text, usual) for kind, text in self.bad if kind == "bands"]


def seeds_of(target, tree):
    if target == "table":
        return tree.texts("*.csv") + [case["yarns.csv"] for case in tree.cases]
    if target == "quantities":
        text = "\n".join(tree.pieces() + tree.texts("studio.toml"))
        cells = re.split(r"[,\n]", "\n".join(seeds_of("table", tree)))
        texts = sorted(set(re.findall(r'"([^"\n]*)"', text)) | set(cells))
        marks = (ord("@"), ord("`"))  # decimal point, decimal comma
        return [chr(mark + reader) + text for text in texts for reader in range(READERS) for mark in marks]
    if target == "weave":
        text = "\n".join(tree.pieces())
        rows = [re.findall(r'"([^"]*)"', grid) for grid in re.findall(r"^grid = \[(.*?)\]", text, flags=re.M | re.S)]
        return sorted(set(re.findall(r'^weave = "([^"]*)"', text, flags=re.M))) + ["\n".join(grid) for grid in rows]
    if target == "piece":
        return tree.pieces()
    if target == "studio":
        files = ["studio.toml", "yarns.csv", "lots.csv", "time.csv"]
        whole = "".join((f"=== {name}\n" if name != "studio.toml" else "") + (tree.demo / name).read_text()
                        for name in files)
        cases = ["".join([case.get("studio.toml", "[studio]\n"), "=== yarns.csv\n", case["yarns.csv"]])
                 for case in tree.cases]
        tables = [f"=== {kind}.csv\n{text}" for kind, text in tree.bad if kind in ("yarns", "lots")]
        return [whole] + cases + [text for kind, text in tree.bad if kind == "studio"] + tables
    if target == "swatches":
        whole = (tree.demo / "swatches.csv").read_text()
        heading, *rows = whole.splitlines(keepends=True)
        return [whole] + [heading + row for row in rows] + [text for kind, text in tree.bad if kind == "swatches"]
    return []


def escaped(word):
    """A word as libFuzzer's dictionaries write it."""
    return "".join(chr(b) if 32 <= b < 127 and chr(b) not in '"\\' else f"\\x{b:02x}" for b in word.encode("utf-8"))


def words_of(target, top):
    words = set(MARKS[target])
    for pattern in WORDS_OF[target]:
        for file in top.glob(pattern):
            words |= set(re.findall(r'"([A-Za-z][A-Za-z0-9_. /-]{1,23})"', file.read_text()))
    return sorted(words)


def main():
    top, target, folder = pathlib.Path(sys.argv[1]), sys.argv[2], pathlib.Path(sys.argv[3])
    seeds = folder / "seeds" / target
    seeds.mkdir(parents=True, exist_ok=True)
    own = [file.read_text() for file in sorted((top / "tests/fuzz/seeds" / target).glob("*"))]
    for number, text in enumerate(seeds_of(target, Tree(top)) + own):
        (seeds / f"{number:04}").write_text(text)
    words = "".join(f'"{escaped(word)}"\n' for word in words_of(target, top))
    (folder / "seeds" / f"{target}.dict").write_text(words)


main()
