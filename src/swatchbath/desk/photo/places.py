"""Where the card and the swatches lie in a photo: as marked, grown from a touch, or by the sheet.

Places that were found and not marked are drawn over a small picture, for the eye to confirm.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from PIL import Image, UnidentifiedImageError

from ...errors import BadValue, PhotoRefused
from ...photo import Photo, Region
from ...photo.place.preview import COMMENT, preview
from ...photo.place.segmentation import grow_card, grow_swatch
from ...photo.sheet.detect import Sheet, find_sheet
from ..text.files import check_free, write_whole
from ..text.parse import parse_mark

_POINT_AT = "--card x,y --swatch name=x,y"
_NAME_IT = "Name another file with --preview"
_WHAT = "the picture of the places"


@dataclass(frozen=True)
class Places:
    """The card's place, or None, and the swatches' by name.

    found : how the places were found that were not marked ("sheet", "touch"), in that order.
    notes : sentences about it. paper : bare paper of the sheet, which tells how even the light is.
    beside : the places of swatches on record that lie beside, by code or name as typed. on_sheet :
    what lies on the places of the photo sheet, where one was found, her own yarn on the sheet that
    carries it included; carried : that yarn, by its codes. None of it is in `swatches`.
    """

    card: Region | None
    swatches: Mapping[str, Region]
    found: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    paper: tuple[Region, ...] = ()
    beside: Mapping[str, Region] = field(default_factory=dict)
    on_sheet: Mapping[str, Region] = field(default_factory=dict)
    carried: Mapping[str, Region] = field(default_factory=dict)

    def all(self) -> dict[str, Region]:
        """Every place by what it is called on the picture."""
        card = {} if self.card is None else {"grey card": self.card}
        return card | dict(self.carried) | dict(self.swatches) | dict(self.beside)


def typed_places(
    photo: Photo,
    card: str | None,
    swatches: Iterable[str],
    *,
    beside: Iterable[str] = (),
    card_needed: bool = True,
    by_its_light: bool = False,
) -> Places:
    """Places as typed: x,y,half marks one, x,y touches it; what is not typed is looked for on the
    photo sheet. beside : swatches on record, as CODE=x,y. card_needed : False where something else
    in the frame serves as the card. by_its_light : whether the sheet is looked for even where all
    is typed, for its bare paper, and for the card on it; it need not be there.

    Raises BadValue for what cannot be read, PhotoRefused when a place is not found.
    """
    notes: list[str] = []
    paper: tuple[Region, ...] = ()
    named, touched = _named(photo, swatches)
    own, touched_own = _named(photo, beside, beside=True)
    touched |= touched_own
    if twice := sorted(named.keys() & own.keys()):
        raise BadValue(
            f"{twice[0]} is named as a swatch to be read and as one that lies beside. A swatch "
            "that is read anew is named once, with --swatch."
        )
    place, on_sheet, carried = None, {}, {}
    if card is not None:
        point = _point(card)
        touched |= point is not None
        place = parse_mark(card, what="the card") if point is None else grow_card(photo, *point)
    by_sheet = (place is None and card_needed) or not named
    if by_sheet:
        sheet = _sheet(photo, nothing=place is None and not named)
        if sheet is not None:
            on_sheet, carried = sheet.swatches | sheet.beside, sheet.beside
            paper = _paper_of(sheet)
            if place is None and card_needed:
                place = _card_of(photo, sheet)
            if not named:
                named = _swatches_of(photo, sheet)
                notes = _told(sheet)
        by_sheet = sheet is not None
    elif by_its_light and (sheet := find_sheet(photo)) is not None:
        by_sheet = not sheet.refusal
        paper, place = _paper_of(sheet), place or sheet.card
        if sheet.refusal:
            notes = [f"The photo sheet's paper was not used. {sheet.refusal.removesuffix('.')}."]
    found = [how for how, so in (("sheet", by_sheet), ("touch", touched)) if so]
    return Places(place, named, tuple(found), tuple(notes), paper, own, on_sheet, carried)


def typed_beside(photo: Photo, items: Iterable[str]) -> dict[str, Region]:
    """The places of swatches on record, typed as CODE=x,y or CODE=x,y,half. Raises BadValue."""
    return _named(photo, items, beside=True)[0]


def _named(
    photo: Photo, items: Iterable[str], *, beside: bool = False
) -> tuple[dict[str, Region], bool]:
    """Places typed as NAME=x,y or NAME=x,y,half, and whether any was touched. beside : whether
    they are of swatches on record, which have a name already."""
    named: dict[str, Region] = {}
    touched = False
    for number, item in enumerate(items, start=1):
        called, sign, text = (part.strip() for part in item.rpartition("="))
        if beside and not (sign and called):
            raise BadValue(
                f"'{item}' does not say which swatch lies beside, and where; give CODE=x,y."
            )
        called = called if sign else str(number)
        if called in named:
            raise BadValue(f"Two swatches are called {called}; give each a name of its own.")
        point = _point(text)
        touched |= point is not None
        named[called] = (
            parse_mark(text, what=f"swatch {called}")
            if point is None
            else grow_swatch(photo, *point)
        )
    return named, touched


def _point(text: str) -> tuple[float, float] | None:
    """x,y as typed; None when it is something else."""
    parts = re.split(r"[,;\s]+", text.strip())
    if len(parts) != 2:
        return None
    try:
        x, y = (float(part) for part in parts)
    except ValueError:
        return None
    return x, y


def _sheet(photo: Photo, *, nothing: bool) -> Sheet | None:
    """The sheet in the photo. nothing : no place was typed at all, so that it must be there."""
    sheet = find_sheet(photo)
    if sheet is None:
        if nothing:
            raise PhotoRefused(
                f"No photo sheet was found in {photo.name}: point at the card and the swatches "
                f"with {_POINT_AT}, or photograph them on a sheet printed by swatchbath sheet."
            )
        return None
    if sheet.refusal:
        raise PhotoRefused(f"{sheet.refusal.removesuffix('.')}: {_POINT_AT}.")
    return sheet


def _paper_of(sheet: Sheet) -> tuple[Region, ...]:
    """The bare paper beside every place of the sheet, the card's first."""
    return sheet.card_paper + tuple(r for both in sheet.paper.values() for r in both)


def _card_of(photo: Photo, sheet: Sheet) -> Region:
    if sheet.card is None:
        raise PhotoRefused(
            f"The photo sheet in {photo.name} has no grey card on its place, or its place is "
            "outside the photo. Lay your card there and photograph again, or point at a card "
            "elsewhere with --card x,y."
        )
    return sheet.card


def _swatches_of(photo: Photo, sheet: Sheet) -> dict[str, Region]:
    if not sheet.swatches and sheet.layout is not None and sheet.layout.own:
        raise PhotoRefused(
            f"Nothing lies on the open places of the photo sheet in {photo.name}. Lay what is to "
            "be read on one of them, covering its dotted part."
        )
    if not sheet.swatches:
        raise PhotoRefused(
            f"No swatch lies on the places of the photo sheet in {photo.name}. Cover the dotted "
            "part of each place, or point at the swatches with --swatch name=x,y."
        )
    return dict(sheet.swatches)


def _told(sheet: Sheet) -> list[str]:
    """Sentences about what the sheet showed besides its swatches."""
    # The card is told of where it is needed.
    notes = [note for note in sheet.notes if "grey card" not in note]
    # Of the open places beside her own yarn, one is enough.
    if sheet.empty and not sheet.beside:
        notes.append(f"Nothing lies on {_listed(sheet.empty)}.")
    unread = [name for name, number in sheet.numbers.items() if name == str(number)]
    if unread:
        notes.append(
            f"No code was read at {_listed(unread)}, so what lies there goes by the number of its "
            "place."
        )
    return notes


def _listed(names: Iterable[str]) -> str:
    names = list(names)
    whole = f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else names[0]
    return f"{'places' if len(names) > 1 else 'place'} {whole}"


def preview_path(photo: str | Path, named: str | None) -> Path:
    """Where the picture of the places goes: beside the photo unless named. BadValue when another
    file is there; an earlier picture of ours is replaced."""
    path = Path(named) if named else Path(photo).with_name(f"{Path(photo).stem}-places.jpg")
    if path.suffix.lower() not in (".jpg", ".jpeg"):
        raise BadValue(f"The picture of the places is a JPEG; end '{path.name}' in .jpg.")
    check_free(path, what=_WHAT, instead=_NAME_IT, ours=is_preview)
    return path


def write_preview(photo: Photo, places: Places, path: Path) -> None:
    """Draw the places over a small picture of the photo, and write it whole."""
    write_whole(path, preview(photo, places.all()), what=_WHAT, instead=_NAME_IT)


def is_preview(path: Path) -> bool:
    """Whether a file is a small picture of places that this program drew."""
    try:
        with Image.open(path, formats=("JPEG",)) as image:
            return image.info.get("comment") == COMMENT
    except (UnidentifiedImageError, OSError):
        return False
