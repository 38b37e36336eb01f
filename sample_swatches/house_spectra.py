"""Spectra for the drawn sample: one wavelength grid, lights, observer, and reflectance to CIELAB.

The drawing stands apart from the package that measures photos: it shares no function and no
constant with it. Everything here comes from colour-science, which carries the published tables.
"""

from functools import lru_cache

import colour
import numpy as np
from colour import SpectralShape

SHAPE = SpectralShape(380, 780, 5)  # the span of the shipped camera tables
GRID = np.arange(380.0, 781.0, 5.0)  # nm, (81,)


def on_grid(distribution):
    """Values of a colour-science distribution on GRID, (81,) or (81, k); zero outside its own span.

    The copy keeps the library's shared tables untouched.
    """
    own = distribution.copy()
    own.interpolate(SpectralShape(own.shape.start, own.shape.end, 5))
    values = np.asarray(own.values, float)
    wide = np.zeros((len(GRID), *values.shape[1:]))
    at = np.searchsorted(GRID, own.wavelengths)
    inside = (own.wavelengths >= GRID[0]) & (own.wavelengths <= GRID[-1])
    wide[at[inside]] = values[inside]
    return wide


@lru_cache(maxsize=64)
def light_spectrum(name):
    """Power of a published light, (81,), scaled to 1 at its mean: D65, D50, LED-B3, ..."""
    values = on_grid(colour.SDS_ILLUMINANTS[name])
    return values / values.mean()


def daylight(kelvin):
    """Daylight of a correlated colour temperature of 4000 to 25000 K, (81,): the CIE D series."""
    xy = colour.temperature.CCT_to_xy_CIE_D(float(kelvin))
    values = colour.colorimetry.sd_CIE_illuminant_D_series(xy, shape=SHAPE).values
    return values / values.mean()


@lru_cache(maxsize=1)
def weights():
    """(81, 3) matrix from reflectance to XYZ (white Y = 1) under D65, 2 degree observer."""
    cmf = on_grid(colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"])
    both = cmf * light_spectrum("D65")[:, None]
    return both / both[:, 1].sum()


def reflectance_to_lab(reflectance):
    """CIELAB, D65 and 2 degree observer, (..., 3), of reflectances (..., 81) in 0 to 1."""
    xyz = np.asarray(reflectance) @ weights()
    white = weights().sum(0)
    return colour.XYZ_to_Lab(xyz, colour.XYZ_to_xy(white))


@lru_cache(maxsize=1)
def training_reflectances():
    """(99, 81) reflectances of CIE 224:2017, which stand for no dye of the house."""
    from colour.quality.cfi2017 import load_TCS_CIE2017

    return np.asarray(load_TCS_CIE2017(SHAPE).values, float).T


@lru_cache(maxsize=1)
def chart_reflectances():
    """(24, 81) reflectances of the 24-patch chart, the average of thirty charts, patch 1 first."""
    patches = colour.SDS_COLOURCHECKERS["BabelColor Average"].values()
    table = []
    for patch in patches:
        own = patch.copy()
        own.align(SHAPE)  # the chart stops at 730 nm: its last value is held beyond
        table.append(own.values)
    return np.clip(np.asarray(table, float), 0.0, 1.0)
