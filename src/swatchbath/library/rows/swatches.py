"""Swatches, to and from the library's table."""

from __future__ import annotations

import itertools
import json
import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from ...bath.step import Step
from ...bath.steps import FIBRE_COLUMNS, conditions_of
from ...characters import is_text
from ...errors import BadValue, LibraryError, NotFound
from ..codes import MOST, code, is_code, parse_code
from .kept import kept_of_dyestuff_lots, kept_of_lots
from .lots import is_lot, sessions_of
from .measurements import readings_of_many
from .photo_links import shown_of_many
from .steps import add_steps, check_steps, steps_of_many
from .swatch import Swatch, as_json, check_fibre, check_name

# How many are read together: under the number of values SQLite takes in one statement.
_AT_ONCE = 500
# What comes of a row that holds what no row can: a damaged one, or one that others wrote.
UNREADABLE = (ValueError, TypeError, KeyError, IndexError, AttributeError, RecursionError)
RESTORE = "restore the last backup into a new folder: swatchbath restore FILE FOLDER"
# A setting: where on the ring of all codes a library begins (`schema` draws it).
CODE_START = "code start"
# So many codes may be on a sheet or on tags ahead of their swatches. Our own choice.
_SOON = 100


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
    typed: str,
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
    number, key = next(_coming(db))
    db.execute(
        "INSERT INTO swatch (code, number, name, lot, part, session, extra, typed, added, "
        f"{', '.join(FIBRE_COLUMNS)}) VALUES ({', '.join('?' * (9 + len(FIBRE_COLUMNS)))})",
        (key, number, name, lot, part, session, extra, typed, now, *map(fibre.get, FIBRE_COLUMNS)),
    )
    add_steps(db, "swatch", key, steps)
    return key


def next_codes(db: sqlite3.Connection, count: int) -> list[str]:
    """The codes that the next swatches will get, in order."""
    return [key for _, key in itertools.islice(_coming(db), count)]


def _coming(db: sqlite3.Connection) -> Iterator[tuple[int, str]]:
    """Running number and code of the next swatches."""
    start = code_start(db)
    for number in itertools.count(_next_number(db)):
        key = code(number, start)
        if not by_name(db, key):  # names were free to look like codes once
            yield number, key


def code_start(db: sqlite3.Connection) -> int:
    """Where a library's codes begin: at a place of its own, and at 0 in those of earlier layouts,
    which all gave out the same codes."""
    row = db.execute("SELECT value FROM setting WHERE name = ?", (CODE_START,)).fetchone()
    return 0 if row is None else int(row["value"])


def start_codes(db: sqlite3.Connection, start: int) -> None:
    """Let the codes of a library begin at a place; LibraryError once it has given one out."""
    if _next_number(db):
        raise LibraryError("This library has given out codes, so they begin where they begin.")
    db.execute("INSERT OR REPLACE INTO setting VALUES (?, ?)", (CODE_START, str(start % MOST)))


def _next_number(db: sqlite3.Connection) -> int:
    """The running number after all that were ever given out, those gone for good too."""
    row = db.execute(
        "SELECT max(coalesce((SELECT max(number) FROM swatch), -1), "
        "coalesce((SELECT max(number) FROM spent_code), -1)) + 1"
    ).fetchone()
    return int(row[0])


def describe(
    db: sqlite3.Connection,
    key: str,
    *,
    name: str | None = None,
    lot: str | None = None,
    part: str | None = None,
    session: str | None = None,
    steps: Sequence[Step] = (),
    fibre: Mapping[str, Any] | None = None,
    extra: Mapping[str, Any] | None = None,
    typed: Mapping[str, str] | None = None,
) -> None:
    """Fill in what is not told of a swatch yet; a name it has stays. Raises BadValue, NotFound."""
    found = read_swatch(db, key)
    if found.has_bath:
        raise BadValue(f"The bath of swatch {key} is on record already. Nothing was changed.")
    called = check_name(name)
    if called is not None and by_name(db, called) not in (None, key):
        raise BadValue(f"There is a swatch called {called} already. Give this one another name.")
    if lot is not None and not is_lot(db, lot):
        raise NotFound(f"There is no lot {lot}; record the lot first.")
    if lot is not None and session is not None:
        raise BadValue("The dye day of a swatch with a lot is its lot's; give it there.")
    known = {"name": called or found.name, "lot": lot, "part": part, "session": session}
    before = json.loads(
        db.execute("SELECT extra FROM swatch WHERE code = ?", (key,)).fetchone()["extra"]
    )
    known |= {"extra": as_json(before | dict(extra or {})), "typed": as_json(typed)}
    known |= check_fibre(fibre)
    db.execute(
        f"UPDATE swatch SET {', '.join(f'{name} = ?' for name in known)} WHERE code = ?",
        (*known.values(), key),
    )
    add_steps(db, "swatch", key, check_steps(steps))


def read_swatch(db: sqlite3.Connection, key: str) -> Swatch:
    """The swatch with the code `key`, which must be there."""
    return read_swatches(db, [key])[0]


def read_swatches(db: sqlite3.Connection, keys: Sequence[str]) -> list[Swatch]:
    """The swatches with these codes, in their order; those that are not there are left out."""
    found: dict[str, Swatch] = {}
    for start in range(0, len(keys), _AT_ONCE):
        some = keys[start : start + _AT_ONCE]
        try:
            found |= _read_some(db, some)
        except (BadValue, *UNREADABLE) as error:
            for key in some if len(some) > 1 else ():
                read_swatches(db, [key])  # says which it is
            raise LibraryError(
                f"What is on record about swatch {some[0]} cannot be read. swatchbath verify tells "
                f"more; {RESTORE}"
            ) from error
    return [found[key] for key in keys if key in found]


def _read_some(db: sqlite3.Connection, keys: Sequence[str]) -> dict[str, Swatch]:
    rows = db.execute(
        f"SELECT * FROM swatch WHERE code IN ({', '.join('?' * len(keys))})", tuple(keys)
    ).fetchall()
    lots = sorted({r["lot"] for r in rows if r["lot"] is not None})
    days = sessions_of(db, lots)
    pots, own = steps_of_many(db, "lot", lots), steps_of_many(db, "swatch", keys)
    read = readings_of_many(db, keys)
    shown = shown_of_many(db, keys)
    beside = kept_of_lots(db, lots)
    named = {m.lot for steps in (*pots.values(), *own.values()) for s in steps for m in s.materials}
    deliveries = kept_of_dyestuff_lots(db, sorted(n for n in named if n))
    found = {}
    for row in rows:
        key = row["code"]
        steps = pots.get(row["lot"], ()) + own.get(key, ())
        conditions = conditions_of(steps, {k: row[k] for k in FIBRE_COLUMNS})
        every = read.get(key, ())
        its = [(r, r.measured) for r in every if r.measured is not None]
        found[key] = Swatch(
            code=key,
            name=row["name"],
            lot=row["lot"],
            part=row["part"],
            session=row["session"] if row["lot"] is None else days.get(row["lot"]),
            steps=steps,
            conditions=conditions | json.loads(row["extra"]),
            measurements=tuple((r.state, r.photo, measured) for r, measured in its),
            added=row["added"],
            typed=json.loads(row["typed"]),
            days=tuple(r.days for r, _ in its),
            shown=shown.get(key, ()),
            numbers=tuple(r.number for r, _ in its),
            damaged=tuple(r.number for r in every if r.measured is None),
            lot_kept=beside.get(row["lot"], {}),
            dyestuff_lots_kept={
                m.lot: deliveries[m.lot]
                for step in steps
                for m in step.materials
                if m.lot in deliveries
            },
        )
    return found


def code_of(db: sqlite3.Connection, key: Any, where: str) -> str:
    """The code of a swatch named by its code or by its own name. Raises NotFound, BadValue.

    where : the library's folder, for the sentence.
    """
    if not isinstance(key, str) or not key.strip():
        raise BadValue(f"{key!r} is no swatch; give its code or its name.")
    if not is_text(key):
        raise BadValue(f"'{key}' holds bytes that are no text. Type the code or the name again.")
    typed = key.strip()
    found = by_name(db, key) or by_name(db, typed)
    if not found and is_code(typed):
        typed = parse_code(typed)
        found = typed if is_there(db, typed) else None
        if not found and _is_spent(db, typed):
            raise NotFound(
                f"Swatch {typed} was in the bin when it was emptied, and is gone for good; its "
                "code is not given again."
            )
        if not found and typed in next_codes(db, _SOON):
            raise NotFound(
                f"There is no swatch {typed} in the library {where} yet; it is among the codes "
                "that its next swatches will get. Record the swatch first."
            )
        if not found:
            raise NotFound(
                f"There is no swatch {typed} in the library {where}: {typed} is no code that it "
                "gave out. Was its tag or sheet printed for another library? Then name that one "
                "with --library; else give codes out with swatchbath codes before they go on tags."
            )
    if found and _is_binned(db, found):
        called = found if found == typed else f"{typed} ({found})"
        raise NotFound(
            f"Swatch {called} is in the bin. To take it out: swatchbath bin {found} --take-out"
        )
    if found:
        return found
    if len(typed) == 5:
        parse_code(typed)  # says which character cannot be right
    raise NotFound(f"There is no swatch with the code or name '{typed}' in the library {where}.")


def _is_binned(db: sqlite3.Connection, key: str) -> bool:
    row = db.execute("SELECT binned FROM swatch WHERE code = ?", (key,)).fetchone()
    return row["binned"] is not None


def _is_spent(db: sqlite3.Connection, key: str) -> bool:
    return db.execute("SELECT 1 FROM spent_code WHERE code = ?", (key,)).fetchone() is not None


def by_name(db: sqlite3.Connection, name: str) -> str | None:
    """The code of the swatch the dyer calls so, or None."""
    row = db.execute("SELECT code FROM swatch WHERE name = ?", (name,)).fetchone()
    return None if row is None else str(row["code"])


def is_there(db: sqlite3.Connection, key: str) -> bool:
    """Whether a swatch of this code is on record."""
    return db.execute("SELECT 1 FROM swatch WHERE code = ?", (key,)).fetchone() is not None
