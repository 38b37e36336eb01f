"""How much each condition is expected to matter before any swatch is seen.

A weight is that of a condition's squared difference in scale units (see `gp`): 0.05 hardly bends
the response over the trade's range, 1 bends it much. Fitted by tests/studies/fit_priors.py on two
made-up dye houses that are built differently, so they are wide (a factor e either way, at least)
and give way to a person's own swatches.
"""

from __future__ import annotations

__all__ = ["LINEAR", "prior_of"]

Normal = tuple[float, float]  # mean and standard deviation of the logarithm

# Weights for strength and for hue.
_FITTED: dict[str, tuple[Normal, Normal]] = {
    "mordant_owf": ((-1.77, 1.00), (-2.36, 1.00)),
    "pH": ((-0.79, 1.00), (-2.03, 1.00)),
    "temperature_C": ((-0.31, 1.00), (-1.17, 1.01)),
    "minutes": ((-0.25, 1.00), (-1.54, 1.00)),
    "bath_number": ((-2.10, 1.00), (-2.93, 1.00)),
    "final_pH": ((0.06, 1.00), (0.96, 1.03)),
    "pH_step": ((-1.59, 1.00), (-2.21, 1.00)),
    "iron_owf": ((-0.78, 1.00), (0.37, 1.00)),
    "dye_owf": ((-0.32, 1.00), (-1.11, 1.00)),
    "modifier": ((-2.61, 1.00), (-3.07, 1.00)),
    "fibre": ((-1.87, 1.00), (-3.80, 1.00)),
    "mordant": ((-2.56, 1.00), (-3.77, 1.00)),
    "dyestuff": ((-0.61, 1.00), (0.49, 1.00)),
}
# Of conditions that the houses do not have; chosen in trials on the first of them.
_NUMBER: Normal = (-0.69, 1.5)
_WORD: Normal = (-0.69, 1.0)
# Share of the linear term, for strength and for hue.
LINEAR: tuple[Normal, Normal] = ((-1.0, 1.0), (-4.3, 1.0))


def prior_of(name: str, part: int, *, word: bool) -> Normal:
    """Mean and sd of the logarithm of a factor's weight. part : 0 for strength, 1 for hue."""
    if name.startswith("amount of "):  # one dyestuff of several
        name = "dye_owf"
    if name in _FITTED:
        return _FITTED[name][part]
    return _WORD if word else _NUMBER
