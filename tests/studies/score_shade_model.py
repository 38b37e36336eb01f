"""Score ShadeModel on a made-up dye house whose true colours are known.

The house is reference material and stays outside: set SWATCHBATH_REFERENCE to the folder that
holds virtual_dyehouse.py. Its Lab is D65 with the 10 degree observer; it is taken here as if it
were 2 degrees, since only the shape of the problem counts. All errors are CIEDE2000 against the
house's noise-free colour unless said.

    python tests/studies/score_shade_model.py [--seeds 0 1 2 ...] [--what all|colour|suggest|plan]
"""

from __future__ import annotations

import argparse
import importlib.util
import os
import sys
import time
import warnings
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import pandas as pd

from swatchbath.colorimetry import delta_e2000
from swatchbath.predict import ShadeModel

MODIFIER = ["none", "iron", "ash", "acid"]


def load_house(folder: Path | None = None) -> ModuleType:
    """The house's module, found by path."""
    named = folder or os.environ.get("SWATCHBATH_REFERENCE")
    if not named:
        sys.exit("Set SWATCHBATH_REFERENCE to the folder that holds virtual_dyehouse.py.")
    path = Path(named) / "virtual_dyehouse.py"
    spec = importlib.util.spec_from_file_location("virtual_dyehouse", path)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        spec.loader.exec_module(module)
    return module


def to_table(house: ModuleType, N: np.ndarray, C: np.ndarray) -> pd.DataFrame:
    """The house's rows as condition columns."""
    modifier = np.array(MODIFIER)[C[:, 3]]
    step = np.where(C[:, 3] >= 2, N[:, 5], 0.0)
    return pd.DataFrame(
        {
            "fibre": np.array(house.FIBRE)[C[:, 0]],
            "dyestuff": np.array(house.DYE)[C[:, 1]],
            "dye_owf": N[:, 2],
            "mordant": np.array(house.MORDANT)[C[:, 2]],
            "mordant_owf": N[:, 3],
            "pH": N[:, 0],
            "temperature_C": N[:, 1],
            "minutes": N[:, 6],
            "bath_number": N[:, 7],
            "modifier": modifier,
            "modifier_owf": np.where(C[:, 3] == 1, N[:, 4], np.where(C[:, 3] == 0, 0.0, np.nan)),
            "modifier_pH": np.where(C[:, 3] == 0, np.nan, N[:, 0] + step),
        }
    )


def from_conditions(house: ModuleType, c: dict[str, Any]) -> tuple[np.ndarray, np.ndarray]:
    """One bath as the house's row."""
    kind = MODIFIER.index(c["modifier"])
    iron = c["modifier_owf"] if kind == 1 else 0.0
    step = c["modifier_pH"] - c["pH"] if kind >= 2 else 0.0
    N = [
        c["pH"], c["temperature_C"], c["dye_owf"], c["mordant_owf"], iron, step,
        c["minutes"], c["bath_number"],
    ]  # fmt: skip
    C = [
        house.FIBRE.index(c["fibre"]),
        house.DYE.index(c["dyestuff"]),
        house.MORDANT.index(c["mordant"]),
        kind,
    ]
    return np.array([N], float), np.array([C])


def a_house(
    house: ModuleType, name: str, kind: str, n: int, seed: int, known: bool = True
) -> tuple[Any, Any, ShadeModel, Any, Any, Any, float]:
    """A house, its scenario, a fitted model, the rows and readings, and seconds to fit."""
    place, scene = house.House(seed), house.scenario(name, seed)
    rng = np.random.default_rng(10_000 + 97 * seed + n)
    N, C = house.design(kind, n, scene, rng)
    lab = place.dye(N, C, rng)
    cov = np.repeat(np.diag(place.meas**2)[None], n, axis=0) if known else None
    start = time.perf_counter()
    model = ShadeModel().fit(to_table(house, N, C), lab, covariances=cov)
    return place, scene, model, N, C, lab, time.perf_counter() - start


def quadratic_ridge(table: pd.DataFrame, lab: np.ndarray, new: pd.DataFrame) -> np.ndarray:
    """The usual alternative: squares and products of all factors, ridge by cross-validation."""
    from sklearn.compose import make_column_transformer
    from sklearn.linear_model import RidgeCV
    from sklearn.pipeline import make_pipeline
    from sklearn.preprocessing import OneHotEncoder, PolynomialFeatures, StandardScaler

    both = []
    for t in (table, new):
        t = t.copy()
        t["modifier_pH"] = t["modifier_pH"].fillna(t["pH"])
        t["modifier_owf"] = t["modifier_owf"].fillna(0.0)
        for c in ("dye_owf", "minutes"):
            t[c] = np.log(t[c])
        both.append(t)
    words = ["fibre", "dyestuff", "mordant", "modifier"]
    rest = [c for c in table.columns if c not in words]
    pipe = make_pipeline(
        make_column_transformer(
            (OneHotEncoder(handle_unknown="ignore"), words), (StandardScaler(), rest)
        ),
        PolynomialFeatures(2, include_bias=False),
        StandardScaler(),
        RidgeCV(np.logspace(-2, 4, 13)),
    )
    return np.asarray(pipe.fit(both[0], lab).predict(both[1]))


def colour_scores(
    house: ModuleType, name: str, kind: str, n: int, seeds: list[int], known: bool = True
) -> dict[str, float]:
    """Errors and coverage on fresh rows of the same kind of design."""
    figures = ("m", "near", "ridge", "cover", "pot", "s", "odd")
    out: dict[str, list[float]] = {k: [] for k in figures}
    worst: list[np.ndarray] = []
    for seed in seeds:
        place, scene, model, N, C, lab, seconds = a_house(house, name, kind, n, seed, known)
        rng = np.random.default_rng(50_000 + seed)
        Nt, Ct = house.design(kind, 300, scene, rng)
        true, read, pot = place.true(Nt, Ct), place.dye(Nt, Ct, rng), place.true(Nt, Ct, rng=rng)
        got = model.predict(to_table(house, Nt, Ct))
        error = delta_e2000(got.lab, true)
        worst.append(error)
        out["m"].append(float(np.median(error)))
        out["cover"].append(within(got.lab, got.covariance, read))
        out["pot"].append(within(got.lab, got.pot_covariance, pot))
        out["s"].append(seconds)
        out["odd"].append(float(len(model.odd_rows_)))
        d = _plain(Nt)[:, None] - _plain(N)[None]
        far = (d**2).sum(-1) + (Ct[:, None] != C[None]).sum(-1)
        out["near"].append(float(np.median(delta_e2000(lab[far.argmin(1)], true))))
        ridge = quadratic_ridge(to_table(house, N, C), lab, to_table(house, Nt, Ct))
        out["ridge"].append(float(np.median(delta_e2000(ridge, true))))
    mean = {k: float(np.mean(v)) for k, v in out.items()}
    mean["p95"] = float(np.quantile(np.concatenate(worst), 0.95))
    mean["to_near"], mean["to_ridge"] = mean["m"] / mean["near"], mean["m"] / mean["ridge"]
    return mean


def _plain(N: np.ndarray) -> np.ndarray:
    pH, T, dye, mordant, iron, step, minutes, bath = N.T
    return np.stack(
        [
            (pH - 3.5) / 5.5, (T - 40) / 55, np.log(dye / 10) / np.log(20),
            np.log(mordant + 2) / np.log(22 / 4), np.log((iron + 0.25) / 0.25) / np.log(17),
            (step + 2) / 5, np.log(minutes / 15) / np.log(8), (bath - 1) / 2,
            (pH + step - 2.5) / 8,
        ],
        axis=1,
    )  # fmt: skip


def within(lab: np.ndarray, cov: np.ndarray, true: np.ndarray, limit: float = 6.251) -> float:
    """Share of colours within the 90 % region."""
    d = true - lab
    return float(np.mean(np.einsum("ni,nij,nj->n", d, np.linalg.inv(cov), d) <= limit))


def suggest_scores(
    house: ModuleType, name: str, kind: str, n: int, seeds: list[int], targets: int = 8
) -> dict[str, Any]:
    """First suggestions for reachable targets, against the nearest precedent repeated."""
    first, near, held, said, got, seconds = [], [], [], [], [], []
    for seed in seeds:
        place, scene, model, N, C, lab, _ = a_house(house, name, kind, n, seed)
        rng = np.random.default_rng(90_000 + seed)
        Nt, Ct = house.design("random", targets, scene, rng)
        wanted = place.true(Nt, Ct)
        for target in wanted:
            start = time.perf_counter()
            ideas = model.suggest(target, k=5)
            seconds.append(time.perf_counter() - start)
            for rank, idea in enumerate(ideas):
                Ni, Ci = from_conditions(house, idea.conditions)
                pots = place.true(np.repeat(Ni, 20, 0), np.repeat(Ci, 20, 0), rng=rng)
                d = delta_e2000(pots, target)
                if rank == 0:
                    first.append(float(delta_e2000(place.true(Ni, Ci)[0], target)))
                held.append(float(np.mean((d >= idea.interval[0]) & (d <= idea.interval[1]))))
                said.append(idea.chance_within)
                got.append(float(np.mean(d <= 2.0)))
            i = int(delta_e2000(lab, target).argmin())
            near.append(float(delta_e2000(place.true(N[i : i + 1], C[i : i + 1])[0], target)))
    said_, got_ = np.array(said), np.array(got)
    edges = [0, 0.05, 0.15, 0.3, 0.5, 0.7, 0.85, 1.01]
    chances = [
        (round(float(said_[m].mean()), 2), round(float(got_[m].mean()), 2), int(m.sum()))
        for a, b in zip(edges[:-1], edges[1:], strict=True)
        if (m := (said_ >= a) & (said_ < b)).any()
    ]
    return {
        "first": float(np.mean(first)),
        "nearest": float(np.mean(near)),
        "ratio": float(np.mean(first) / np.mean(near)),
        "interval_holds": float(np.mean(held)),
        "seconds": float(np.median(seconds)),
        "said_got_count": chances,
    }


def plan_scores(
    house: ModuleType, name: str, kind: str, n: int, seeds: list[int], targets: int = 4
) -> dict[str, float]:
    """Three dyeings at once as planned, refit, one suggestion; the best of the four, truly,
    beside the first suggestion alone."""
    planned, first = [], []
    for seed in seeds:
        place, scene, model, N, C, lab, _ = a_house(house, name, kind, n, seed)
        cov = np.diag(place.meas**2)
        rng = np.random.default_rng(90_000 + seed)
        wanted = place.true(*house.design("random", targets, scene, rng))
        for target in wanted:
            Ns, Cs, labs = N, C, lab
            got = []
            for sample in model.next_samples(3, target=target):
                Ni, Ci = from_conditions(house, sample.conditions)
                pot = place.true(Ni, Ci, rng=rng)
                got.append(float(delta_e2000(pot[0], target)))
                read = pot + rng.normal(0, 1, pot.shape) * place.meas
                Ns, Cs, labs = np.vstack([Ns, Ni]), np.vstack([Cs, Ci]), np.vstack([labs, read])
            again = ShadeModel().fit(
                to_table(house, Ns, Cs), labs, covariances=np.repeat(cov[None], len(labs), axis=0)
            )
            for fitted, out in ((again, got), (model, first)):
                Ni, Ci = from_conditions(house, fitted.suggest(target, k=1)[0].conditions)
                out.append(float(delta_e2000(place.true(Ni, Ci, rng=rng)[0], target)))
            planned.append(min(got))
    return {
        "planned": float(np.mean(planned)),
        "first": float(np.mean(first)),
        "planned_within_2": float(np.mean(np.array(planned) <= 2)),
        "planned_within_4": float(np.mean(np.array(planned) <= 4)),
        "first_within_2": float(np.mean(np.array(first) <= 2)),
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, nargs="*", default=list(range(8)))
    parser.add_argument("--what", default="all")
    options = parser.parse_args()
    house = load_house()
    if options.what in ("all", "colour"):
        for name, kind, n in (
            ("narrow", "clustered", 24),
            ("narrow", "clustered", 48),
            ("narrow", "random", 48),
            ("broad", "clustered", 96),
            ("broad", "random", 96),
        ):
            s = colour_scores(house, name, kind, n, options.seeds)
            print(name, kind, n, {k: round(v, 3) for k, v in s.items()}, flush=True)
    if options.what in ("all", "suggest"):
        for name, kind, n in (
            ("narrow", "clustered", 48),
            ("broad", "clustered", 96),
            ("broad", "random", 96),
        ):
            print(name, kind, n, suggest_scores(house, name, kind, n, options.seeds), flush=True)
    if options.what in ("all", "plan"):
        for name, kind, n in (("narrow", "clustered", 48), ("broad", "clustered", 96)):
            print(name, kind, n, plan_scores(house, name, kind, n, options.seeds), flush=True)


if __name__ == "__main__":
    main()
