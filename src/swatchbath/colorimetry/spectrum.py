"""A reflectance spectrum, and the colour it has under any light here and either observer.

By ASTM E308-15 as colour-science works it out, which is imported here alone: sums at each
nanometre, every fifth of them for readings 5 nm apart, and weights by ASTM E2022 for 10 and 20 nm;
what lies beyond the ends of a reading counts as its last value.
"""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from ..errors import BadValue, ShapeError
from .lab import Array, numbers_of, xyz_to_lab

# Lights by the names used here, and in colour-science's tables (CIE 15:2018, LED-B1 to B5 among
# them), and as they are called on a screen.
LAMPS = {
    "D65": ("D65", "daylight"),
    "D50": ("D50", "warm daylight"),
    "A": ("A", "a filament bulb"),
    "F2": ("FL2", "an ordinary fluorescent tube"),
    "F11": ("FL11", "a fluorescent tube of shops, three narrow bands"),
    "LED-B1": ("LED-B1", "a warm white LED"),
    "LED-B2": ("LED-B2", "a warm white LED, a little cooler"),
    "LED-B3": ("LED-B3", "a neutral white LED"),
    "LED-B4": ("LED-B4", "a cool white LED"),
    "LED-B5": ("LED-B5", "an LED as cool as daylight"),
}
_OBSERVERS = {
    "2": "CIE 1931 2 Degree Standard Observer",
    "10": "CIE 1964 10 Degree Standard Observer",
}
# The steps ASTM E308-15 knows.
STEPS = (1, 5, 10, 20)
# What must be there, and what is used, in nm: instruments begin at 360, 380 or 400 and end at 700,
# 730 or 780 (ASTM E308-15, section 7).
_MUST, _USED = (400, 700), (360, 780)
# A reflectance as a fraction: noise about black may fall below 0; what fluoresces may pass 1. Our
# own choice.
_LEAST, _MOST = -0.02, 2.0


@dataclass(frozen=True, eq=False)
class Spectrum:
    """Reflectances of one surface at evenly spaced wavelengths.

    start : the first wavelength, nm. step : 1, 5, 10 or 20 nm. values : (n,), fractions of a
    perfect diffuser's (0 to 1; a little beyond is noise or fluorescence). Raises BadValue,
    ShapeError.
    """

    start: int
    step: int
    values: Array

    def __post_init__(self) -> None:
        if self.step not in STEPS:
            raise BadValue(
                f"The spectrum goes in steps of {self.step:.4g} nm; save it from the instrument in "
                "steps of 1, 5, 10 or 20 nm."
            )
        values = numbers_of(self.values, "A spectrum")
        if values.ndim != 1 or not len(values):
            raise ShapeError(f"A spectrum is one row of numbers; this has shape {values.shape}.")
        # E308 has weights for 10 and 20 nm at these wavelengths only.
        if self.start % self.step:
            raise BadValue(
                f"The spectrum begins at {self.start:g} nm; in steps of {self.step} nm it must "
                f"begin at a multiple of {self.step}. Save it from the instrument again."
            )
        if self.start > _MUST[0] or self.end_of(len(values)) < _MUST[1]:
            raise BadValue(
                f"The spectrum goes from {self.start:g} to {self.end_of(len(values)):g} nm; it "
                f"must hold all from {_MUST[0]} to {_MUST[1]} nm. Save it from the instrument so."
            )
        bad = np.flatnonzero(~((values >= _LEAST) & (values <= _MOST)))
        if len(bad):
            at = int(self.start + self.step * bad[0])
            raise BadValue(
                f"The spectrum reads {values[bad[0]]:g} at {at} nm, as a fraction of white; no "
                "swatch does. Read the swatch again."
            )
        object.__setattr__(self, "start", int(self.start))
        object.__setattr__(self, "step", int(self.step))
        values.setflags(write=False)
        object.__setattr__(self, "values", values)

    def end_of(self, count: int) -> int:
        """The last of `count` wavelengths, nm."""
        return self.start + self.step * (count - 1)

    @property
    def wavelengths(self) -> Array:
        """(n,), nm."""
        return np.asarray(self.start + self.step * np.arange(len(self.values)), dtype=float)

    def lab(self, light: str = "D65", observer: str = "2") -> Array:
        """CIELAB (3,) under a light (one of `LAMPS`) and observer ("2" or "10" degrees).

        White is a perfect diffuser worked out in the same way, so that it is 100, 0, 0 exactly.
        Raises BadValue for a light or observer not known here.
        """
        check_lamp(light)
        if observer not in _OBSERVERS:
            raise BadValue(f"There is no observer '{observer}'; it is 2 or 10 (degrees).")
        used = (self.wavelengths >= _USED[0]) & (self.wavelengths <= _USED[1])
        values, start = self.values[used], float(self.wavelengths[used][0])
        white = _white(start, self.step, len(values), light, observer)
        return xyz_to_lab(_xyz(start, self.step, values, light, observer) / 100, white / 100)


def check_lamp(light: str) -> None:
    """Raises BadValue for a light that is not known here."""
    if light not in LAMPS:
        raise BadValue(f"There is no light '{light}' here; it is one of {', '.join(LAMPS)}.")


def spectrum_of(wavelengths: ArrayLike, values: ArrayLike) -> Spectrum:
    """A spectrum of wavelengths (n,) in nm, in any order, and reflectances (n,) as fractions.

    Raises BadValue where they are not evenly spaced or not there, ShapeError.
    """
    nm, read = numbers_of(wavelengths, "The wavelengths"), numbers_of(values, "A spectrum")
    if nm.ndim != 1 or nm.shape != read.shape:
        raise ShapeError(f"There are {nm.size} wavelengths for {read.size} values of a spectrum.")
    order = np.argsort(nm)
    nm, read = nm[order], read[order]
    gaps = np.diff(nm)
    if len(nm) < 2 or not np.isfinite(nm).all() or not np.allclose(gaps, gaps[0]) or gaps[0] <= 0:
        raise BadValue(
            "The wavelengths of the spectrum are not evenly spaced; save it from the instrument in "
            "steps of 1, 5, 10 or 20 nm."
        )
    return Spectrum(float(nm[0]), float(gaps[0]), read)  # type: ignore[arg-type]


@cache
def _white(start: float, step: int, count: int, light: str, observer: str) -> Array:
    return _xyz(start, step, np.ones(count), light, observer)


def _xyz(start: float, step: int, values: Array, light: str, observer: str) -> Array:
    """XYZ (3,) of reflectances, Y of white about 100."""
    with warnings.catch_warnings():
        # It warns of plotting libraries that are absent, and that it trims to E308's own range.
        warnings.simplefilter("ignore")
        from colour import MSDS_CMFS, SDS_ILLUMINANTS, SpectralDistribution, SpectralShape
        from colour.colorimetry import sd_to_XYZ_ASTME308

        shape = SpectralShape(start, start + step * (len(values) - 1), step)
        told: Any = sd_to_XYZ_ASTME308(
            SpectralDistribution(values, shape),
            MSDS_CMFS[_OBSERVERS[observer]],
            SDS_ILLUMINANTS[LAMPS[light][0]],
            # Weights where E308 has them, in place of sums over values filled in between.
            mi_20nm_interpolation_method=False,
        )
    return np.asarray(told, dtype=float)
