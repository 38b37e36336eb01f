"""The library's layout: its migrations in order, counted by PRAGMA user_version."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable

from ..errors import LibraryError
from .history.cameras import share_unnamed
from .migrations import MIGRATIONS as MIGRATIONS

# What stands in the header of a library of layout IDENTIFIED and later: the letters swba.
APPLICATION_ID, IDENTIFIED = 1937203809, 6
# Layout -> what is done besides, once its statements are; told which layout was there before.
_BESIDES: dict[int, Callable[[sqlite3.Connection, int], None]] = {5: share_unnamed}


def layout(connection: sqlite3.Connection) -> int:
    """How many migrations a library has seen."""
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def migrate(
    connection: sqlite3.Connection,
    before: Callable[[int], None] | None = None,
    *,
    upto: int | None = None,
) -> None:
    """Bring a library up to date, each migration together with its number; refuse a newer one.

    before : called with the layout that is there, once, ahead of the first change to a library
    that is in use already, while no other program can change it. upto : an older layout to stop
    at, for records that were written with it.
    """
    version = layout(connection)
    if version > len(MIGRATIONS):
        raise LibraryError(
            f"This library was written by a newer swatchbath (layout {version}; this one knows "
            f"{len(MIGRATIONS)}). Install the newer version to open it; nothing was changed."
        )
    for number in range(version, len(MIGRATIONS) if upto is None else upto):
        connection.execute("BEGIN IMMEDIATE")
        try:
            # Another program may have been quicker.
            if layout(connection) <= number:
                if before is not None and number == version > 0:
                    before(version)
                for statement in _statements(MIGRATIONS[number]):
                    connection.execute(statement)
                if version and number + 1 in _BESIDES:
                    _BESIDES[number + 1](connection, version)
                connection.execute(f"PRAGMA user_version = {number + 1}")
            connection.execute("COMMIT")
        except BaseException:
            if connection.in_transaction:
                connection.execute("ROLLBACK")
            raise


def _statements(script: str) -> list[str]:
    # executescript would commit on its own; statements are told apart by SQLite itself.
    statements, text = [], ""
    for line in script.splitlines():
        text += line + "\n"
        if sqlite3.complete_statement(text):
            statements.append(text)
            text = ""
    return statements
