"""Does the chance said of a suggestion come true? On made-up houses whose true colours are known.

Clean: records of `made_up`, one dyestuff, read with small errors of their own, the shades known
exactly; broad: four dyestuffs.
Card: the untidy dyer's records (untidy_user.py of the reference material), everything read by card
photos of one camera, the shade too, in a photo of its own.
Reachable shades are what baths like hers give; of the mixed ones three in seven lie 6 to 25 in Lab
away from such a colour, in any direction, so that mostly no bath of hers gives them. Last, what was
said of the reach of each kind of shade ("over 4 beyond": from all of 4000 baths like hers).

The search does not depend on what is said of its baths, so one list of shades and baths is scored
with each weight of the wanted colour (how many times the variance of the bath's own it has as a
reading of the bath; inf: it counts nothing, as until it did): the share of 20 pots within the
tolerance against the chance said, in bins, and the Brier score, with the standard error over shades
of the difference from the first weight.

    python tests/studies/score_chance.py [--house clean|card|broad] [--seeds 0 1 ...]
                                         [--weights inf 6 ...]
"""

from __future__ import annotations

import argparse
from typing import Any
from unittest.mock import patch

import numpy as np
import pandas as pd
from made_up import Kitchen, from_conditions, load_house
from untidy import UntidyUser

from swatchbath.colorimetry import delta_e2000
from swatchbath.predict import ShadeModel
from swatchbath.predict.search import suggestion
from swatchbath.predict.search.columns import Bath
from swatchbath.predict.search.request import in_frame_of, parse_target

_BINS = (0, 0.05, 0.2, 0.5, 0.9, 1.01)
_POTS = 20


def houses(which: str, seed: int) -> tuple[ShadeModel, Any, list[Any], float]:
    """A fitted model; what dyes one bath so many times; shades with their true Lab and whether a
    bath gives them; the tolerance asked for."""
    if which == "card":
        return _card(seed)
    return _clean(seed, *(("narrow", 48) if which == "clean" else ("broad", 72)))


def _clean(seed: int, scene: str, n: int) -> tuple[ShadeModel, Any, list[Any], float]:
    house = load_house()
    kitchen = Kitchen(house, scene, "clustered", n, seed)
    rng = np.random.default_rng(91_000 + seed)
    wanted = kitchen.true(*kitchen.design(7, rng, "random"))

    def dye(bath: Bath, n: int) -> np.ndarray:
        N, C = from_conditions(house, bath)
        return np.asarray(kitchen.true(np.repeat(N, n, 0), np.repeat(C, n, 0), rng))

    gamut = kitchen.true(*kitchen.design(4000, rng, "random"))
    shades = [(lab, lab, kind) for lab, kind in _asked(wanted, gamut, rng)]
    return kitchen.model, dye, shades, 2.0


def _card(seed: int) -> tuple[ShadeModel, Any, list[Any], float]:
    her = UntidyUser(seed)
    wanted, gamut = her.like_hers(7), her.like_hers(4000)
    shades = []
    for i, (lab, kind) in enumerate(_asked(wanted, gamut, her.rng)):
        shades.append((her.read(lab, f"of shade {i}"), lab, kind))
    return her.model, her.dye, shades, 3.0


def _asked(
    wanted: np.ndarray, gamut: np.ndarray, rng: np.random.Generator
) -> list[tuple[np.ndarray, str]]:
    """Seven shades that baths give, and three that mostly none does, those over 4 from all of many
    baths named so. wanted (7, 3), gamut (m, 3)."""
    away = rng.normal(size=(3, 3))
    away *= (rng.uniform(6, 25, 3) / np.linalg.norm(away, axis=1))[:, None]
    far = np.clip(wanted[:3] + away, [8, -60, -60], [95, 80, 90])
    beyond = [float(delta_e2000(gamut, x).min()) > 4 for x in far]
    return [(x, "reachable") for x in wanted] + [
        (x, "over 4 beyond" if b else "moved") for x, b in zip(far, beyond, strict=True)
    ]


def scored(which: str, seed: int, weights: list[float]) -> pd.DataFrame:
    """One house: a row for each shade, bath and weight."""
    model, dye, shades, tolerance = houses(which, seed)
    rows = []
    for number, (target, true, kind) in enumerate(shades):
        ideas = model.suggest(target, tolerance=tolerance, k=3)
        baths = [i.conditions for i in ideas]
        off = [delta_e2000(dye(b, _POTS), true) for b in baths]
        shade = in_frame_of(parse_target(target), model.fit_.regression)
        for weight in weights:
            with patch.object(suggestion, "_READING_VARIANCE", weight):
                said = suggestion.suggestions_of(model.fit_, baths, shade, tolerance, 0)
            for idea, pots in zip(said, off, strict=True):
                low, high = idea.interval
                rows.append(
                    {
                        "shade": f"{seed}:{number}", "kind": kind, "weight": weight,
                        "mixed": number >= 3, "said": idea.chance_within,
                        "best": idea.best_chance, "came": np.mean(pots <= tolerance),
                        "expected": idea.expected, "off": pots.mean(),
                        "held": np.mean((pots >= low) & (pots <= high)), "reach": ideas.reach,
                    }
                )  # fmt: skip
    return pd.DataFrame(rows)


def summary(rows: pd.DataFrame, words: str) -> None:
    """Print bins, means and Brier scores by weight."""
    came, said = rows["came"], rows["said"]
    rows = rows.assign(brier=came - 2 * came * said + said**2)
    first = None
    for weight, mine in rows.groupby("weight", sort=False):
        place = pd.cut(mine["said"], [-1, *_BINS[1:]], labels=False)
        told = [
            f"{mine['said'][place == i].mean():.2f}->{mine['came'][place == i].mean():.2f}"
            f"({(place == i).sum()})"
            for i in range(len(_BINS) - 1)
            if (place == i).any()
        ]
        by_shade = mine.groupby("shade")["brier"].mean()
        first = by_shade if first is None else first
        less = by_shade - first
        over = np.mean(mine["said"] > mine["best"])
        print(
            f"{words}, weight {weight:g}: {' '.join(told)}; said {mine['said'].mean():.3f}, came "
            f"{mine['came'].mean():.3f}, Brier {by_shade.mean():.4f} "
            f"({by_shade.mean() / first.mean():.3f}; {less.mean():+.4f} +- {less.sem():.4f}), "
            f"intervals hold {mine['held'].mean():.2f}, over the best {over:.3f}",
            flush=True,
        )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--house", default="clean", choices=["clean", "card", "broad"])
    parser.add_argument("--seeds", type=int, nargs="*", default=list(range(400, 412)))
    parser.add_argument("--weights", type=float, nargs="*", default=[np.inf, 6.0])
    o = parser.parse_args()
    rows = pd.concat([scored(o.house, seed, o.weights) for seed in o.seeds], ignore_index=True)
    summary(rows[rows["kind"] == "reachable"], f"{o.house}, reachable")
    summary(rows[rows["mixed"]], f"{o.house}, mixed")
    for kind, mine in rows[rows["weight"] == o.weights[0]].groupby("kind"):
        print(kind, mine.groupby("shade")["reach"].first().value_counts(normalize=True).to_dict())


if __name__ == "__main__":
    main()
