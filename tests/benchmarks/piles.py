"""How long a pile takes to be sorted. Prints seconds of processor time; asserts nothing.

OMP_NUM_THREADS=1 .venv/bin/python tests/benchmarks/piles.py
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from piles_made import pile as invented  # noqa: E402
from swatchbath.desk.answer.pile import Skein, pile


def main() -> None:
    for count in (20, 100, 500):
        skeins = [Skein(str(i), m) for i, m in enumerate(invented(count, seed=3, degrees=6.0))]
        pile(skeins[:10])
        began = time.process_time()
        found = pile(skeins)
        sorted_ = time.process_time()
        pile(skeins, row=True, best=5)
        ordered = time.process_time()
        print(
            f"{count} skeins: {len(found.groups)} groups in {sorted_ - began:.2f} s; with their "
            f"row and the best 5 in {ordered - sorted_:.2f} s"
        )


if __name__ == "__main__":
    main()
