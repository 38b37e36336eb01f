"""Prints how often pairs in one drawn frame are told to match, by their true difference.

Frames as in sheet_frames.py: nine pieces of one fibre and make on plain paper, by cameras, lights
and yarns that nothing was fitted on (seeds from 2000 on; the doubt of like colours was fitted on 0
to 69). Each true difference once a frame, from one standard, so that frames are the sample; the
places are marked a little off and smaller, as by hand. By the picture alone, with the card, and
with the card and six places on the bare paper.

    python tests/studies/score_sheet.py [frames] [first seed]     (100; about 10 s a frame)
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from printed_sheet import printed_frame
from scipy.stats import binom
from sheet_frames import Frame, draw_frame

import swatchbath as sb

FIRST = 2000
NEAR = 0.25  # of a diagonal
MODES = ("picture", "card", "paper")


@dataclass(frozen=True)
class Pair:
    """One pair: its true difference, how far apart it lies, and its interval."""

    true: float
    apart: float
    low: float
    high: float
    seed: int = 0

    def verdict(self, tolerance: float) -> str:
        """The verdict within a tolerance, as `compare` gives it."""
        if self.high <= tolerance:
            return "match"
        return "no match" if self.low > tolerance else "cannot tell"


def marked(frame: Frame, seed: int) -> dict[str, sb.Region]:
    """The places as a hand marks them: off by 0.12 of their half size, 0.7 to 0.95 as large."""
    rng = np.random.default_rng(np.random.SeedSequence([7317, seed]))
    return {
        n: sb.Region(
            r.x + rng.normal(0, 0.12) * r.half,
            r.y + rng.normal(0, 0.12) * r.half,
            r.half * rng.uniform(0.7, 0.95),
        )
        for n, r in frame.places.items()
    }


def pairs(frame: Frame, seed: int, mode: str) -> list[Pair]:
    """The pairs of a frame; none where it, or its standard, is refused. mode : of MODES, or
    "printed", whose places are as the finder has them."""
    how = {"picture": {"pictured": True}, "card": {"card": frame.card}}
    how["paper"] = how["printed"] = {"card": frame.card, "paper": frame.paper}
    swatches = frame.places if mode == "printed" else marked(frame, seed)
    try:
        shot = sb.measure(frame.path, swatches=swatches, **how[mode])
    except sb.PhotoRefused:
        return []
    if "standard" not in shot:
        return []
    found = []
    for name in shot:
        if name != "standard":
            low, high = sb.compare(shot[name], shot["standard"]).interval
            found.append(Pair(float(name.rstrip("abcdefg")), frame.apart(name), low, high, seed))
    return found


def at_most(wrong: int, of: int, share: float, sure: float = 0.99) -> bool:
    """Whether so many wrong of so many frames may be when at most a share is (one-sided)."""
    return bool(binom.sf(wrong - 1, of, share) >= 1 - sure)


def at_least(right: int, of: int, share: float, sure: float = 0.99) -> bool:
    """Whether so many right may be when at least a share is (one-sided)."""
    return bool(binom.cdf(right, of, share) >= 1 - sure)


def told(rows: Sequence[Pair], tolerance: float) -> dict[float, tuple[int, int, int]]:
    """True difference -> how many are match, no match, and all."""
    out = {}
    for true in sorted({r.true for r in rows}):
        verdicts = [r.verdict(tolerance) for r in rows if r.true == true]
        out[true] = (verdicts.count("match"), verdicts.count("no match"), len(verdicts))
    return out


def report(mode: str, rows: Sequence[Pair]) -> None:
    """Print one mode."""
    trues = sorted({r.true for r in rows})
    print(f"== {mode}: {len({r.seed for r in rows})} frames; match / no match, %")
    print("   true difference        " + "".join(f"{t:>9g}" for t in trues))
    for words, some in (
        ("all", rows),
        (f"within {NEAR:g}", [r for r in rows if r.apart <= NEAR]),
        (f"beyond {NEAR:g}", [r for r in rows if r.apart > NEAR]),
    ):
        for tolerance in (2.0, 3.0):
            cells = told(some, tolerance)
            line = "".join(
                f"{100 * m / n:>5.0f}/{100 * o / n:<3.0f}"
                for m, o, n in (cells.get(t, (0, 0, 1)) for t in trues)
            )
            print(f"   {words}, tolerance {tolerance:g}".ljust(27) + line)
    held = [np.mean([r.low <= r.true + 1e-9 <= r.high + 2e-9 for r in rows if r.true == t])
            for t in trues]  # fmt: skip
    print("   interval holds, %".ljust(27) + "".join(f"{100 * h:>6.0f}   " for h in held))
    least = [np.median([r.high for r in rows if r.true == t]) for t in trues]
    print("   settles at, median".ljust(27) + "".join(f"{v:>7.1f}  " for v in least))
    for tolerance in (2.0, 3.0):
        for true, (match, apart, n) in told(rows, tolerance).items():
            if true >= tolerance and not at_most(match, n, 0.05):
                print(f"   TOO OFTEN match at {true:g} within {tolerance:g}: {match} of {n}")
            if true <= tolerance and not at_most(apart, n, 0.05):
                print(f"   TOO OFTEN no match at {true:g} within {tolerance:g}: {apart} of {n}")


def score(frames: Iterable[tuple[int, Frame]], modes: Sequence[str] = MODES) -> None:
    """Measure, compare, print."""
    rows: dict[str, list[Pair]] = {mode: [] for mode in modes}
    for seed, frame in frames:
        for mode in modes:
            rows[mode] += pairs(frame, seed, mode)
    for mode in modes:
        report(mode, rows[mode])


def main() -> None:
    numbers = [int(word) for word in sys.argv[1:] if word.isdigit()]
    number, first = (*numbers, *(100, FIRST)[len(numbers) :])
    with tempfile.TemporaryDirectory() as folder:
        seeds = range(first, first + number)
        if "printed" in sys.argv[1:]:
            drawn = ((s, printed_frame(s, Path(folder))) for s in seeds)
            score(((s, f) for s, f in drawn if f is not None), ["printed"])
            return
        score((s, draw_frame(s, Path(folder))) for s in seeds)


if __name__ == "__main__":
    main()
