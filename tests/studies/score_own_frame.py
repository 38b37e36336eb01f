"""Score suggestions for a shade whose photo shows recorded swatches too, on made-up houses.

A photo is off by a shift of its own that all colours in it share. Three swatches near the shade are
read again in the photo of the shade, and these readings are on record: what they tell of the shift
is then taken off the shade ("told"); without that only what is not known is shared ("shared only",
as until the shift was used). Beside them the shade known exactly, and alone in a photo of its own.
First suggestions: mean true CIEDE2000 from the true shade, the chance that was said, and how often
one pot of it was within 2.

    python tests/studies/score_own_frame.py [--own] [--seeds 0 1 2 ...] [--shift 3.5] [--n 48]
"""

from __future__ import annotations

import argparse
from types import ModuleType
from unittest.mock import patch

import numpy as np
import pandas as pd
from made_up import Kitchen, Record, from_conditions, load_house, own_house

from swatchbath.colorimetry import Measurement, delta_e2000
from swatchbath.predict import ShadeModel
from swatchbath.predict.search import suggestion

_PHOTO = "of the shade"
_IN_A_PHOTO = 6


def first_suggestions(
    house: ModuleType, n: int, seed: int, *, shift: float = 3.5, targets: int = 6
) -> pd.DataFrame:
    """One narrow house with n swatches: a row for each shade and way."""
    kitchen = Kitchen(house, "narrow", "clustered", n, seed, Record(noise=1.5, shared=0.7))
    # The pots that were read, drawn again as the kitchen drew them.
    drawn = np.random.default_rng(10_000 + 97 * seed + n)
    pots_on_record = kitchen.pots(*kitchen.design(n, drawn), drawn)
    rng = np.random.default_rng(90_000 + seed)
    own = np.diag((kitchen.place.meas * 1.5) ** 2)
    common = np.sqrt(own * 0.7)
    rows = []
    for wanted in kitchen.true(*kitchen.design(targets, rng, "random")):
        off = rng.normal(0, shift, 3)

        def read(lab: np.ndarray, off: np.ndarray = off) -> Measurement:
            return Measurement(
                lab + off + rng.multivariate_normal(np.zeros(3), own * 0.3),
                own * 0.3,
                shared={f"photo:{_PHOTO}": shift * np.eye(3)},
                photo=_PHOTO,
            )

        near = np.argsort(delta_e2000(kitchen.lab, wanted))[:3]
        pieces = [read(lab) for lab in pots_on_record[near]]
        measured = [
            Measurement(lab, own * 0.3, shared={f"photo:{i // _IN_A_PHOTO}": common},
                        photo=str(i // _IN_A_PHOTO))
            for i, lab in enumerate(kitchen.lab)
        ]  # fmt: skip
        swatch = [*range(n), *near]
        table = pd.concat([kitchen.table, kitchen.table.iloc[near]], ignore_index=True)
        table = table.assign(swatch=[str(i) for i in swatch], lot=[str(i) for i in swatch])
        alone = ShadeModel().fit(table.iloc[:n], measured)
        beside = ShadeModel().fit(table, [*measured, *pieces])
        target = read(wanted)
        with patch.object(suggestion, "in_frame_of", lambda shade, _: shade):
            ways = {"shared only": beside.suggest(target, k=1)}
        ways |= {
            "told": beside.suggest(target, k=1),
            "alone": alone.suggest(target, k=1),
            "exact": alone.suggest(wanted, k=1),
        }
        for way, ideas in ways.items():
            N, C = from_conditions(house, ideas[0].conditions)
            pots = kitchen.true(np.repeat(N, 20, 0), np.repeat(C, 20, 0), rng)
            rows.append(
                {
                    "seed": seed,
                    "way": way,
                    "off": float(delta_e2000(kitchen.true(N, C)[0], wanted)),
                    "said": ideas[0].chance_within,
                    "came": float(np.mean(delta_e2000(pots, wanted) <= 2.0)),
                }
            )
    return pd.DataFrame(rows)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, nargs="*", default=list(range(8)))
    parser.add_argument("--own", action="store_true")
    parser.add_argument("--shift", type=float, default=3.5)
    parser.add_argument("--n", type=int, default=48)
    o = parser.parse_args()
    house = own_house() if o.own else load_house()
    found = pd.concat([first_suggestions(house, o.n, s, shift=o.shift) for s in o.seeds])
    print(found.groupby("way")[["off", "said", "came"]].mean().round(2).to_string())


if __name__ == "__main__":
    main()
