"""Whether a database is a library as this program makes one, before anything in it is run.

A database can hold triggers, views and columns that run when it is read or written. A library is
therefore opened only where its schema is, statement by statement, what the migrations make for
its layout.
"""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterable
from contextlib import closing
from functools import cache, lru_cache

from ..errors import LibraryError
from .schema import APPLICATION_ID, IDENTIFIED, MIGRATIONS, layout, migrate

# What SQLite keeps by itself where somebody had it look for a faster way (ANALYZE).
_STATISTICS = re.compile(r"CREATE TABLE sqlite_stat[14] \( [a-z, ]+ \)")
# Words of SQL as SQLite reads them: texts and comments first, which may hold anything.
_WORDS = re.compile(r"'(?:[^']|'')*'|\"[^\"]*\"|--[^\n]*|/\*.*?\*/|\w+|[^\w\s]", re.DOTALL)
Entry = tuple[str, str, str, str]
WAY_BACK = (
    "Nothing in it was run or changed. If it was your library, restore the last backup into a new "
    "folder (swatchbath restore FILE FOLDER); if somebody gave it to you, do not use it."
)


class ForeignDatabase(sqlite3.DatabaseError):
    """A database that is no library of ours, as one sentence without what to do."""


def check_schema(db: sqlite3.Connection, called: str) -> int:
    """The layout of a database that is a library of ours; `called` names its file.

    Raises LibraryError for any other, with a ForeignDatabase as its cause, and one without a cause
    where a newer program made it.
    """
    with closing(db.cursor()) as cursor:
        cursor.execute("SAVEPOINT looked")  # all of it at one moment
        try:
            number = layout(db)
            marked = int(cursor.execute("PRAGMA application_id").fetchone()[0])
            found = _entries(db)
        finally:
            if db.in_transaction:  # some failures end it by themselves
                cursor.execute("RELEASE looked")
    if number > len(MIGRATIONS) and marked == APPLICATION_ID:
        raise LibraryError(
            f"{called} was written by a newer swatchbath (layout {number}; this one knows "
            f"{len(MIGRATIONS)}). Install the newer version to open it; nothing was changed."
        )
    if not found and not number:
        raise _foreign(f"{called} is empty: it holds no record at all, nor the tables for one.")
    if number < 1 or marked != APPLICATION_ID and (marked or number >= IDENTIFIED):
        raise _foreign(f"{called} is a database of another program, and no library of swatchbath.")
    expected = expected_schema(number)
    if found != expected:
        raise _foreign(f"{called} is not as swatchbath makes it: {_odd(found, expected)}.")
    return number


@cache
def expected_schema(number: int) -> tuple[Entry, ...]:
    """The schema that the migrations make up to a layout: type, name, table, statement; sorted."""
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as db:
        db.row_factory = sqlite3.Row
        migrate(db, upto=number)
        return _entries(db)


def table_names(number: int) -> list[str]:
    """The tables of a layout that hold records, in the order of their names."""
    return [
        name
        for kind, name, _, _ in expected_schema(number)
        if kind == "table" and not name.startswith("sqlite_")
    ]


def _entries(db: sqlite3.Connection) -> tuple[Entry, ...]:
    rows = db.execute("SELECT type, name, tbl_name, sql FROM sqlite_master").fetchall()
    entries = [(str(r[0]), str(r[1]), str(r[2]), _plain(r[3])) for r in rows]
    return tuple(sorted(e for e in entries if not _STATISTICS.fullmatch(e[3])))


@lru_cache(maxsize=1000)
def _plain(statement: object) -> str:
    """A statement without comments, and without the blanks and quotation marks that versions of
    SQLite put differently; what stands in a text stays to the letter."""
    if not isinstance(statement, str):
        return ""
    words = (
        word[1:-1] if re.fullmatch(r'"\w+"', word) else word
        for word in _WORDS.findall(statement)
        if not word.startswith(("--", "/*"))
    )
    return " ".join(words)


def _odd(found: Iterable[Entry], expected: Iterable[Entry]) -> str:
    """What one schema holds that the other does not, in a few words."""
    there, wanted = set(found), set(expected)
    named = {(e[0], e[1]) for e in wanted}
    for kind, name, _, _ in sorted(there - wanted):
        if (kind, name) in named:
            return f"its {kind} {name} is another"
        return f"it holds a {kind} '{name[:40]}' that does not belong there"
    for kind, name, _, _ in sorted(wanted - there):
        return f"its {kind} {name} is missing"
    return "one of its tables stands there twice"


def _foreign(what: str) -> LibraryError:
    error = LibraryError(f"{what} {WAY_BACK}")
    error.__cause__ = ForeignDatabase(what)
    return error
