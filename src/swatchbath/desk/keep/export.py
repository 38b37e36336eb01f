"""Everything out as plain files with a described layout, and in again without loss."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pandas as pd

from ...bath.diary.telling import line_of
from ...colorimetry.covariance import give_or_take
from ...errors import BadTable, BadValue, LibraryError, NotFound
from ...library import Library, Swatch, is_library, write_table
from ...library.connection import PRIVATE, PRIVATE_FOLDER
from ...library.dump import from_values
from ...library.rows.photo_files import file_of, is_whole
from ..text.wording import plain, waits_of

RECORDS, SCHEMA = "records.json", 1
# In records.json: photos that were missing or altered when it was written.
LEFT_OUT = "photos_left_out"
Progress = Callable[[int, int, str], None]
_LAYOUT = """This folder holds a whole library of swatchbath as plain files.

swatches.csv   One row a swatch, for a spreadsheet: code, name, lot, part, dye day, what it waits
               for, its latest dry colour (CIELAB, D65, 2 degree observer unless the columns light
               and observer say otherwise), then the treatments in their order as diary lines
               with a | between, the condition columns as swatchbath record --columns describes
               them, and columns of your own. Empty: not known; none: there
               was none. A cell a spreadsheet would run as a formula has an apostrophe before it.
readings.csv   One row a measurement: swatch, state (wet, dry ...), days since dyeing, photo, rung
               (how it was measured), L, a, b, and give_or_take (CIEDE2000, two in three within).
lots.csv       One row a dye lot with its dye day, and one a delivery of a dyestuff, with the notes
               and the columns of your own that are kept with it.
photos/        The photos as they were, each named by the SHA-256 of its content.
records.json   All that is on record, table by table, each with its columns and rows: swatches,
               lots, their steps in order and the materials of each step, measurements with their
               doubt, photos with whose camera took them, when, and what of known colour lies in
               them, what each photo shows, what was suggested for a code that was given out
               for it (told, as JSON), the pieces that are kept to judge others by, and every
               change that was made. In it
               repeatability and trueness are 3 x 3 tables in L, a, b; shared is the base64 of
               32-bit floats, three rows for each named source; spectrum is what an instrument
               read: the first wavelength and the step in nm, then fractions of white; degrees are
               those of its Student's t, empty where it is Gaussian; times are UTC, taken is by
               the camera's own clock.

swatchbath take THIS-FOLDER --library NEW-FOLDER makes the library again, without loss, from
records.json and photos/; the CSV files are for reading.
"""


def export(
    library: Library | str | Path, folder: str | Path, *, progress: Progress | None = None
) -> dict[str, Any]:
    """Write all of a library as plain CSV, JSON and photos into a new folder; says what is there.

    The folder is there whole or not at all, and `take` makes a library of it again. Raises
    BadValue where there is something in its place, NotFound where there is no library.
    """
    target = Path(folder)
    if target.exists() and not (target.is_dir() and not any(target.iterdir())):
        raise BadValue(f"There is something in {target} already. Name a new folder.")
    if not target.absolute().parent.is_dir():
        raise BadValue(f"There is no folder {target.absolute().parent} to make {target.name} in.")
    if not isinstance(library, Library):
        with Library(library) as lib:
            return export(lib, target, progress=progress)
    part = target.absolute().with_name(f".{target.name}.{os.getpid()}.part")
    try:
        try:
            part.mkdir()
            counted = _write(library, part, progress)
            if target.is_dir():
                target.rmdir()
            os.replace(part, target)
        finally:
            shutil.rmtree(part, ignore_errors=True)
    except OSError as error:
        if isinstance(error, LibraryError):
            raise
        raise LibraryError(
            f"The folder {target} cannot be written: {error.strerror or error}. Name another place."
        ) from error
    return {"folder": str(target)} | counted


def _write(library: Library, folder: Path, progress: Progress | None) -> dict[str, Any]:
    values = library.as_values()
    swatches = [library.swatch(code) for code in library.codes()]
    (folder / "photos").mkdir()
    photos = _files(values)
    lost = []
    for i, (name, digest) in enumerate(photos):
        if progress:
            progress(i, len(photos), "copying photos")
        # What is not the photo that was put in may be anything at all.
        if is_whole(library.folder / name, digest):
            shutil.copyfile(library.folder / name, folder / name)
        else:
            lost.append(name)
    records = {"schema": SCHEMA} | ({LEFT_OUT: lost} if lost else {}) | values
    text = json.dumps(records, ensure_ascii=False, indent=1)
    # A damaged cell goes out as it is, but for bytes that are no text.
    (folder / RECORDS).write_text(text, encoding="utf-8", errors="replace")
    (folder / "READ_ME.txt").write_text(_LAYOUT, encoding="utf-8")
    _write_rows([_swatch_row(s) for s in swatches], folder / "swatches.csv")
    readings = [row for s in swatches for row in _reading_rows(s)]
    _write_rows(readings, folder / "readings.csv")
    _write_rows(library.kept_beside(), folder / "lots.csv")
    _make_private(folder)
    return {
        "swatches": len(swatches),
        "readings": len(readings),
        "photos": len(photos) - len(lost),
        "issues": [*library.issues, *map(_lost, lost)],
    }


def _lost(name: str) -> str:
    return (
        f"The photo {name} is missing or was altered, so it is not in what was written; put it "
        "back with swatchbath verify --photos FOLDER and export again."
    )


def _make_private(folder: Path) -> None:
    """Let only their owner read what was written."""
    for path in (folder, *folder.rglob("*")):
        path.chmod(PRIVATE_FOLDER if path.is_dir() else PRIVATE)


def _write_rows(rows: list[dict[str, Any]], path: Path) -> None:
    names = list(dict.fromkeys(name for row in rows for name in row))
    # A table of no rows keeps a heading.
    write_table(pd.DataFrame(rows, columns=names or ["code"], dtype=object), path)


def _files(values: dict[str, Any], *, strict: bool = False) -> list[tuple[str, str]]:
    """(file, SHA-256) of each photo on record. strict : BadTable where a row names another place,
    though no row is gone by."""
    table = values["tables"].get("photo", {"columns": ["file", "id"], "rows": []})
    file, digest = table["columns"].index("file"), table["columns"].index("id")
    named = [(str(row[file]), str(row[digest])) for row in table["rows"]]
    for name, _ in named if strict else ():
        if name.count("/") != 1 or not name.startswith("photos/"):
            raise BadTable(
                f"records.json names a photo outside its folder ({name}); nothing was taken."
            )
    return [(file_of(key, name), key) for name, key in named]


def _swatch_row(swatch: Swatch) -> dict[str, Any]:
    row = {n: getattr(swatch, n) for n in ("code", "name", "lot", "part", "session")}
    row["waits"] = "; ".join(waits_of(swatch))
    colour: dict[str, Any] = dict.fromkeys(("L", "a", "b", "rung", "light", "observer"))
    if (m := swatch.measured) is not None:
        colour = dict(zip(("L", "a", "b"), (round(float(v), 2) for v in m.lab), strict=True))
        colour |= {"rung": m.rung, "light": m.light, "observer": m.observer}
    # A column of her own may be called as one of these is.
    own = {
        k if k not in (*row, *colour, "treatments") else f"own {k}": v
        for k, v in swatch.conditions.items()
    }
    treatments = " | ".join(line_of(step) for step in swatch.steps)
    return row | colour | {"treatments": treatments} | plain(own)


def _reading_rows(swatch: Swatch) -> list[dict[str, Any]]:
    return [
        {
            "swatch": swatch.code,
            "state": state,
            "days": days,
            "photo": photo,
            "rung": m.rung,
            "light": m.light,
            "observer": m.observer,
            **dict(zip(("L", "a", "b"), (round(float(v), 2) for v in m.lab), strict=True)),
            "give_or_take": round(give_or_take(m.lab, m.covariance, m.degrees), 2),
        }
        for (state, photo, m), days in zip(swatch.measurements, swatch.days, strict=True)
    ]


def is_exported(path: str | Path) -> bool:
    """Whether a folder is one that `export` wrote."""
    return (Path(path) / RECORDS).is_file()


def take_exported(
    library: str | Path, folder: str | Path, *, progress: Progress | None = None
) -> dict[str, Any]:
    """Make a library of a folder that `export` wrote, where there is none yet.

    Every photo is checked against its name first. Raises BadTable, BadValue, LibraryError,
    NotFound; then nothing is made.
    """
    source, target = Path(folder), Path(library)
    if is_library(target):
        raise BadValue(
            f"There is a library in {target} already. A whole library is taken into a new folder: "
            "name one with --library."
        )
    try:
        values = json.loads((source / RECORDS).read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError) as error:
        raise BadTable(
            f"{source / RECORDS} cannot be read. Take the folder as export wrote it."
        ) from error
    if not isinstance(values, dict) or values.get("schema") != SCHEMA:
        raise BadTable(f"{source / RECORDS} is of a kind not known here; nothing was taken.")
    part = target.absolute().with_name(f".{target.name}.{os.getpid()}.part")
    try:
        part.parent.mkdir(parents=True, exist_ok=True)
        try:
            (part / "photos").mkdir(parents=True)  # made private with all the rest below
            from_values(part, values)
            gone = values.get(LEFT_OUT)
            gone = set(map(str, gone)) if isinstance(gone, list) else set()
            photos = [both for both in _files(values, strict=True) if both[0] not in gone]
            for i, (name, digest) in enumerate(photos):
                if progress:
                    progress(i, len(photos), "copying photos")
                _copy(source, part, name, digest)
            with Library(part) as lib:
                counted = {"swatches": len(lib), "photos": len(photos)}
            _make_private(part)
            if target.is_dir():
                target.rmdir()
            os.replace(part, target)
        finally:
            shutil.rmtree(part, ignore_errors=True)
    except OSError as error:
        if isinstance(error, LibraryError):
            raise
        raise LibraryError(
            f"The folder {target} cannot be written: {error.strerror or error}. Name a new folder."
        ) from error
    return {"folder": str(target)} | counted


def _copy(source: Path, target: Path, name: str, digest: str) -> None:
    """Copy a photo; where it lies is told by its hash alone."""
    try:
        if not (source / name).is_file():
            raise FileNotFoundError(name)
        data = (source / name).read_bytes()
    except FileNotFoundError as error:
        raise NotFound(
            f"The photo {name} is missing in {source}; nothing was taken. Export the library again."
        ) from error
    if hashlib.sha256(data).hexdigest() != digest:
        raise BadTable(
            f"The photo {name} in {source} was altered; nothing was taken. Export it again."
        )
    (target / name).write_bytes(data)
