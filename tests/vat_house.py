"""A small record with vat swatches, madder, weld and turmeric, for tests of what is told beside
suggestions."""

import numpy as np

import swatchbath as sb
from swatchbath.bath.steps import steps_of

DIPS = {1: [66, -8, -14], 2: [54, -8, -20], 3: [44, -6, -22], 5: [33, -3, -22]}
BATHS = {
    "weld": ([76, -2, 58], [-7, 0, 9]),
    "madder": ([46, 40, 26], [-8, 5, 3]),
    "turmeric": ([78, 6, 66], [-5, 3, 6]),
}


def dyed(lib, lab, name=None, extra=None, **bath):
    """One swatch with a bath and a reading; its code."""
    bath = {"fibre": "wool"} | bath
    code = lib.add_swatch(
        name=name, fibre={"fibre": bath["fibre"]}, steps=steps_of(bath), extra=extra
    )
    lib.add_measurement(code, sb.Measurement(lab))
    return code


def vat_strips(lib):
    """One strip dipped 1, 2, 3 and 5 times; code by dips."""
    return {
        n: dyed(lib, lab, f"v{n}", dyestuff="indigo", vat="fructose", vat_dips=float(n),
                vat_dip_minutes=5.0)
        for n, lab in DIPS.items()
    }  # fmt: skip


def plant_baths(lib, plants=("weld", "madder"), extra=None):
    """Eight amounts of each plant on wool with alum; codes by plant, from pale to deep."""
    rng = np.random.default_rng(0)
    codes = {}
    for plant in plants:
        middle, way = (np.array(v, float) for v in BATHS[plant])
        codes[plant] = []
        for i, owf in enumerate((10, 15, 20, 30, 40, 60, 80, 100)):
            lab = middle + way * np.log(owf / 50) + rng.normal(0, 0.5, 3)
            codes[plant].append(
                dyed(lib, lab, f"{plant[0]}{i}", extra, dyestuff=plant, dye_owf=float(owf),
                     mordant="alum", mordant_owf=15.0, pH=7.0, temperature_C=60.0, minutes=60.0,
                     modifier="none")
            )  # fmt: skip
    return codes
