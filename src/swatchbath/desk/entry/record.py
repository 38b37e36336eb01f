"""Putting a swatch with its bath on record. All or nothing.

All is read, checked and measured first; a library that is not there yet is made last.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from contextlib import ExitStack
from dataclasses import replace
from pathlib import Path
from typing import Any

from ...bath.change import changed
from ...bath.steps import FIBRE_COLUMNS, conditions_of
from ...colorimetry.measurement import Measurement
from ...conditions.columns import COLUMNS, column
from ...conditions.spoken import in_words
from ...errors import BadValue
from ...library import STATES, Library, check_name
from ...photo import Photo, Region, read_photo
from ..photo.beside import own_in
from ..photo.in_frame import NOTHING_MORE, InFrame
from ..photo.measured import measure_in
from ..photo.places import Places, typed_places
from ..photo.whose_camera import camera_words, new_unnamed_camera
from ..text.parse import check_bath, parse_bath, parse_lab, parse_mark
from ..text.wording import records
from . import row_writer
from .agreement import check_on_record
from .came_out import all_came_out
from .instrument import typed_reading
from .pot import swatch_like
from .row import Row, row_of


def record(
    library: Library | str | Path,
    bath: Mapping[str, str],
    *,
    photo: str | Path | None = None,
    card: Region | None = None,
    card_lab: Any = None,
    swatch: Region | None = None,
    beside: Mapping[str, Region] | None = None,
    on_sheet: Mapping[str, Region] | None = None,
    paper: Sequence[Region] = (),
    in_frame: InFrame = NOTHING_MORE,
    opened: Photo | None = None,
    name: str | None = None,
    code: str | None = None,
    like: str | None = None,
    state: str = "dry",
    days: float | None = None,
    reading: Measurement | None = None,
) -> row_writer.RecordAnswer:
    """Put one swatch on record with its bath, and its colour when a photo is given.

    library : one that is open, or its folder. beside : places of swatches on record, by code or
    name, in whose frame this one is read; on_sheet : what lies on a photo sheet, by code. paper :
    more places on one plain sheet. in_frame : what else lies in the photo. opened : the photo where
    it is open already. code : a swatch on record (its code or name), which gets a further reading
    from the photo; its bath may be left out, and must agree where told. One that only has a code
    yet gets its bath. like : a swatch whose bath was the same but for what is told. days : from
    dyeing to the photo. reading : by an instrument, in place of a photo.
    """
    if state not in STATES:
        raise BadValue(f"'{state}' is no state of a swatch; use {', '.join(STATES)}.")
    if (photo is None) != (swatch is None):
        raise BadValue("Give a photo and the swatch's place in it together, or neither.")
    if photo is not None and reading is not None:
        raise BadValue(
            "A photo and an instrument's reading were both given; record one, then add "
            "the other with --code."
        )
    if photo is None and (card is not None or card_lab is not None):
        raise BadValue("A card is told of, and no photo. Give the photo, or leave the card out.")
    if photo is None and in_frame.given:
        raise BadValue(f"{in_frame.given[0]} goes with a photo. Give the photo, or leave it out.")
    if card is None and card_lab is not None:
        raise BadValue("The card's colour is told, and not its place. Say where the card is.")
    for fact, instead in (("photo", "the photo itself"), ("swatch", "the code with --code")):
        if bath.get(fact):
            raise BadValue(f"The {fact} is no part of the bath; give {instead}.")
    called = check_name(name)
    with ExitStack() as stack:
        lib = row_writer.existing(stack, library)
        row, questions = _typed_row(lib, bath, called, code, like)
        known = check_on_record([row], lib)
        fresh = bool(code is None or (row.bath and not known[code].has_bath))
        if not fresh and like is not None:
            raise BadValue(f"The bath of swatch {code} is on record already. Leave --like out.")
        if not fresh and photo is None and reading is None:
            raise BadValue(f"Nothing is there to add to swatch {code}. Give a photo of it.")
        done, label, unnamed = None, called or code or "swatch", new_unnamed_camera()
        if photo is not None and swatch is not None:
            opened = opened or read_photo(photo, encoding=in_frame.encoding)
            places = Places(card, {label: swatch}, beside=beside or {}, on_sheet=on_sheet or {})
            lying = own_in(lib, opened.id, places)
            if code is not None and any(o.code == known[code].code for o in lying.values()):
                raise BadValue(f"Swatch {code} cannot lie beside itself. Leave it out of --beside.")
            done = measure_in(
                opened,
                {label: swatch},
                in_frame.read(card, card_lab, paper=paper),
                library=lib,
                own=lying,
                camera_name=in_frame.camera_name,
                sitting=in_frame.sitting,
                unnamed=unnamed,
            )
            if label in done.shot.refused:
                raise BadValue(f"{done.shot.refused[label]} Nothing was recorded.")
        lib = row_writer.made(stack, library, lib, unnamed=unnamed)
        with lib.atomic():
            own = known[code].code if code is not None else row_writer.add(lib, row)
            if code is not None and fresh:
                row_writer.describe(lib, own, row)
            if done is not None and photo is not None and swatch is not None:
                kept = done.keep(lib, photo, {label: own})
                row_writer.refuse_twice(known.get(str(code)), kept, state, Path(photo).name)
                mark = (swatch.x, swatch.y, swatch.half)
                lib.add_measurement(
                    own, done.shot[label], state=state, photo=kept, mark=mark, days=days
                )
            if reading is not None:
                lib.add_measurement(own, reading, state=state, days=days)
        read_dry = state != "wet" and (done is not None or reading is not None)
        came = all_came_out(lib, [own] if read_dry else [])
    special, general = row_writer.cautions_of([row] if fresh else [])
    return row_writer.RecordAnswer(
        {row.name or own: own},
        readings=int(done is not None or reading is not None),
        photos=int(done is not None),
        notes=() if done is None else (*camera_words([done.camera]), *done.beside),
        questions=(*questions, *(row_writer.questions_of([row]) if fresh else ())),
        cautions=special,
        general=general,
        came_out=tuple(came),
    )


# What is not known of a swatch from another that was dyed like it.
_ITS_OWN = ("pot_position", "pot_g")


def _typed_row(
    library: Library | None,
    bath: Mapping[str, str],
    name: str | None,
    code: str | None,
    like: str | None,
) -> tuple[Row, Sequence[str]]:
    if like is not None:
        return _row_like(library, bath, name, code, like)
    cells = dict(bath)
    if code is not None:
        # The bath is on record; what is told beside it is compared with that.
        row = Row(None, {}, name=name, code=code)
        on_record = check_on_record([row], library)[code].conditions
        cells = {c: on_record[c] for c in ("fibre", "dyestuff") if c in on_record} | cells
        if not bath:
            return row, ()
    checked = check_bath(cells)
    row = row_of(records(checked.table)[0], name=name, code=code, typed=checked.typed[0])
    return row, _without_rows(checked.sentences)


def _row_like(
    library: Library | None, bath: Mapping[str, str], name: str | None, code: str | None, like: str
) -> tuple[Row, Sequence[str]]:
    """A bath like that of a swatch on record, but for what is told; its steps stay as they are."""
    model = swatch_like(library, like)
    cells = {k: v for k, v in model.conditions.items() if column(k) and k not in _ITS_OWN}
    checked = check_bath(cells | dict(bath))
    typed = {k: v for k, v in model.typed.items() if k not in bath} | checked.typed[0]
    row = row_of(records(checked.table)[0], name=name, code=code, typed=typed)
    fibre = {k: v for k, v in model.conditions.items() if k in FIBRE_COLUMNS}
    old = conditions_of(model.steps, {})
    new = {k: v for k, v in row.bath.items() if k not in FIBRE_COLUMNS}
    differs = {k: new.get(k) for k in old | new if new.get(k) != old.get(k)}
    steps = changed(model.steps, fibre, differs)
    return replace(row, steps=steps), _without_rows(checked.sentences)


def _without_rows(sentences: Iterable[str]) -> list[str]:
    """What to ask about a bath that stands in no table."""
    plain = [s.removeprefix("Row 2, ").removeprefix("Row 2: ") for s in sentences]
    said = [in_words(s) for s in plain]
    return [s[:1].upper() + s[1:] if s[:2] != "pH" else s for s in said]


def record_typed(
    library: Library | str | Path,
    cells: Iterable[str],
    *,
    photo: str | None = None,
    card: str | None = None,
    card_lab: str | None = None,
    swatch: str | None = None,
    state: str | None = None,
    lab: str | None = None,
    under: str | None = None,
    in_frame: InFrame = NOTHING_MORE,
    **how: Any,
) -> row_writer.RecordAnswer:
    """`record` with the bath typed as column=value and places as x,y,half, or x,y to be grown."""
    if under is not None and lab is None:
        raise BadValue("A light is told of, and no reading. Give --lab too, or leave it out.")
    if state is not None and photo is None and lab is None and state in STATES:
        raise BadValue(
            f"The state '{state}' is that of a reading, and no photo is given. Leave it out."
        )
    bath = parse_bath(cells)
    reading = None if lab is None else typed_reading(lab, under)
    how |= {
        "card_lab": None if card_lab is None else parse_lab(card_lab),
        "state": state or "dry",
        "reading": reading,
        "in_frame": in_frame,
    }
    if photo is None or swatch is None or reading is not None:
        # Nothing can be measured; what is wrong with that is told there.
        place = None if card is None else parse_mark(card, what="the card")
        at = None if swatch is None else parse_mark(swatch, what="the swatch")
        return record(library, bath, photo=photo, card=place, swatch=at, **how)
    opened = read_photo(photo, encoding=in_frame.encoding)
    places = typed_places(
        opened, card, [f"swatch={swatch}"], beside=in_frame.beside,
        card_needed=not in_frame.has_card,
    )  # fmt: skip
    return record(
        library,
        bath,
        photo=photo,
        opened=opened,
        card=places.card,
        swatch=places.swatches["swatch"],
        beside=places.beside,
        on_sheet=places.on_sheet,
        paper=places.paper,
        **how,
    )


def bath_columns() -> list[dict[str, str]]:
    """The columns a bath may have, for help: name, what may stand in it, what it means."""
    return [{"name": c.name, "allowed": c.allowed, "help": c.help} for c in COLUMNS]
