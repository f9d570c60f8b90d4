"""What the tests of the analyst's notebook share: whether its packages are there, running it, changing a table."""

import csv
import os
import shutil
import sys
import tempfile
from pathlib import Path

SKIPPED = 77  # what ctest takes as not run
NEEDED = ["matplotlib", "nbclient", "nbformat", "ipykernel", "pandas"]


def need_packages():
    """Ends the test as skipped where a package is not installed; in CI, as failed."""
    import importlib.util

    missing = [name for name in NEEDED if importlib.util.find_spec(name) is None]
    if missing:
        print("not installed: " + ", ".join("python3-" + name for name in missing))
        sys.exit(1 if os.environ.get("CI") == "true" else SKIPPED)


def copied(example):
    """The example in a folder of its own, which is removed at the end of a `with`."""
    scratch = tempfile.TemporaryDirectory(prefix="ellwand-notebook-")
    shutil.copytree(example, Path(scratch.name) / "export")
    return scratch


def change_cell(file, row, column, text):
    """Writes one cell of a table anew; row from 0 below the heading."""
    with open(file, newline="", encoding="utf-8") as table:
        rows = list(csv.reader(table))
    place = rows[0].index(column)
    assert rows[row + 1][place] != text, f"{file} has {text} there already"
    rows[row + 1][place] = text
    with open(file, "w", newline="", encoding="utf-8") as table:
        csv.writer(table, lineterminator="\n").writerows(rows)


def executed(folder):
    """The notebook of a folder, every cell run; raises CellExecutionError where one fails."""
    import nbformat
    from nbclient import NotebookClient

    notebook = nbformat.read(folder / "calibration.ipynb", as_version=4)
    nbformat.validate(notebook)
    NotebookClient(notebook, kernel_name="python3", resources={"metadata": {"path": str(folder)}}, timeout=300).execute()
    return notebook
