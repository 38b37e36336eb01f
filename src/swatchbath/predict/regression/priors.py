"""How much each condition is expected to matter before any swatch is seen.

A weight is that of a condition's squared difference in scale units (see `gp`): 0.05 hardly bends
the response over the trade's range, 1 bends it much. Fitted by tests/studies/fit_priors.py on two
made-up dye houses that are built differently, so they are wide (a factor e either way, at least)
and give way to a person's own swatches.
"""

from __future__ import annotations

Normal = tuple[float, float]  # mean and standard deviation of the logarithm

# Weights for strength and for hue.
FITTED: dict[str, tuple[Normal, Normal]] = {
    "pH": ((-0.19, 1.0), (-1.24, 1.05)),
    "final_pH": ((-0.64, 1.09), (0.14, 1.23)),
    "pH_step": ((-1.85, 1.0), (-2.42, 1.0)),
    "temperature_C": ((-0.94, 1.0), (-1.39, 1.0)),
    "minutes": ((-0.52, 1.0), (-1.21, 1.0)),
    "bath_number": ((-2.07, 1.0), (-2.44, 1.0)),
    "dye_owf": ((-0.20, 1.0), (-0.64, 1.0)),
    "mordant_owf": ((-1.43, 1.0), (-1.67, 1.0)),
    "iron_owf": ((-0.89, 1.0), (-0.01, 1.0)),
    "fibre": ((-1.53, 1.0), (-3.03, 1.06)),
    "dyestuff": ((-0.94, 1.0), (0.23, 1.0)),
    "mordant": ((-2.16, 1.0), (-3.27, 1.0)),
    "modifier": ((-2.73, 1.0), (-3.12, 1.0)),
}
# Of conditions that the houses do not have; chosen in trials on the first of them.
_NUMBER: Normal = (-0.69, 1.5)
_WORD: Normal = (-0.69, 1.0)
# Share of the linear term, for strength and for hue.
LINEAR: tuple[Normal, Normal] = ((-1.12, 1.0), (-3.96, 1.01))


def prior_of(name: str, part: int, *, word: bool) -> Normal:
    """Mean and sd of the logarithm of a factor's weight. part : 0 for strength, 1 for hue."""
    if name.startswith("amount of "):  # one dyestuff of several
        name = "dye_owf"
    if name in FITTED:
        return FITTED[name][part]
    return _WORD if word else _NUMBER
