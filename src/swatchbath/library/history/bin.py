"""The bin: swatches and readings that were taken off the record, until it is emptied on purpose."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from ...errors import BadValue, NotFound
from ..codes import is_code, parse_code
from .changes import Value, differences
from .fields import RecordKind, read, write

Note = Callable[[Value], None]


@dataclass(frozen=True)
class Binned:
    """Something in the bin. code, name : of the swatch. reading : its number among the swatch's
    readings, oldest 1; None for the swatch as a whole. when : it was put there. what : in words."""

    code: str
    name: str | None
    reading: int | None
    when: str
    what: str


@dataclass(frozen=True)
class Emptied:
    """What is gone for good: codes that are not given again, and how many readings and photos."""

    codes: tuple[str, ...]
    readings: int
    photos: int


def put_in(db: sqlite3.Connection, key: str, reading: int | None, note: Note, now: str) -> None:
    """Put a swatch, or one of its readings, in the bin."""
    if reading is None:
        _set(db, "swatch", key, now, note)
    else:
        _set(db, "reading", reading_of(db, key, reading), now, note)


def take_out(db: sqlite3.Connection, key: str, reading: int | None, note: Note) -> None:
    """Take a swatch, or one of its readings, out of the bin."""
    _set(db, *_in_bin(db, key, reading), None, note)


def code_in_bin(db: sqlite3.Connection, key: Any) -> str | None:
    """The code of the swatch in the bin that a code or name means, or None."""
    if not isinstance(key, str):
        return None
    typed = key.strip()
    code = parse_code(typed) if is_code(typed) else typed
    row = db.execute(
        "SELECT code FROM swatch WHERE binned IS NOT NULL AND (code = ? OR name = ?)", (code, typed)
    ).fetchone()
    return None if row is None else str(row["code"])


def listed(db: sqlite3.Connection) -> list[Binned]:
    """What is in the bin, the latest first."""
    rows = db.execute(
        "SELECT code, name, NULL AS reading, binned, lot, "
        "(SELECT count(*) FROM measurement AS m WHERE m.swatch = code AND m.binned IS NULL) AS n, "
        "NULL AS state FROM swatch WHERE binned IS NOT NULL UNION ALL "
        "SELECT swatch.code, swatch.name, measurement.id, measurement.binned, NULL, 0, state "
        "FROM measurement JOIN swatch ON swatch.code = measurement.swatch "
        "WHERE measurement.binned IS NOT NULL ORDER BY binned DESC, code"
    ).fetchall()
    out = []
    for row in rows:
        if row["reading"] is None:
            lot = f" of lot {row['lot']}" if row["lot"] else ""
            count = "no" if row["n"] == 0 else row["n"]
            what = f"swatch{lot} with {count} reading{'' if row['n'] == 1 else 's'}"
            number = None
        else:
            number = _readings(db, row["code"]).index(str(row["reading"])) + 1
            what = f"reading {number}, {row['state']}"
        out.append(Binned(row["code"], row["name"], number, row["binned"], what))
    return out


def empty(db: sqlite3.Connection, now: str) -> tuple[Emptied, list[str]]:
    """Remove for good what is in the bin; returns what, and the files of photos nothing names any
    more. The codes are kept, so that none of them is ever given to another swatch."""
    gone = [(r["code"], r["number"]) for r in db.execute(
        "SELECT code, number FROM swatch WHERE binned IS NOT NULL ORDER BY number"
    )]  # fmt: skip
    codes = [code for code, _ in gone]
    readings = [str(r["id"]) for r in db.execute(
        "SELECT id FROM measurement WHERE binned IS NOT NULL OR swatch IN "
        "(SELECT code FROM swatch WHERE binned IS NOT NULL)"
    )]  # fmt: skip
    seen = {r["photo"] for r in _each(db, "SELECT photo FROM measurement WHERE id = ?", readings)}
    seen |= {r["photo"] for r in _each(db, "SELECT photo FROM shown WHERE swatch = ?", codes)}
    _forget(db, "reading", readings)
    _forget(db, "swatch", codes)
    _each(db, "DELETE FROM measurement WHERE id = ?", readings)
    _each(db, "DELETE FROM shown WHERE swatch = ?", codes)
    _each(db, "DELETE FROM material WHERE step IN (SELECT id FROM step WHERE swatch = ?)", codes)
    _each(db, "DELETE FROM step WHERE swatch = ?", codes)
    _each(db, "DELETE FROM swatch WHERE code = ?", codes)
    db.executemany("INSERT INTO spent_code VALUES (?, ?, ?)", [(c, n, now) for c, n in gone])
    photos = sorted(p for p in seen if p)
    # A photo of a blank sheet is kept for the photos that are read with it.
    photos += sorted({b for p in photos if (b := _blank_of(db, p))} - set(photos))
    files = [f for photo in photos if (f := _let_go(db, photo))]
    return Emptied(tuple(codes), len(readings), len(files)), files


def reading_of(db: sqlite3.Connection, key: str, number: int) -> str:
    """The id of a swatch's reading by its number, oldest 1. Raises NotFound."""
    ids = _readings(db, key)
    if not 1 <= number <= len(ids):
        has = f"it has {len(ids)}" if ids else "it has none"
        raise NotFound(f"Swatch {key} has no reading {number}; {has}.")
    return ids[number - 1]


def _readings(db: sqlite3.Connection, key: str) -> list[str]:
    rows = db.execute("SELECT id FROM measurement WHERE swatch = ? ORDER BY id", (key,))
    return [str(r["id"]) for r in rows]


def _in_bin(db: sqlite3.Connection, key: str, reading: int | None) -> tuple[RecordKind, str]:
    code = code_in_bin(db, key)
    if reading is None:
        if code is None:
            raise NotFound(f"There is no swatch '{key}' in the bin. swatchbath bin lists it.")
        return "swatch", code
    return "reading", reading_of(db, key, reading)


def _set(
    db: sqlite3.Connection, target: RecordKind, key: str, when: str | None, note: Note
) -> None:
    before = read(db, target, key)
    if (before["binned"] is None) == (when is None):
        where = "not in the bin" if when is None else "in the bin already"
        raise BadValue(f"The {target} {'' if target == 'reading' else key + ' '}is {where}.")
    write(db, target, key, {"binned": when})
    for value in differences(target, key, before, read(db, target, key)):
        note(value)


def _forget(db: sqlite3.Connection, target: RecordKind, keys: Iterable[str]) -> None:
    for key in keys:
        db.execute("DELETE FROM change_value WHERE target = ? AND key = ?", (target, key))


def _each(db: sqlite3.Connection, statement: str, keys: Iterable[str]) -> list[sqlite3.Row]:
    return [row for key in keys for row in db.execute(statement, (key,))]


def _blank_of(db: sqlite3.Connection, photo: str) -> str | None:
    """The photo of a blank sheet that tells how the light fell on another photo."""
    row = db.execute(
        "SELECT blank.id FROM photo JOIN photo AS blank "
        "ON json_valid(photo.frame) AND blank.id = json_extract(photo.frame, '$.blank') "
        "WHERE photo.id = ?",
        (photo,),
    ).fetchone()
    return None if row is None else str(row["id"])


def _let_go(db: sqlite3.Connection, photo: str) -> str | None:
    """Take a photo off the record where nothing tells of it any more; returns its file."""
    kept = db.execute(
        "SELECT EXISTS (SELECT 1 FROM measurement WHERE photo = ?1) OR "
        "EXISTS (SELECT 1 FROM shown WHERE photo = ?1) OR "
        "EXISTS (SELECT 1 FROM swatch WHERE instr(extra, ?1)) OR "
        "EXISTS (SELECT 1 FROM photo WHERE instr(frame, ?1)) OR "
        "EXISTS (SELECT 1 FROM change_value WHERE instr(old, ?1) OR instr(new, ?1))",
        (photo,),
    ).fetchone()[0]
    if kept:
        return None
    row = db.execute("SELECT file FROM photo WHERE id = ?", (photo,)).fetchone()
    _forget(db, "photo", [photo])
    db.execute("DELETE FROM photo WHERE id = ?", (photo,))
    return str(row["file"])
