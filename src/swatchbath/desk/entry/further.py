"""Further readings of swatches on record, from one photo that shows some of them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from pathlib import Path

from ...conditions.vocabulary import meaning
from ...errors import BadValue
from ...library import STATES, Library, Swatch
from ...photo import read_photo
from ..photo.beside import own_in
from ..photo.in_frame import NOTHING_MORE, InFrame
from ..photo.measured import measure_in
from ..photo.places import typed_places
from ..photo.whose_camera import camera_words
from ..text.parse import parse_lab
from . import row_writer


def add_readings(
    library: Library,
    photo: str,
    at: Iterable[str],
    *,
    card: str | None = None,
    card_lab: str | None = None,
    in_frame: InFrame = NOTHING_MORE,
    state: str = "dry",
    days: float | None = None,
    of: tuple[str, str] | None = None,
) -> list[str]:
    """Read swatches on record in a photo, and put the readings on record; what is to be said of it,
    one sentence each.

    at : CODE=x,y or CODE=x,y,half, by code or name. in_frame : what else lies there. of : a
    dyestuff and its delivery, with which all must be dyed. All are read, or nothing is recorded.
    Raises BadValue, NotFound, PhotoRefused.
    """
    if state not in STATES:
        raise BadValue(f"'{state}' is no state of a swatch; use {', '.join(STATES)}.")
    at = list(at)
    for item in at:
        if "=" not in item:
            raise BadValue(f"'{item}' does not say which swatch it is; give CODE=x,y.")
    opened = read_photo(photo, encoding=in_frame.encoding)
    places = typed_places(
        opened, card, at, beside=in_frame.beside, card_needed=not in_frame.has_card
    )
    known = {name: library.swatch(name) for name in places.swatches}
    if of is not None:
        _refuse_strangers(known, *of)
    own = own_in(library, opened.id, places)
    read = {n: place for n, place in places.swatches.items() if n not in own}
    for name in read:
        if any(o.code == known[name].code for o in own.values()):
            raise BadValue(f"Swatch {name} cannot lie beside itself. Leave it out of --beside.")
    lab = None if card_lab is None else parse_lab(card_lab)
    done = measure_in(
        opened,
        read,
        in_frame.read(places.card, lab, paper=places.paper),
        library=library,
        own=own,
        camera_name=in_frame.camera_name,
        sitting=in_frame.sitting,
    )
    for reason in (done.shot.refused[n] for n in read if n in done.shot.refused):
        raise BadValue(f"{reason} Nothing was recorded.")
    with library.atomic():
        kept = done.keep(library, photo, {n: known[n].code for n in read})
        for name, place in read.items():
            swatch = known[name]
            row_writer.refuse_twice(swatch, kept, state, Path(photo).name)
            library.add_measurement(
                swatch.code,
                done.shot[name],
                state=state,
                photo=kept,
                mark=(place.x, place.y, place.half),
                days=days,
            )
    return [*camera_words([done.camera]), *done.beside]


def _refuse_strangers(known: Mapping[str, Swatch], dyestuff: str, delivery: str) -> None:
    """Raises BadValue where a swatch was not dyed with this delivery, by what is on record."""
    for called, swatch in known.items():
        bath = swatch.conditions
        lots = {
            str(bath[n]): bath.get(f"dyestuff_lot{n.removeprefix('dyestuff')}")
            for n in bath
            if re.fullmatch(r"dyestuff(_\d)?", n)
        }
        mine = [lot for plant, lot in lots.items() if _same("dyestuff", plant, dyestuff)]
        if not any(isinstance(lot, str) and _same("dyestuff_lot", lot, delivery) for lot in mine):
            raise BadValue(
                f"{called} is not on record as dyed with {dyestuff} {delivery}, so it is no check "
                "swatch of it. Look at its code, or correct its record first. Nothing was recorded."
            )


def _same(column: str, one: str, other: str) -> bool:
    return meaning(column, one) == meaning(column, other)
