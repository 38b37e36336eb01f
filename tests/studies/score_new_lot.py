"""Score the correction for a new delivery of a dyestuff on a made-up dye house.

A house is learnt from with one delivery; another, drawn by the house, is then dyed. Errors are
CIEDE2000 against its noise-free colours: without a correction, with check swatches, and with the
shift that is best in hindsight.

    python tests/studies/score_new_lot.py [--seeds 0 1 2 ...] [--lots 6]
    python tests/studies/score_new_lot.py --spread      # how deliveries differ, in log depth
"""

from __future__ import annotations

import argparse

import numpy as np
from made_up import from_conditions, load_house, to_table

from swatchbath.colorimetry import delta_e2000
from swatchbath.predict import ShadeModel
from swatchbath.predict.regression.depth import depth_to_lab, lab_to_depth


def spread(house, seeds, lots=12):
    """(3, 3): mean square of the shift of log depth over deliveries of one dyestuff."""
    shifts = []
    for seed in seeds:
        place, scene = house.House(seed), house.scenario("narrow", seed)
        N, C = house.design("random", 60, scene, np.random.default_rng(seed))
        for k in range(lots):
            moved = lab_to_depth(place.true(N, C, place.lot(1000 * seed + k)))
            shifts.append((moved - lab_to_depth(place.true(N, C))).mean(axis=0))
    return np.array(shifts).T @ np.array(shifts) / len(shifts)


def lot_scores(house, name, kind, n, seeds, lots=6, ks=(1, 2, 3, 5)):
    """Median error on new deliveries, and how many deliveries came out worse than uncorrected."""
    errors = {"uncorrected": [], "hindsight": []} | {k: [] for k in ks}
    said = {k: [] for k in ks}
    for seed in seeds:
        place, scene = house.House(seed), house.scenario(name, seed)
        rng = np.random.default_rng(20_000 + seed)
        N, C = house.design(kind, n, scene, rng)
        table = to_table(house, N, C).assign(dyestuff_lot="old")
        cov = np.diag(place.meas**2)
        model = ShadeModel().fit(
            table, place.dye(N, C, rng), covariances=np.repeat(cov[None], n, axis=0)
        )
        dyestuff = table["dyestuff"].value_counts().index[0]
        Nt, Ct = house.design(kind, 400, scene, rng)
        mine = Ct[:, 1] == house.DYE.index(dyestuff)
        Nt, Ct = Nt[mine], Ct[mine]
        test = to_table(house, Nt, Ct)
        plain = model.predict(test.assign(dyestuff_lot="old")).lab
        for j in range(lots):
            lot = place.lot(1000 * seed + j)
            true = place.true(Nt, Ct, lot)
            errors["uncorrected"].append(np.mean(delta_e2000(plain, true)))
            shift = (lab_to_depth(true) - lab_to_depth(plain)).mean(axis=0)
            best = depth_to_lab(lab_to_depth(plain) + shift)
            errors["hindsight"].append(np.mean(delta_e2000(best, true)))
            for k in ks:
                recipes = model.check_recipes(dyestuff, k)
                rows = [from_conditions(house, {"modifier": "none"} | r) for r in recipes]
                Nc, Cc = (np.vstack(part) for part in zip(*rows, strict=True))
                read = place.dye(Nc, Cc, rng, lot)
                got = model.new_lot(
                    "new",
                    to_table(house, Nc, Cc),
                    read,
                    covariances=np.repeat(cov[None], len(rows), axis=0),
                )
                lab = ShadeModel.of(got.fit).predict(test.assign(dyestuff_lot="new")).lab
                errors[k].append(np.mean(delta_e2000(lab, true)))
                said[k].append((got.before, got.after))
    base = np.array(errors["uncorrected"])
    out = {str(k): round(float(np.mean(v)), 2) for k, v in errors.items()}
    out["worse"] = {k: round(float(np.mean(np.array(errors[k]) > base + 0.05)), 2) for k in ks}
    out["said before, after"] = {k: np.mean(said[k], axis=0).round(2).tolist() for k in ks}
    return out


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, nargs="*", default=list(range(6)))
    parser.add_argument("--lots", type=int, default=6)
    parser.add_argument("--spread", action="store_true")
    options = parser.parse_args()
    house = load_house()
    if options.spread:
        print(spread(house, options.seeds).round(4).tolist())
        return
    for name, kind, n in (("narrow", "clustered", 48), ("narrow", "random", 48)):
        print(name, kind, n, lot_scores(house, name, kind, n, options.seeds, options.lots))


if __name__ == "__main__":
    main()
