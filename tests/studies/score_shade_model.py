"""Score ShadeModel on made-up dye houses whose true colours are known (see `made_up`).

Houses are pooled. Errors are CIEDE2000 from the noise-free colour unless said; coverage is the
share of fresh readings (or pots) within the 90 % region. The plain regression that ours must not
fall behind is `reference_regression`.

    python tests/studies/score_shade_model.py [--what colour|rough|suggest|rounds] [--own]
                                              [--seeds 0 1 2 ...] [--jobs 2] [--samples 1]
                                              [--cells 0 1 2]

--own takes our own house, which is built differently, instead of the outside one.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from types import ModuleType
from typing import Any

import numpy as np
import pandas as pd
import reference_regression
from made_up import PLAIN, Kitchen, Record, from_conditions, load_house, own_house, to_table
from scipy.stats import beta

from swatchbath.colorimetry import delta_e2000, lab_to_lch
from swatchbath.predict import ShadeModel

CHI2_90 = 6.251  # 90 % point of chi-square, 3 degrees
DRAWS = np.random.default_rng(1).standard_normal((2, 200, 3))
COLOUR = (
    ("narrow", "clustered", 24), ("narrow", "clustered", 48), ("narrow", "random", 48),
    ("broad", "clustered", 96), ("broad", "random", 96),
)  # fmt: skip
SUGGEST = (
    ("narrow", "clustered", 48), ("broad", "clustered", 48), ("broad", "clustered", 96),
    ("broad", "random", 48), ("broad", "random", 96),
)  # fmt: skip
ROUNDS = (("narrow", "clustered", 48), ("broad", "random", 48), ("broad", "random", 96))
ROUGH = {
    "as it is": PLAIN,
    "photos 2.5 times noisier": Record(noise=2.5),
    "an error shared by a photo": Record(noise=1.5, shared=0.7),
    "the same, not told": Record(noise=1.5, shared=0.7, told=False),
    "5 % typing slips": Record(slips=0.05),
    "half the pots of two dyestuffs": Record(two=0.5),
}


# -- colours of fresh baths ----------------------------------------------------------------------


def colours(
    house: ModuleType, name: str, kind: str, n: int, seed: int, record: Record = PLAIN, m: int = 200
) -> pd.DataFrame:
    """One house: errors, squared distances and energy scores of m fresh baths."""
    k = Kitchen(house, name, kind, n, seed, record)
    rng = np.random.default_rng(50_000 + seed)
    N, C = k.design(m, rng)
    pot = k.pots(N, C, rng)
    true, read = k.true(N, C), k.read(pot, rng)
    got = k.model.predict(to_table(house, N, C))
    plain = reference_regression.fit(k.N[:, :8], k.C[:, :4], k.lab, house.WHITE)
    plain_lab, plain_cov = plain.predict(N[:, :8], C[:, :4], reading=True)
    far = ((_scaled(N)[:, None] - _scaled(k.N)[None]) ** 2).sum(-1)
    far = far + (C[:, None] != k.C[None]).sum(-1)
    ridge = quadratic_ridge(k.table, k.lab, to_table(house, N, C))
    _, chroma, hue = np.moveaxis(lab_to_lch(true), -1, 0)
    return pd.DataFrame(
        {
            "seed": seed,
            "error": delta_e2000(got.lab, true),
            "nearest": delta_e2000(k.lab[far.argmin(1)], true),
            "ridge": delta_e2000(ridge, true),
            "plain": delta_e2000(plain_lab, true),
            "held": distance(got.lab, got.covariance, read) <= CHI2_90,
            "pot_held": distance(got.lab, got.pot_covariance, pot) <= CHI2_90,
            "plain_held": distance(plain_lab, plain_cov, read) <= CHI2_90,
            "energy": energy(got.lab, got.covariance, read),
            "plain_energy": energy(plain_lab, plain_cov, read),
            "hue": np.array(["0-90", "90-180", "180-270", "270-360"])[(hue // 90).astype(int) % 4],
            "chroma": np.array(["under 15", "15-35", "over 35"])[np.searchsorted([15, 35], chroma)],
            "flag": np.where(got.outside, "outside", np.where(got.unsure, "unsure", "neither")),
        }
    )


def distance(lab: np.ndarray, cov: np.ndarray, true: np.ndarray) -> np.ndarray:
    """Squared Mahalanobis distances (n,)."""
    d = true - lab
    return np.einsum("ni,nij,nj->n", d, np.linalg.inv(cov), d)


def energy(lab: np.ndarray, cov: np.ndarray, read: np.ndarray) -> np.ndarray:
    """Energy scores (n,) of normal forecasts in Lab (Gneiting and Raftery 2007): smaller is
    better, and wide regions cost."""
    root = np.linalg.cholesky(cov)
    x, y = (lab[:, None] + DRAWS[i] @ root.swapaxes(1, 2) for i in (0, 1))
    off = np.linalg.norm(x - read[:, None], axis=-1).mean(1)
    return off - 0.5 * np.linalg.norm(x - y, axis=-1).mean(1)


def quadratic_ridge(table: pd.DataFrame, lab: np.ndarray, new: pd.DataFrame) -> np.ndarray:
    """The usual alternative: squares and products of all factors, ridge by cross-validation."""
    from sklearn.compose import make_column_transformer
    from sklearn.linear_model import RidgeCV
    from sklearn.pipeline import make_pipeline
    from sklearn.preprocessing import OneHotEncoder, PolynomialFeatures, StandardScaler

    both = []
    for t in (table, new):
        t = t.drop(columns="dye_2_how", errors="ignore")
        t["modifier_pH"] = t["modifier_pH"].fillna(t["pH"])
        t["modifier_owf"] = t["modifier_owf"].fillna(0.0)
        for c in ("dye_owf", "minutes"):
            t[c] = np.log(t[c])
        both.append(t)
    rest = [c for c in both[0] if pd.api.types.is_numeric_dtype(both[0][c])]
    words = [c for c in both[0] if c not in rest]
    pipe = make_pipeline(
        make_column_transformer(
            (OneHotEncoder(handle_unknown="ignore"), words), (StandardScaler(), rest)
        ),
        PolynomialFeatures(2, include_bias=False),
        StandardScaler(),
        RidgeCV(np.logspace(-2, 4, 13)),
    )
    return np.asarray(pipe.fit(both[0], lab).predict(both[1]))


def _scaled(N: np.ndarray) -> np.ndarray:
    pH, T, dye, mordant, iron, step, minutes, bath = N.T[:8]
    return np.stack(
        [
            (pH - 3.5) / 5.5, (T - 40) / 55, np.log(dye / 10) / np.log(20),
            np.log(mordant + 2) / np.log(22 / 4), np.log((iron + 0.25) / 0.25) / np.log(17),
            (step + 2) / 5, np.log(minutes / 15) / np.log(8), (bath - 1) / 2,
            (pH + step - 2.5) / 8, *np.log1p(N.T[8:] / 10),
        ],
        axis=1,
    )  # fmt: skip


def colour_summary(rows: pd.DataFrame) -> dict[str, float]:
    """Means over houses of the houses' medians; the rest pooled."""
    medians = rows.groupby("seed")[["error", "nearest", "ridge", "plain"]].median().mean()
    return {
        "error": medians["error"],
        "p95": rows["error"].quantile(0.95),
        "of nearest": medians["error"] / medians["nearest"],
        "of ridge": medians["error"] / medians["ridge"],
        "of plain": medians["error"] / medians["plain"],
        "held": rows["held"].mean(),
        "pot held": rows["pot_held"].mean(),
        "energy": rows["energy"].mean(),
        "plain energy": rows["plain_energy"].mean(),
        "plain held": rows["plain_held"].mean(),
    }


# -- suggestions -----------------------------------------------------------------------------------


def suggestions(
    house: ModuleType, name: str, kind: str, n: int, seed: int, targets: int = 8, k: int = 5
) -> pd.DataFrame:
    """One house: every suggestion for reachable targets, beside the nearest swatch dyed again."""
    kitchen = Kitchen(house, name, kind, n, seed)
    rng = np.random.default_rng(90_000 + seed)
    wanted = kitchen.true(*kitchen.design(targets, rng, "random"))
    rows = []
    for target in wanted:
        i = int(delta_e2000(kitchen.lab, target).argmin())
        near = float(delta_e2000(kitchen.true(kitchen.N[[i]], kitchen.C[[i]])[0], target))
        for rank, idea in enumerate(kitchen.model.suggest(target, k=k)):
            N, C = from_conditions(house, idea.conditions)
            pots = delta_e2000(kitchen.true(np.repeat(N, 20, 0), np.repeat(C, 20, 0), rng), target)
            low, high = idea.interval
            rows.append(
                {
                    "seed": seed,
                    "rank": rank,
                    "off": float(delta_e2000(kitchen.true(N, C)[0], target)),
                    "nearest": near,
                    "held": float(np.mean((pots >= low) & (pots <= high))),
                    "said": idea.chance_within,
                    "came": float(np.mean(pots <= 2.0)),
                    "one_pot": bool(pots[0] <= 2.0),
                }
            )
    return pd.DataFrame(rows)


def suggestion_summary(rows: pd.DataFrame) -> dict[str, float]:
    first = rows[rows["rank"] == 0]
    return {
        "first": first["off"].mean(),
        "nearest": first["nearest"].mean(),
        "ratio": first["off"].mean() / first["nearest"].mean(),
        "intervals hold": rows["held"].mean(),
        "of the first": first["held"].mean(),
        "first within 2": first["one_pot"].mean(),
    }


def reliability(rows: pd.DataFrame) -> pd.DataFrame:
    """First-ranked suggestions by the chance stated: how many, the mean chance stated, the share
    whose one drawn pot was within, with 95 % limits (Clopper and Pearson 1934)."""
    first = rows[rows["rank"] == 0]
    out = []
    for low, high in ((0, 0.1), (0.1, 0.3), (0.3, 0.5), (0.5, 0.7), (0.7, 0.9), (0.9, 1.01)):
        mine = first[(first["said"] >= low) & (first["said"] < high)]
        n, hits = len(mine), int(mine["one_pot"].sum())
        if n:
            out.append(
                {
                    "stated": f"{low:g} to {min(high, 1):g}",
                    "count": n,
                    "mean stated": mine["said"].mean(),
                    "came true": hits / n,
                    "low": beta.ppf(0.025, hits, n - hits + 1) if hits else 0.0,
                    "high": beta.ppf(0.975, hits + 1, n - hits) if hits < n else 1.0,
                    "of 20 pots each": mine["came"].mean(),
                }
            )
    return pd.DataFrame(out)


def rounds(
    house: ModuleType,
    name: str,
    kind: str,
    n: int,
    seed: int,
    targets: int = 4,
    most: int = 3,
    samples: int = 1,
) -> pd.DataFrame:
    """One house: dye what is suggested, read it, learn, go on; the best true pot after each round
    of so many samples. The first dyeing is what is suggested, the others what is planned next."""
    kitchen = Kitchen(house, name, kind, n, seed)
    rng = np.random.default_rng(90_000 + seed)
    wanted = kitchen.true(*kitchen.design(targets, rng, "random"))
    out = []
    for target in wanted:
        model: ShadeModel = kitchen.model
        Ns, Cs, labs, best = [], [], [], np.inf
        row: dict[str, float] = {"seed": seed}
        for turn in range(most):
            next_ones = model.suggest if turn == 0 else model.next_samples
            ask = {"k": samples} | ({} if turn == 0 else {"target": target})
            for idea in next_ones(*([target] if turn == 0 else []), **ask):
                N, C = from_conditions(house, idea.conditions)
                pot = kitchen.true(N, C, rng)
                best = min(best, float(delta_e2000(pot[0], target)))
                Ns.append(N), Cs.append(C), labs.append(kitchen.read(pot, rng))
            row[f"after {turn + 1}"] = best
            if turn + 1 < most:
                model = kitchen.more(np.vstack(Ns), np.vstack(Cs), np.vstack(labs))
        out.append(row)
    return pd.DataFrame(out)


# -- all houses ------------------------------------------------------------------------------------


def _one(
    own: bool, what: Callable[..., pd.DataFrame], cell: tuple[str, str, int], more: Any, seed: int
):
    house = own_house() if own else load_house()
    return what(house, *cell, seed, **more)


def pooled(
    what: Callable[..., pd.DataFrame],
    cell: tuple[str, str, int],
    seeds: list[int],
    *,
    own: bool = False,
    jobs: int = 1,
    **more: Any,
) -> pd.DataFrame:
    """Rows of many houses."""
    one = partial(_one, own, what, cell, more)
    if jobs == 1:
        return pd.concat([one(seed) for seed in seeds], ignore_index=True)
    with ProcessPoolExecutor(jobs) as pool:
        return pd.concat(pool.map(one, seeds), ignore_index=True)


def _say(*words: Any, **figures: float) -> None:
    told = "  ".join(f"{k} {v:.2f}" for k, v in figures.items())
    print(*words, told, flush=True)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, nargs="*", default=list(range(24)))
    parser.add_argument("--what", default="all")
    parser.add_argument("--own", action="store_true")
    parser.add_argument("--samples", type=int, default=1, help="a round")
    parser.add_argument("--cells", type=int, nargs="*", help="which of the rounds' records")
    parser.add_argument("--jobs", type=int, default=1)
    o = parser.parse_args()
    how = {"own": o.own, "jobs": o.jobs}
    if o.what in ("all", "colour"):
        found = []
        for cell in COLOUR:
            found.append(pooled(colours, cell, o.seeds, **how))
            _say(*cell, **colour_summary(found[-1]))
        rows = pd.concat(found)
        for by in ("hue", "chroma", "flag"):
            for group, mine in rows.groupby(by):
                _say(by, group, count=len(mine), error=mine["error"].median(),
                     held=mine["held"].mean(), pot=mine["pot_held"].mean(),
                     energy=mine["energy"].mean(), plain=mine["plain_energy"].mean())  # fmt: skip
    if o.what in ("all", "rough"):
        for words, record in ROUGH.items():
            for cell in (("narrow", "clustered", 48), ("broad", "random", 96)):
                rows = pooled(colours, cell, o.seeds, record=record, **how)
                _say(words, *cell, **colour_summary(rows))
    if o.what in ("all", "suggest"):
        found = []
        for cell in SUGGEST:
            found.append(pooled(suggestions, cell, o.seeds, **how))
            _say(*cell, **suggestion_summary(found[-1]))
        print(reliability(pd.concat(found)).round(2).to_string(index=False))
    if o.what in ("all", "rounds"):
        for cell in [ROUNDS[i] for i in o.cells] if o.cells else ROUNDS:
            rows = pooled(rounds, cell, o.seeds, samples=o.samples, **how)
            within = {c: (rows[c] <= 2).mean() for c in rows if c != "seed"}
            _say(*cell, "within 2", **within, mean=rows["after 3"].mean())


if __name__ == "__main__":
    main()
