"""Lots, to and from the library's table."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from typing import Any

from ...bath.step import Step
from ...errors import BadValue
from ..clock import now as time_now
from .steps import add_steps, check_steps, read_steps
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
    if is_lot(db, called) and all_in_bin(db, called):
        _rename(db, called, f"{called} (in the bin since {now})")
    row = db.execute("SELECT session FROM lot WHERE name = ?", (called,)).fetchone()
    if row is None:
        db.execute(
            "INSERT INTO lot (name, session, note, added) VALUES (?, ?, ?, ?)",
            (called, session, note or "", now),
        )
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


def all_in_bin(db: sqlite3.Connection, name: str) -> bool:
    """Whether all swatches of a lot, at least one, are in the bin: its name may be used anew."""
    row = db.execute(
        "SELECT count(*) AS n, count(binned) AS binned FROM swatch WHERE lot = ?", (name,)
    ).fetchone()
    return bool(row["n"]) and row["n"] == row["binned"]


def _rename(db: sqlite3.Connection, old: str, new: str) -> None:
    db.execute(
        "INSERT INTO lot (name, session, note, extra, added) "
        "SELECT ?, session, note, extra, added FROM lot WHERE name = ?",
        (new, old),
    )
    db.execute("UPDATE swatch SET lot = ? WHERE lot = ?", (new, old))
    db.execute("UPDATE step SET lot = ? WHERE lot = ?", (new, old))
    db.execute("UPDATE change_value SET key = ? WHERE target = 'lot' AND key = ?", (new, old))
    db.execute("DELETE FROM lot WHERE name = ?", (old,))


def sessions_of(db: sqlite3.Connection, names: Sequence[str]) -> dict[str, str | None]:
    """The dye days of lots by name; None where it is not known."""
    rows = db.execute(
        f"SELECT name, session FROM lot WHERE name IN ({', '.join('?' * len(names))})",
        tuple(names),
    )
    return {r["name"]: r["session"] for r in rows}


def session_of(db: sqlite3.Connection, name: str) -> str | None:
    """The dye day of a lot; None where the lot or its day is not on record."""
    return None if all_in_bin(db, name) else sessions_of(db, [name]).get(name)


def swatches_of_pot(db: sqlite3.Connection, pot: str) -> list[str]:
    """Codes of what came out of a pot: a lot by its name, or a swatch by its code or name."""
    rows = db.execute(
        "SELECT code FROM swatch WHERE (lot = ?1 OR code = upper(?1) OR name = ?1) "
        "AND binned IS NULL ORDER BY number",
        (pot,),
    )
    return [r["code"] for r in rows]


def swatches_from_pot(db: sqlite3.Connection, names: Sequence[str]) -> list[str]:
    """Codes of what was dyed in the liquor of a pot that is called by one of these names."""
    wanted = ", ".join("?" * len(names))
    rows = db.execute(
        "SELECT DISTINCT swatch.code, swatch.number FROM step "
        "JOIN swatch ON swatch.code = step.swatch OR swatch.lot = step.lot "
        f"WHERE step.pot IN ({wanted}) AND binned IS NULL ORDER BY swatch.number",
        tuple(names),
    )
    return [r["code"] for r in rows]


def is_lot(db: sqlite3.Connection, name: str) -> bool:
    """Whether a lot of this name is on record."""
    return db.execute("SELECT 1 FROM lot WHERE name = ?", (name,)).fetchone() is not None


def _free_name(db: sqlite3.Connection) -> str:
    day = time_now().date().isoformat()
    number = 1
    while is_lot(db, f"{day}-{number}"):
        number += 1
    return f"{day}-{number}"
