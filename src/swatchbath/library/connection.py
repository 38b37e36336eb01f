"""Opening library.sqlite, for writing or only for reading, and its refusals as our sentences."""

from __future__ import annotations

import errno
import os
import sqlite3
import sys
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from ..errors import BadValue, LibraryError, SwatchbathError
from .clock import now
from .known_schema import check_schema
from .rows.photo_files import FOLDER as PHOTOS
from .schema import MIGRATIONS, migrate

FILE = "library.sqlite"
# How a copy from before the layout was changed is called; its layout and the time follow.
BEFORE = "library-before-layout-"
# How long a writer waits for another program, in milliseconds. Common practice, no source.
_BUSY_MS = 5000
# Who may read what is on record: its owner alone.
PRIVATE, PRIVATE_FOLDER = 0o600, 0o700
# The last bytes of a journal that names another file (SQLite's file format, section 3).
_ENDS_WITH_A_NAME = bytes.fromhex("d9d505f920a163d7")
# What SQLite says of damage where it has no error of its own for it.
_DAMAGE = ("decode", "malformed", "file format")
_NO_RIGHT = (errno.EACCES, errno.EPERM, errno.EROFS)
_NO_ROOM = (errno.ENOSPC, errno.EFBIG, errno.EDQUOT)


def is_library(folder: str | Path) -> bool:
    """Whether there is a library in a folder."""
    return (Path(folder) / FILE).is_file()


def refuse_to_make(folder: Path) -> None:
    """LibraryError where a library is to be made in a folder that holds what is left of one."""
    photos = folder / PHOTOS
    held = [p for p in (photos.iterdir() if photos.is_dir() else ()) if not p.name.startswith(".")]
    logs = [p for p in (folder / f"{FILE}-wal", folder / f"{FILE}-journal") if _holds(p)]
    if held or logs:
        raise LibraryError(
            f"The folder {folder} holds {'photos' if held else 'the rest'} of a library, and its "
            f"{FILE} is missing. Nothing was changed. Restore the last backup into a new folder "
            "(swatchbath restore FILE FOLDER), or name another folder with --library; to start "
            f"anew here, move {(held or logs)[0].name if not held else 'the folder photos'} away "
            "first."
        )


def make(folder: Path) -> None:
    """Make an empty library in a folder that has none; it is there whole or not at all, and one
    that another program makes at the same time is left as it is."""
    refuse_to_make(folder)
    private_folder(folder)
    private_folder(folder / PHOTOS)
    part = folder / f".{FILE}.{os.getpid()}.part"
    try:
        with closing(new_database(part)) as db:
            migrate(db)
            db.execute("PRAGMA journal_mode = WAL")
        try:
            os.link(part, folder / FILE)
        except FileExistsError:
            pass  # another program was quicker
        except OSError:  # a disk without links
            if not (folder / FILE).exists():
                os.rename(part, folder / FILE)
    finally:
        part.unlink(missing_ok=True)


def new_database(file: Path) -> sqlite3.Connection:
    """A database of nothing in a file of its own, which only its owner may read."""
    file.unlink(missing_ok=True)
    os.close(os.open(file, os.O_CREAT | os.O_EXCL | os.O_WRONLY, PRIVATE))
    return _open(file, "mode=rw")


def private_folder(folder: Path) -> None:
    """Make a folder that only its owner may look into, where there is none."""
    if not folder.is_dir():
        folder.parent.mkdir(parents=True, exist_ok=True)
        folder.mkdir(mode=PRIVATE_FOLDER, exist_ok=True)


def for_writing(folder: Path) -> sqlite3.Connection:
    """The library of a folder, brought up to date, to be written to."""
    file = folder / FILE
    _refuse_strange_journal(file)
    db = _open(file, "mode=rw")
    try:
        older = check_schema(db, str(file)) < len(MIGRATIONS)
        # Outside any transaction, where SQLite would ignore it in silence.
        db.execute("PRAGMA foreign_keys = ON")
        db.execute("PRAGMA journal_mode = WAL")
        db.execute("PRAGMA synchronous = FULL")
        migrate(db, before=lambda number: copy_before(folder, number))
        private_folder(folder / PHOTOS)
        if older and os.name != "nt":
            # Once: what an earlier version made could be read by all.
            file.chmod(PRIVATE)
            (folder / PHOTOS).chmod(PRIVATE_FOLDER)
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
    with closing(new_database(to)) as copy:
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
    return _open(folder / FILE, "mode=ro")


def for_reading(folder: Path) -> tuple[sqlite3.Connection, int]:
    """The library of a folder, only to be read, and the layout it lies there in. One of an older
    layout is brought up to date in memory; the folder stays as it is."""
    # SQLite needs a file beside the database to share it between programs. Where it can make
    # none, the database alone is read, which is right as long as no write waits beside it.
    alone = not _holds(folder / f"{FILE}-wal")
    for mode in ("mode=ro", "immutable=1") if alone else ("mode=ro",):
        db = _open(folder / FILE, mode)
        try:
            number = check_schema(db, str(folder / FILE))
        except sqlite3.OperationalError as error:
            db.close()
            if not (no_room_or_right(error) and mode == "mode=ro" and alone):
                raise
            continue
        except BaseException:
            db.close()
            raise
        if number < len(MIGRATIONS):
            copy = _open(None, "mode=memory")
            db.backup(copy)
            db.close()
            db = copy
            migrate(db)
        db.execute("PRAGMA query_only = ON")
        return db, number
    raise LibraryError(f"The library {folder} cannot be read. Copy the folder and open the copy.")


def tidy_after_reading(folder: Path) -> None:
    """Let SQLite remove what it put beside the database to read it, where it can and nobody else
    uses it."""
    if _holds(folder / f"{FILE}-wal") or not (folder / f"{FILE}-shm").is_file():
        return
    try:
        with closing(_open(folder / FILE, "mode=rw")) as db:
            db.execute("SELECT 1 FROM sqlite_master").fetchone()
    except sqlite3.Error:
        pass  # an empty file stays there, which does no harm


def _open(file: Path | None, mode: str) -> sqlite3.Connection:
    name = "file::memory:" if file is None else file.absolute().as_uri()
    db = sqlite3.connect(
        f"{name}?{mode}",
        uri=True,
        timeout=_BUSY_MS / 1000,
        isolation_level=None,
        check_same_thread=False,
    )
    db.row_factory = sqlite3.Row
    # Nothing that stands in a file may run more than reading and writing its own tables.
    db.execute("PRAGMA trusted_schema = OFF")
    db.execute("PRAGMA cell_size_check = ON")
    if sys.version_info >= (3, 12):
        db.setconfig(sqlite3.SQLITE_DBCONFIG_DEFENSIVE, True)
        db.setconfig(sqlite3.SQLITE_DBCONFIG_ENABLE_VIEW, False)
        db.setconfig(sqlite3.SQLITE_DBCONFIG_ENABLE_LOAD_EXTENSION, False)
    return db


def _holds(file: Path) -> bool:
    return file.is_file() and file.stat().st_size > 0


def _refuse_strange_journal(file: Path) -> None:
    """LibraryError where what waits beside a library names another file, which SQLite would remove
    when it looks at it. Ours never does: only writes to several databases at once do so."""
    journal = file.with_name(f"{file.name}-journal")
    if not _holds(journal):
        return
    with open(journal, "rb") as content:
        content.seek(-min(8, journal.stat().st_size), os.SEEK_END)
        if content.read() == _ENDS_WITH_A_NAME:
            raise LibraryError(
                f"{journal} was not written by swatchbath, and nothing was changed. Restore the "
                "last backup into a new folder: swatchbath restore FILE FOLDER"
            )


def no_right(error: BaseException | None) -> bool:
    """Whether an error says that the folder may not be written in."""
    if isinstance(error, sqlite3.OperationalError):
        return any(word in str(error) for word in ("readonly", "unable to open"))
    return isinstance(error, OSError) and error.errno in _NO_RIGHT


def no_room_or_right(error: BaseException | None) -> bool:
    """Whether an error says that the folder may not be written in, or has no room left."""
    if isinstance(error, sqlite3.OperationalError):
        return no_right(error) or any(word in str(error) for word in ("full", "disk I/O"))
    return no_right(error) or (isinstance(error, OSError) and error.errno in _NO_ROOM)


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
    except (sqlite3.DatabaseError, UnicodeDecodeError) as error:
        # SQLite's own sentence about a damaged statement holds its damaged bytes.
        raise LibraryError(_damaged(folder)) from error
    except OSError as error:
        if error.errno is None:
            raise
        full = error.errno in _NO_ROOM
        raise LibraryError(
            f"The folder {folder} {'is full' if full else 'cannot be written to'} "
            f"({error.strerror}). Nothing was changed; "
            + ("make room and try again." if full else "check that it is yours to write in.")
        ) from error


def is_damage(error: BaseException | None) -> bool:
    """Whether an error of SQLite says that the database is damaged or none of ours."""
    if isinstance(error, sqlite3.OperationalError):
        return any(word in str(error) for word in _DAMAGE)
    return isinstance(error, sqlite3.DatabaseError | UnicodeDecodeError)


def _damaged(folder: Path) -> str:
    return (
        f"{folder / FILE} is damaged, or no library. swatchbath verify tells more; restore the "
        "last backup into a new folder: swatchbath restore FILE FOLDER"
    )


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
    if any(word in text for word in _DAMAGE):
        return _damaged(folder)
    if "full" in text or "disk I/O" in text:
        return (
            f"The disk that holds the library {folder} is full or failing. Nothing was changed; "
            "make room and try again."
        )
    return (
        f"The library {folder} could not do this. Nothing was changed; close other programs that "
        "use it and try again."
    )
