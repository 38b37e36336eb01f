"""A dyer's untidy record on an outside made-up house, read by card photos of one camera
(untidy_user.py of the reference material)."""

from __future__ import annotations

import importlib
import sys
from pathlib import Path
from typing import Any

import numpy as np
from made_up import load_house

from swatchbath.colorimetry import Measurement
from swatchbath.predict import ShadeModel
from swatchbath.predict.search.columns import Bath

_A_PHOTO = 6


class UntidyUser:
    """One house and her record of n swatches: `N`, `C` as dyed, `table` as written down, `readings`
    and the `model` learnt from them; seed : of everything. rng : for what is drawn afterwards."""

    def __init__(self, seed: int, n: int | None = None) -> None:
        folder = str(Path(load_house().__file__ or "").parent)
        if folder not in sys.path:
            sys.path.append(folder)
        self._user = importlib.import_module("untidy_user")
        self._virtual = importlib.import_module("virtual_dyehouse")
        self.rng = rng = np.random.default_rng(92_000 + seed)
        self.house = self._virtual.House(seed)
        n = int(rng.choice([24, 34, 48])) if n is None else n
        self.N, self.C, self.lot, day = self._user.her_record(n, rng)
        pots = np.concatenate(
            [
                self.house.true(
                    self.N[[i]],
                    self.C[[i]],
                    rng=np.random.default_rng([seed, int(self.lot[i][1:])]),
                )
                for i in range(n)
            ]
        )
        self._camera = self._user.Camera(rng)
        photos = [f"photo {i // _A_PHOTO}" for i in range(n)]
        self.table = self._user.written(self.N, self.C, self.lot, day, rng)
        self.readings: list[Measurement] = self._camera.read(pots, photos)
        self.model = ShadeModel().fit(self.table, self.readings)

    def like_hers(self, m: int) -> np.ndarray:
        """What her baths with their numbers elsewhere in the ranges that she dyed give, (m, 3)."""
        some = self.rng.integers(len(self.N), size=m)
        low, high = self.N.min(axis=0), self.N.max(axis=0)
        moved = self.N[some] + self.rng.normal(0, 0.3, (m, 8)) * (high - low)
        at = self._virtual.repair(np.clip(moved, low, high), self.C[some])
        return np.asarray(self.house.true(at, self.C[some]))

    def dye(self, bath: Bath, m: int, like: int = 0) -> np.ndarray:
        """Lab (m, 3) of pots of a bath; what it does not say is as in her swatch `like`."""
        n1, c1 = self._user.back(bath, self.N[like], self.C[like])
        return np.asarray(self.house.true(np.repeat(n1, m, 0), np.repeat(c1, m, 0), rng=self.rng))

    def again(self, like: int, m: int, factor: float = 1.0) -> np.ndarray:
        """Lab (m, 3) of pots of a swatch's own bath, its dyestuff times a factor."""
        N = self.N[[like]].copy()
        N[:, 2] *= factor
        return np.asarray(
            self.house.true(np.repeat(N, m, 0), np.repeat(self.C[[like]], m, 0), rng=self.rng)
        )

    def as_read(self, lab: np.ndarray) -> np.ndarray:
        """True colours (n, 3) as the record has them: with what lasts of her camera's error."""
        return np.asarray(lab + self._user.loads(lab, 1.15) @ self._camera.u)

    def read(self, lab: np.ndarray, photo: str) -> Measurement:
        """A colour (3,) as her camera reads it in a photo."""
        found: Any = self._camera.read(lab[None], [photo])[0]
        return found
