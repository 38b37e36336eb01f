"""A colour read under another light or observer, as D65 and the 2 degree observer would read it.

Three numbers do not say what the whole reflectance was, so no conversion is exact. The step here:

1. Bradford adaptation in XYZ from the reading's own white to D65's;
2. a smooth correction over Lab (ten terms, none of which moves a grey), fitted on measured
   reflectances;
3. the doubt of it. Its size follows chroma and depth. A little over half of it is given as loadings
   on unknowns named `conversion:LIGHT/OBSERVER`, because errors go together where colours are
   alike; the rest, which differs from one reflectance to another, is each reading's own.

Constants and their origin: `conversion.json`, written by tests/studies/fit_conversion.py.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache
from importlib import resources

import numpy as np

from ..errors import BadValue
from .lab import WHITE_D65, Array, bradford, lab_to_xyz, xyz_to_lab
from .measurement import Measurement

# Step in Lab over which the slope of the conversion is taken, to carry the reading's own doubt.
_STEP = 0.1
# Chroma, in units of 50, below which the terms round off into the grey axis: a visible step of
# hue, 2.5. Common practice, no source.
_NEAR_GREY = 0.05


@dataclass(frozen=True, eq=False)
class Conversion:
    """How readings of one light and observer become D65/2.

    white (3,): XYZ of the reading's white. weights (10, 3): the correction. size (3,): constants
    of `uncertainty_size`. root (3, 3): root @ root.T is the covariance of the error over its size.
    """

    white: Array
    weights: Array
    size: Array
    root: Array


def base_step(lab: Array, white: Array) -> Array:
    """Lab D65 (n, 3) of Lab (n, 3) under another white, by Bradford alone (ICC.1:2022 annex E)."""
    turn = bradford(white, WHITE_D65)
    return xyz_to_lab(lab_to_xyz(lab, white) @ turn.T)


def terms(lab: Array) -> Array:
    """(n, 10): the terms of the correction, all zero for a grey: an even reflectance stays itself.

    In units of 50; second degree, chroma beside a and b so that opposite hues need not mirror.
    """
    light, a, b = ((lab - [50.0, 0.0, 0.0]) / 50).T
    chroma = np.sqrt(a * a + b * b + _NEAR_GREY**2)
    squares = a * a / chroma, a * b / chroma, b * b / chroma
    rest = a * chroma, b * chroma, chroma - _NEAR_GREY
    return np.stack([a, b, a * light, b * light, *squares, *rest], axis=-1)


def uncertainty_size(lab: Array, size: Array) -> Array:
    """(n,): size of the conversion's error over Lab: a floor, more with chroma, more when dark."""
    chroma = np.hypot(lab[:, 1], lab[:, 2])
    floor, half, dark = size
    # Lightness counts between the darkest and the palest dyed goods only.
    depth = (50 - np.clip(lab[:, 0], 15, 95)) / 50
    return np.asarray((floor + chroma / (chroma + half)) * np.exp(dark * depth))


def waves(lab: Array, frequencies: Array, amplitudes: Array) -> Array:
    """(n, 2 M): random Fourier features (Rahimi and Recht 2007, from memory) for M frequencies.

    Their squares sum to the share of the doubt that like colours have in common.
    """
    angle = lab @ frequencies.T
    return np.concatenate([np.cos(angle) * amplitudes, np.sin(angle) * amplitudes], axis=-1)


@cache
def _stored() -> tuple[dict[str, Conversion], Array, Array]:
    text = resources.files(__package__).joinpath("conversion.json").read_text("utf-8")
    stored = json.loads(text)
    found = {
        name: Conversion(*(np.array(part[k]) for k in ("white", "weights", "size", "root")))
        for name, part in stored["readings"].items()
    }
    return found, np.array(stored["frequencies"]), np.array(stored["amplitudes"])


def white_of(light: str, observer: str) -> Array:
    """XYZ (3,), Y = 1, of a reading's white: a perfect diffuser under that light and observer."""
    name = f"{light}/{observer}"
    return WHITE_D65 if name == "D65/2" else _stored()[0][name].white


def converted_lab(lab: Array, conversion: Conversion) -> Array:
    """Lab D65/2 (n, 3) of Lab (n, 3) as read."""
    return np.asarray(base_step(lab, conversion.white) + terms(lab) @ conversion.weights)


def to_d65_2(measurement: Measurement) -> Measurement:
    """The measurement as D65 and the 2 degree observer would read it, with the conversion's doubt.

    A D65/2 reading comes back as it is. The reading's own doubt is carried through the slope of
    the conversion; the conversion's own is added to the trueness, over half of it as loadings
    (3, K) on the source `conversion:LIGHT/OBSERVER`. Two readings of one light and observer are
    better compared as they were read: that needs no conversion.

    Any light and observer that a Measurement may have. Raises BadValue for a colour so far from
    any real surface that the conversion says nothing of it.
    """
    name = f"{measurement.light}/{measurement.observer}"
    if name == "D65/2":
        return measurement
    found, frequencies, amplitudes = _stored()
    conversion = found[name]
    lab = np.asarray(measurement.lab, dtype=float)[None]
    # No reflecting surface lies outside (Lab of optimal colours stays within, from memory).
    if not -1 <= lab[0, 0] <= 110 or float(np.hypot(*lab[0, 1:])) > 160:
        raise BadValue(
            f"No swatch has the colour {np.round(measurement.lab, 1).tolist()}, so it cannot be "
            "converted to D65; check its three numbers."
        )
    nudged = lab + _STEP * np.vstack([np.eye(3), -np.eye(3)])
    moved = converted_lab(nudged, conversion)
    slope = ((moved[:3] - moved[3:]) / (2 * _STEP)).T

    scaled = uncertainty_size(lab, conversion.size)[0] * conversion.root
    common = waves(lab, frequencies, amplitudes)[0]
    loading = (scaled[:, :, None] * common).reshape(3, -1)
    shared = {source: slope @ a for source, a in measurement.shared.items()}
    shared[f"conversion:{name}"] = loading
    return Measurement(
        converted_lab(lab, conversion)[0],
        slope @ measurement.repeatability @ slope.T,
        trueness=slope @ measurement.trueness @ slope.T + scaled @ scaled.T,
        degrees=measurement.degrees,
        shared=shared,
        rung=measurement.rung,
        photo=measurement.photo,
        checks=measurement.checks,
        notes=(
            *measurement.notes,
            f"Read under {measurement.light} with the {measurement.observer} degree observer and "
            "converted to D65 and 2 degrees; the conversion's doubt is in.",
        ),
    )
