"""Prints how often a shade is said to drift, falsely and rightly, as its lots really scatter.

Lots are drawn about a kept piece, each scattering by so much on each axis in units of CIEDE2000
(1.0 is taken before anything is known); 20 lots without a change, and 14 of which the last six are
3 off in a direction of their own. What is usual counts as so many repeats; with that, each lot is
judged by how far lots lie from their neighbours as well. Then the same by what is usual alone.

    python tests/studies/score_drift.py [histories]     (300; two minutes)
"""

from __future__ import annotations

import sys

import numpy as np

from swatchbath.colorimetry.difference import local_metric
from swatchbath.colorimetry.measurement import Measurement
from swatchbath.desk.answer import shade_history
from swatchbath.desk.answer.spread import STARTING_SD, SpreadAnswer
from swatchbath.match.drift import history

GOLD = np.array([62.0, 12.0, 48.0])
SCATTERS = (0.6, 1.0, 1.3, 1.6, 2.0)
COUNTS = (4, 6, 10, 20)
SHIFT, AFTER = 3.0, 8


def first_alarm(labs: np.ndarray, counts: float, *, by_usual_alone: bool) -> int:
    """The lot, from 1, that is first said to drift; one more than there are for none."""
    normal = SpreadAnswer((), 0, 0, 0, STARTING_SD**2, counts)
    if by_usual_alone:
        spread = np.repeat(normal.covariance_at(GOLD)[None], len(labs), 0)
        points = history(GOLD, labs, spread, degrees=counts)
    else:
        kept = Measurement(GOLD, np.zeros((3, 3)), photo="one")
        read = [(Measurement(lab, np.zeros((3, 3)), photo="one"), kept, True) for lab in labs]
        points = shade_history.points_of(read, normal)
    alarms = [i + 1 for i, p in enumerate(points) if p.drifts]
    return alarms[0] if alarms else len(labs) + 1


def shares(scatter: float, counts: float, many: int, **how: bool) -> tuple[float, float]:
    """Shares of false alarms in 20 lots and of shifts caught within 6."""
    back = np.linalg.inv(np.linalg.cholesky(local_metric(GOLD)))
    rng = np.random.default_rng(7321)
    false = caught = 0
    for _ in range(many):
        steady = GOLD + rng.normal(0, scatter, (20, 3)) @ back
        false += first_alarm(steady, counts, **how) <= 20
        way = rng.normal(size=3)
        off = rng.normal(0, scatter, (14, 3))
        off[AFTER:] += SHIFT * way / np.linalg.norm(way)
        caught += AFTER < first_alarm(GOLD + off @ back, counts, **how) <= 14
    return false / many, caught / many


def main() -> None:
    many = int(sys.argv[1]) if len(sys.argv) > 1 else 300
    print("lots scatter by:  " + "".join(f"{s:>14g}" for s in SCATTERS) + "   (false / caught)")
    for alone in (False, True):
        for counts in COUNTS:
            cells = [shares(s, counts, many, by_usual_alone=alone) for s in SCATTERS]
            words = "usual alone" if alone else "with its own"
            line = "".join(f"{false:>8.3f}/{caught:<5.2f}" for false, caught in cells)
            print(f"{words}, {counts:>2g}:".ljust(18) + line, flush=True)


if __name__ == "__main__":
    main()
