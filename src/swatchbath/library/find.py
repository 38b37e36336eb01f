"""Finding swatches by colour, by words, by code."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from ..colorimetry.convert import to_d65_2
from ..colorimetry.difference import delta_e2000
from ..colorimetry.hue import colour_words, difference_words
from ..errors import BadValue

if TYPE_CHECKING:
    from .swatch import Swatch


@dataclass(frozen=True)
class Found:
    """Why a swatch was found: its CIEDE2000 from the colour asked for and the way it differs."""

    delta_e2000: float | None
    words: str


def as_lab(values: Any) -> np.ndarray[Any, np.dtype[np.float64]]:
    """(3,) Lab, or BadValue when it is no colour."""
    try:
        lab = np.array(values, dtype=float)
    except (TypeError, ValueError) as error:
        raise BadValue(f"'{values}' is no colour; give L*, a*, b* as three numbers.") from error
    if lab.shape != (3,) or not np.isfinite(lab).all():
        raise BadValue(f"'{values}' is no colour; give L*, a*, b* as three numbers.")
    # Beyond these no surface colour lies (CIELAB of the optimal colours, rounded outward).
    if not (0 <= lab[0] <= 100 and np.abs(lab[1:]).max() <= 160):
        raise BadValue(
            f"L* {lab[0]:g}, a* {lab[1]:g}, b* {lab[2]:g} is no colour of a surface: L* runs from "
            "0 to 100, a* and b* from about -130 to 130."
        )
    return lab


def rank(
    swatches: Sequence[Swatch], *, lab: Any, text: str | None, k: int
) -> list[tuple[Swatch, Found]]:
    """The k swatches that fit best: all words of `text` must be there; nearest colour first."""
    if isinstance(k, bool) or not isinstance(k, int):
        raise BadValue(f"k is {k!r}; give the number of swatches to find.")
    if not isinstance(text, str | None):
        raise BadValue(f"The words to find are {text!r}; give them as text.")
    if k < 1:
        raise BadValue(f"k is {k}; ask for at least one swatch.")
    words = (text or "").casefold().split()
    kept = [s for s in swatches if all(w in _said(s) for w in words)]
    if lab is None:
        return [(s, Found(None, _words(s))) for s in reversed(kept)][:k]
    target = as_lab(lab)
    found = []
    for swatch in kept:
        if swatch.measured is None:
            continue
        measured = to_d65_2(swatch.measured)
        difference = float(delta_e2000(measured.lab, target))
        found.append((swatch, Found(difference, difference_words(measured.lab, target))))
    return sorted(found, key=lambda f: (f[1].delta_e2000 or 0.0, f[0].code))[:k]


def _words(swatch: Swatch) -> str:
    return colour_words(swatch.measured.lab) if swatch.measured else "to be photographed"


def _said(swatch: Swatch) -> str:
    """Everything about a swatch that words may match."""
    parts = [swatch.code, swatch.name, swatch.lot, swatch.session, _words(swatch)]
    parts += [str(v) for v in swatch.conditions.values()]
    parts += [s.note for s in swatch.steps]
    return " ".join(str(p) for p in parts if p).casefold()
