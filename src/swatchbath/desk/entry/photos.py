"""Many photos taken in at once; swatches are named by the codes in the picture."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from ...errors import BadValue, NotFound, SwatchbathError
from ...library import STATES, Library
from ...library.codes import is_code
from ...photo import Photo, Shot, read_photo
from ...photo.sheet.detect import Sheet, find_sheet
from ...photo.sheet.layout import read_swatch_text
from ...photo.sheet.qr import grey_picture, read_codes, read_enlarged
from ..photo.measure import Progress, measure
from .row_writer import existing, made

# Files of a folder that are photos by their ending; others are passed over.
_ENDINGS = {
    ".jpg", ".jpeg", ".png", ".tif", ".tiff", ".heic", ".heif", ".webp",
    ".dng", ".cr2", ".cr3", ".nef", ".arw", ".raf", ".orf", ".rw2",
}  # fmt: skip


@dataclass
class PhotosAnswer:
    """What came of some photos. shown : photo -> codes of the swatches in it. measured : how many
    colours were read. new : codes of swatches that are only a photo yet. left_out : photo or code
    with the reason, one sentence each. notes : about the photos that were taken in."""

    shown: dict[str, list[str]] = field(default_factory=dict)
    measured: int = 0
    new: list[str] = field(default_factory=list)
    left_out: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return dict(vars(self))


def photos(
    library: Library | str | Path,
    paths: Iterable[str | Path],
    *,
    pot_sheet: bool = False,
    codes: Sequence[str] = (),
    state: str = "dry",
    days: float | None = None,
    progress: Progress | None = None,
) -> PhotosAnswer:
    """Take photos into the library; a folder stands for all photos in it.

    A photo of the photo sheet with a card is measured, and its swatches named by their codes. One
    with tags in it is kept with the swatches of those codes. One with neither is a new swatch to
    be described. pot_sheet : the photos are of the handwritten sheet of a pot, which counts as
    the record of the bath until it is typed in. codes : the swatches shown, where no code is in
    the picture. state, days : of the swatches, and since dyeing.
    A photo that cannot be used is left out with its reason; the others are taken in.
    """
    if state not in STATES:
        raise BadValue(f"'{state}' is no state of a swatch; use {', '.join(STATES)}.")
    if days is not None and not 0 <= days < 1e5:
        raise BadValue(f"{days:g} days since dyeing cannot be; give a number from 0.")
    files = _files(paths)
    done = PhotosAnswer()
    with ExitStack() as stack:
        lib = existing(stack, library)
        if codes and lib is None:
            raise BadValue("There is no library yet, so none of its codes was given out.")
        given = [] if lib is None else [lib.swatch(code).code for code in codes]
        lib = made(stack, library, lib)
        for i, path in enumerate(files):
            if progress:
                progress(i, len(files), f"taking in {path.name}")
            try:
                with lib.atomic():
                    _take(lib, path, pot_sheet, given, state, days, done)
            except SwatchbathError as error:
                done.left_out.append(f"{path.name}: {error}")
        if progress:
            progress(len(files), len(files), "taken in")
    return done


def _files(paths: Iterable[str | Path]) -> list[Path]:
    out: list[Path] = []
    for path in map(Path, paths):
        if path.is_dir():
            inside = sorted(p for p in path.iterdir() if p.suffix.lower() in _ENDINGS)
            if not inside:
                raise NotFound(f"There is no photo in the folder {path}.")
            out += inside
        else:
            out.append(path)
    if not out:
        raise BadValue("No photo is named. Name photos, or a folder of them.")
    return list(dict.fromkeys(out))


def _take(
    library: Library,
    path: Path,
    pot_sheet: bool,
    given: Sequence[str],
    state: str,
    days: float | None,
    done: PhotosAnswer,
) -> None:
    photo = read_photo(path)
    sheet = None if pot_sheet or given else find_sheet(photo)
    if sheet is not None and sheet.refusal:
        done.notes.append(f"{path.name}: {sheet.refusal}")
        sheet = None
    shot = _measured(photo, sheet, done)
    places = {} if sheet is None else sheet.swatches
    seen = list(given) or _codes_in(photo, sheet)
    own, strange = _on_record(library, seen)
    done.left_out += [
        f"{path.name}: the code {code} is in the picture, and not in this library. Give codes out "
        "with swatchbath codes before they go on tags."
        for code in strange
    ]
    # A place of the sheet without a code, or a photo without any, is a new swatch.
    nameless = [name for name in places if not is_code(name)]
    if strange and not own and not nameless:
        return
    kept = library.add_photo(path, camera=None if shot is None else shot.camera)
    if not own and not nameless and (before := library.shown_in(kept)):
        raise BadValue(
            f"it is on record already, as {', '.join(before)}. To add it to another swatch, name "
            "that with --code."
        )
    named = {code: code for code in own}
    for name in nameless or ([] if own else [""]):
        named[name] = library.add_swatch()
    count = 0
    for name, code in named.items():
        library.add_shown(code, kept, "pot sheet" if pot_sheet else "swatch")
        if shot is None or name not in shot:
            continue
        readings = library.swatch(code).measurements
        if any(m.photo == kept and s == state for s, _, m in readings):
            done.left_out.append(f"{path.name}: {code} has a reading from this photo already.")
            continue
        mark = (places[name].x, places[name].y, places[name].half)
        library.add_measurement(code, shot[name], state=state, photo=kept, mark=mark, days=days)
        count += 1
    # Only now: what is refused above leaves no trace.
    done.shown[path.name] = list(named.values())
    done.new += [code for name, code in named.items() if name != code]
    done.measured += count


def _measured(photo: Photo, sheet: Sheet | None, done: PhotosAnswer) -> Shot | None:
    """The colours on a photo sheet with a card; else None, and why."""
    if sheet is None or not sheet.swatches:
        return None
    if sheet.card is None:
        done.notes.append(f"{photo.name}: no grey card lies on the sheet, so no colour was read.")
        return None
    shot = measure(photo, card=sheet.card, swatches=sheet.swatches)
    done.notes += [f"{photo.name}: {reason}" for reason in shot.refused.values()]
    return shot


def _codes_in(photo: Photo, sheet: Sheet | None) -> list[str]:
    if sheet is not None:
        # A place without a code goes by its number, which names no swatch.
        return [name for name in sheet.swatches if is_code(name)]
    grey = grey_picture(photo.pixels)
    found = read_codes(grey) or read_enlarged(grey)
    codes = [code for seen in found if (code := read_swatch_text(seen.text))]
    return sorted(set(codes))


def _on_record(library: Library, seen: Sequence[str]) -> tuple[list[str], list[str]]:
    own, strange = [], []
    for code in seen:
        try:
            own.append(library.swatch(code).code)
        except (NotFound, BadValue):
            strange.append(code)
    return own, strange
