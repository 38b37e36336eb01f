"""The formulae that a difference can be told in."""

from __future__ import annotations

from functools import partial

from ..colorimetry.difference import cmc, delta_e2000
from ..colorimetry.interval import Formula
from ..errors import BadValue

# Name -> formula of (standard, sample), and how it is written. Textiles commonly halve lightness.
FORMULAE: dict[str, tuple[Formula, str]] = {
    "ciede2000": (delta_e2000, "CIEDE2000"),
    "textile": (partial(delta_e2000, k_L=2.0), "CIEDE2000 with lightness halved (2:1:1)"),
    "cmc21": (partial(cmc, lightness=2.0, chroma=1.0), "CMC(2:1)"),
}


def formula_named(name: str) -> tuple[Formula, str]:
    """A formula and how it is written. Raises BadValue."""
    if name not in FORMULAE:
        raise BadValue(f"There is no formula '{name}'; it is one of {', '.join(FORMULAE)}.")
    return FORMULAE[name]
