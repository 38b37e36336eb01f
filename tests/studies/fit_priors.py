"""How much each condition matters in made-up dye houses: `predict/regression/priors.py`.

Large records of two houses that are built differently are fitted with wide priors, and the
logarithms of the weights averaged: half from each house, single dyestuffs and four of them. Other
seeds than those that the scores are made on.

    python tests/studies/fit_priors.py [--seeds 20 21 ...]
"""

from __future__ import annotations

import argparse

import numpy as np
from made_up import load_house, own_house, to_table

from swatchbath.conditions.table import as_table, check_conditions
from swatchbath.predict.features.encoder import Encoder
from swatchbath.predict.regression import gp, kernel, priors
from swatchbath.predict.regression.depth import lab_to_depth

RECORDS = (("narrow", "random", 150), ("broad", "random", 250))
# The least that a prior is narrowed to (sd of a logarithm): a house is not a kitchen.
LEAST_SD = 1.0
# The factors of the houses; the others that the program knows keep the wide prior.
FACTORS = (
    "pH", "final_pH", "pH_step", "temperature_C", "minutes", "bath_number", "dye_owf",
    "mordant_owf", "iron_owf", "fibre", "dyestuff", "mordant", "modifier",
)  # fmt: skip


def weights_of(house, name, kind, n, seed):
    """Logarithm of each factor's weight and of the linear share, for strength and for hue."""
    place, scene = house.House(seed), house.scenario(name, seed)
    rng = np.random.default_rng(70_000 + seed)
    N, C = house.design(kind, n, scene, rng)
    table = check_conditions(as_table(to_table(house, N, C))).table
    f = Encoder.learn(table).encode(table)
    z = lab_to_depth(place.dye(N, C, rng))
    z = (z - z.mean(axis=0)) / z.std(axis=0)
    h = gp.fit_hyper(f, z, np.eye(n), np.zeros((n, 2)))
    varied = np.concatenate(kernel.active(f))
    out = []
    for scales in h.scales:
        found = dict(zip(f.names, np.log(scales.weights), strict=True))
        kept = {k: v for (k, v), use in zip(found.items(), varied, strict=True) if use}
        out.append({k: kept[k] for k in FACTORS if k in kept} | {"linear": np.log(scales.linear)})
    return out


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, nargs="*", default=list(range(20, 32)))
    options = parser.parse_args()
    priors.FITTED.clear()
    gp.LINEAR = kernel.LINEAR = ((np.log(0.1), 1.5),) * 2
    means = {}
    for house in (load_house(), own_house()):
        found = [weights_of(house, *record, seed) for record in RECORDS for seed in options.seeds]
        for factor in (*FACTORS, "linear"):
            for part in (0, 1):
                logs = [one[part][factor] for one in found if factor in one[part]]
                told = f"{house.__name__:18}{factor:15}{('strength', 'hue')[part]:9}"
                print(f"{told}{np.mean(logs):6.2f} {np.std(logs):5.2f}  {len(logs)}")
                means.setdefault((factor, part), []).append((np.mean(logs), np.std(logs)))
    for factor in (*FACTORS, "linear"):
        told = []
        for part in (0, 1):
            m, s = np.array(means[factor, part]).T
            # The spread within the houses and between them.
            told.append(f"({m.mean():.2f}, {max(LEAST_SD, np.hypot(s.mean(), m.std())):.2f})")
        print(f'    "{factor}": ({", ".join(told)}),')


if __name__ == "__main__":
    main()
