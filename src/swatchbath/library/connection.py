"""Opening library.sqlite, for writing or only for reading, and its refusals as our sentences."""

from __future__ import annotations

import errno
import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from ..errors import BadValue, LibraryError, SwatchbathError
from .clock import now
from .schema import MIGRATIONS, layout, migrate

FILE = "library.sqlite"
# How a copy from before the layout was changed is called; its layout and the time follow.
BEFORE = "library-before-layout-"
# How long a writer waits for another program, in milliseconds. Common practice, no source.
_BUSY_MS = 5000


def is_library(folder: str | Path) -> bool:
    """Whether there is a library in a folder."""
    return (Path(folder) / FILE).is_file()


def connect(folder: Path) -> tuple[sqlite3.Connection, bool]:
    """The database of a folder, and whether it can be written.

    Where the folder may not be written in, what is on record can still be read.
    """
    try:
        with translate_errors(folder):
            return _for_writing(folder), True
    except LibraryError as error:
        if not (is_library(folder) and _not_ours(error.__cause__)):
            raise
    with translate_errors(folder):
        return _for_reading(folder), False


def _for_writing(folder: Path) -> sqlite3.Connection:
    (folder / "photos").mkdir(parents=True, exist_ok=True)
    db = _open(folder, "mode=rwc")
    try:
        # Outside any transaction, where SQLite would ignore it in silence.
        db.execute("PRAGMA foreign_keys = ON")
        db.execute("PRAGMA journal_mode = WAL")
        db.execute("PRAGMA synchronous = FULL")
        migrate(db, before=lambda number: copy_before(folder, number))
    except BaseException:
        db.close()
        raise
    return db


def copy_before(folder: Path, number: int) -> None:
    """Keep a copy of a library of layout `number` beside it, whole or not at all, before it is
    brought up to date."""
    name = f"{BEFORE}{number}-{now():%Y%m%d-%H%M%S}.sqlite"
    part = folder / f".{name}.part"
    try:
        with closing(reader(folder)) as source:
            copy_database(source, part)
        os.replace(part, folder / name)
    finally:
        part.unlink(missing_ok=True)


def copy_database(source: sqlite3.Connection, to: Path) -> None:
    """Copy a database by SQLite's own means, as it is at one moment, to a file that is whole and
    on the disk when this returns. Other programs may be writing."""
    to.unlink(missing_ok=True)
    with closing(sqlite3.connect(to, isolation_level=None)) as copy:
        source.backup(copy)
        # One file that needs none beside it.
        copy.execute("PRAGMA journal_mode = DELETE")
    with open(to, "rb+") as file:
        os.fsync(file.fileno())


@contextmanager
def lenient_text(db: sqlite3.Connection) -> Iterator[None]:
    """Text that is no UTF-8 any more is read too, its wrong bytes as lone surrogates, so that one
    damaged cell does not stand in the way of all the others."""
    before = db.text_factory
    db.text_factory = lambda data: data.decode("utf-8", "surrogateescape")
    try:
        yield
    finally:
        db.text_factory = before


def reader(folder: Path) -> sqlite3.Connection:
    """A further connection, which sees only what is kept. To be closed by the caller."""
    return _open(folder, "mode=ro")


def _for_reading(folder: Path) -> sqlite3.Connection:
    # SQLite needs a file beside the database to share it between programs. Where it can make
    # none, the database alone is read, which is right as long as no write waits beside it.
    waiting = folder / f"{FILE}-wal"
    alone = not (waiting.is_file() and waiting.stat().st_size)
    for mode in ("mode=ro", "immutable=1") if alone else ("mode=ro",):
        db = _open(folder, mode)
        try:
            behind = layout(db) < len(MIGRATIONS)
        except sqlite3.OperationalError as error:
            db.close()
            if _not_ours(error) and mode == "mode=ro" and alone:
                continue
            raise
        if behind:
            # An older layout is brought up to date in memory; the folder stays as it is.
            copy = _open(folder, "mode=memory")
            db.backup(copy)
            db.close()
            db = copy
        migrate(db)
        db.execute("PRAGMA query_only = ON")
        return db
    raise LibraryError(f"The library {folder} cannot be read. Copy the folder and open the copy.")


def _open(folder: Path, mode: str) -> sqlite3.Connection:
    name = "file::memory:" if mode == "mode=memory" else (folder / FILE).absolute().as_uri()
    db = sqlite3.connect(
        f"{name}?{mode}",
        uri=True,
        timeout=_BUSY_MS / 1000,
        isolation_level=None,
        check_same_thread=False,
    )
    db.row_factory = sqlite3.Row
    return db


def _not_ours(error: BaseException | None) -> bool:
    """Whether an error says that the folder may not be written in."""
    if isinstance(error, sqlite3.OperationalError):
        return any(word in str(error) for word in ("readonly", "unable to open"))
    return isinstance(error, OSError) and error.errno in (errno.EACCES, errno.EPERM, errno.EROFS)


@contextmanager
def translate_errors(folder: Path) -> Iterator[None]:
    """SQLite's and the disk's refusals as one sentence of ours; their own text is the cause."""
    try:
        yield
    except SwatchbathError:
        raise
    except sqlite3.OperationalError as error:
        raise LibraryError(_operational(str(error), folder)) from error
    except sqlite3.IntegrityError as error:
        raise BadValue(
            "This does not fit what is on record: it names something that is not there, or holds "
            "text where a number belongs. Nothing was changed."
        ) from error
    except (sqlite3.ProgrammingError, sqlite3.InterfaceError, sqlite3.DataError) as error:
        raise BadValue(
            "This cannot be put on record: one of its values is neither text nor a number. "
            "Nothing was changed."
        ) from error
    except (UnicodeEncodeError, OverflowError) as error:
        raise BadValue(
            "This cannot be put on record: one of its texts or numbers cannot be stored. Nothing "
            "was changed; type it again."
        ) from error
    except sqlite3.DatabaseError as error:
        raise LibraryError(
            f"{folder / FILE} is damaged or no library. Restore the last backup into a new folder."
        ) from error
    except OSError as error:
        if error.errno is None:
            raise
        full = error.errno in (errno.ENOSPC, errno.EFBIG, errno.EDQUOT)
        raise LibraryError(
            f"The folder {folder} {'is full' if full else 'cannot be written to'} "
            f"({error.strerror}). Nothing was changed; "
            + ("make room and try again." if full else "check that it is yours to write in.")
        ) from error


def _operational(text: str, folder: Path) -> str:
    if "locked" in text or "busy" in text:
        return (
            f"Another program is writing to the library {folder}. Nothing was changed; try again "
            "in a moment."
        )
    if "readonly" in text or "unable to open" in text:
        return (
            f"The library {folder} cannot be written to. Nothing was changed; check that the "
            "folder is yours to write in."
        )
    if "full" in text or "disk I/O" in text:
        return (
            f"The disk that holds the library {folder} is full or failing. Nothing was changed; "
            "make room and try again."
        )
    return (
        f"The library {folder} could not do this. Nothing was changed; close other programs that "
        "use it and try again."
    )
