"""Drawn frames for judging pairs: one colour and eight others of known difference from it.

Each frame has its own house, yarns, camera and light. The things lie on plain white paper with a
grey card among them, as on a photo sheet. All are of one fibre and one make; the others are the
first with more or less of everything, or of some colours, absorbed, until CIEDE2000 is what is
asked for.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

import swatchbath as sb

SAMPLE = Path(__file__).resolve().parents[2] / "sample_swatches"
TRUE = (0.0, 0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 6.0)
SIZE = (1200, 900)


@cache
def drawing() -> Any:
    sys.path.insert(0, str(SAMPLE))
    import draw

    return draw


@dataclass(frozen=True, eq=False)
class Frame:
    """One drawn photo. places : name -> Region, "standard" and the differences' own names; card;
    paper : bare places; true : name -> Lab; path : the file; size : in pixels."""

    places: dict[str, sb.Region]
    card: sb.Region
    paper: list[sb.Region]
    true: dict[str, np.ndarray]
    path: Path
    size: tuple[int, int] = SIZE

    def apart(self, name: str) -> float:
        """How far a place lies from the standard's, in diagonals of the frame."""
        one, two = self.places["standard"], self.places[name]
        return float(np.hypot(one.x - two.x, one.y - two.y) / np.hypot(*self.size))


def beside(reflectance: np.ndarray, by: float, rng: np.random.Generator) -> np.ndarray:
    """A reflectance (81,) that lies `by` CIEDE2000 away in a direction of its own: what is absorbed
    (K/S) grows or shrinks, more at one end of the spectrum or in the middle."""
    draw = drawing()
    from scipy.optimize import brentq

    r = np.clip(np.asarray(reflectance, float), 1e-3, 0.985)
    k = (1 - r) ** 2 / (2 * r)
    own = draw.reflectance_to_lab(r)
    x = np.linspace(-1, 1, len(r))
    shape = np.stack([np.ones_like(x), x, x * x - 1 / 3])

    def moved(share: float, way: np.ndarray) -> np.ndarray:
        more = k * np.exp(share * (way @ shape))
        return np.asarray(1 + more - np.sqrt(more * more + 2 * more))

    def missing(share: float, way: np.ndarray) -> float:
        return float(sb.delta_e2000(own, draw.reflectance_to_lab(moved(share, way)))) - by

    if by <= 0:
        return r
    while True:
        way = rng.normal(0, 1, 3)
        if missing(2.0, way) > 0:
            return moved(brentq(missing, 0.0, 2.0, args=(way,)), way)


def draw_frame(
    seed: int, folder: Path, *, true: Sequence[float] = TRUE, ground: str = "paper", **how: Any
) -> Frame:
    """Draw the frame of a seed; the same each time."""
    draw = drawing()
    rng = np.random.default_rng(np.random.SeedSequence([7316, seed]))
    ((_, fibre, kind, first),) = draw.fresh_pots(rng, draw.House(300_000 + seed), 1)
    names = ["standard", *(f"{t:g}" for t in true)]
    colours = [beside(first, by, rng) for by in (0.0, *true)]
    pots = [(n, fibre, kind, r) for n, r in zip(names, colours, strict=True)]
    pots = [pots[i] for i in rng.permutation(len(pots))]
    array, marks, labs = draw.fresh_photo(
        500_000 + seed, size=SIZE, pots=pots, ground=ground, **how
    )
    path = folder / f"frame_{seed}.jpg"
    draw.save_jpeg(path, array, make="drawn", model=f"frame {seed}")
    at = {m["name"]: sb.Region(m["x"], m["y"], m["half"]) for m in marks}
    return Frame(
        {n: at[n] for n in names},
        at["card"],
        [at[m["name"]] for m in marks if m["kind"] == "paper"],
        labs,
        path,
    )
