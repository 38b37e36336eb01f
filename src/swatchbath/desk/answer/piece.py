"""Kept pieces: shades that other lots are judged against, each with where its yarn lies."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from ...colorimetry.conversion import to_d65_2
from ...colorimetry.measurement import Measurement
from ...colorimetry.words import colour_words
from ...errors import BadValue
from ...library import KeptPiece, Library
from ..text.closeness import closeness
from ..text.parse import Target, parse_target
from ..text.shown import colour_as_dict
from ..text.wording import counted, screen
from .lots import of_one_lot, together_of
from .spread import spread

EMPTY = (
    "No piece is kept yet. Put a length of yarn of a shade you mean to repeat in the dark, and say "
    'so: swatchbath piece CODE --as "autumn gold" --lies "tin 3". swatchbath judge then tells '
    "whether a later lot matches it."
)


@dataclass(frozen=True, eq=False)
class PieceAnswer:
    """pieces : all that are kept, oldest first. said : what was done, and what to know of it."""

    pieces: tuple[KeptPiece, ...]
    said: tuple[str, ...]

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "pieces": [piece_as_dict(p) for p in self.pieces],
            "said": list(self.said),
            "empty": "" if self.pieces else EMPTY,
        }


def piece_as_dict(piece: KeptPiece) -> dict[str, Any]:
    """A kept piece as plain values for JSON."""
    return {
        "called": piece.name,
        "codes": list(piece.codes),
        **colour_as_dict(piece.colour),
        "within": piece.within,
        "lies": piece.lies,
        "judged": len(piece.judged),
        "words": colour_words(piece.lab),
    } | screen(piece.lab)


def piece(
    library: Library,
    what: str | None = None,
    *,
    name: str | None = None,
    within: float | None = None,
    purpose: str | None = None,
    lies: str | None = None,
    let_go: bool = False,
) -> PieceAnswer:
    """Keep a shade to judge others by: a swatch by code or name, a lot, or a typed colour.

    name : what she calls the shade. within, purpose : how close others must be, as `closeness`;
    one shade to a customer unless said. lies : where its piece of yarn lies. With a name alone, the
    one kept under it is changed, or let go; with nothing, all are told.
    Raises BadValue, NotFound.
    """
    told = within is not None or purpose is not None or lies is not None
    if name is None:
        if what is not None or told or let_go:
            raise BadValue('Say what you call the shade: --as "autumn gold".')
        return PieceAnswer(tuple(library.kept_pieces()), ())
    if let_go:
        if what is not None or told:
            raise BadValue("A kept piece is let go by its name alone; leave the rest out.")
        gone = library.let_piece_go(name)
        said = (f"{gone.name} is kept no more. swatchbath undo brings it back.",)
        return PieceAnswer(tuple(library.kept_pieces()), said)
    if what is None:
        if not told:
            raise BadValue(
                f"Say which swatch, lot or colour {name} is, or what to change of it: --within, "
                "--lies."
            )
        changes: dict[str, Any] = {} if lies is None else {"lies": lies}
        if within is not None or purpose is not None:
            changes["within"] = closeness(within, purpose)[0]
        changed = library.change_kept_piece(name, **changes)
        return _answer(library, changed, f"Changed: {changed.name}")
    close, _ = closeness(within, purpose, usual="customer")
    colour, codes = _colour(library, what)
    kept = library.keep_piece(name, colour, codes=codes, within=close, lies=lies or "")
    return _answer(library, kept, f"Kept: {kept.name}, {colour_words(kept.lab)}")


def _answer(library: Library, kept: KeptPiece, first: str) -> PieceAnswer:
    of = f", read from {counted(len(kept.codes), 'swatch', 'swatches')}" if kept.codes else ""
    said = [f"{first}{of}. Others must come within {kept.within:g} (CIEDE2000)."]
    if kept.lies:
        said.append(f"Its piece of yarn lies: {kept.lies}.")
    elif kept.codes:
        said.append(
            "Keep a piece of its yarn in the dark, and say where it lies: swatchbath piece --as "
            f'"{kept.name}" --lies "tin 3".'
        )
    else:
        said.append("It is a typed colour, without a piece of yarn to lay beside a new lot.")
    tight = spread(library).tight_words(kept.within)
    return PieceAnswer(tuple(library.kept_pieces()), (*said, *([tight] if tight else [])))


def _colour(library: Library, what: str) -> tuple[Measurement, list[str]]:
    """The colour of what is kept, by D65/2, and the codes it was read from."""
    if _is_typed(what):
        target = parse_target(what, library)
        return _measured(target), []
    found = of_one_lot(library, what)
    return together_of(found), [s.code for s in found]


def _is_typed(what: str) -> bool:
    """Whether it is a colour as typed, and no swatch or lot."""
    parts = [p for p in re.split(r"[,;\s]+", what.strip()) if p]
    numbers = [p for p in parts if re.fullmatch(r"[+-]?\d+(\.\d+)?", p)]
    return what.strip().startswith("#") or len(parts) == len(numbers) == 3


def _measured(target: Target) -> Measurement:
    if isinstance(target.value, Measurement):
        return to_d65_2(target.value)
    return Measurement(target.value)  # typed: with the usual doubt of an instrument
