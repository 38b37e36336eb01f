"""Spectra that ship with colour-science, and made-up dyed fibres, at 380 to 780 nm by 5."""

from __future__ import annotations

import csv
import gzip
import io
from functools import cache
from pathlib import Path

import colour
import numpy as np

from swatchbath.colorimetry.lab import xyz_to_lab

NM = np.arange(380, 781, 5)
_SHAPE = colour.SpectralShape(380, 780, 5)
_SHIPPED = Path(colour.__file__).parent
_CMFS = {"2": "CIE 1931 2 Degree Standard Observer", "10": "CIE 1964 10 Degree Standard Observer"}
# A light as readings name it -> as colour-science names it.
_LIGHTS = {"F2": "FL2", "F11": "FL11"}


def _columns(text: str) -> np.ndarray:
    """(n, 81) from a table with wavelengths in its first column."""
    rows = [[float(c or 0) for c in row] for row in list(csv.reader(io.StringIO(text)))[1:]]
    table = np.array(rows)
    return np.array([np.interp(NM, table[:, 0], column) for column in table.T[1:]])


@cache
def ces() -> np.ndarray:
    """(99, 81): the colour evaluation samples of CIE 224:2017."""
    path = _SHIPPED / "quality/datasets/tcs_cfi2017_5_nm.csv.gz"
    table = np.genfromtxt(io.BytesIO(gzip.decompress(path.read_bytes())), delimiter=",")
    table = table[np.isfinite(table).all(axis=1)]
    found = np.array([np.interp(NM, table[:, 0], column) for column in table.T[1:]])
    if found.shape != (99, len(NM)):
        raise ValueError(f"expected 99 samples, found {found.shape}")
    return found


@cache
def patches190() -> np.ndarray:
    """(190, 81): reflectances shipped for fitting camera matrices: skins, plants, paints."""
    path = _SHIPPED / "characterisation/datasets/rawtoaces/190_Patches.csv"
    return np.clip(_columns(path.read_text("utf-8")), 1e-4, 1)


def chart(name: str = "ISO 17321-1") -> np.ndarray:
    """(24, 81): a 24-patch chart, in the order of its patches."""
    chart = colour.SDS_COLOURCHECKERS[name]
    return np.array([sd.copy().align(_SHAPE).values for sd in chart.values()])


def dyed(number: int = 400, seed: int = 0) -> np.ndarray:
    """(number, 81): made-up dyed fibres, for what natural samples do not show.

    Absorption bands, even in energy, of one to three dyes on an undyed wool or cotton (a slope into
    the violet); absorptions add as K/S (Kubelka and Munk 1931, from memory). Band places and
    widths are invented: yellows absorb at 340 to 420 nm, reds at 480 to 560, blues at 580 to 680.
    """
    rng = np.random.default_rng(seed)
    energy = 1e3 / NM
    made = []
    for _ in range(number):
        ground = rng.uniform(0.55, 0.85) / (1 + np.exp(-(NM - rng.uniform(330, 400)) / 60))
        k_over_s = (1 - ground) ** 2 / (2 * ground)
        dyes = rng.permutation([(340, 420), (480, 560), (580, 680)])
        for low, high in dyes[: rng.integers(1, 4)]:
            centre, width = rng.uniform(low, high), rng.uniform(0.12, 0.32)
            bands = np.exp(-(((energy - 1e3 / centre) / width) ** 2) / 2)
            side = 1e3 / centre + rng.uniform(0.12, 0.25)  # the usual shoulder at shorter waves
            bands += rng.uniform(0, 0.8) * np.exp(-(((energy - side) / width) ** 2) / 2)
            k_over_s = k_over_s + np.exp(rng.normal(0.3, 1.2)) * bands
        made.append(1 + k_over_s - np.sqrt(k_over_s**2 + 2 * k_over_s))
    return np.array(made)


@cache
def light(name: str) -> np.ndarray:
    """(81,): spectral power of a light."""
    found = colour.SDS_ILLUMINANTS[_LIGHTS.get(name, name)]
    return np.interp(NM, found.wavelengths, found.values)


@cache
def observer_under(name: str, observer: str) -> np.ndarray:
    """(81, 3): weights that turn a reflectance into XYZ, Y of white 1."""
    weights = colour.MSDS_CMFS[_CMFS[observer]].copy().align(_SHAPE).values * light(name)[:, None]
    return weights / weights[:, 1].sum()


def lab_of(reflectances: np.ndarray, name: str = "D65", observer: str = "2") -> np.ndarray:
    """(n, 3): Lab of reflectances (n, 81) under a light and observer, its own white being white."""
    weights = observer_under(name, observer)
    return xyz_to_lab(reflectances @ weights, weights.sum(axis=0))
