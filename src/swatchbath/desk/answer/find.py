"""Swatches on record near a colour, or that hold some words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pandas as pd

from ...library import Library, Swatch, write_table
from ..text.parse import parse_target
from ..text.wording import bath_words, plain, screen


@dataclass(frozen=True)
class Precedent:
    """A real swatch near a colour: how near, which way it differs, how its bath differs."""

    swatch: Swatch
    delta_e2000: float | None
    words: str

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        measured = self.swatch.measured
        shown = {"screen": None, "duller_on_screen": None}
        if measured is not None:
            shown = screen(measured.lab)
        return {
            "code": self.swatch.code,
            "name": self.swatch.name,
            "lab": None if measured is None else measured.lab.tolist(),
            "delta_e2000": self.delta_e2000,
            "words": self.words,
            "conditions": plain(self.swatch.conditions),
            "bath": " ".join(bath_words(self.swatch.conditions, brief=True)),
        } | shown


def find(
    library: Library, *, colour: str | None = None, text: str | None = None, k: int = 10
) -> tuple[Precedent, ...]:
    """Swatches nearest to a colour (or to a swatch), or that hold all words of a text."""
    lab = None
    own = None
    if colour is not None:
        target = parse_target(colour, library)
        lab, own = target.lab, target.code
    found = library.find(lab=lab, text=text, k=k + 1)
    rows = [Precedent(s, f.delta_e2000, f.words) for s, f in found if s.code != own]
    return tuple(rows[:k])


def write_found(found: Iterable[Precedent], path: str | Path) -> None:
    """Write swatches as a CSV: code, name, lot, dye day, colour, and the condition columns."""
    rows = []
    for swatch in (p.swatch for p in found):
        row: dict[str, Any] = {
            "code": swatch.code,
            "name": swatch.name,
            "lot": swatch.lot,
            "session": swatch.session,
        }
        if swatch.measured is not None:
            row |= dict(zip(("L", "a", "b"), swatch.measured.lab.round(2), strict=True))
            row["rung"] = swatch.measured.rung
        rows.append(row | plain(swatch.conditions))
    write_table(pd.DataFrame(rows), path)
