"""The exported example runs from its first cell to its last, draws its figures and agrees with the engine.

    execute_test.py EXAMPLE
"""

import sys
from pathlib import Path

from notebooks import copied, executed, need_packages

FIGURES = ["measured", "ranges", "settled", "together", "learning", "pieces", "doubt"]

need_packages()
with copied(sys.argv[1]) as scratch:
    notebook = executed(Path(scratch) / "export")

outputs = {cell["id"]: cell.get("outputs", []) for cell in notebook["cells"]}
for cell, some in outputs.items():
    complaints = [one["text"] for one in some if one["output_type"] == "stream" and one["name"] == "stderr"]
    assert not complaints, f"{cell} complains: {complaints}"
for cell in FIGURES:
    assert any("image/png" in one.get("data", {}) for one in outputs[cell]), f"{cell} draws nothing"
said = "".join(one["text"] for one in outputs["agreement"] if one["output_type"] == "stream")
assert "agree with the engine" in said, said
print(said)
