"""One cell of a table changed, and the notebook fails at its agreement: run whole for one, its cells up to there for a
cell of every column of figures.

    tampered_test.py EXAMPLE
"""

import csv
import os
import sys
from pathlib import Path

from notebooks import change_cell, copied, executed, need_packages

need_packages()
os.environ["MPLBACKEND"] = "agg"

import nbformat
from nbclient.exceptions import CellExecutionError

# Columns in words, and those whose figures nothing follows from.
FREE = {
    "swatches.csv": {"line"},
    "predictions.csv": {"line"},
}


def number(text):
    try:
        return float(text)
    except ValueError:
        return None


def cells_to_change(example):
    """Of every column of figures one that is not empty, in the middle of its table."""
    for file in ["swatches.csv", "coefficients.csv", "covariance.csv", "predictions.csv", "learning.csv", "pieces.csv", "engine.csv"]:
        with open(Path(example) / file, newline="", encoding="utf-8") as table:
            heading, *rows = csv.reader(table)
        for place, column in enumerate(heading):
            filled = [i for i, row in enumerate(rows) if number(row[place]) is not None]
            if len(filled) < len(rows) / 2 or column in FREE.get(file, set()):
                continue
            row = filled[len(filled) // 2]
            yield file, row, column, rows[row][place]


def up_to_agreement(folder):
    """The code of the cells up to the one that compares, as one text."""
    code = []
    for cell in nbformat.read(folder / "calibration.ipynb", as_version=4)["cells"]:
        if cell["cell_type"] == "code":
            code.append(cell["source"])
        if cell["id"] == "agreement":
            return "\n".join(code)
    raise SystemExit("the notebook has no cell named agreement")


def fails(folder):
    """Whether the notebook stops at what it asserts, and what it says."""
    before = os.getcwd()
    os.chdir(folder)
    try:
        exec(compile(up_to_agreement(folder), "calibration.ipynb", "exec"), {})
    except AssertionError as stopped:
        return str(stopped)
    finally:
        os.chdir(before)
    return None


example = sys.argv[1]
with copied(example) as scratch:
    assert fails(Path(scratch) / "export") is None, "the example fails as it is"

unseen = []
count = 0
for file, row, column, text in cells_to_change(example):
    count += 1
    with copied(example) as scratch:
        folder = Path(scratch) / "export"
        value = float(text)
        change_cell(folder / file, row, column, repr(value * 1.01 if value else 0.01))
        if not fails(folder):
            unseen.append(f"{file} {column}, row {row + 1}")
assert count > 50, f"only {count} cells were changed"
assert not unseen, "changed by a hundredth and not seen: " + "; ".join(unseen)

with copied(example) as scratch:
    folder = Path(scratch) / "export"
    change_cell(folder / "swatches.csv", 0, "measured", "14.5")
    try:
        executed(folder)
    except CellExecutionError as stopped:
        assert "these figures are not the engine's" in str(stopped), stopped
    else:
        raise SystemExit("the whole notebook runs through with a changed table")
print(f"{count} changed cells were seen, one of them by the whole notebook")
