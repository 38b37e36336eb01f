"""The whole library read through: what is wrong in it, and what to do about each thing."""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from ...errors import LibraryError, NotFound, PhotoRefused, SwatchbathError
from ..codes import code, is_code
from ..connection import FILE, is_damage, is_library, translate_errors
from ..history.derived import change_words, changed_columns
from ..known_schema import WAY_BACK, ForeignDatabase
from ..library import Library
from ..rows import photo_files as photos
from ..rows.kept_pieces import KEPT_SINCE, read_row
from ..rows.swatch import Swatch
from ..rows.swatches import code_start, read_swatches
from ..schema import layout
from .strays import Finding, folder_signs, leftovers

Progress = Callable[[int, int, str], None]
_MEND = (
    "Put it back from a folder that holds it, such as that of the camera or a restored backup: "
    "swatchbath verify --photos FOLDER"
)
# Swatches read together; one by one where one of them cannot be read.
_TOGETHER = 500
_RESTORE = "Restore the last backup into a new folder: swatchbath restore FILE FOLDER"


@dataclass(frozen=True)
class Verified:
    """What was read and found. swatches, readings, photos : how many were read. put_back : names
    of photos that were missing or altered and are whole again."""

    folder: Path
    swatches: int
    readings: int
    photos: int
    findings: tuple[Finding, ...]
    photos_restored: tuple[str, ...] = ()

    @property
    def readable(self) -> bool:
        """Whether it could be read through; one damaged inside or of another program is not."""
        return not any(f.what in ("damaged", "foreign") for f in self.findings)

    @property
    def ok(self) -> bool:
        """Whether nothing is wrong."""
        return not any(f.level == "wrong" for f in self.findings)

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "ok": self.ok,
            "folder": str(self.folder),
            "swatches": self.swatches,
            "readings": self.readings,
            "photos": self.photos,
            "put_back": list(self.photos_restored),
            "findings": [f.as_dict() for f in self.findings],
        }


def verify(
    folder: str | Path, *, search: str | Path | None = None, progress: Progress | None = None
) -> Verified:
    """Read a whole library.

    search : a folder, looked through first for photos that are missing or altered; those found
    there, by their content, are put back.
    Raises NotFound where there is none, LibraryError where a newer program wrote it; a damaged
    one is a finding.
    """
    place = Path(folder)
    if search is not None and not Path(search).is_dir():
        raise NotFound(f"There is no folder {search} to look for photos in. Name another.")
    if not is_library(place):
        raise NotFound(
            f"There is no library in {place}. Name its folder with --library; if it was there "
            "before, restore the last backup: swatchbath restore FILE FOLDER"
        )
    try:
        # A library that is only read is never run or changed by what it holds.
        with Library(place, read_only=search is None) as library:
            found = () if search is None else _restore_photos(library, Path(search))
            return replace(_read(library, progress), photos_restored=found)
    except LibraryError as error:
        if not is_damage(error.__cause__):
            raise
        if isinstance(error.__cause__, ForeignDatabase):
            broken = Finding("wrong", "foreign", str(error.__cause__), WAY_BACK)
        else:
            broken = Finding("wrong", "damaged", f"{place / FILE} is damaged.", _RESTORE)
        return Verified(place, 0, 0, 0, (broken,))


def _read(library: Library, progress: Progress | None) -> Verified:
    folder = library.folder
    with library.reading() as db:
        found = [*_database(db)]
        if any(f.what == "damaged" for f in found):
            return Verified(folder, 0, 0, 0, tuple(found))
        found += [
            *_derived(db),
            *_codes(db),
            *_records(db),
            *_photos(db, folder, progress),
            *_lots(db),
            *_kept_pieces(db),
        ]
        swatches, readings, kept = (
            int(db.execute(f"SELECT count(*) FROM {name}").fetchone()[0])
            for name in ("swatch", "measurement", "photo")
        )
    found += [*leftovers(library), *folder_signs(folder)]
    order = {"wrong": 0, "look": 1, "note": 2}
    found.sort(key=lambda f: order[f.level])
    return Verified(folder, swatches, readings, kept, tuple(found))


def _database(db: sqlite3.Connection) -> Iterator[Finding]:
    report = [str(row[0]) for row in db.execute("PRAGMA integrity_check(5)")]
    if report != ["ok"]:
        yield Finding("wrong", "damaged", "The database is damaged inside.", _RESTORE)
        return
    astray = db.execute("PRAGMA foreign_key_check").fetchall()
    for table in sorted({str(row["table"]) for row in astray}):
        count = sum(row["table"] == table for row in astray)
        yield Finding(
            "wrong",
            "astray",
            f"{_many(count, 'entry', 'entries')} of the table {table} belong{'s' * (count == 1)} "
            "to something that is not there.",
            _RESTORE,
        )


def _derived(db: sqlite3.Connection) -> Iterator[Finding]:
    for key, columns in changed_columns(db).items():
        yield Finding(
            "note",
            "derived anew",
            f"Since an earlier version swatch {key} is learnt from otherwise: "
            f"{change_words(columns)}.",
            f"Its steps are as they were told. Where that is wrong: swatchbath edit {key}",
        )


def _codes(db: sqlite3.Connection) -> Iterator[Finding]:
    names: dict[str, list[str]] = {}
    start = code_start(db)
    for row in db.execute("SELECT code, number, name FROM swatch ORDER BY number"):
        if row["code"] != code(row["number"], start):
            yield Finding(
                "wrong",
                "code",
                f"The swatch {row['code']} has a code that was not given out by this library.",
                "Look at its tag and its photo, and record it anew under a code of its own.",
            )
        if row["name"] is not None:
            names.setdefault(str(row["name"]).casefold(), []).append(row["code"])
            if is_code(row["name"]):
                yield Finding(
                    "look",
                    "code",
                    f"The name {row['name']} of swatch {row['code']} reads as a code.",
                    f"Give it another name: swatchbath edit {row['code']} --set name=...",
                )
    for name, codes in names.items():
        if len(codes) > 1:
            yield Finding(
                "look",
                "name",
                f"The swatches {', '.join(codes)} are all called {name}, but for capital letters.",
                f"Give all but one another name: swatchbath edit {codes[-1]} --set name=...",
            )
    for row in db.execute("SELECT code FROM swatch WHERE code IN (SELECT code FROM spent_code)"):
        yield Finding(
            "wrong",
            "code",
            f"The code {row['code']} was given to two swatches, of which one is gone.",
            "Look at the tag that is left, and record that swatch anew.",
        )


def _records(db: sqlite3.Connection) -> Iterator[Finding]:
    codes = [str(r["code"]) for r in db.execute("SELECT code FROM swatch ORDER BY number")]
    for start in range(0, len(codes), _TOGETHER):
        some = codes[start : start + _TOGETHER]
        found = _read_or_not(db, some)
        if isinstance(found, list):
            yield from _damaged(found)
            continue
        for key in some:
            one = _read_or_not(db, [key])
            if isinstance(one, list):
                yield from _damaged(one)
            else:
                yield Finding(
                    "wrong",
                    "record",
                    f"What is on record about swatch {key} cannot be read.",
                    f"{_RESTORE} (said: {json.dumps(str(one), ensure_ascii=False)[:80]})",
                )


def _read_or_not(db: sqlite3.Connection, keys: list[str]) -> list[Swatch] | Exception:
    """What is on record about some swatches, or why it cannot be read."""
    try:
        return read_swatches(db, keys)
    except (SwatchbathError, ValueError, TypeError, KeyError) as error:
        return error


def _damaged(swatches: list[Swatch]) -> Iterator[Finding]:
    for swatch in swatches:
        for number in swatch.damaged:
            yield Finding(
                "wrong",
                "reading",
                f"Reading {number} of swatch {swatch.code} is damaged; the others are whole.",
                "Photograph the swatch again, and put this reading in the bin: swatchbath bin "
                f"{swatch.code} --reading {number}; or restore a backup from before.",
            )


def _photos(db: sqlite3.Connection, folder: Path, progress: Progress | None) -> Iterator[Finding]:
    rows = db.execute("SELECT id, name, file FROM photo ORDER BY file").fetchall()
    for number, row in enumerate(rows, start=1):
        file = photos.file_of(row["id"], row["file"])
        path = folder / file
        shown = [
            r["swatch"]
            for r in db.execute(
                "SELECT swatch FROM measurement WHERE photo = ?1 UNION "
                "SELECT swatch FROM shown WHERE photo = ?1",
                (row["id"],),
            )
        ]
        of = f" of {', '.join(shown[:5])}{' and others' * (len(shown) > 5)}" if shown else ""
        try:
            with open(path, "rb") as content:
                whole = hashlib.file_digest(content, "sha256").hexdigest() == row["id"]
        except FileNotFoundError:
            yield Finding(
                "wrong",
                "photo missing",
                f"The photo {row['name']}{of} is missing ({file}).",
                f"The colours read from it are still there. {_MEND}",
            )
        except OSError as error:
            yield Finding(
                "wrong",
                "photo unread",
                f"The photo {row['name']}{of} cannot be read ({error.strerror}).",
                "Look at the disk, and whether the file is yours to read.",
            )
        else:
            if not whole:
                yield Finding(
                    "wrong",
                    "photo altered",
                    f"The photo {row['name']}{of} is not what was put in ({file}).",
                    f"Do not change files in the library's folder. {_MEND}",
                )
        if progress is not None:
            progress(number, len(rows), "photos")


def _lots(db: sqlite3.Connection) -> Iterator[Finding]:
    for row in db.execute(
        "SELECT name FROM lot WHERE name NOT IN (SELECT lot FROM swatch WHERE lot IS NOT NULL) "
        "ORDER BY name"
    ):
        yield Finding(
            "note",
            "lot",
            f"The lot {row['name']} has no swatch.",
            "Nothing needs to be done; a swatch can still be recorded for it.",
        )


def _kept_pieces(db: sqlite3.Connection) -> Iterator[Finding]:
    if layout(db) < KEPT_SINCE:  # an older library that is only read
        return
    for row in db.execute("SELECT * FROM kept_piece WHERE binned IS NULL ORDER BY id"):
        try:
            read_row(row)
        except LibraryError as error:
            yield Finding("wrong", "kept piece", str(error).partition(". ")[0] + ".", _RESTORE)


def _restore_photos(library: Library, search: Path) -> tuple[str, ...]:
    with library.reading() as db:
        rows = db.execute("SELECT id, name, file FROM photo").fetchall()
    lost = {}
    for row in rows:
        file = photos.file_of(row["id"], row["file"])
        if not photos.is_whole(library.folder / file, row["id"]):
            lost[str(row["id"])] = (file, str(row["name"]))
    found = []
    for path in sorted(p for p in search.rglob("*") if p.is_file()) if lost else ():
        try:
            photo = photos.read(path)
        except (PhotoRefused, NotFound):
            continue  # no photo, or not to be read
        file, called = lost.pop(photo.digest, ("", ""))
        if file:
            with library.atomic(), translate_errors(library.folder):
                photos.write(library.folder, replace(photo, file=file))
            found.append(called)
    return tuple(found)


def _many(count: int, one: str, more: str) -> str:
    return f"{count} {one if count == 1 else more}"
