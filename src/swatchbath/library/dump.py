"""Every record of a library as plain values, and a library made of them again, without loss."""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from ..errors import BadTable, LibraryError
from .connection import FILE, lenient_text, new_database, translate_errors
from .known_schema import check_schema, table_names
from .schema import MIGRATIONS, layout, migrate

# Made of the others whenever it is wanted.
_MADE = ("said",)


def as_values(db: sqlite3.Connection) -> dict[str, Any]:
    """{"layout": number, "tables": {name: {"columns": [...], "rows": [[...], ...]}}}, rows in the
    order they are kept in; values as JSON holds them."""
    tables = {}
    for name in table_names(layout(db)):
        if name in _MADE:
            continue
        with lenient_text(db):
            cursor = db.execute(f'SELECT * FROM "{name}" ORDER BY rowid')
            columns = [d[0] for d in cursor.description]
            tables[name] = {"columns": columns, "rows": [list(row) for row in cursor]}
    return {"layout": layout(db), "tables": tables}


def from_values(folder: Path, values: Mapping[str, Any]) -> None:
    """Make library.sqlite in a folder that has none. Raises BadTable, LibraryError.

    Values of an older layout make an older library, which is brought up to date like any other.
    """
    try:
        number, tables = int(values["layout"]), dict(values["tables"])
        parts = {n: (list(t["columns"]), [list(r) for r in t["rows"]]) for n, t in tables.items()}
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise BadTable(
            "records.json does not hold the tables of a library. Take the folder as it was written."
        ) from error
    if number < 1:
        raise BadTable("records.json is of no layout there ever was. Export the library again.")
    if number > len(MIGRATIONS):
        raise LibraryError(
            f"This was written by a newer swatchbath (layout {number}; this one knows "
            f"{len(MIGRATIONS)}). Install the newer version to take it in; nothing was changed."
        )
    with translate_errors(folder):
        db = new_database(folder / FILE)
        try:
            migrate(db, upto=number)
            db.execute("BEGIN")
            for name, (columns, rows) in parts.items():
                _fill(db, name, columns, rows)
            db.execute("COMMIT")
            if db.execute("PRAGMA foreign_key_check").fetchone() is not None:
                raise BadTable(
                    "records.json names swatches, lots or photos that are not in it. Take the "
                    "folder as export wrote it."
                )
            migrate(db)
            check_schema(db, str(folder / FILE))
        finally:
            db.close()


def _fill(db: sqlite3.Connection, name: str, columns: list[str], rows: list[list[Any]]) -> None:
    # A name of a table stands in the statements below, so only ours get there.
    if name not in table_names(layout(db)):
        raise BadTable(
            f"records.json holds a table '{name[:40]}' that no library of its layout has. Take the "
            "folder as export wrote it."
        )
    there = [r["name"] for r in db.execute("SELECT name FROM pragma_table_info(?)", (name,))]
    if sorted(map(str, columns)) != sorted(there):
        raise BadTable(
            f"The table '{name}' in records.json has not the columns of a library of its layout. "
            "Take the folder as export wrote it."
        )
    named = ", ".join(f'"{c}"' for c in columns)
    places = ", ".join("?" * len(columns))
    db.execute(f'DELETE FROM "{name}"')  # what a new library keeps about itself
    db.executemany(f'INSERT INTO "{name}" ({named}) VALUES ({places})', rows)
