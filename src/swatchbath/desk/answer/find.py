"""Swatches on record near a colour, or that hold some words."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pandas as pd

from ...errors import BadValue
from ...library import Library, Swatch, swatch_row, write_table
from ..photo.in_frame import NOTHING_MORE, InFrame
from ..photo.shade import refuse_without_photo, shade_in_photo
from ..text.bath_words import bath_words
from ..text.parse import Target, parse_target
from ..text.shown import colour_as_dict, steps_as_dicts
from ..text.wording import plain, screen
from .own_yarn import NO_YARN, OwnYarn, own_yarn_for


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
            **colour_as_dict(measured),
            "delta_e2000": self.delta_e2000,
            "words": self.words,
            "conditions": plain(self.swatch.conditions),
            "bath": " ".join(bath_words(self.swatch.conditions, self.swatch.steps, brief=True)),
            "steps": steps_as_dicts(self.swatch.steps),
        } | shown


class FindAnswer(list[FoundSwatch]):
    """Swatches that were found, in order. issues : what could not be read meanwhile. target : the
    colour they are near to, where it was typed or lies in a photo. own_yarn : what to lay beside
    it."""

    issues: tuple[str, ...] = ()
    target: Target | None = None
    own_yarn: OwnYarn = NO_YARN

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "target": None if self.target is None else self.target.as_dict(),
            "swatches": [s.as_dict() for s in self],
            **self.own_yarn.as_dict(),
            "issues": list(self.issues),
        }

    def to_frame(self) -> pd.DataFrame:
        """One row a swatch: code, name, lot, dye day, colour, and the condition columns."""
        return pd.DataFrame([swatch_row(s.swatch) | plain(s.swatch.conditions) for s in self])


def find(library: Library, text: str | None = None, *, lab: Any = None, k: int = 10) -> FindAnswer:
    """Swatches that hold all words of a text, or nearest to a colour: Lab, or typed as L,a,b,
    #rrggbb or a swatch's code or name, or a Target."""
    target = parse_target(lab, library) if isinstance(lab, str) else lab
    known = isinstance(target, Target)
    found = library.find(text, lab=target.lab if known else target, k=k + 1)
    own = target.code if known else None
    rows = [FoundSwatch(s, f.delta_e2000, f.words) for s, f in found if s.code != own]
    answer = FindAnswer(rows[:k])
    answer.issues = library.issues
    answer.target = target if known else None
    answer.own_yarn = own_yarn_for(library, answer.target)
    return answer


def find_typed(
    library: Library,
    text: str | None = None,
    *,
    lab: str | None = None,
    photo: str | None = None,
    card: str | None = None,
    card_lab: str | None = None,
    at: str | None = None,
    in_frame: InFrame = NOTHING_MORE,
    k: int = 10,
) -> FindAnswer:
    """`find` for a colour as typed, or for the colour at a place in a photo with a card."""
    if photo is None:
        refuse_without_photo(card, card_lab, at, in_frame)
        return find(library, text, lab=lab, k=k)
    if lab is not None:
        raise BadValue("Name one colour: --colour, or --photo with --at.")
    found = shade_in_photo(library, photo, card=card, card_lab=card_lab, at=at, in_frame=in_frame)
    return find(library, text, lab=found.target, k=k)


def write_found(found: FindAnswer, path: str | Path) -> None:
    """Write swatches as a CSV, with the columns of `to_frame`."""
    write_table(found.to_frame(), path)
