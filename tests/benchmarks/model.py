"""How long learning, putting back and suggesting take as a record grows. Prints; asserts nothing.

Times are seconds of processor time of this process after the imports, so that other work on the
machine counts little; with one thread they are what the clock shows on a machine at rest. "let in"
is what reading the table and taking it in costs where a stored fit is put back.

    OMP_NUM_THREADS=1 .venv/bin/python tests/benchmarks/model.py [--rows 10 48 10000 100000]
"""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from big_record import big_record  # noqa: E402
from swatchbath.errors import NotEnoughSwatches
from swatchbath.predict import ShadeModel


def seconds(function, repeats=1):
    """Shortest of several runs, and the last answer."""
    times = []
    for _ in range(repeats):
        began = time.process_time()
        answer = function()
        times.append(time.process_time() - began)
    return min(times), answer


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rows", type=int, nargs="*", default=[10, 48, 300, 1000, 10_000, 100_000])
    options = parser.parse_args()
    warm, lab = big_record(20, seed=5)
    ShadeModel().fit(warm, lab).suggest(lab[0], k=1)  # the imports
    head = ("rows", "fit", "let in", "suggest", "again", "next pots", "stored, kB")
    print("".join(f"{h:>11}" for h in head))
    for n in options.rows:
        table, lab = big_record(n)
        cov = np.repeat(0.25 * np.eye(3)[None], n, axis=0)
        few = 3 if n <= 300 else 1
        try:
            fit, model = seconds(
                lambda t=table, y=lab, c=cov: ShadeModel().fit(t, y, covariances=c), few
            )
        except NotEnoughSwatches as error:
            print(f"{n:>11}  {error}")
            continue
        text = model.fitted()
        back, model = seconds(
            lambda t=table, y=lab, c=cov, s=text: ShadeModel().fit(t, y, covariances=c, stored=s),
            few,
        )
        wanted = big_record(2, seed=8)[1]
        first, _ = seconds(lambda m=model, w=wanted: m.suggest(w[0], k=3))
        again, _ = seconds(lambda m=model, w=wanted: m.suggest(w[1], k=3), few)
        pots, _ = seconds(lambda m=model, w=wanted: m.next_samples(3, target=w[0]), few)
        figures = "".join(f"{v:11.2f}" for v in (fit, back, first, again, pots))
        print(f"{n:>11}{figures}{len(text) / 1000:11.0f}", flush=True)


if __name__ == "__main__":
    main()
