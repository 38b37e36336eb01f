"""How long 1,000, 10,000 and 100,000 rows of a spreadsheet take to come in. Asserts nothing.

.venv/bin/python tests/benchmarks/taking.py [rows ...]
"""

from __future__ import annotations

import csv
import sys
import tempfile
import time
from pathlib import Path

BUDGET_S = 20.0  # for 10,000 rows, with progress


def table(path, count):
    """A dyer's spreadsheet of `count` rows, in her own headings and units."""
    heads = ["Sample no.", "Fiber", "Weight (oz)", "Plant", "Dye % WOF", "Mordant", "Mordant %",
             "Temp (F)", "Time (h)", "pH", "Afterbath", "Lot", "Colour notes"]  # fmt: skip
    fibres, plants, after = ("Wool", "Silk", "Cotton"), ("weld", "madder", "onion skin"), (
        "none", "iron", "ash lye")  # fmt: skip
    with open(path, "w", encoding="utf-8", newline="") as file:
        out = csv.writer(file, delimiter=";")
        out.writerow(heads)
        for i in range(count):
            out.writerow(
                [f"no {i}", fibres[i % 3], "3,5", plants[i % 7 % 3], 20 + i % 90, "Alum", "12",
                 150 + i % 50, "1,5", f"{4 + i % 50 / 10:.1f}".replace(".", ","), after[i % 5 % 3],
                 f"lot {i // 6}", "kept as it is"]
            )  # fmt: skip


def main():
    from swatchbath import desk

    counts = [int(word) for word in sys.argv[1:]] or [1_000, 10_000]
    print(
        f"{'rows':>8}{'seconds':>9}{'processor':>11}{'rows a second':>15}{'steps of the bar':>18}"
    )
    for count in counts:
        with tempfile.TemporaryDirectory() as name:
            path, steps = Path(name) / "pots.csv", []
            table(path, count)
            began, worked = time.perf_counter(), time.process_time()
            done = desk.take(
                Path(name) / "lib", path, progress=lambda *step, to=steps: to.append(step)
            )
            took, worked = time.perf_counter() - began, time.process_time() - worked
            assert done.taken == count, done.left_out[:3]
            note = f"  (budget {BUDGET_S:g} s)" if count == 10_000 else ""
            print(f"{count:8}{took:9.2f}{worked:11.2f}{count / took:15.0f}{len(steps):18}{note}")


if __name__ == "__main__":
    main()
