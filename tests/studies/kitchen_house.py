"""A made-up kitchen dye house whose true colours are known: a second one, built differently.

A regression that is chosen on one made-up house may owe its score to how that house was made.
This one differs in every part, and a study can be run on either without a change:

- optics: light is reflected at the fibre's surface or passes through a layer and back, by Beer and
  Lambert, over paths of unequal lengths; not Kubelka and Munk. 380 to 730 nm, D65, 2 degrees;
- spectra: lorentzian and lopsided bands, of two colourants in each dyestuff, that move with pH;
- uptake: Freundlich, the colourants competing, so that hue depends on amount and on bath number;
  time enters as in diffusion; each colourant has its own exhaustion;
- pH: an after-bath is a liquor of its own. Column `step` is only the recorded difference, its pH
  minus the dye bath's (-6 to 7.5); what is left in the fibre is a weighted mean of the fibre's own
  pH, the bath's and the after-bath's, so that pH + step is not the pH that the colour follows;
- mordant: on cellulose alum alone hardly holds; tannin anchors it and is itself yellowish;
- iron: by the square root of its amount, and time; heat with alkali decomposes some dyestuffs;
- pots wander a little, and one in 25 much more; cloth is dyed unevenly.

Numeric conditions (columns of N): pH, temp_C, dye_owf, mordant_owf, iron_owf, step, minutes, bath.
Categories (columns of C, integers): fibre, dye, mordant, modifier. All constants are made up; they
are like no real dyestuff. The forms (Freundlich, the competition of Sheindorf and others, the
diffusion of Vickerstaff, Beer and Lambert) are from memory.

    python tests/studies/kitchen_house.py     # range of colours, how far pots and readings are off
"""

from __future__ import annotations

import colour
import numpy as np
from scipy.stats import qmc

from swatchbath.colorimetry import delta_e2000, xyz_to_lab

CAT = ["fibre", "dye", "mordant", "modifier"]
FIBRE = ["wool", "silk", "cotton", "linen"]
DYE = ["marsh_root", "field_flower", "hill_lichen", "pod_blue", "hull_dust", "sour_bark"]
MORDANT = ["none", "alum", "tannin_alum"]
MODIFIER = ["none", "iron", "ash", "acid"]

NM = np.arange(380.0, 731.0, 10.0)
_SHAPE = colour.SpectralShape(380, 730, 10)
_CMF = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(_SHAPE).values
_WEIGHTS = _CMF * colour.SDS_ILLUMINANTS["D65"].copy().align(_SHAPE).values[:, None]
TO_XYZ = 100 * _WEIGHTS / _WEIGHTS[:, 1].sum()  # reflectance -> XYZ, Y of white = 100
WHITE = TO_XYZ.sum(axis=0)

# Paths through the layer, relative to the mean one: log-normal, in nine nodes.
_NODE, _SHARE = np.polynomial.hermite_e.hermegauss(9)
_PATH, _SHARE = np.exp(0.55 * _NODE - 0.55**2 / 2), _SHARE / _SHARE.sum()

# A band: centre, width towards the violet, towards the red, height, lorentzian share.
# A colourant: bands, affinity, exponent, taken up by a bath, diffusion per hour at 80 C, shift in
# nm by mordant, by alkali. A dyestuff: two colourants, pK, best pH, iron, decay, brown share.
_D = {
    "marsh_root": (
        ([(508, 48, 34, 1.0, 0.2), (395, 40, 50, 0.35, 0.0)], 18.2, 0.55, 0.55, 1.1, 16, 19.6),
        ([(388, 30, 46, 1.2, 0.3)], 14.0, 0.80, 0.25, 2.2, 10, 11.2), 6.8, 5.4, 0.6, 0.03, 0.08,
    ),
    "field_flower": (
        ([(382, 40, 38, 1.5, 0.0), (425, 30, 26, 0.4, 0.5)], 16.8, 0.60, 0.50, 1.6, 14, 18.2),
        ([(440, 34, 28, 0.9, 0.2)], 6.3, 0.85, 0.35, 0.8, 8, 25.2), 7.4, 5.0, 0.8, 0.05, 0.03,
    ),
    "hill_lichen": (
        ([(540, 44, 30, 1.1, 0.4)], 15.4, 0.50, 0.60, 0.8, 6, 30.8),
        ([(492, 50, 36, 0.9, 0.1)], 10.5, 0.75, 0.40, 1.7, 4, 22.4), 6.2, 4.6, 0.5, 0.12, 0.05,
    ),
    "pod_blue": (
        ([(592, 60, 40, 1.0, 0.3), (400, 40, 40, 0.15, 0.0)], 9.5, 0.65, 0.45, 1.0, 20, 25.2),
        ([(450, 50, 60, 0.8, 0.0)], 3.0, 0.70, 0.50, 2.0, 5, 8.4), 6.0, 5.2, 1.2, 0.15, 0.03,
    ),
    "hull_dust": (
        ([(380, 60, 130, 1.0, 0.2)], 11.0, 0.60, 0.40, 0.9, 4, 14),
        ([(470, 60, 80, 0.7, 0.4)], 6.5, 0.80, 0.55, 0.5, 2, 16.8), 7.6, 4.8, 0.9, 0.02, 0.30,
    ),
    "sour_bark": (
        ([(380, 40, 70, 1.1, 0.0)], 14.0, 0.55, 0.45, 1.5, 6, 12.6),
        ([(485, 60, 50, 0.6, 0.2)], 7.0, 0.90, 0.30, 0.7, 6, 14), 8.0, 5.0, 1.6, 0.04, 0.15,
    ),
}  # fmt: skip
# Per fibre: surface reflection, absorption undyed (all over, violet), affinity, own pH, its share,
# protein.
_F = np.array([
    [0.022, 0.14, 0.45, 1.00, 4.9, 0.38, 1],
    [0.032, 0.09, 0.22, 0.85, 5.3, 0.28, 1],
    [0.012, 0.07, 0.12, 0.75, 6.8, 0.10, 0],
    [0.016, 0.15, 0.38, 0.65, 7.1, 0.14, 0],
])  # fmt: skip
_PLAIN_LOT = {"strength": 1.0, "second": 1.0, "pK": 0.0, "brown": 0.0}


def _bands(bands: list, move: np.ndarray, wide: np.ndarray) -> np.ndarray:
    """(n, wavelengths): absorption of a colourant whose bands moved (nm) and widened (times)."""
    out = 0.0
    for centre, left, right, height, lorentz in bands:
        off = NM - centre - move[:, None]
        x = off / (np.where(off < 0, left, right) * wide[:, None])
        bell = np.exp(-(np.abs(x) ** 1.8) / 2)
        out = out + height * (lorentz / (1 + x**2) + (1 - lorentz) * bell)
    return out


class House:
    """One kitchen: every constant jittered by the seed. meas : times the readings' spread (0.8,
    1.0, 1.2 in L*, a*, b*); process : times the wander of pots."""

    def __init__(self, seed: int = 0, jitter: float = 1.0, meas: float = 1.0, process: float = 1.0):
        r = np.random.default_rng(4000 + seed)

        def times(sd: float) -> float:
            return float(np.exp(jitter * r.normal(0, sd)))

        self.dyes = []
        for name in DYE:
            *colourants, pK, best, iron, decay, brown = _D[name]
            mine = []
            for bands, K, power, taken, speed, by_mordant, by_alkali in colourants:
                moved = jitter * r.normal(0, 8)
                bands = [(c + moved, a * times(0.1), b * times(0.1), h * times(0.15), s)
                         for c, a, b, h, s in bands]  # fmt: skip
                power = np.clip(power + jitter * r.normal(0, 0.06), 0.4, 0.95)
                mine.append((
                    bands, K * times(0.25), power, np.clip(taken * times(0.15), 0.1, 0.8),
                    speed * times(0.3), by_mordant * times(0.25), by_alkali * times(0.25),
                ))  # fmt: skip
            self.dyes.append((
                mine, pK + jitter * r.normal(0, 0.4), best + jitter * r.normal(0, 0.3),
                iron * times(0.25), decay * times(0.4), brown * times(0.3),
                0.8 * times(0.3), 2.2 * times(0.3), 4500 * times(0.2),
            ))  # fmt: skip
        self.fibres = _F.copy()
        self.fibres[:, 3] *= [times(0.1) for _ in FIBRE]
        self.fibres[:, 4] += jitter * r.normal(0, 0.2, len(FIBRE))
        self.after, self.full_mordant = 0.65 + jitter * r.normal(0, 0.05), 11.0 * times(0.2)
        self.meas, self.process = meas * np.array([0.8, 1.0, 1.2]), process

    def lot(self, seed: int) -> dict[str, float]:
        """A new delivery of dyestuff: strength, second colourant, pK, brown."""
        r = np.random.default_rng(88_000 + seed)
        strength, second = np.exp(r.normal(0, [0.2, 0.25]))
        pK, brown = r.normal(0, [0.2, 0.05])
        return {"strength": strength, "second": second, "pK": pK, "brown": abs(brown)}

    def true(self, N, C, lot=None, rng=None):
        """(n, 3) Lab without noise; with `rng` the pot wanders and the cloth is uneven."""
        N, C, lot = np.array(N, float), np.asarray(C), lot or _PLAIN_LOT
        n, uneven = len(N), np.ones(len(N))
        after = N[:, 0] + N[:, 5]
        if rng is not None:
            much = self.process * np.where(rng.random(n) < 0.04, 4.0, 0.9)
            w = rng.normal(size=(8, n)) * much
            N[:, 0] += 0.17 * w[0]
            N[:, 1] += 2.2 * w[1]
            N[:, [2, 3, 4, 6]] *= np.exp(np.array([0.09, 0.08, 0.12, 0.05])[:, None] * w[2:6]).T
            after, uneven = after + 0.2 * w[6], np.exp(0.07 * w[7])
        lab = np.empty((n, 3))
        for d in np.unique(C[:, 1]):
            i = C[:, 1] == d
            R = self._reflectance(self.dyes[d], N[i], C[i], after[i], uneven[i], lot)
            lab[i] = xyz_to_lab(R @ TO_XYZ / 100, WHITE / 100)
        return lab

    def _reflectance(self, dye, N, C, after, uneven, lot):
        pH, T, amount, mordant, iron, _, minutes, bath = N.T
        surface, grey, violet, likes, own, kept, protein = self.fibres[C[:, 0]].T
        colourants, pK, best, by_iron, decay, brown, pull, sharp, heat = dye
        left = np.where(C[:, 3] >= 2, (1 - self.after) * pH + self.after * after, pH)
        final = kept * own + (1 - kept) * left

        hold = np.tanh(mordant / self.full_mordant) * (C[:, 2] > 0)
        tannin = (C[:, 2] == 2) * (1 - np.exp(-mordant / 9))
        hold = hold * np.where(protein == 1, 1.0, np.where(C[:, 2] == 2, 0.95, 0.4))
        hold = hold * np.exp(-0.35 * np.clip(5.4 - final, 0, None))  # acid loosens it
        likes_pH = np.where(
            protein == 1, 0.45 + 0.65 * np.exp(-(((pH - best) / 2.6) ** 2)), 0.7 + 0.05 * (pH - 4)
        )
        hotter = np.exp(-heat * (1 / (T + 273.15) - 1 / 353.15))  # diffusion is faster
        strength = lot["strength"] * np.array([1, lot["second"]])
        offered = [
            amount / 100 * one * (1 - colourant[3]) ** (bath - 1)
            for one, colourant in zip(strength, colourants, strict=True)
        ]
        lost = 1 - np.exp(-decay * np.exp((T - 85) / 11) * 10 ** (0.5 * (pH - 7.5)) * minutes / 60)
        fe = np.sqrt(np.clip(iron, 0, None) / 4) * (1 - np.exp(-minutes / 35))
        turned = np.tanh((final - pK - lot["pK"]) / sharp)

        a = np.zeros((len(N), len(NM)))
        for k, (bands, K, power, _, speed, by_mordant, by_alkali) in enumerate(colourants):
            # The other colourant takes places in the measure of `pull`.
            crowd = offered[k] + pull * offered[1 - k] + 1e-9
            q = K * offered[k] * crowd ** (power - 1) * likes * likes_pH * (0.2 + 0.95 * hold)
            q = q * np.sqrt(1 - np.exp(-speed * hotter * minutes / 60)) * uneven
            move = by_mordant * hold + by_alkali * turned
            eps = _bands(bands, move, 1 + 0.5 * fe) * (1 + 0.15 * turned - 0.5 * fe)[:, None]
            gone = lost if k == 0 else 0.4 * lost
            dull = brown + lot["brown"] + 0.4 * gone
            a += q[:, None] * (
                (1 - gone)[:, None] * eps
                + dull[:, None] * np.exp(-(NM - 380) / 110)
                + (0.4 * by_iron * fe)[:, None] / (1 + ((NM - 590) / 150) ** 2)
            )
        yellowed = violet * (1 + 0.2 * protein * np.clip(final - 8, 0, None))
        a += grey[:, None] / 2 + yellowed[:, None] * np.exp(-(NM - 380) / 65)
        a += ((0.5 - 0.3 * protein) * tannin)[:, None] * np.exp(-(NM - 380) / 60)
        a += ((1 - protein) * 0.12 * fe)[:, None] * np.exp(-(NM - 380) / 90)  # rust
        through = np.exp(-a[..., None] * _PATH) @ _SHARE
        return surface[:, None] + (1 - surface)[:, None] * 0.87 * through

    def dye(self, N, C, rng, lot=None):
        """(n, 3) Lab as the dyer's photographs would give it."""
        return self.true(N, C, lot, rng) + rng.normal(0, 1, (len(N), 3)) * self.meas


SCEN = {
    "narrow": {"fibre": [0], "dye": None, "mordant": [1], "modifier": [0, 1, 2, 3]},
    "broad": {"fibre": [0, 1, 2], "dye": [0, 1, 2, 5], "mordant": [1, 2], "modifier": [0, 1, 2, 3]},
}
LO = np.array([3.5, 40, 10, 5, 0, -6, 15, 1.0])
HI = np.array([9, 95, 200, 20, 4, 7.5, 120, 3.0])


def scenario(name: str, seed: int) -> dict[str, list[int]]:
    return SCEN[name] | {"dye": SCEN[name]["dye"] or [seed % len(DYE)]}


def repair(N: np.ndarray, C: np.ndarray) -> np.ndarray:
    """Habits of this kitchen: silk at most 84 C, protein's bath pH at most 8 and its lye 9.5; the
    lye is pH 8.5 to 11, the vinegar 3 to 5, each beyond the bath; iron only where it is meant."""
    N, m, protein = N.copy(), C[:, 3], C[:, 0] < 2
    N[:, 1] = np.where(C[:, 0] == 1, np.minimum(N[:, 1], 84), N[:, 1])
    N[:, 0] = np.where(protein, np.minimum(N[:, 0], 8), N[:, 0])
    N[:, 3] = np.where(C[:, 2] == 0, 0, N[:, 3])
    N[:, 4] = np.where(m == 1, np.clip(N[:, 4], 0.25, 4), 0)
    after = N[:, 0] + N[:, 5]
    lye = np.clip(after, np.maximum(8.5, N[:, 0] + 0.3), np.where(protein, 9.5, 11.0))
    vinegar = np.clip(after, 3.0, np.minimum(5.0, N[:, 0] - 0.3))
    N[:, 5] = np.where(m == 2, lye - N[:, 0], np.where(m == 3, vinegar - N[:, 0], 0))
    N[:, 7] = np.round(N[:, 7])
    return N


def design(kind: str, n: int, scene: dict, rng: np.random.Generator):
    """Rows N (n, 8), C (n, 4): "random", "space" (Sobol), or "clustered": days on which a usual
    recipe is varied in one or two things."""
    levels = [scene[k] for k in CAT]
    if kind == "clustered":
        return _clustered(n, levels, rng)
    sobol = qmc.Sobol(12, rng=rng) if kind == "space" else None
    U = sobol.random(1 << (n - 1).bit_length())[:n] if sobol else rng.random((n, 12))
    C = np.stack([np.take(c, (U[:, 8 + j] * len(c)).astype(int)) for j, c in enumerate(levels)], 1)
    N = LO + U[:, :8] * (HI - LO)
    N[:, 2] = LO[2] * (HI[2] / LO[2]) ** U[:, 2]
    N[:, 4] = 4 * U[:, 4] ** 1.5
    lye, protein = C[:, 3] == 2, C[:, 0] < 2
    low, high = np.where(lye, 8.5, 3.0), np.where(lye, np.where(protein, 9.5, 11.0), 5.0)
    N[:, 5] = low + U[:, 5] * (high - low) - np.where(protein, np.minimum(N[:, 0], 8), N[:, 0])
    return repair(N, C), C


# What a usual recipe is varied to, by column of N. (8, 9: another modifier; 10: another fibre.)
_VARIED = {
    0: [4, 5, 7, 8, 9], 1: [50, 60, 70, 90], 2: [20, 50, 100, 150, 200], 4: [0.5, 1, 2, 4],
    6: [20, 30, 60, 120], 7: [2, 3],
}  # fmt: skip


def _clustered(n, levels, rng):
    rows = []
    while len(rows) < n:
        usual = [
            rng.choice([5, 5.5, 6, 7]), rng.choice([75, 80, 85]), rng.choice([40, 60, 100]),
            rng.choice([10, 15]), rng.choice([0.5, 1, 2]), 0, rng.choice([45, 60, 90]), 1,
        ]  # fmt: skip
        lye, vinegar = rng.choice([9, 9.5, 10]), rng.choice([4, 4.5])
        words = [rng.choice(c) for c in levels]
        for k in range(min(int(rng.integers(4, 10)), n - len(rows))):
            x, c = list(usual), list(words)
            for f in rng.choice([*_VARIED, 8, 9, 10], rng.integers(1, 3), False) if k else ():
                if f in _VARIED:
                    x[f] = rng.choice(_VARIED[f])
                else:
                    c[3 if f < 10 else 0] = rng.choice(levels[3 if f < 10 else 0])
            x[5] = (lye if c[3] == 2 else vinegar) - (min(x[0], 8) if c[0] < 2 else x[0])
            rows.append(x + c)
    N, C = np.split(np.array(rows, float), [8], axis=1)
    return repair(N, C := C.astype(int)), C


def main() -> None:
    for seed in range(6):
        house, rng = House(seed), np.random.default_rng(seed)
        for name in ("narrow", "broad"):
            N, C = design("random", 1500, scenario(name, seed), rng)
            lab = house.true(N, C)
            span = np.percentile(lab, [2, 50, 98], axis=0).round(0).astype(int).tolist()
            pot, read = house.true(N, C, rng=rng), house.dye(N, C, rng)
            off = [round(float(np.median(delta_e2000(x, lab))), 2) for x in (pot, read)]
            print(seed, name, "range", span, "median off: pot, reading", off)


if __name__ == "__main__":
    main()
