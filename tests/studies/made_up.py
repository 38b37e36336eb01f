"""Made-up dye houses whose true colours are known, and records of them as a person would keep.

`load_house` finds the outside house (reference material: set SWATCHBATH_REFERENCE to the folder
that holds virtual_dyehouse.py); its Lab is D65 with the 10 degree observer and is taken here as if
it were 2 degrees, since only the shape of the problem counts. `kitchen_house` is our own, built
differently. A `Record` says what is wrong with a record: noisier photos, an error shared by the
swatches of a photo, typing slips, pots with two dyestuffs.
"""

from __future__ import annotations

import importlib.util
import os
import sys
import warnings
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import pandas as pd

from swatchbath.colorimetry import WHITE_D65, Measurement, lab_to_xyz, xyz_to_lab
from swatchbath.predict import ShadeModel

MODIFIER = ["none", "iron", "ash", "acid"]


def load_house(folder: Path | None = None) -> ModuleType:
    """The outside house's module, found by path."""
    named = folder or os.environ.get("SWATCHBATH_REFERENCE")
    if not named:
        sys.exit("Set SWATCHBATH_REFERENCE to the folder that holds virtual_dyehouse.py.")
    return _module(Path(named) / "virtual_dyehouse.py")


def own_house() -> ModuleType:
    """Our own house, which is built differently."""
    return _module(Path(__file__).parent / "kitchen_house.py")


def _module(path: Path) -> ModuleType:
    spec = importlib.util.spec_from_file_location(path.stem, path)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        spec.loader.exec_module(module)
    return module


def to_table(house: ModuleType, N: np.ndarray, C: np.ndarray) -> pd.DataFrame:
    """The house's rows as condition columns; a ninth number and a fifth word are the amount and
    the kind (-1: none) of a second dyestuff in the pot."""
    modifier = np.array(MODIFIER)[C[:, 3]]
    step = np.where(C[:, 3] >= 2, N[:, 5], 0.0)
    table = pd.DataFrame(
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
    if C.shape[1] > 4:
        two = C[:, 4] >= 0
        table["dyestuff_2"] = np.where(two, np.array(house.DYE)[C[:, 4]], "none")
        table["dye_owf_2"] = np.where(two, N[:, 8], 0.0)
        table["dye_2_how"] = np.where(two, "together", None)
    return table


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
    if "dyestuff_2" in c:
        two = c["dyestuff_2"] != "none"
        N.append(c["dye_owf_2"] if two else 0.0)
        C.append(house.DYE.index(c["dyestuff_2"]) if two else -1)
    return np.array([N], float), np.array([C])


@dataclass(frozen=True)
class Record:
    """How a record is kept. noise : the readings' spread, times that of the house. shared : share
    of its variance that all swatches of a photo have in common (six a photo). told : whether the
    readings say how much they are in doubt, and what they share. slips : share of rows with a
    typing slip. two : share of pots with a second dyestuff."""

    noise: float = 1.0
    shared: float = 0.0
    told: bool = True
    slips: float = 0.0
    two: float = 0.0


PLAIN = Record()
_A_PHOTO = 6


class Kitchen:
    """One house with one record kept in it: `N`, `C` as dyed, `table` as written down, `lab` as
    read, and `model` learnt from them. seed : of the house; the record's follows from it and n."""

    def __init__(
        self, house: ModuleType, name: str, kind: str, n: int, seed: int, record: Record = PLAIN
    ) -> None:
        self.house, self.record = house, record
        self.place, self.scene = house.House(seed), house.scenario(name, seed)
        self.kind = kind
        rng = np.random.default_rng(10_000 + 97 * seed + n)
        self.N, self.C = self.design(n, rng)
        self.lab = self.read(self.pots(self.N, self.C, rng), rng)
        self.table = self.written(to_table(house, self.N, self.C), rng)
        self.model = self.learn(self.table, self.lab)

    def design(self, n: int, rng: np.random.Generator, kind: str | None = None) -> Any:
        """Baths (n, 8 or 9), (n, 4 or 5) of the record's kind of design."""
        N, C = self.house.design(kind or self.kind, n, self.scene, rng)
        if not self.record.two:
            return N, C
        dyes = np.array(self.scene["dye"] if len(self.scene["dye"]) > 1 else range(6))
        second = dyes[rng.integers(len(dyes), size=n)]
        two = (rng.random(n) < self.record.two) & (second != C[:, 1])
        amount = np.exp(rng.uniform(np.log(10), np.log(100), n)).round()
        N = np.column_stack([N, np.where(two, amount, 0.0)])
        return N, np.column_stack([C, np.where(two, second, -1)])

    def true(self, N: np.ndarray, C: np.ndarray, rng: np.random.Generator | None = None) -> Any:
        """Noise-free Lab (n, 3) of baths; with rng, of one pot of each.

        Two dyestuffs in one pot: their K/S, each less the undyed fibre's, add in X, Y and Z (made
        up; the house itself knows single dyestuffs).
        """
        N, C = np.asarray(N, float), np.asarray(C)
        one = self.place.true(N[:, :8], C[:, :4], rng=rng)
        if C.shape[1] < 5 or not (C[:, 4] >= 0).any():
            return one
        rows = np.flatnonzero(C[:, 4] >= 0)
        of = np.random.default_rng(rng.integers(2**32)) if rng is not None else None
        N2, C2 = N[rows, :8].copy(), C[rows, :4].copy()
        N2[:, 2], C2[:, 1] = N[rows, 8], C[rows, 4]
        bare = N2.copy()
        bare[:, 2] = 1e-6
        depths = [_ks(lab) for lab in (one[rows], self.place.true(N2, C2, rng=of),
                                       self.place.true(bare, C2))]  # fmt: skip
        k = np.maximum(depths[0] + depths[1] - depths[2], 1e-5)
        out = np.array(one)
        out[rows] = xyz_to_lab((1 + k - np.sqrt(k * k + 2 * k)) * WHITE_D65)
        return out

    def pots(self, N: np.ndarray, C: np.ndarray, rng: np.random.Generator) -> Any:
        """True Lab (n, 3) of one pot of each bath."""
        return self.true(N, C, rng)

    def read(self, lab: np.ndarray, rng: np.random.Generator) -> Any:
        """What photos of pots would give, six to a photo."""
        sd = self.place.meas * self.record.noise
        own = rng.normal(0, 1, lab.shape) * sd * np.sqrt(1 - self.record.shared)
        common = rng.normal(0, 1, lab.shape) * sd * np.sqrt(self.record.shared)
        return lab + own + common[np.arange(len(lab)) // _A_PHOTO]

    def written(self, table: pd.DataFrame, rng: np.random.Generator) -> pd.DataFrame:
        """The table with typing slips: a digit too many or lost, another number, another word."""
        out = table.copy()
        wrong = rng.choice(len(table), int(round(self.record.slips * len(table))), replace=False)
        for i in wrong:
            which = rng.choice(["dye_owf", "minutes", "pH", "temperature_C", "modifier"])
            if which in ("dye_owf", "minutes"):
                slipped = out.loc[i, which] * rng.choice([0.1, 10.0]) + 1
                out.loc[i, which] = min(slipped, 1000.0)  # more is refused when it is typed
            elif which == "pH":
                out.loc[i, "pH"] = float(rng.integers(3, 11))
            elif which == "temperature_C":
                out.loc[i, which] = float(rng.integers(20, 99))
            elif out.loc[i, "modifier"] == "none":
                out.loc[i, ["modifier", "modifier_owf"]] = ["iron", 2.0]
            else:
                out.loc[i, ["modifier", "modifier_owf", "modifier_pH"]] = ["none", 0.0, np.nan]
        return out

    def learn(self, table: pd.DataFrame, lab: np.ndarray) -> ShadeModel:
        """A model fitted to rows as this record is kept."""
        if not self.record.told:
            return ShadeModel().fit(table, lab)
        cov = np.diag((self.place.meas * self.record.noise) ** 2)
        if not self.record.shared:
            return ShadeModel().fit(table, lab, covariances=np.repeat(cov[None], len(lab), axis=0))
        load = np.sqrt(cov * self.record.shared)
        photos = [f"photo {i // _A_PHOTO}" for i in range(len(lab))]
        measured = [
            Measurement(x, cov, shared={photo: load}, photo=photo)
            for x, photo in zip(lab, photos, strict=True)
        ]
        return ShadeModel().fit(table.assign(photo=photos), measured)

    def more(self, N: Any, C: Any, lab: Any) -> ShadeModel:
        """A model fitted to the record with rows added."""
        table = pd.concat([self.table, to_table(self.house, N, C)], ignore_index=True)
        return self.learn(table, np.vstack([self.lab, lab]))


def _ks(lab: np.ndarray) -> np.ndarray:
    r = np.clip(lab_to_xyz(lab) / WHITE_D65, 0.002, 0.999)
    return (1 - r) ** 2 / (2 * r)
