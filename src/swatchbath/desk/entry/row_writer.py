"""What was put on record, and the writing of one row."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from contextlib import ExitStack
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from ...bath.cautions import all_cautions, cautions_for
from ...bath.chemistry import liquor_question, soda_question
from ...bath.steps import steps_of
from ...errors import BadValue
from ...library import Library, Swatch, is_library
from ...photo import Shot
from .row import Row, fibre_of

# Cautions that hold for every bath; they stand once, in one line.
_GENERAL = ("food", "waste", "who decides")


@dataclass(frozen=True)
class RecordAnswer:
    """What was put on record. codes : name (or code, where there is none) -> code. questions :
    things worth a second look. left_out : readings that are not on record, with the reason.
    cautions : what can hurt in these baths; general : what holds for every bath. notes : whose
    camera it was where a photo does not say, and what it was read beside. came_out : of swatches
    dyed on a suggestion, what came of it."""

    codes: dict[str, str]
    readings: int
    photos: int
    questions: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    general: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    came_out: tuple[Mapping[str, Any], ...] = ()
    shots: Mapping[str, Shot] = field(default_factory=dict, repr=False)

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON; the cautions for every bath stand last among the cautions."""
        return {
            "codes": self.codes,
            "swatches": [
                {"code": code, "name": None if called == code else called}
                for called, code in self.codes.items()
            ],
            "readings": self.readings,
            "photos": self.photos,
            "questions": list(self.questions),
            "left_out": list(self.left_out),
            "cautions": [*self.cautions, *self.general],
            "notes": list(self.notes),
            "came_out": [dict(told) for told in self.came_out],
        }


def existing(stack: ExitStack, place: Library | str | Path) -> Library | None:
    """The library of a place, opened if need be; None where there is none yet."""
    if isinstance(place, Library):
        return place
    return stack.enter_context(Library(place)) if is_library(place) else None


def made(
    stack: ExitStack,
    place: Library | str | Path,
    library: Library | None,
    *,
    unnamed: str | None = None,
) -> Library:
    """The library to write to: the last thing to be made, so that a refusal leaves none behind.

    unnamed : what its unnamed camera is called in readings that were made for it already.
    """
    if library is not None:  # not `or`: an empty library counts as false
        return library
    new = stack.enter_context(Library(Path(str(place)), create=True))
    if unnamed is not None:
        new.start_unnamed_camera(unnamed)
    return new


def add(library: Library, row: Row) -> str:
    """One swatch and its lot; returns its code. The steps go with the swatch: skeins of one pot
    may have been mordanted apart, and a part's after-bath is its own."""
    if row.lot:
        library.add_lot([], name=row.lot, session=row.session)
    return library.add_swatch(**swatch_fields(row))


def describe(library: Library, code: str, row: Row) -> None:
    """Fill in the bath of a swatch that only has a code yet."""
    if row.lot:
        library.add_lot([], name=row.lot, session=row.session)
    library.describe_swatch(code, **swatch_fields(row))


def swatch_fields(row: Row) -> dict[str, Any]:
    """What the library is told of a new swatch, or of one that has only a code yet."""
    return {
        "name": row.name,
        "lot": row.lot,
        "part": row.part,
        "session": None if row.lot else row.session,
        "steps": steps_of(row.bath) if row.steps is None else row.steps,
        "fibre": fibre_of(row),
        "extra": row.extra,
        "typed": row.typed,
    }


def refuse_twice(swatch: Swatch | None, kept: str, state: str, photo: str) -> None:
    """BadValue where a swatch on record has its reading from this very photo already."""
    if swatch is None:
        return
    if any(m.photo == kept and s == state for s, _, m in swatch.measurements):
        raise BadValue(
            f"Swatch {swatch.code} has a reading from {photo} on record already. Nothing was "
            "changed; leave this one out."
        )


def questions_of(rows: Iterable[Row]) -> tuple[str, ...]:
    """What to ask about once that no cell by itself says."""
    questions = []
    for row in rows:
        for question in (soda_question(row.bath), liquor_question(row.bath)):
            if question:
                questions.append(
                    question if row.number is None else f"Row {row.number}: {question}"
                )
    return tuple(dict.fromkeys(questions))


def cautions_of(rows: Iterable[Row]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The cautions of some baths, each once: those of their own, and those for every bath."""
    called = {c.name for row in rows for c in cautions_for(row.bath, row.steps or ())}
    there = [c for c in all_cautions() if c.name in called]
    return (
        tuple(c.sentence for c in there if c.name not in _GENERAL),
        tuple(c.sentence for c in there if c.name in _GENERAL),
    )
