"""A colour as a browser is told of it: for screens that show more, and for those that do not."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from ..colorimetry.lab import WHITE_D50, WHITE_D65, bradford, lab_to_srgb, lab_to_xyz, xyz_to_lab
from .charts import screen


class PatchColours(NamedTuple):
    """css : lab() of CSS, whose white is D50. plain : #rrggbb, clipped to sRGB. duller : whether
    sRGB cannot show it."""

    css: str
    plain: str
    duller: bool


def patch_colours(lab: Sequence[float]) -> PatchColours:
    """How a Lab D65/2 (3,) is written for a browser.

    CSS Color 4 has lab() under D50; the colour is adapted by Bradford in XYZ, as that standard
    has it.
    """
    turned = lab_to_xyz(lab) @ bradford(WHITE_D65, WHITE_D50).T
    light, a, b = (round(float(v), 2) + 0.0 for v in xyz_to_lab(turned, WHITE_D50))
    return PatchColours(f"lab({light:g} {a:g} {b:g})", screen(lab), bool(lab_to_srgb(lab)[1]))
