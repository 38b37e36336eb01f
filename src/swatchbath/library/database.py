"""The open database of a library: what is written together, and what a kill left behind."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

from ..errors import BadValue, LibraryError
from .connection import connect, translate_errors
from .history.changes import Kind, Value, begin, put_down
from .rows import photo_files as photos
from .rows import search_index
from .rows.search_index import SearchEntry


class Database:
    """A library's database with its folder; `writable` says whether it can be written."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._depth = 0
        self.new_files: list[Path] = []  # go again when what is being written is taken back
        self._change: int | None = None  # what the write that is going on is put down as
        self.touched: set[str] = set()  # swatches whose words are made again before all is kept
        self._connection: sqlite3.Connection | None
        self._connection, self.writable = connect(folder)
        if self.writable:
            self._tidy()

    @property
    def db(self) -> sqlite3.Connection:
        """The connection. Raises BadValue once it is closed."""
        if self._connection is None:
            raise BadValue(f"The library {self.folder} is closed; open it again to use it.")
        return self._connection

    def close(self) -> None:
        """Close it; closing twice does no harm."""
        if self._connection is not None:
            self._connection.close()
            self._connection = None

    @contextmanager
    def atomic(self) -> Iterator[None]:
        """Everything written inside is kept whole, or nothing of it is. May be nested."""
        if not self.writable:
            raise LibraryError(
                f"The library {self.folder} is open for reading only. Nothing was changed; check "
                "that the folder is yours to write in."
            )
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
            if self._connection is not None and self._connection.in_transaction:
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
        """The connection, with what SQLite refuses as our sentences."""
        with translate_errors(self.folder):
            yield self.db

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
