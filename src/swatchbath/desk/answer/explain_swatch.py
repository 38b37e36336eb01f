"""Why one swatch came out as it did: what its other lots gave to expect, and what sets it apart."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from ...colorimetry.difference import delta_e2000
from ...colorimetry.words import colour_words, difference_words
from ...errors import NotFound
from ...library import Library, Swatch
from ...predict.explain.neighbour import nearest_bath
from ...predict.explain.residuals import Residual, residual_of
from ..text.bath_words import bath_words
from ..text.wording import screen
from .learn import LibraryModel, learn


@dataclass(frozen=True, eq=False)
class SwatchExplained:
    """One swatch beside what was expected of it without its lot (None where it could not be left
    out), and beside the swatch whose bath is most like its own."""

    swatch: Swatch
    miss: Residual | None
    neighbour: Swatch | None
    differs: tuple[str, ...]
    learnt: LibraryModel

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        miss, near, swatch = self.miss, self.neighbour, self.swatch
        return {
            "code": swatch.code,
            "name": swatch.name,
            "bath": bath_words(swatch.conditions),
            "said": list(self.said),
            "miss": None
            if miss is None
            else miss.as_dict()
            | {
                "code": swatch.code,
                "name": swatch.name,
                "measured_words": colour_words(miss.measured),
                "foreseen_words": colour_words(miss.predicted),
                "measured_screen": screen(miss.measured)["screen"],
                "expected_screen": screen(miss.predicted)["screen"],
            },
            "nearest_bath": None
            if near is None
            else {"code": near.code, "name": near.name, "differs": list(self.differs)}
            | {"bath": bath_words(near.conditions)},
            "meta": self.learnt.model.meta_,
        }

    @property
    def said(self) -> tuple[str, ...]:
        """What is told of it, in sentences."""
        return (*self._miss_words(), *self._neighbour_words())

    def _miss_words(self) -> list[str]:
        miss = self.miss
        if miss is None:
            return ["Nothing is left to tell what to expect of it once its own lot is left out."]
        expected, read = colour_words(miss.predicted), colour_words(miss.measured)
        if miss.words.startswith("no difference"):
            return [f"It came out {read}, as your other lots gave to expect."]
        return [
            f"Your other lots gave to expect {expected}; it came out {read}: {miss.words} "
            f"(CIEDE2000 {miss.delta_e2000:.0f}).",
            *miss.reasons,
        ]

    def _neighbour_words(self) -> list[str]:
        near = self.neighbour
        if near is None or near.measured is None or self.swatch.measured is None:
            return []
        mine, theirs = self.swatch.measured.lab, near.measured.lab
        away = float(delta_e2000(mine, theirs))
        called = f"{near.code} ({near.name})" if near.name else near.code
        apart = "; ".join(self.differs) or "nothing on record sets the two apart"
        way = difference_words(mine, theirs)
        beside = (
            "and it looks the same"
            if way.startswith("no difference")
            else f"and it came out {way} (CIEDE2000 {away:.0f})"
        )
        return [f"The bath most like its own is that of {called}: {apart}, {beside}."]


def explain_swatch(
    library: Library, code: str, *, learnt: LibraryModel | None = None
) -> SwatchExplained:
    """Why a swatch, by its code or name, came out as it did.

    Raises NotFound for one that is not there or that nothing was learnt from (no bath, no dry
    reading, a vat), NotEnoughSwatches under 12 usable swatches.
    """
    swatch = library.swatch(code)
    learnt = learnt or learn(library)
    rows = np.flatnonzero(learnt.conditions["swatch"].astype(str) == swatch.code)
    used = [int(r) for r in rows if r in set(learnt.model.used_rows_.tolist())]
    if not used:
        raise NotFound(
            f"Nothing was learnt from {swatch.code}: it needs a bath with fibre and dyestuff, no "
            "vat, and a dry reading."
        )
    # Of several readings, the one that is furthest off is the one to be explained.
    missed = [m for r in used if (m := residual_of(learnt.model.fit_, r)) is not None]
    near = nearest_bath(learnt.model.fit_, used[0])
    return SwatchExplained(
        swatch,
        max(missed, key=lambda m: m.delta_e2000, default=None),
        None if near is None else library.swatch(learnt.name(near[0])),
        () if near is None else near[1],
        learnt,
    )
