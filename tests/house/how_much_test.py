"""tests/package/how_much.cpp says what `ellwand estimate --json` says, of every piece of the demo studio, before its swatches
are taken in and after, and refuses what it cannot read.

    how_much_test.py HOW_MUCH DATA ELLWAND SCRATCH
"""
import json
import re
import subprocess
import sys
from pathlib import Path

how_much, data, ellwand, scratch = sys.argv[1:]
NUMBER = r"\s*(\d+\.\d)"
LINE = re.compile(rf"(\S+) {NUMBER} m \({NUMBER} to {NUMBER}\) {NUMBER} g \({NUMBER} to {NUMBER}\)")


def run(*command):
    return subprocess.run(command, capture_output=True, text=True, check=True).stdout


def told_by_program(piece):
    """Yarn by yarn, its six figures as how_much tells them."""
    estimate = json.loads(run(ellwand, "estimate", piece, "--json"))
    return estimate["calibration"], [
        (yarn["yarn"], [yarn[amount][point] for amount in ("length_m", "mass_g") for point in ("mid", "low", "high")])
        for yarn in estimate["pieces"][0]["yarns"]
    ]


def check(piece):
    """One decimal is told, so the figures lie within half of one; a thousandth of that for rounding in JSON's text."""
    calibration, expected = told_by_program(piece)
    lines = run(how_much, data, piece).splitlines()
    assert len(lines) == len(expected), lines
    for line, (yarn, figures) in zip(lines, expected):
        told = LINE.fullmatch(line)
        assert told and told[1] == yarn, f"{line}: not {yarn}"
        for said, figure in zip(told.groups()[1:], figures):
            assert abs(float(said) - figure) <= 0.05 * 1.001, f"{piece}: {line}: {figure} is told as {said}"
    return calibration


run(ellwand, "start", scratch, "--demo")
pieces = sorted(str(piece) for piece in Path(scratch, "pieces").glob("*.toml"))
assert pieces
assert [check(piece) for piece in pieces] == [None] * len(pieces)
run(ellwand, "calibrate", scratch)
assert None not in [check(piece) for piece in pieces]

refused = subprocess.run([how_much, data, scratch + "/pieces/none.toml"], capture_output=True, text=True)
assert refused.returncode == 3 and "none.toml" in refused.stderr and not refused.stdout, refused
