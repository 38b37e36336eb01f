"""The library's tables, as an ordered list of migrations; PRAGMA user_version counts them.

Text stays text (STRICT tables): a code or lot 01234 never becomes a number. A migration is only
ever added at the end.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable

from ..errors import LibraryError
from .schema_baths import BATH_FIELDS
from .schema_memory import MEMORY

MIGRATIONS: tuple[str, ...] = (
    """
    CREATE TABLE photo (
        id TEXT PRIMARY KEY CHECK (length(id) = 64),      -- SHA-256 of the file
        name TEXT NOT NULL,                               -- as the file was called
        file TEXT NOT NULL,                               -- below photos/
        camera TEXT,
        added TEXT NOT NULL
    ) STRICT;
    CREATE TABLE lot (
        name TEXT PRIMARY KEY,                            -- the dyer's own name for the pot
        session TEXT,                                     -- dye day
        note TEXT NOT NULL DEFAULT '',
        added TEXT NOT NULL
    ) STRICT;
    CREATE TABLE swatch (
        code TEXT PRIMARY KEY,
        number INTEGER NOT NULL UNIQUE,                   -- running number the code is made of
        name TEXT,                                        -- what the dyer calls it, if anything
        lot TEXT REFERENCES lot(name),
        part TEXT,                                        -- a, b, c of a lot split among baths
        fibre TEXT,
        fibre_form TEXT,
        base_L REAL, base_a REAL, base_b REAL,            -- colour of the undyed fibre
        fibre_g REAL,
        extra TEXT NOT NULL DEFAULT '{}',                 -- columns kept but not used, JSON
        added TEXT NOT NULL
    ) STRICT;
    CREATE INDEX swatch_name ON swatch(name);
    CREATE INDEX swatch_lot ON swatch(lot);
    CREATE TABLE step (
        id INTEGER PRIMARY KEY,
        lot TEXT REFERENCES lot(name),                    -- a step of the whole pot, or
        swatch TEXT REFERENCES swatch(code),              -- of this swatch alone
        position INTEGER NOT NULL,
        kind TEXT NOT NULL,
        pH REAL, temperature_C REAL, minutes REAL, liquor_ratio REAL, bath_number REAL,
        water TEXT, vessel TEXT,
        note TEXT NOT NULL DEFAULT '',
        CHECK ((lot IS NULL) <> (swatch IS NULL))
    ) STRICT;
    CREATE INDEX step_lot ON step(lot);
    CREATE INDEX step_swatch ON step(swatch);
    CREATE TABLE material (
        step INTEGER NOT NULL REFERENCES step(id) ON DELETE CASCADE,
        position INTEGER NOT NULL,
        role TEXT NOT NULL,
        name TEXT NOT NULL,
        owf REAL,
        form TEXT,
        dyestuff_lot TEXT,
        PRIMARY KEY (step, position)
    ) STRICT;
    CREATE TABLE measurement (
        id INTEGER PRIMARY KEY,
        swatch TEXT NOT NULL REFERENCES swatch(code),
        photo TEXT REFERENCES photo(id),
        state TEXT NOT NULL CHECK (state IN ('dry', 'dry washed', 'dry unwashed', 'wet')),
        rung TEXT NOT NULL,
        light TEXT NOT NULL,
        observer TEXT NOT NULL,
        L REAL NOT NULL, a REAL NOT NULL, b REAL NOT NULL,
        repeatability TEXT NOT NULL,                      -- JSON (3, 3)
        trueness TEXT NOT NULL,                           -- JSON (3, 3)
        shared TEXT NOT NULL,      -- JSON source -> base64 of (3, K) float32, little end first
        checks TEXT NOT NULL,                             -- JSON
        notes TEXT NOT NULL,                              -- JSON
        mark TEXT,                                        -- JSON: where in the photo
        added TEXT NOT NULL
    ) STRICT;
    CREATE INDEX measurement_swatch ON measurement(swatch);
    CREATE INDEX measurement_photo ON measurement(photo);
    """,
    """
    ALTER TABLE swatch ADD COLUMN session TEXT;           -- dye day of a swatch without a lot
    -- 0: not known whether this dyestuff went in together with the one before it or over it
    ALTER TABLE material ADD COLUMN how_known INTEGER NOT NULL DEFAULT 1;
    """,
    BATH_FIELDS,
    MEMORY,
)


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
