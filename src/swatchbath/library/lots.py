"""Lots, to and from the library's table."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from datetime import UTC, datetime
from typing import Any

from ..bath.steps import Step
from ..errors import BadValue
from .baths import add_steps, check_steps, read_steps
from .swatch import check_text

_FIELDS = ("name", "session", "note")


def check_fields(fields: dict[str, Any]) -> dict[str, str | None]:
    """A lot's name, session (dye day) and note as given. Raises BadValue."""
    unknown = sorted(set(fields) - set(_FIELDS))
    if unknown:
        raise BadValue(f"A lot has no field {unknown[0]}; it has {', '.join(_FIELDS)}.")
    return {f: check_text(fields.get(f), f"A lot's {f}") for f in _FIELDS}


def add_lot(
    db: sqlite3.Connection,
    steps: Sequence[Step],
    *,
    name: str | None,
    session: str | None,
    note: str | None,
    now: str,
) -> str:
    """Write a lot, or fill in the dye day of one that agrees; returns its name."""
    whole = check_steps(steps)
    called = name or _free_name(db)
    row = db.execute("SELECT session FROM lot WHERE name = ?", (called,)).fetchone()
    if row is None:
        db.execute("INSERT INTO lot VALUES (?, ?, ?, ?)", (called, session, note or "", now))
        add_steps(db, "lot", called, whole)
        return called
    if read_steps(db, "lot", called) != whole:
        raise BadValue(
            f"The lot {called} is on record with other steps. Give this pot a name of its own."
        )
    if session and row["session"] and row["session"] != session:
        raise BadValue(
            f"The lot {called} is on record with the dye day {row['session']}, and {session} is "
            "given now. A lot is one pot on one day: mend the day, or give this pot a lot name "
            "of its own."
        )
    if session and not row["session"]:
        db.execute("UPDATE lot SET session = ? WHERE name = ?", (session, called))
    return called


def session_of(db: sqlite3.Connection, name: str) -> str | None:
    """The dye day of a lot; None where the lot or its day is not on record."""
    row = db.execute("SELECT session FROM lot WHERE name = ?", (name,)).fetchone()
    return None if row is None else row["session"]


def is_lot(db: sqlite3.Connection, name: str) -> bool:
    """Whether a lot of this name is on record."""
    return db.execute("SELECT 1 FROM lot WHERE name = ?", (name,)).fetchone() is not None


def _free_name(db: sqlite3.Connection) -> str:
    day = datetime.now(UTC).date().isoformat()
    number = 1
    while is_lot(db, f"{day}-{number}"):
        number += 1
    return f"{day}-{number}"
