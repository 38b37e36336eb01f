"""Swatches on record near a colour, or that hold some words."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pandas as pd

from ...library import Library, Swatch, swatch_row, write_table
from ..text.parse import parse_target
from ..text.wording import bath_words, plain, screen


@dataclass(frozen=True)
class FoundSwatch:
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


class FindAnswer(list[FoundSwatch]):
    """Swatches that were found, in order. issues : what could not be read meanwhile."""

    issues: tuple[str, ...] = ()

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {"swatches": [s.as_dict() for s in self], "issues": list(self.issues)}

    def to_frame(self) -> pd.DataFrame:
        """One row a swatch: code, name, lot, dye day, colour, and the condition columns."""
        return pd.DataFrame([swatch_row(s.swatch) | plain(s.swatch.conditions) for s in self])


def find(library: Library, text: str | None = None, *, lab: Any = None, k: int = 10) -> FindAnswer:
    """Swatches that hold all words of a text, or nearest to a colour: Lab, or typed as L,a,b,
    #rrggbb or a swatch's code or name."""
    colour, own = lab, None
    if isinstance(lab, str):
        target = parse_target(lab, library)
        colour, own = target.lab, target.code
    found = library.find(text, lab=colour, k=k + 1)
    rows = [FoundSwatch(s, f.delta_e2000, f.words) for s, f in found if s.code != own]
    answer = FindAnswer(rows[:k])
    answer.issues = library.issues
    return answer


def write_found(found: FindAnswer, path: str | Path) -> None:
    """Write swatches as a CSV, with the columns of `to_frame`."""
    write_table(found.to_frame(), path)
