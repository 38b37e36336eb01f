"""A photo with its marks, and what each of them is, put on record in one go."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ...bath.diary.reading import read_step
from ...errors import BadValue, PhotoRefused
from ...library import STATES, Library, check_name
from ...photo import Photo, read_photo
from ..photo.beside import own_in
from ..photo.in_frame import NOTHING_MORE, InFrame
from ..photo.measure import Progress
from ..photo.measured import MeasuredPhoto, keep_photo, measure_in
from ..photo.places import Places, typed_places
from ..photo.whose_camera import camera_words, new_unnamed_camera, whose_camera
from ..text.bath_words import bath_words
from .came_out import all_came_out
from .fibre import fibre_of_words
from .pot import pot, swatch_like
from .row_writer import existing, made, refuse_twice

NO_CARD = "none"


@dataclass(frozen=True)
class MarkedAs:
    """What one marked place is. code : a swatch on record; else a new one. bath : of a new one,
    "last" (as the last, but for `but`, column=value each), "lines" (as told for all) or "" (not
    told yet). name : what she calls a new one."""

    code: str = ""
    bath: str = ""
    but: tuple[str, ...] = ()
    name: str = ""


@dataclass(frozen=True)
class MarkedAnswer:
    """codes : of each place, by what it was called there. readings : how many were kept. notes,
    questions, cautions : as for `record`; came_out : of swatches dyed on a suggestion."""

    codes: Mapping[str, str]
    readings: int
    notes: tuple[str, ...] = ()
    questions: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    came_out: tuple[Mapping[str, Any], ...] = ()


def record_marked(
    library: Library | str | Path,
    photo: str | Path,
    said: Mapping[str, MarkedAs],
    *,
    card: str | None = None,
    swatches: Sequence[str] = (),
    fibre: str = "",
    lines: Sequence[str] = (),
    called: str | None = None,
    state: str = "dry",
    days: float | None = None,
    in_frame: InFrame = NOTHING_MORE,
    progress: Progress | None = None,
) -> MarkedAnswer:
    """Record what lies in a photo: all of it, or nothing.

    said : what each place is, by its name; a place of which nothing is said is left out. card :
    as `typed_places` takes it, or "none", and no colour is read. swatches : NAME=x,y or
    NAME=x,y,half; none: what lies on the photo sheet. fibre, lines : the bath of those that are
    said to have it, as `pot` takes them. called : her name of the photo.
    Raises BadValue, NotFound, PhotoRefused.
    """
    if state not in STATES:
        raise BadValue(f"'{state}' is no state of a swatch; use {', '.join(STATES)}.")
    if not said:
        raise BadValue("Say of one swatch at least what it is.")
    for one in said.values():
        check_name(one.name or None)
    with ExitStack() as stack:
        lib = existing(stack, library)
        opened = read_photo(photo, encoding=in_frame.encoding)
        unnamed = new_unnamed_camera()
        done: MeasuredPhoto | None = None
        if card == NO_CARD:
            places = typed_places(opened, None, swatches, card_needed=False)
        else:
            if progress:
                progress(0, 2, "reading the colours")
            places = typed_places(opened, card, swatches, beside=in_frame.beside)
            done = _measured(opened, places, said, lib, in_frame, unnamed)
        if progress:
            progress(1, 2, "putting them on record")
        known = {} if lib is None else {c.code: lib.swatch(c.code) for c in said.values() if c.code}
        if lib is None and any(one.bath == "lines" for one in said.values()):
            _told(fibre, lines)
        lib = made(stack, library, lib, unnamed=None if done is None else unnamed)
        with lib.atomic():
            codes, questions, cautions = _codes(lib, said, fibre, lines)
            if done is None:
                camera = whose_camera(opened, in_frame.camera_name, lib)
                kept = keep_photo(lib, photo, opened, camera, in_frame.sitting, called=called)
            else:
                kept = done.keep(lib, photo, codes, called)
            for name, code in codes.items():
                lib.add_shown(code, kept, "swatch")
                if done is None:
                    continue
                refuse_twice(known.get(said[name].code), kept, state, called or opened.name)
                place = places.swatches[name]
                lib.add_measurement(
                    code, done.shot[name], state=state, photo=kept, days=days,
                    mark=(place.x, place.y, place.half),
                )  # fmt: skip
        came = all_came_out(lib, list(codes.values()) if done and state != "wet" else [])
    notes = () if done is None else (*camera_words([done.camera]), *done.beside)
    return MarkedAnswer(
        codes, 0 if done is None else len(codes), notes, tuple(questions), tuple(cautions),
        tuple(came),
    )  # fmt: skip


def _measured(
    opened: Photo,
    places: Places,
    said: Mapping[str, MarkedAs],
    lib: Library | None,
    in_frame: InFrame,
    unnamed: str,
) -> MeasuredPhoto:
    """The colours of what something is said of; what else of hers lies there, lies beside."""
    if missing := [n for n in said if n not in places.swatches]:
        raise BadValue(f"Nothing is marked that is called {missing[0]}. Mark it, or leave it out.")
    own = {n: o for n, o in own_in(lib, opened.id, places).items() if n not in said}
    done = measure_in(
        opened,
        {n: r for n, r in places.swatches.items() if n in said},
        in_frame.read(places.card, paper=places.paper),
        library=lib, own=own, camera_name=in_frame.camera_name, sitting=in_frame.sitting,
        unnamed=unnamed,
    )  # fmt: skip
    if done.shot.refused:
        raise PhotoRefused(f"{' '.join(done.shot.refused.values())} Nothing was recorded.")
    return done


def _told(fibre: str, lines: Sequence[str]) -> None:
    """Raises BadValue where a bath cannot be read, before a library is made for it."""
    fibre_of_words(fibre, {})
    for line in lines:
        if line.strip():
            read_step(line, known=())


def _codes(
    lib: Library, said: Mapping[str, MarkedAs], fibre: str, lines: Sequence[str]
) -> tuple[dict[str, str], list[str], list[str]]:
    """The code of each place; new ones with their bath. And what to ask, and to take care of."""
    codes: dict[str, str] = {}
    questions: list[str] = []
    cautions: list[str] = []
    told = [n for n, one in said.items() if not one.code and one.bath == "lines"]
    if told:
        if not fibre:
            raise BadValue("Say what fibre it is, such as wool.")
        answer = pot(lib, [t for t in lines if t.strip()], fibres=[fibre] * len(told))
        codes |= dict(zip(told, answer.codes, strict=True))
        questions += answer.questions
        cautions += [*answer.cautions, *answer.general]
    # "The last" is the last before this photo, for each of them.
    last = swatch_like(lib, "last").code if any(o.bath == "last" for o in said.values()) else ""
    for name, one in said.items():
        if one.code:
            codes[name] = lib.swatch(one.code).code
        elif one.bath == "last":
            answer = pot(lib, like=last, changes=one.but)
            codes[name] = answer.codes[0]
            questions += answer.questions
            cautions += [*answer.cautions, *answer.general]
        elif one.bath != "lines":
            codes[name] = lib.add_swatch(name=one.name or None)
        if one.name and not one.code and one.bath:
            lib.edit(codes[name], {"name": one.name}, alone=True)
    order = {n: codes[n] for n in said}
    return order, list(dict.fromkeys(questions)), list(dict.fromkeys(cautions))


def last_dyed(library: Library) -> str | None:
    """The code of the swatch that was dyed last; None where no bath is on record."""
    try:
        return swatch_like(library, "last").code
    except BadValue:
        return None


def understood(lines: Sequence[str], fibre: str = "") -> dict[str, list[str]]:
    """A bath told in lines of a diary as it is read, and what of it is not: "read" and "wrong",
    sentences each. Nothing is kept."""
    steps, wrong = [], []
    for line in lines:
        if not line.strip():
            continue
        try:
            steps.append(read_step(line, known=()))
        except BadValue as error:
            wrong.append(str(error))
    read = bath_words({"fibre": fibre or "fibre"}, steps) if steps or fibre else []
    return {"read": read, "wrong": wrong}
