"""tests/package/where_it_goes.py, which reads `ellwand estimate --json`, says what the program prints for people.

    where_it_goes_test.py EXAMPLE INSTALLED
"""
import os
import re
import subprocess
import sys
from pathlib import Path

example, installed = sys.argv[1:]
demo = f"{installed}/share/ellwand/demo"
environment = {**os.environ, "PATH": f"{installed}/bin:{os.environ['PATH']}"}
# A row of the table of yarns: its name, its metres with their range, its grams with theirs, and more.
ROW = re.compile(r"  (\S+) +[\d.]+ \([\d.]+ to [\d.]+\) +([\d.]+) \(([\d.]+) to ([\d.]+)\) .*")
TOLD = re.compile(r"(\S+) +([\d.]+) g \(([\d.]+) to ([\d.]+)\), (\d+)% of it in (.+)")


def run(*command):
    return subprocess.run(command, capture_output=True, text=True, env=environment)


def printed_grams(text):
    """Middle, low and high grams of each yarn, as they stand in the first table of yarns of a text."""
    rows = (ROW.fullmatch(line) for line in text.splitlines())
    grams = {}
    for row in rows:
        if row:
            grams.setdefault(row[1], row.groups()[1:])
    return grams


def last_digit(text):
    return 10.0 ** -len(text.partition(".")[2])


def check_totals(yarn, told, printed):
    """The example tells a tenth; the program as many digits as the range allows, its ends rounded outwards."""
    for end, said, shown in zip(("mid", "low", "high"), told, printed):
        inwards = {"mid": 0.0, "low": 0.5, "high": -0.5}[end] * last_digit(shown)
        apart = abs(float(said) - (float(shown) + inwards))
        assert apart <= (last_digit(shown) + last_digit(said)) / 2 * 1.001, f"{yarn}: {said} is printed as {shown}"


def check_most(yarn, share, name, pieces):
    grams = {piece: float(of[yarn][0]) for piece, of in pieces.items() if yarn in of}
    assert grams[name] == max(grams.values()), f"{yarn}: most is not in {name}: {grams}"
    # The share is of means, those here are medians: of the most doubtful yarn a mean lies 8 % above its median.
    assert abs(share - 100 * grams[name] / sum(grams.values())) <= 8, f"{yarn}: {share} % of {grams}"


studio = run("ellwand", "estimate", demo).stdout
totals = printed_grams(studio.partition("\nAll 6 pieces together\n")[2])
texts = [run("ellwand", "estimate", str(piece)).stdout for piece in Path(demo, "pieces").glob("*.toml")]
pieces = {text.splitlines()[0]: printed_grams(text) for text in texts}
assert len(pieces) == 6 and len(totals) > 6, (pieces, totals)

lines = run(sys.executable, example, demo).stdout.splitlines()
told = [TOLD.fullmatch(line) for line in lines]
assert all(told) and [one[1] for one in told] == list(totals), lines
for one in told:
    yarn, *grams, share, name = one.groups()
    check_totals(yarn, grams, totals[yarn])
    check_most(yarn, int(share), name, pieces)

refused = run(sys.executable, example, f"{demo}/none")
assert refused.returncode != 0 and "none" in refused.stderr and "Traceback" not in refused.stderr, refused
