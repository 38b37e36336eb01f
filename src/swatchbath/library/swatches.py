"""Swatches, to and from the library's table."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Mapping, Sequence
from typing import Any

from ..bath.steps import FIBRE_COLUMNS, Step, conditions_of
from ..errors import BadValue, NotFound
from .baths import add_steps, read_steps
from .codes import code, is_code, read_code
from .lots import is_lot, session_of
from .measurements import read_measurements
from .swatch import Swatch


def add_swatch(
    db: sqlite3.Connection,
    *,
    name: str | None,
    lot: str | None,
    part: str | None,
    session: str | None,
    steps: Sequence[Step],
    fibre: Mapping[str, Any],
    extra: str,
    now: str,
) -> str:
    """Write a swatch under the next code; returns the code."""
    if name is not None and by_name(db, name):
        raise BadValue(
            f"There is a swatch called {name} already. Give this one another name; a further "
            "photo of the same swatch is recorded under its code."
        )
    if lot is not None and not is_lot(db, lot):
        raise NotFound(f"There is no lot {lot}; record the lot first.")
    if lot is not None and session is not None:
        raise BadValue("The dye day of a swatch with a lot is its lot's; give it there.")
    number = db.execute("SELECT coalesce(max(number) + 1, 0) FROM swatch").fetchone()[0]
    while by_name(db, code(number)):  # names were free to look like codes once
        number += 1
    key = code(number)
    db.execute(
        "INSERT INTO swatch (code, number, name, lot, part, session, extra, added, "
        f"{', '.join(FIBRE_COLUMNS)}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        (key, number, name, lot, part, session, extra, now, *map(fibre.get, FIBRE_COLUMNS)),
    )
    add_steps(db, "swatch", key, steps)
    return key


def read_swatch(db: sqlite3.Connection, key: str) -> Swatch:
    """The swatch with the code `key`, which must be there."""
    row = db.execute("SELECT * FROM swatch WHERE code = ?", (key,)).fetchone()
    session, steps = row["session"], read_steps(db, "swatch", key)
    if row["lot"] is not None:
        session = session_of(db, row["lot"])
        steps = read_steps(db, "lot", row["lot"]) + steps
    conditions = conditions_of(steps, {k: row[k] for k in FIBRE_COLUMNS})
    return Swatch(
        code=row["code"],
        name=row["name"],
        lot=row["lot"],
        part=row["part"],
        session=session,
        steps=steps,
        conditions=conditions | json.loads(row["extra"]),
        measurements=read_measurements(db, key),
        added=row["added"],
    )


def code_of(db: sqlite3.Connection, key: Any, where: str) -> str:
    """The code of a swatch named by its code or by its own name. Raises NotFound, BadValue.

    where : the library's folder, for the sentence.
    """
    if not isinstance(key, str) or not key.strip():
        raise BadValue(f"{key!r} is no swatch; give its code or its name.")
    named = by_name(db, key) or by_name(db, key.strip())
    if named:
        return named
    typed = key.strip()
    if is_code(typed):
        typed = read_code(typed)
        if is_there(db, typed):
            return typed
        raise NotFound(f"There is no swatch {typed} in the library {where}.")
    if len(typed) == 5:
        read_code(typed)  # says which character cannot be right
    raise NotFound(f"There is no swatch with the code or name '{typed}' in the library {where}.")


def by_name(db: sqlite3.Connection, name: str) -> str | None:
    """The code of the swatch the dyer calls so, or None."""
    row = db.execute("SELECT code FROM swatch WHERE name = ?", (name,)).fetchone()
    return None if row is None else str(row["code"])


def is_there(db: sqlite3.Connection, key: str) -> bool:
    """Whether a swatch of this code is on record."""
    return db.execute("SELECT 1 FROM swatch WHERE code = ?", (key,)).fetchone() is not None
