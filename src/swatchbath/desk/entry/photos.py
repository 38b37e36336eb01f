"""Many photos taken in at once; swatches are named by the codes in the picture."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from ...errors import BadValue, NotFound, PhotoRefused, SwatchbathError
from ...library import STATES, Library
from ...library.codes import is_code
from ...photo import Photo, read_photo
from ...photo.sheet.detect import Sheet, find_sheet
from ...photo.sheet.layout import read_swatch_text
from ...photo.sheet.qr import grey_picture, read_codes, read_enlarged
from ..photo.beside import listed, own_in
from ..photo.drafts import ENDINGS
from ..photo.in_frame import NOTHING_MORE, InFrame
from ..photo.measure import Progress
from ..photo.measured import MeasuredPhoto, keep_photo, measure_in
from ..photo.own_pieces import of_another_library
from ..photo.places import Places, is_preview, typed_beside
from ..photo.whose_camera import WhoseCamera, camera_words, whose_camera
from ..text.parse import parse_lab
from .came_out import all_came_out
from .row_writer import existing, made
from .waiting import next_of


@dataclass
class PhotosAnswer:
    """What came of some photos. shown : photo -> codes of the swatches in it. measured : how many
    colours were read. new : codes of swatches that are only a photo yet. left_out : photo or code
    with the reason, one sentence each. notes : about the photos that were taken in. beside : photo
    -> codes of swatches on record by which the others in it were read; anew : photo -> codes of
    swatches on record that were read anew. came_out : of swatches dyed on a suggestion, what came
    of it."""

    shown: dict[str, list[str]] = field(default_factory=dict)
    measured: int = 0
    new: list[str] = field(default_factory=list)
    left_out: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    beside: dict[str, list[str]] = field(default_factory=dict)
    anew: dict[str, list[str]] = field(default_factory=dict)
    came_out: list[dict[str, Any]] = field(default_factory=list)

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return dict(vars(self)) | {"next": self.next}

    @property
    def next(self) -> str:
        """What to do next, one line with the command; "" where every photo was left out."""
        if self.came_out:
            return str(self.came_out[0]["next"])
        if self.new:
            return next_of({"to be described": [{"code": code} for code in self.new]})
        return "Next: see what still waits: swatchbath waiting" if self.shown else ""


def photos(
    library: Library | str | Path,
    paths: Iterable[str | Path],
    *,
    pot_sheet: bool = False,
    codes: Sequence[str] = (),
    state: str = "dry",
    days: float | None = None,
    again: bool = False,
    card_lab: str | None = None,
    in_frame: InFrame = NOTHING_MORE,
    progress: Progress | None = None,
) -> PhotosAnswer:
    """Take photos into the library; a folder stands for all photos in it.

    A photo of the photo sheet with a card is measured, and its swatches named by their codes. One
    with tags in it is kept with the swatches of those codes. One with neither is a new swatch to
    be described. pot_sheet : the photos are of the handwritten sheet of a pot, which counts as
    the record of the bath until it is typed in. codes : the swatches shown, where no code is in
    the picture. state, days : of the swatches, and since dyeing. card_lab : the card's own colour,
    as typed. in_frame : what else lies in the photos; places hold for one photo.
    A swatch on record that lies on a sheet with one that is not measured yet lies beside it: its
    colour on record tells how the photo sees. Alone, or with again, it is read anew.
    Small pictures of the places that were read, as `measure` leaves them, are no photos.
    A photo that cannot be used is left out with its reason; the others are taken in.
    """
    if state not in STATES:
        raise BadValue(f"'{state}' is no state of a swatch; use {', '.join(STATES)}.")
    if days is not None and not 0 <= days < 1e5:
        raise BadValue(f"{days:g} days since dyeing cannot be; give a number from 0.")
    files = _files(paths)
    if in_frame.places and len(files) > 1:
        raise BadValue(
            f"{in_frame.places[0]} says where something lies in one photo, and {len(files)} are "
            "named. Take that one in by itself."
        )
    lab = None if card_lab is None else parse_lab(card_lab)
    done = PhotosAnswer()
    task = _Task(pot_sheet, state, days, again, lab, in_frame, done)
    with ExitStack() as stack:
        lib = existing(stack, library)
        if codes and lib is None:
            raise BadValue("There is no library yet, so none of its codes was given out.")
        task.given = [] if lib is None else [lib.swatch(code).code for code in codes]
        lib = made(stack, library, lib)
        for i, path in enumerate(files):
            if progress:
                progress(i, len(files), f"taking in {path.name}")
            try:
                with lib.atomic():
                    _take(lib, path, task)
            except SwatchbathError as error:
                done.left_out.append(f"{path.name}: {error}")
        done.came_out = all_came_out(lib, task.read_dry)
        if progress:
            progress(len(files), len(files), "taken in")
    done.notes[:0] = camera_words(task.cameras)
    return done


@dataclass
class _Task:
    """What was asked for, and what came of it so far. given : codes that were typed. cameras : of
    the photos that were measured. read_dry : codes of swatches that got a dry reading."""

    pot_sheet: bool
    state: str
    days: float | None
    again: bool
    card_lab: Any
    in_frame: InFrame
    done: PhotosAnswer
    given: list[str] = field(default_factory=list)
    cameras: list[WhoseCamera] = field(default_factory=list)
    read_dry: list[str] = field(default_factory=list)


def _files(paths: Iterable[str | Path]) -> list[Path]:
    out: list[Path] = []
    for path in map(Path, paths):
        if path.is_dir():
            inside = sorted(p for p in path.iterdir() if p.suffix.lower() in ENDINGS)
            inside = [p for p in inside if not is_preview(p)]
            if not inside:
                raise NotFound(f"There is no photo in the folder {path}.")
            out += inside
        else:
            out.append(path)
    if not out:
        raise BadValue("No photo is named. Name photos, or a folder of them.")
    return list(dict.fromkeys(out))


def _take(library: Library, path: Path, task: _Task) -> None:
    done, in_frame, state = task.done, task.in_frame, task.state
    photo = read_photo(path, encoding=in_frame.encoding)
    sheet = None if task.pot_sheet or task.given else find_sheet(photo)
    if sheet is not None and sheet.refusal:
        done.notes.append(f"{path.name}: {sheet.refusal}")
        sheet = None
    measured = _measured(library, photo, sheet, task)
    if measured is None and in_frame.places:
        raise BadValue(
            f"no colour is read without a photo sheet with a card and swatches on it, so "
            f"{in_frame.places[0]} tells nothing. Leave it out, or use swatchbath record."
        )
    places = {} if sheet is None else sheet.swatches
    seen = list(task.given) or _codes_in(photo, sheet)
    own, strange = _on_record(library, seen)
    done.left_out += [
        f"{path.name}: the code {code} is in the picture. {reason}"
        for code, reason in strange.items()
    ]
    before = library.shown_in(photo.id) if library.has_photo(photo.id) else []
    # A place of the sheet without a code, or a photo without any, is a new swatch, once.
    nameless = [] if before else [name for name in places if not is_code(name)]
    if strange and not own and not nameless:
        return
    if not own and not nameless and before:
        raise BadValue(
            f"it is on record already, as {', '.join(before)}. To add it to another swatch, name "
            "that with --code."
        )
    named = {code: code for code in own}
    for name in nameless or ([] if own else [""]):
        named[name] = library.add_swatch()
    kept = (
        keep_photo(
            library, path, photo, whose_camera(photo, in_frame.camera_name, library),
            in_frame.sitting,
        )
        if measured is None
        else measured.keep(library, path, named)
    )  # fmt: skip
    count, anew = 0, []
    for name, code in named.items():
        library.add_shown(code, kept, "pot sheet" if task.pot_sheet else "swatch")
        if measured is None or name not in measured.shot or name in measured.own:
            continue
        readings = library.swatch(code).measurements
        if any(m.photo == kept and s == state for s, _, m in readings):
            done.left_out.append(f"{path.name}: {code} has a reading from this photo already.")
            continue
        if readings:
            anew.append(code)
        mark = (places[name].x, places[name].y, places[name].half)
        library.add_measurement(
            code, measured.shot[name], state=state, photo=kept, mark=mark, days=task.days
        )
        count += 1
        if state != "wet":
            task.read_dry.append(code)
    # Only now: what is refused above leaves no trace.
    done.shown[path.name] = list(named.values())
    done.new += [code for name, code in named.items() if name != code]
    done.measured += count
    if measured is None:
        return
    task.cameras.append(measured.camera)
    done.notes += [f"{path.name}: {reason}" for reason in measured.shot.refused.values()]
    done.notes += [f"{path.name}: {said}" for said in measured.beside]
    if measured.shot.beside:
        done.beside[path.name] = list(measured.shot.beside)
    if anew:
        done.anew[path.name] = anew
        done.notes.append(f"{path.name}: read anew: {listed(anew)}.")


def _measured(
    library: Library, photo: Photo, sheet: Sheet | None, task: _Task
) -> MeasuredPhoto | None:
    """The colours on a photo sheet with a card; else None, and why."""
    in_frame = task.in_frame
    if sheet is None or not sheet.swatches:
        return None
    if sheet.card is None and not in_frame.has_card:
        task.done.notes.append(
            f"{photo.name}: no grey card lies on the sheet, so no colour was read."
        )
        return None
    beside = typed_beside(photo, in_frame.beside)
    paper = sheet.card_paper + tuple(r for both in sheet.paper.values() for r in both)
    known = in_frame.read(sheet.card, task.card_lab, paper=paper)
    places = Places(
        sheet.card,
        sheet.swatches,
        beside=beside,
        on_sheet=sheet.swatches | sheet.beside,
        carried=sheet.beside,
    )
    yarn = [note for note in sheet.notes if "passed over" in note]
    yarn += of_another_library(library, places)
    task.done.notes += [f"{photo.name}: {note}" for note in yarn]
    # Wet, a swatch is of another colour than on record.
    own = {} if task.state == "wet" else own_in(library, photo.id, places)
    if task.again:
        own = {n: o for n, o in own.items() if n in sheet.beside}
    how: dict[str, Any] = {
        "library": library, "camera_name": in_frame.camera_name, "sitting": in_frame.sitting,
    }  # fmt: skip
    rest = {n: r for n, r in sheet.swatches.items() if n not in own}
    try:
        return measure_in(photo, rest, known, own=own, **how)
    except PhotoRefused:
        if not own or beside:
            raise
    # None of those on record could be read there: the card is left.
    return measure_in(photo, rest, known, **how)


def _codes_in(photo: Photo, sheet: Sheet | None) -> list[str]:
    if sheet is not None:
        # A place without a code goes by its number, which names no swatch.
        return [name for name in sheet.swatches if is_code(name)]
    grey = grey_picture(photo.pixels)
    found = read_codes(grey) or read_enlarged(grey)
    codes = [code for seen in found if (code := read_swatch_text(seen.text))]
    return sorted(set(codes))


def _on_record(library: Library, seen: Sequence[str]) -> tuple[list[str], dict[str, str]]:
    """The codes of swatches on record, and why each other one is none."""
    own, strange = [], {}
    for code in seen:
        try:
            own.append(library.swatch(code).code)
        except (NotFound, BadValue) as error:
            strange[code] = str(error)
    return own, strange
