"""What lay in a photo that was read by an earlier version, which did not keep it: found again."""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np

from ...errors import PhotoRefused
from ...library.rows.photos import PhotoReading
from ...photo import Card, Photo, Region
from ...photo.place.segmentation import grow_card
from ...photo.sheet.detect import Sheet, find_sheet
from ..photo.in_frame import KnownInFrame

# Every reading against a card tells in its checks where the card was.
_CARD_AT = re.compile(r"^Grey card at \((-?\d+), (-?\d+)\)")
# How far, in pixels, a place on the sheet may be found from where it was: the same finder on the
# same photo differs by less than one.
_NEAR = 3.0


def older_frame(
    photo: Photo, readings: Sequence[PhotoReading]
) -> tuple[KnownInFrame, dict[str, Region]]:
    """The card of a photo, and places by code where they are better known than by their marks.

    The photo sheet is looked for, as it was then; else the card is grown from the point that the
    readings' checks name. Raises PhotoRefused where it cannot be found, or the readings were made
    by more than a card.
    """
    measured = [r.measured for r in readings if r.measured is not None]
    rungs = sorted({m.rung for m in measured})
    if rungs != ["card"]:
        what = " and ".join(r for r in rungs if r != "card") or "nothing that can be read"
        raise PhotoRefused(
            f"It was read by more than its grey card ({what}), and where that lies was not kept. "
            "Record it again with all that lies in it."
        )
    lab = _card_lab([s for m in measured for s in m.shared])
    sheet = find_sheet(photo)
    if sheet is not None and not sheet.refusal and sheet.card is not None:
        paper = sheet.card_paper + tuple(r for both in sheet.paper.values() for r in both)
        return KnownInFrame(Card(sheet.card, lab=lab), paper=paper), _on_sheet(sheet, readings)
    at = {
        (int(found[1]), int(found[2]))
        for m in measured
        for check in m.checks
        if (found := _CARD_AT.match(check.sentence))
    }
    if len(at) != 1:
        raise PhotoRefused(
            "Where its grey card lies was not kept. Record it again with --card, if the photo is "
            "worth it."
        )
    (spot,) = at
    return KnownInFrame(Card(grow_card(photo, *spot), lab=lab)), {}


def _card_lab(sources: Sequence[str]) -> list[float] | None:
    """The card's own colour, by which the source of its error is called; None: an 18 % grey."""
    named = {s.removeprefix("card:") for s in sources if s.startswith("card:")}
    if named == {"unnamed"}:
        return None
    try:
        (text,) = named
        L, a, b = (float(v) for v in text.split(","))
    except ValueError as error:
        raise PhotoRefused("Which grey card lies in it was not kept.") from error
    return [L, a, b]


def _on_sheet(sheet: Sheet, readings: Sequence[PhotoReading]) -> dict[str, Region]:
    """The places on the sheet by the codes of the swatches that were read there."""
    return {
        reading.swatch: place
        for reading in readings
        for place in sheet.swatches.values()
        if reading.mark is not None and is_at(place, reading.mark)
    }


def is_at(place: Region, mark: Sequence[float]) -> bool:
    """Whether a place is the one that a reading's mark (x, y, half) tells of."""
    return bool(np.abs(np.array([place.x, place.y, place.half]) - mark).max() <= _NEAR)
