"""Photo to colours, with the places typed or listed in a table of marks."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import ExitStack
from pathlib import Path
from typing import Any

from ...colorimetry.covariance import give_or_take
from ...colorimetry.measurement import Measurement
from ...colorimetry.words import colour_words, rung_words
from ...errors import BadTable, BadValue, NotFound, PhotoRefused
from ...library import Library, is_library
from ...photo import Photo, Region, Shot, read_photo
from ...photo.place.preview import outline
from ..text.parse import parse_lab
from ..text.wording import screen
from .beside import own_in, own_swatches
from .in_frame import NOTHING_MORE, InFrame, KnownInFrame
from .marks import Marks, read_marks
from .measured import MeasuredPhoto, measure_in
from .own_pieces import of_another_library
from .places import Places, preview_path, typed_places, write_preview
from .whose_camera import camera_words

Progress = Callable[[int, int, str], None]


def measure(
    photo: str | Path | Photo,
    *,
    card: Region | None,
    swatches: Mapping[str, Region],
    card_lab: Any = None,
    paper: Sequence[Region] = (),
    in_frame: InFrame = NOTHING_MORE,
    beside: Mapping[str, Region] | None = None,
    library: Library | None = None,
) -> Shot:
    """Measure swatches in a photo against a grey card; the desk's twin of `swatchbath.measure`.

    card_lab : the card's own Lab, else it is taken as an 18 % grey with the doubt of one. paper :
    places on the sheet under them. in_frame : what else of known colour or light is there. beside :
    places of swatches in `library`, by code or name.
    """
    opened = photo if isinstance(photo, Photo) else read_photo(photo, encoding=in_frame.encoding)
    known = in_frame.read(card, card_lab, paper=paper)
    own = own_swatches(library, opened.id, beside or {})
    return measure_in(
        opened, swatches, known, library=library, own=own,
        camera_name=in_frame.camera_name, sitting=in_frame.sitting,
    ).shot  # fmt: skip


def measure_typed(
    photo: str,
    *,
    card: str | None = None,
    card_lab: str | None = None,
    swatches: Iterable[str] = (),
    marks: str | None = None,
    preview: str | None = None,
    in_frame: InFrame = NOTHING_MORE,
    library: str | Path | None = None,
) -> dict[str, Any]:
    """`measure` with places as typed, or from a table of marks; plain values.

    card, swatches : x,y,half (a mark) or x,y (a touch, grown to the thing's edge), the swatches'
    as NAME=...; what is not given is looked for on the photo sheet. marks : a table instead.
    preview : where the picture of places that were found is written, else beside the photo.
    in_frame : what else of known colour or light is there. library : the folder of one, where there
    is one; swatches on a sheet that are on record there lie beside those that are not.
    """
    swatches = list(swatches)
    lab = None if card_lab is None else parse_lab(card_lab)
    drawn = None
    with ExitStack() as stack:
        lib = (
            stack.enter_context(Library(library))
            if library is not None and is_library(library)
            else None
        )
        opened = read_photo(photo, encoding=in_frame.encoding)
        if marks:
            _refuse_both(card, swatches, preview)
            if in_frame.beside:
                raise BadValue(
                    "--beside and --marks were both given; put the swatches that lie beside into "
                    "the table, as places of the kind beside."
                )
            places, known = _marked(marks, opened.name, in_frame, lab)
        else:
            places = typed_places(
                opened, card, swatches, beside=in_frame.beside, card_needed=not in_frame.has_card
            )
            if places.found:
                drawn = preview_path(photo, preview)
            elif preview:
                raise BadValue(
                    "Every place was marked with its size, so there is none to confirm. Leave "
                    "--preview out, or give the places as x,y."
                )
            known = in_frame.read(places.card, lab, paper=places.paper)
        own = own_in(lib, opened.id, places)
        strange = of_another_library(lib, places)
        done = measure_in(
            opened,
            {n: r for n, r in places.swatches.items() if n not in own},
            known,
            library=lib,
            own=own,
            camera_name=in_frame.camera_name,
            sitting=in_frame.sitting,
        )
    if drawn is not None:
        write_preview(opened, places, drawn)
    return _as_dict(done, places, drawn, strange, kept=lib is not None)


def _marked(marks: str, name: str, in_frame: InFrame, lab: Any) -> tuple[Places, KnownInFrame]:
    """The places of a photo in a table of marks, and what of known colour lies there."""
    table = read_marks(marks)
    if name not in table:
        raise BadValue(f"{Path(marks).name} has no row for the photo {name}.")
    here = table[name]
    known = here.known(in_frame, {} if lab is None else {"grey": lab})
    return Places(here.cards.get("card"), here.swatches, beside=here.beside), known


def _as_dict(
    done: MeasuredPhoto, places: Places, drawn: Path | None, strange: list[str], *, kept: bool
) -> dict[str, Any]:
    """Plain values for JSON. strange : said of a sheet's own yarn. kept : whether there is a
    library to compare with."""
    shot = done.shot
    read = [n for n in shot if n not in done.own]
    if not read:
        raise PhotoRefused(" ".join(shot.refused.values()), checks=shot.checks)
    return {
        "photo": done.photo.name,
        "camera": done.camera.as_dict(),
        "found": list(places.found),
        "preview": None if drawn is None else str(drawn),
        "places": {n: _as_points(r) for n, r in places.all().items()} if places.found else {},
        "rung": shot.rung,
        "swatches": [
            measured_as_dict(n, shot[n])
            | {"strand": shot.strands[n].tolist(), "uneven": shot.uneven[n]}
            for n in read
        ],
        "beside": list(shot.beside),
        "changed": dict(shot.changed),
        "refused": dict(shot.refused),
        "notes": [
            *places.notes,
            *strange,
            *camera_words([done.camera], library=kept),
            *done.beside,
            *done.photo.notes,
        ],
        "checks": [dict(vars(c)) for c in shot.checks],
    }


def _refuse_both(card: str | None, swatches: list[str], preview: str | None) -> None:
    given = {"--card": card, "--swatch": swatches, "--preview": preview}
    for option in [o for o, value in given.items() if value]:
        raise BadValue(f"{option} and --marks were both given; leave one of them out.")


def _as_points(region: Region) -> list[list[float]]:
    """The corners of a place, in pixels of the upright picture."""
    return [[round(float(v), 1) for v in point] for point in outline(region)]


def measured_as_dict(name: str, reading: Measurement) -> dict[str, Any]:
    """One reading as plain values for JSON, with what a screen needs to show it."""
    return {
        "name": name,
        "lab": reading.lab.tolist(),
        "give_or_take": give_or_take(reading.lab, reading.covariance, reading.degrees),
        "covariance": reading.covariance.tolist(),
        "repeatability": reading.repeatability.tolist(),
        "trueness": reading.trueness.tolist(),
        "rung": reading.rung,
        "measured_how": rung_words(reading.rung),
        "light": reading.light,
        "observer": reading.observer,
        "words": colour_words(reading.lab),
        "checks": [dict(vars(c)) for c in reading.checks if c.level != "fine"],
        "notes": list(reading.notes),
    } | screen(reading.lab)


def measure_all(
    folder: Path,
    marks: Mapping[str, Marks],
    photos: Iterable[str],
    *,
    card_labs: Mapping[str, Any] | None = None,
    in_frame: InFrame = NOTHING_MORE,
    library: Library | None = None,
    unnamed: str | None = None,
    progress: Progress | None = None,
) -> tuple[dict[str, MeasuredPhoto], dict[str, str]]:
    """Measure every photo; returns them, and for photos that cannot be used, why not.

    in_frame : what is told of all photos alike. library, unnamed : see `measure_in`. Raises
    NotFound when one is not there, BadTable when it has no marks.
    """
    done: dict[str, MeasuredPhoto] = {}
    refused: dict[str, str] = {}
    names = sorted(set(photos))
    for name in names:
        if name not in marks:
            raise BadTable(f"The photo {name} has no marks; add rows for its card and swatches.")
        if not (folder / name).is_file():
            raise NotFound(
                f"The photo {name} is not in {folder}. Name the folder of the photos with --photos."
            )
    for i, name in enumerate(names):
        if progress:
            progress(i, len(names), f"measuring {name}")
        here = marks[name]
        try:
            photo = read_photo(folder / name, encoding=in_frame.encoding)
            done[name] = measure_in(
                photo,
                here.swatches,
                here.known(in_frame, card_labs),
                library=library,
                own=own_swatches(library, photo.id, here.beside),
                camera_name=in_frame.camera_name,
                sitting=in_frame.sitting,
                unnamed=unnamed,
            )
        except PhotoRefused as error:
            refused[name] = str(error)
    if progress:
        progress(len(names), len(names), "measured")
    return done, refused
