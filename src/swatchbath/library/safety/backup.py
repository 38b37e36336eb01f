"""A backup: one dated file with the database, the photos and a list of checksums.

The file is a plain ZIP: `library.sqlite` copied by SQLite's own means, `photos/`, and
`checksums.txt` (SHA-256, two blanks, the name), which common tools can check. It is written
beside its place, read back and compared, and only then given its name.
"""

from __future__ import annotations

import errno
import hashlib
import os
import re
import sqlite3
import tempfile
import zipfile
from collections.abc import Callable, Iterable
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from ...errors import LibraryError, NotFound
from ..clock import now
from ..connection import FILE, PRIVATE, translate_errors
from ..library import Library
from ..rows.photo_files import FOLDER, file_of, is_whole, sync_folder
from ..unpacking import SPOILED, blocks, why_not

CHECKSUMS = "checksums.txt"
# Settings of a library: where its backups go, and when the last one was made.
PLACE, LAST = "backup place", "last backup"
# A backup older than this is asked for again. Common practice, no source.
OVERDUE = timedelta(days=7)
_BLOCK = 1 << 20
# A part of a backup that is older was left by a kill. Common practice, no source.
_LEFT = timedelta(days=1)
# Far more than a life of swatches: files, and bytes unpacked. Our own choice.
_MEMBERS, _TOTAL = 500_000, 4_000_000_000_000
_NAME = rf"{re.escape(FILE)}|{FOLDER}/[0-9a-f]{{64}}(\.\w{{1,16}})?"
Progress = Callable[[int, int, str], None]


@dataclass(frozen=True)
class Backup:
    """A backup that was made. file : where. swatches, photos : how many are in it. size : bytes.
    left_out : photos that could not be put in: missing, altered or unreadable. noted : whether the
    library could note it: its disk may be full or only be read, or another program be writing."""

    file: Path
    swatches: int
    photos: int
    size: int
    left_out: tuple[str, ...] = ()
    noted: bool = True

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "file": str(self.file),
            "swatches": self.swatches,
            "photos": self.photos,
            "bytes": self.size,
            "left_out": list(self.left_out),
            "noted": self.noted,
        }


def back_up(
    library: Library, place: str | Path | None = None, *, progress: Progress | None = None
) -> Backup:
    """Make a backup of a library in the folder `place`, which is remembered; None: as last time.

    Raises NotFound where no place was named yet, LibraryError where it cannot be written; no
    part of a file is left behind.
    """
    where = _place(library, place)
    file = _free(where, f"{_plain(library.folder)}-{now():%Y-%m-%d-%H%M%S}")
    part = where / f".{file.name}.part"
    with translate_errors(where):
        _tidy(where)
        try:
            swatches, photos, left_out = _write(library, part, progress)
            check(part)
            os.replace(part, file)
            sync_folder(where)
        finally:
            part.unlink(missing_ok=True)
    return Backup(file, swatches, photos, file.stat().st_size, left_out, _noted(library, where))


def _noted(library: Library, where: Path) -> bool:
    """Note in the library where its backup is and when; whether it could be noted. That it
    cannot is no reason to lose the backup."""
    if not library.writable:
        return False
    try:
        with library.atomic():
            library.set_setting(PLACE, str(where.absolute()))
            library.set_setting(LAST, now().isoformat(timespec="seconds"))
    except LibraryError:
        return False
    return True


@dataclass(frozen=True)
class BackupState:
    """place : the folder that was named for backups. days : since the last one, or None where there
    is none. due : whether it is time for another."""

    place: str | None
    days: int | None
    due: bool


def backup_state(library: Library) -> BackupState:
    """How the backups of a library stand: one is due where the last is over a week old, or where
    there is none of swatches that have been there that long."""
    last = _time(library.setting(LAST))
    since = last or _time(library.oldest())
    days = None if last is None else (now() - last).days
    return BackupState(library.setting(PLACE), days, since is not None and now() - since > OVERDUE)


def reminder(library: Library) -> str | None:
    """A sentence where a backup is due; else None."""
    state = backup_state(library)
    if not state.due:
        return None
    if state.days is None:
        return (
            "There is no backup of this library yet. Make one to another disk: "
            "swatchbath backup FOLDER"
        )
    return f"The last backup is {state.days} days old. Make a new one: swatchbath backup"


def _time(text: str | None) -> datetime | None:
    """A time on record; None where there is none, or none that can be read."""
    try:
        found = datetime.fromisoformat(text or "")
    except ValueError:
        return None
    return found if found.tzinfo else found.replace(tzinfo=UTC)


def check(file: Path) -> list[str]:
    """Read a backup through and compare every checksum; returns the names in it.

    Raises LibraryError for a file that is no backup or is damaged, by the name of what is.
    """
    try:
        with zipfile.ZipFile(file) as archive:
            names = archive.namelist()
            if not {CHECKSUMS, FILE} <= set(names) or not all(
                name == CHECKSUMS or re.fullmatch(_NAME, name) for name in names
            ):
                raise LibraryError(f"{file} is no backup of a library. Name another file.")
            reason = why_not(archive, file.stat().st_size, members=_MEMBERS, total=_TOTAL)
            # A line of the list is a checksum, two blanks and a name.
            if reason is None and archive.getinfo(CHECKSUMS).file_size > 200 * len(names):
                reason = "its list of checksums is longer than it can be"
            if reason is not None:
                raise LibraryError(
                    f"The backup {file} was not unpacked: {reason}. It was not made by "
                    "swatchbath; take another one."
                )
            checksums = _checksums(archive.read(CHECKSUMS).decode("utf-8"), file)
            if set(checksums) != set(names) - {CHECKSUMS}:
                raise LibraryError(
                    f"The backup {file} does not hold what its list of checksums names. Take "
                    "another backup."
                )
            for name, digest in checksums.items():
                if _digest(blocks(archive, name)) != digest:
                    raise LibraryError(
                        f"The backup {file} is damaged: {name} is not what was put in. Take "
                        "another backup."
                    )
    except SPOILED as error:
        raise LibraryError(_DAMAGED.format(file)) from error
    except OSError as error:
        if error.errno != errno.EINVAL:  # a place before the file's beginning
            raise
        raise LibraryError(_DAMAGED.format(file)) from error
    return sorted(checksums)


_DAMAGED = "The backup {} is damaged or no backup of a library. Take another one."


def _checksums(text: str, file: Path) -> dict[str, str]:
    """Checksum by name, of names that belong into a library and nowhere else."""
    checksums = {}
    for line in text.splitlines():
        digest, _, name = line.partition("  ")
        if not (re.fullmatch(r"[0-9a-f]{64}", digest) and re.fullmatch(_NAME, name)):
            raise LibraryError(f"{file} is no backup of a library. Name another file.")
        checksums[name] = digest
    return checksums


def _place(library: Library, place: str | Path | None) -> Path:
    known = library.setting(PLACE)
    if place is None and known is None:
        raise NotFound(
            "There is no place for backups yet. Name a folder once, best on another disk: "
            "swatchbath backup FOLDER"
        )
    where = Path(place or str(known)).expanduser()
    if not where.is_dir():
        raise NotFound(
            f"There is no folder {where} for the backup. Plug in its disk, make the folder, or "
            "name another: swatchbath backup FOLDER"
        )
    inside = library.folder.resolve()
    if inside in (where.resolve(), *where.resolve().parents):
        raise LibraryError(
            f"{where} lies in the library itself, where a backup would be lost together with it. "
            "Name a folder on another disk."
        )
    return where


def _free(where: Path, name: str) -> Path:
    """A file of this name that is not there yet: a backup never goes over another."""
    number, file = 1, where / f"{name}.zip"
    while file.exists():
        number += 1
        file = where / f"{name}-{number}.zip"
    return file


def _tidy(where: Path) -> None:
    """Remove parts of backups that a kill left; younger ones may still be written."""
    for part in [*where.glob(".swatchbath-*.part"), *where.glob(".*-[0-9]*.zip.part")]:
        if now().timestamp() - part.stat().st_mtime > _LEFT.total_seconds():
            part.unlink(missing_ok=True)


def _write(
    library: Library, part: Path, progress: Progress | None
) -> tuple[int, int, tuple[str, ...]]:
    """Write a backup; how many swatches and photos are in it, and the photos left out."""
    # The database is copied into the place of the backup: there must be room there anyway.
    handle, name = tempfile.mkstemp(dir=part.parent, prefix=".swatchbath-", suffix=".part")
    os.close(handle)
    copy = Path(name)
    try:
        library.copy_database(copy)
        swatches, photos = _held(copy)
        left_out, lines = [], []
        part.touch(PRIVATE)
        with zipfile.ZipFile(part, "w", allowZip64=True) as into:
            with open(copy, "rb") as content:
                digest = _digest(iter(lambda: content.read(_BLOCK), b""))
            lines.append(f"{digest}  {FILE}")
            into.write(copy, FILE, compress_type=zipfile.ZIP_DEFLATED)
            for number, (file, digest) in enumerate(photos, start=1):
                path = library.folder / file
                if not is_whole(path, digest):
                    left_out.append(file)
                    continue
                into.write(path, file, compress_type=zipfile.ZIP_STORED)
                lines.append(f"{digest}  {file}")
                if progress is not None:
                    progress(number, len(photos), "photos")
            into.writestr(CHECKSUMS, "".join(f"{line}\n" for line in lines))
        with open(part, "rb+") as done:
            os.fsync(done.fileno())
    finally:
        copy.unlink(missing_ok=True)
    return swatches, len(photos) - len(left_out), tuple(left_out)


def _held(copy: Path) -> tuple[int, list[tuple[str, str]]]:
    """How many swatches a copied database holds, and its photos: file, checksum."""
    with closing(sqlite3.connect(copy)) as db:
        swatches = db.execute("SELECT count(*) FROM swatch WHERE binned IS NULL").fetchone()[0]
        photos = db.execute("SELECT id, file FROM photo ORDER BY file, id").fetchall()
    return int(swatches), [(file_of(digest, file), str(digest)) for digest, file in photos]


def _digest(content: Iterable[bytes]) -> str:
    total = hashlib.sha256()
    for block in content:
        total.update(block)
    return total.hexdigest()


def _plain(folder: Path) -> str:
    """The library's name as part of a file name."""
    return re.sub(r"[^\w-]+", "-", folder.resolve().name).strip("-") or "library"
