"""Is the first suggestion better than what her own thumb would do? On untidy records of made-up
houses, read by card photos, shades read in a photo of their own.

Beside the first suggestion stand the bath of the nearest swatch, dyed again as it truly was, and
that bath with its dyestuff times the ratio of the depths asked for and seen (a third to three
times). For each size of record: mean CIEDE2000 of 20 pots of each from the true shade, and the mean
of the first over the better of the other two, with its standard error (houses drawn again 400
times, all shades of a house together). Shades: reachable, what baths like hers give.

Also: how far the doubt was widened, how far the fit misses the swatches it learnt from, what was
said and came true within 3, and how often the intervals held.

    python tests/studies/score_first_idea.py [--sizes 20 34 50] [--seeds 0 1 ...] [--shades 8]
                                             [--what first|carried]
"""

from __future__ import annotations

import argparse

import numpy as np
import pandas as pd
from untidy import UntidyUser

from swatchbath.colorimetry import delta_e2000
from swatchbath.predict.regression.depth import lab_to_depth
from swatchbath.predict.regression.fit import misses_by

_POTS, _TOLERANCE = 20, 3.0
_BINS = [0, 0.05, 0.2, 0.5, 0.9, 1.01]


def scored(seed: int, n: int, shades: int) -> pd.DataFrame:
    """One house: a row a shade."""
    her = UntidyUser(seed, n)
    fit = her.model.fit_
    known = np.array([m.lab for m in her.readings])
    rows = []
    for number, lab in enumerate(her.like_hers(shades)):
        asked = her.read(lab, f"of shade {number}")
        near = int(delta_e2000(known, asked.lab).argmin())
        gap = lab_to_depth(asked.lab)[0] - lab_to_depth(known[near])[0]
        factor = float(np.clip(np.exp(gap), 1 / 3, 3.0))
        idea = her.model.suggest(asked, tolerance=_TOLERANCE, k=3)[0]
        like = idea.of_row
        pots = her.dye(idea.conditions, _POTS, near if like is None else like)
        off = delta_e2000(pots, lab)
        rows.append(
            {
                "seed": seed,
                "n": n,
                "first": off.mean(),
                "nearest": delta_e2000(her.again(near, _POTS), lab).mean(),
                "scaled": delta_e2000(her.again(near, _POTS, factor), lab).mean(),
                "own": like is not None,
                "expected": idea.expected,
                "said": idea.chance_within,
                "came": np.mean(off <= _TOLERANCE),
                "held": np.mean((off >= idea.interval[0]) & (off <= idea.interval[1])),
                "widened": fit.covariance_inflation,
                "misses": misses_by(fit.regression, fit.factors, fit.observations),
            }
        )
    return pd.DataFrame(rows)


def _ratio(rows: pd.DataFrame) -> float:
    means = rows[["first", "nearest", "scaled"]].mean()
    return float(means["first"] / min(means["nearest"], means["scaled"]))


def summary(rows: pd.DataFrame) -> None:
    """Print means, the ratio and its error by size."""
    rng = np.random.default_rng(0)
    for n, mine in rows.groupby("n"):
        houses = [part for _, part in mine.groupby("seed")]
        again = [
            _ratio(pd.concat([houses[i] for i in rng.integers(len(houses), size=len(houses))]))
            for _ in range(400)
        ]
        means = mine.drop(columns=["seed", "n"]).mean().round(3).to_dict()
        print(f"{n} swatches: {_ratio(mine):.2f} +- {np.std(again):.2f}; {means}", flush=True)
    rows = rows.assign(brier=rows["came"] - 2 * rows["came"] * rows["said"] + rows["said"] ** 2)
    for bin_, mine in rows.groupby(pd.cut(rows["said"], _BINS, right=False), observed=True):
        error = mine.groupby("seed")["came"].mean().sem()
        print(f"said {mine['said'].mean():.3f} came {mine['came'].mean():.3f} +- {error:.3f} "
              f"({len(mine)} in {bin_})")  # fmt: skip
    true = np.average(rows["said"], weights=rows["came"])
    rest = np.average(rows["said"], weights=1 - rows["came"])
    print(f"mean chance of what came true {true:.3f}, of the rest {rest:.3f}; Brier "
          f"{rows['brier'].mean():.4f}")  # fmt: skip


def carried(seed: int, n: int) -> pd.DataFrame:
    """One house: how far off her own swatches' baths are foreseen (CIEDE2000, in the record's
    frame) where so much of how far a reading lies from the fit comes again, by whether cells of the
    bath are not known; typing slips left out."""
    her = UntidyUser(seed, n)
    fit = her.model.fit_
    got, order = fit.regression, fit.order
    z = got.posterior.mean(fit.factors)
    off = got.to_depth(fit.observations.lab) - z
    true = her.as_read(her.house.true(her.N[order], her.C[order]))
    told = her.table["dye_owf"].to_numpy()[order]
    well = np.abs(np.log(told / her.N[order, 2])) < 0.1
    unknown = (fit.factors.spread > 0).any(axis=1)
    rows = []
    for share in (0.0, 0.25, 0.5, 0.7, 1.0):
        error = delta_e2000(got.to_lab(z + share * off), true)
        rows += [
            {"share": share, "unknown": u, "off": e}
            for u, e in zip(unknown[well], error[well], strict=True)
        ]
    return pd.DataFrame(rows)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sizes", type=int, nargs="*", default=[20, 34, 50])
    parser.add_argument("--seeds", type=int, nargs="*", default=list(range(700, 708)))
    parser.add_argument("--shades", type=int, default=8)
    parser.add_argument("--what", default="first", choices=["first", "carried"])
    o = parser.parse_args()
    if o.what == "carried":
        found = pd.concat([carried(seed, n) for n in o.sizes for seed in o.seeds])
        print(found.pivot_table(index="unknown", columns="share", values="off").round(2))
        return
    rows = [scored(seed, n, o.shades) for n in o.sizes for seed in o.seeds]
    summary(pd.concat(rows, ignore_index=True))


if __name__ == "__main__":
    main()
