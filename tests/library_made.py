"""What the tests of the library put into one."""

import numpy as np
from PIL import Image

from swatchbath.bath.step import Material, Step
from swatchbath.colorimetry import Check, Measurement

DYE = Step("dye", (Material("dyestuff", "weld", 80.0, "dried", "W25"),), pH=6.0, minutes=60.0)
IRON = Step("after-bath", (Material("modifier", "iron", 2.0),), minutes=10.0)


def reading(lab=(60, 5, 50), **more):
    return Measurement(
        lab,
        np.diag([1, 2, 3]),
        rung="card",
        shared={"camera:x": np.arange(12.0).reshape(3, 4)},
        checks=(Check("card cast", "doubtful", "It is blue.", "Mend it."),),
        notes=("assumed sRGB",),
        **more,
    )


def filled(lib, name="12a"):
    lib.add_lot([DYE], name="12", session="2026-03-14")
    return lib.add_swatch(
        name=name, lot="12", part="a", steps=[IRON], fibre={"fibre": "wool", "fibre_g": 10.0}
    )


def a_photo(path, seed=0, size=(40, 30)):
    """Write a small picture of noise in the kind its name says; returns its path."""
    pixels = np.random.default_rng(seed).integers(0, 256, (*size[::-1], 3), dtype=np.uint8)
    Image.fromarray(pixels).save(path)
    return path
