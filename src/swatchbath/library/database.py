"""The open database of a library: what is written together, and what a kill left behind."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

from ..errors import BadValue, LibraryError, SwatchbathError
from .connection import (
    for_reading,
    for_writing,
    is_library,
    make,
    no_right,
    no_room_or_right,
    tidy_after_reading,
    translate_errors,
)
from .history.changes import Kind, Value, begin, put_down
from .history.derived import derive_anew
from .rows import photo_files as photos
from .rows import search_index
from .rows.search_index import SearchEntry
from .rows.swatches import RESTORE, UNREADABLE
from .schema import MIGRATIONS

READING_ONLY = (
    "The library {} is open for reading only. Nothing was changed; check that the folder is yours "
    "to write in."
)


class Database:
    """A library's database with its folder: opened to be read, and to be written to only when
    something is first to be written, or when its layout is an older one.

    create : make it where there is none. read_only : never write to it.
    """

    def __init__(self, folder: Path, *, create: bool = False, read_only: bool = False) -> None:
        self.folder = folder
        self._depth = 0
        self.new_files: list[Path] = []  # go again when what is being written is taken back
        self._change: int | None = None  # what the write that is going on is put down as
        self.touched: set[str] = set()  # swatches whose words are made again before all is kept
        self.colours = search_index.Colours()  # as last read, for what is nearest to one
        self._may_write = not read_only
        self._writer: sqlite3.Connection | None = None
        self._reader: sqlite3.Connection | None = None
        self._closed = False
        with translate_errors(folder):
            if create and not is_library(folder):
                make(folder)
            self._reader, number = for_reading(folder)
        behind = number < len(MIGRATIONS)
        if self._may_write and (behind or photos.parts(folder)):
            try:
                self._open_writer()
            except LibraryError as error:
                if behind and not no_room_or_right(error.__cause__):
                    self.close()
                    raise

    @property
    def db(self) -> sqlite3.Connection:
        """The connection. Raises BadValue once it is closed."""
        db = self._writer or self._reader
        if db is None or self._closed:
            raise BadValue(f"The library {self.folder} is closed; open it again to use it.")
        return db

    @property
    def is_written_to(self) -> bool:
        """Whether it is open for writing already."""
        return self._writer is not None

    @property
    def writable(self) -> bool:
        """Whether it can be written; it is opened for that."""
        try:
            self._open_writer()
        except LibraryError:
            return False
        return True

    def close(self) -> None:
        """Close it; closing twice does no harm."""
        self._closed = True
        if self._reader is not None:
            self._reader.close()
            if self._writer is None:
                tidy_after_reading(self.folder)
        if self._writer is not None:
            self._writer.close()
        self._reader = self._writer = None

    def _open_writer(self) -> None:
        """Open it for writing, unless it is. What is being read meanwhile can be read on."""
        if self._writer is not None or self._closed:
            return
        if not self._may_write:
            raise LibraryError(READING_ONLY.format(self.folder))
        try:
            with translate_errors(self.folder):
                writer = for_writing(self.folder)
                try:
                    derive_anew(writer)
                except BaseException:
                    writer.close()
                    raise
                self._writer = writer
        except LibraryError as error:
            if isinstance(error.__cause__, sqlite3.DatabaseError | OSError) and no_right(
                error.__cause__
            ):
                raise LibraryError(READING_ONLY.format(self.folder)) from error.__cause__
            raise
        self._tidy()

    @contextmanager
    def atomic(self) -> Iterator[None]:
        """Everything written inside is kept whole, or nothing of it is. May be nested."""
        self._open_writer()
        mark, outermost = f"level{self._depth}", self._depth == 0
        before, change = len(self.new_files), self._change
        with translate_errors(self.folder):
            self.db.execute("BEGIN IMMEDIATE" if outermost else f"SAVEPOINT {mark}")
        self._depth += 1
        try:
            yield
            with translate_errors(self.folder):
                if outermost and self.touched:
                    search_index.keep(self.db, search_index.make(self.db, sorted(self.touched)))
                self.db.execute("COMMIT" if outermost else f"RELEASE {mark}")
        except BaseException:
            self._change = change
            # Photos go first, while nobody else can come to rely on them.
            for path in self.new_files[before:]:
                path.unlink(missing_ok=True)
            del self.new_files[before:]
            # Some failures (a full disk) end the transaction by themselves.
            if self._writer is not None and self._writer.in_transaction:
                with translate_errors(self.folder):
                    self.db.execute("ROLLBACK" if outermost else f"ROLLBACK TO {mark}")
            raise
        finally:
            self._depth -= 1
            if outermost:
                self.touched.clear()
        if outermost:
            self.new_files.clear()
            self._change = None

    @contextmanager
    def writing(self) -> Iterator[sqlite3.Connection]:
        """`atomic`, with what SQLite and the disk refuse meanwhile as our sentences."""
        with self.atomic(), translate_errors(self.folder):
            yield self.db

    @contextmanager
    def reading(self) -> Iterator[sqlite3.Connection]:
        """The connection, with what SQLite refuses, and what is on record and cannot be, as our
        sentences."""
        with translate_errors(self.folder):
            try:
                yield self.db
            except (SwatchbathError, UnicodeEncodeError, UnicodeDecodeError):
                raise
            except UNREADABLE as error:
                raise LibraryError(
                    f"Something on record in the library {self.folder} cannot be read. swatchbath "
                    f"verify tells more; {RESTORE}"
                ) from error

    def change(self, kind: Kind, why: str = "") -> int:
        """The number of the change that is being written; all inside one `atomic` is one."""
        if self._change is None:
            self._change = begin(self.db, kind, why)
        return self._change

    def go_on(self, change: int | None) -> None:
        """Make what is being written part of a change, where that is the last one and stands."""
        last = self.db.execute("SELECT id, undone FROM change ORDER BY id DESC LIMIT 1").fetchone()
        if self._change is None and last is not None and tuple(last) == (change, None):
            self._change = change

    def note(self, kind: Kind, values: Iterable[Value], why: str = "") -> None:
        """Put down values of the change that is being written."""
        for value in values:
            put_down(self.db, self.change(kind, why), value)

    def make_entries(self, keys: list[str]) -> dict[str, SearchEntry]:
        """Make what finds these swatches, and keep it; returns what could not be kept, because
        the library is only read or somebody else is writing."""
        if not keys:
            return {}
        with translate_errors(self.folder):
            made = search_index.make(self.db, keys)
        if self.writable:
            try:
                with self.writing() as db:
                    search_index.keep(db, made)
                return {}
            except LibraryError:
                pass  # it can be made again at any time
        return made

    def _tidy(self) -> None:
        """Remove what a killed program left half-written, unless another is writing just now."""
        if not photos.parts(self.folder):
            return
        wait = self.db.execute("PRAGMA busy_timeout").fetchone()[0]
        self.db.execute("PRAGMA busy_timeout = 0")
        try:
            self.db.execute("BEGIN IMMEDIATE")
        except sqlite3.OperationalError:
            return  # the next opening will do
        finally:
            self.db.execute(f"PRAGMA busy_timeout = {wait}")
        try:
            for path in photos.parts(self.folder):
                path.unlink(missing_ok=True)
        finally:
            self.db.execute("ROLLBACK")
