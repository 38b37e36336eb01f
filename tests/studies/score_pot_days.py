"""Score pot days on a made-up dye house: what sharing mordanting and dye pots costs.

Three samples are dyed as planned, read, learnt from, and one bath is suggested and dyed; the best
of the four, truly, in CIEDE2000 from a reachable target. Beside it the number of dye pots.

    python tests/studies/score_pot_days.py [--seeds 0 1 2 ...] [--share 0.5 0.7 0.9 9]
"""

from __future__ import annotations

import argparse

import numpy as np
from made_up import Kitchen, from_conditions, load_house, to_table

from swatchbath.colorimetry import delta_e2000
from swatchbath.predict import ShadeModel
from swatchbath.predict.search import experiment as sampling


def pot_day_scores(house, name, kind, n, seeds, targets=3):
    """Best of three samples and the next suggestion, and pots per three samples."""
    best, pots = [], []
    for seed in seeds:
        k = Kitchen(house, name, kind, n, seed)
        place, scene, model, N, C, lab = k.place, k.scene, k.model, k.N, k.C, k.lab
        rng = np.random.default_rng(90_000 + seed)
        wanted = place.true(*house.design("random", targets, scene, rng))
        for target in wanted:
            samples = model.next_samples(3, target=target)
            pots.append(len({s.pot for s in samples}))
            rows = [from_conditions(house, s.conditions) for s in samples]
            Ni, Ci = (np.vstack(part) for part in zip(*rows, strict=True))
            pot = place.true(Ni, Ci, rng=rng)
            read = pot + rng.normal(0, 1, pot.shape) * place.meas
            cov = np.repeat(np.diag(place.meas**2)[None], n + len(rows), axis=0)
            again = ShadeModel().fit(
                to_table(house, np.vstack([N, Ni]), np.vstack([C, Ci])),
                np.vstack([lab, read]),
                covariances=cov,
            )
            idea = again.suggest(target, k=1)[0]
            last = place.true(*from_conditions(house, idea.conditions), rng=rng)
            best.append(float(delta_e2000(np.vstack([pot, last]), target).min()))
    return {
        "best": round(float(np.mean(best)), 2),
        "within_2": round(float(np.mean(np.array(best) <= 2)), 2),
        "pots": round(float(np.mean(pots)), 2),
    }


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, nargs="*", default=list(range(6)))
    parser.add_argument("--share", type=float, nargs="*", default=[0.7])
    options = parser.parse_args()
    house = load_house()
    for share in options.share:
        sampling.SHARE_POT = share
        for name, kind, n in (("narrow", "clustered", 48), ("broad", "random", 48)):
            got = pot_day_scores(house, name, kind, n, options.seeds)
            print(f"share {share}", name, kind, n, got, flush=True)


if __name__ == "__main__":
    main()
