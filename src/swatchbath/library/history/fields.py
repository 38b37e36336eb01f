"""What is on record about a swatch, a lot or a reading as plain fields, read and written whole.

Changes are kept as the fields that differ, so that any of them can be put back exactly.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Mapping, Sequence
from dataclasses import fields
from typing import Any, Literal

from ...bath.step import Material, Step
from ...bath.steps import conditions_of
from ..rows.steps import Owner, read_steps, replace_steps

RecordKind = Literal["swatch", "lot", "dyestuff lot", "reading", "photo", "kept piece", "judgement"]

_TABLE = {
    "swatch": "swatch", "lot": "lot", "dyestuff lot": "dyestuff_lot", "reading": "measurement",
    "photo": "photo", "kept piece": "kept_piece", "judgement": "setting",
}  # fmt: skip
_KEY = {
    "swatch": "code", "lot": "name", "dyestuff lot": "name", "reading": "id", "photo": "id",
    "kept piece": "id", "judgement": "name",
}  # fmt: skip
# What is fixed once and for all: a code never changes meaning, and a reading is never retouched by
# hand.
_FIXED = {
    "swatch": ("code", "number", "added"),
    "lot": ("name", "added"),
}
_SOME = {
    "reading": ("swatch", "state", "binned"),
    "photo": ("camera_name",),
    "dyestuff lot": ("extra",),
    "kept piece": ("name", "within", "lies", "judged", "binned"),
    "judgement": ("value",),
}
# A field of a reading that is its colour with all that goes with it, made anew from its photo.
COLOUR = "colour"
_OF_A_COLOUR = (
    "rung", "light", "observer", "L", "a", "b", "repeatability", "trueness", "shared", "degrees",
    "checks", "notes", "spectrum",
)  # fmt: skip
# A field of a reading that is the names of the sources of its error, in the order they are kept
# in: whose camera, which sitting. Under new names their loadings stay as they are.
SOURCES = "sources"


def read(db: sqlite3.Connection, target: RecordKind, key: str) -> dict[str, Any]:
    """The fields of what `key` names, as values JSON can hold; empty where it is not there."""
    wanted = ", ".join(_SOME.get(target, ("*",)))
    row = db.execute(
        f"SELECT {wanted} FROM {_TABLE[target]} WHERE {_KEY[target]} = ?", (key,)
    ).fetchone()
    if row is None:
        return {}
    known = {name: row[name] for name in row.keys() if name not in _FIXED.get(target, ())}
    if target in _SOME:
        return known
    owner: Owner = "lot" if target == "lot" else "swatch"
    known["steps"] = steps_as_values(read_steps(db, owner, key))
    if target == "swatch":
        rows = db.execute(
            "SELECT photo, what, added FROM shown WHERE swatch = ? ORDER BY photo, what", (key,)
        )
        known["shown"] = [list(r) for r in rows]
    return known


def read_colour(db: sqlite3.Connection, key: str) -> dict[str, Any]:
    """A reading's colour with all that goes with it, as its columns hold it."""
    row = db.execute(
        f"SELECT {', '.join(_OF_A_COLOUR)} FROM measurement WHERE id = ?", (key,)
    ).fetchone()
    return dict(zip(_OF_A_COLOUR, row, strict=True))


def read_sources(db: sqlite3.Connection, key: str) -> list[str]:
    """The names of the sources of a reading's error, in order."""
    row = db.execute("SELECT shared FROM measurement WHERE id = ?", (key,)).fetchone()
    return list(json.loads(row["shared"]))


def holds(
    db: sqlite3.Connection, target: RecordKind, key: str, field: str, known: Mapping[str, Any],
    value: Any,
) -> bool:  # fmt: skip
    """Whether a field is what a change made of it. known : what `read` gave.

    Of a colour a change keeps what it was, and of the new one L, a, b only.
    """
    if field == COLOUR:
        now = read_colour(db, key)
        return all(now[axis] == value[axis] for axis in "Lab")
    if field == SOURCES:
        return bool(read_sources(db, key) == value)
    return bool(known.get(field) == value)


def write(db: sqlite3.Connection, target: RecordKind, key: str, values: Mapping[str, Any]) -> None:
    """Put fields as `read` gives them back; those that are not named stay as they are."""
    values = dict(values)
    values |= values.pop(COLOUR, {})
    if SOURCES in values:
        values["shared"] = _with_names(db, key, values.pop(SOURCES))
    columns = {n: v for n, v in values.items() if n not in ("steps", "shown")}
    if columns:
        db.execute(
            f"UPDATE {_TABLE[target]} SET {', '.join(f'{n} = ?' for n in columns)} "
            f"WHERE {_KEY[target]} = ?",
            (*columns.values(), key),
        )
    if "steps" in values:
        owner: Owner = "lot" if target == "lot" else "swatch"
        replace_steps(db, owner, key, steps_from_values(values["steps"]))
    if "shown" in values:
        db.execute("DELETE FROM shown WHERE swatch = ?", (key,))
        db.executemany(
            "INSERT INTO shown (photo, swatch, what, added) VALUES (?, ?, ?, ?)",
            [(photo, key, what, added) for photo, what, added in values["shown"]],
        )


def _with_names(db: sqlite3.Connection, key: str, names: Sequence[str]) -> str:
    row = db.execute("SELECT shared FROM measurement WHERE id = ?", (key,)).fetchone()
    return json.dumps(dict(zip(names, json.loads(row["shared"]).values(), strict=True)))


def column_changes(
    before: Mapping[str, Any], after: Mapping[str, Any]
) -> dict[str, tuple[Any, Any]]:
    """The condition columns that differ between two states of the same steps: before, after."""
    old, new = (conditions_of(steps_from_values(of.get("steps", ())), {}) for of in (before, after))
    return {n: (old.get(n), new.get(n)) for n in {**old, **new} if old.get(n) != new.get(n)}


def steps_as_values(steps: Sequence[Step]) -> list[dict[str, Any]]:
    """Steps as values JSON can hold; what is as nobody told it is left out."""
    out = []
    for step in steps:
        values = _as_values(step)
        values["materials"] = [_as_values(m) for m in step.materials]
        out.append(values)
    return out


def steps_from_values(values: Sequence[Mapping[str, Any]]) -> tuple[Step, ...]:
    """The reverse of `steps_as_values`."""
    return tuple(
        Step(
            **{k: v for k, v in step.items() if k != "materials"},
            materials=tuple(Material(**m) for m in step["materials"]),
        )
        for step in values
    )


def _as_values(of: Step | Material) -> dict[str, Any]:
    return {
        f.name: getattr(of, f.name)
        for f in fields(of)
        if f.name != "materials" and getattr(of, f.name) != f.default
    }
