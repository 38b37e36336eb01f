"""A small record whose truth is known: two dyestuffs, and a stronger new delivery."""

import numpy as np

import swatchbath as sb
from swatchbath.bath.steps import steps_of
from swatchbath.predict.regression.depth import depth_to_lab, lab_to_depth

STRONGER = np.log(1.3)
# What the two dyestuffs give at 60 % owf; deeper and more colourful with more.
_AT_60 = {"weld": ([74.0, -4.0, 50.0], [-7.0, 1.0, 8.0]),
          "madder": ([52.0, 30.0, 24.0], [-7.0, 4.0, 2.0])}  # fmt: skip


def true(bath, shift=0.0):
    """The noise-free colour (3,) of a bath; shift : of the logarithm of depth."""
    middle, slope = (np.array(v) for v in _AT_60[bath["dyestuff"]])
    lab = middle + slope * np.log(bath["dye_owf"] / 60)
    lab = lab + [0, -0.6 * (bath["pH"] - 7), 0.8 * (bath["pH"] - 7)]
    return depth_to_lab(lab_to_depth(lab[None]) + [shift, 0, 0])[0]


def weld(owf=60.0, pH=7.0, **more):
    return {"fibre": "wool", "dyestuff": "weld", "dyestuff_lot": "W25", "dye_owf": float(owf),
            "mordant": "alum", "mordant_owf": 12.0, "pH": float(pH)} | more  # fmt: skip


def dye(lib, bath, *, shift=0.0, noise=(0, 0, 0), lab=None):
    """Put a swatch on record as an instrument reads it; returns its code."""
    fibre = {n: v for n, v in bath.items() if n.startswith("fibre")}
    code = lib.add_swatch(fibre=fibre, steps=steps_of(bath))
    read = true(bath, shift) + noise if lab is None else lab
    lib.add_measurement(code, sb.Measurement(read, 0.15 * np.eye(3)))
    return code


def made(folder, n=26):
    """n weld swatches of W25 and 14 madder ones of M25."""
    rng = np.random.default_rng(1)
    with sb.Library(folder, create=True) as lib:
        for i in range(n + 14):
            bath = weld(np.exp(rng.uniform(np.log(20), np.log(140))).round(), rng.integers(5, 9))
            if i >= n:
                bath |= {"dyestuff": "madder", "dyestuff_lot": "M25"}
            dye(lib, bath, noise=rng.normal(0, 0.4, 3))
    return folder


def checked(lib, dyestuff="weld", name="W26", k=3, shift=STRONGER):
    """Dye the check swatches that are asked for, with a delivery that much stronger."""
    from swatchbath import desk

    found = desk.delivery(lib, dyestuff, name, checks=k)
    return [dye(lib, r.bath | {"dyestuff_lot": name}, shift=shift) for r in found.recipes]
