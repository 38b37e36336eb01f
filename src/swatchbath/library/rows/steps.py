"""Steps and their materials, to and from the library's tables."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from dataclasses import astuple, fields, replace
from typing import Any, Literal

from ...bath.step import Material, Step
from ...characters import kept
from ...errors import BadValue

# Columns of the table that are called as the fields of a step are.
_COLUMNS = tuple(f.name for f in fields(Step) if f.name != "materials")
# Steps belong to a whole pot, or to one swatch.
Owner = Literal["lot", "swatch"]


def check_steps(steps: Any) -> tuple[Step, ...]:
    """Steps as given from Python; BadValue where one is none."""
    if isinstance(steps, str | Step) or not isinstance(steps, Sequence):
        raise BadValue("The steps of a bath are a list of Step; say [Step('dye', ...)].")
    for step in steps:
        if not isinstance(step, Step):
            raise BadValue(
                f"{step!r} is no step of a bath; say Step('dye', [Material('dyestuff', 'weld')])."
            )
    return tuple(map(_kept, steps))


def add_steps(db: sqlite3.Connection, owner: Owner, key: str, steps: Sequence[Step]) -> None:
    """Write the steps of a lot (by name) or swatch (by code), in order."""
    for position, step in enumerate(map(_kept, steps)):
        cursor = db.execute(
            f"INSERT INTO step ({owner}, position, {', '.join(_COLUMNS)}) "
            f"VALUES ({', '.join('?' * (2 + len(_COLUMNS)))})",
            (key, position, *(_plain(getattr(step, n)) for n in _COLUMNS)),
        )
        for place, m in enumerate(step.materials):
            db.execute(
                "INSERT INTO material (step, position, role, name, owf, form, dyestuff_lot, "
                "how_known, strip, told) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                (cursor.lastrowid, place, *(_plain(value) for value in astuple(m))),
            )


def names_used(db: sqlite3.Connection) -> list[str]:
    """The names of all materials on record."""
    return [r["name"] for r in db.execute("SELECT DISTINCT name FROM material ORDER BY name")]


def replace_steps(db: sqlite3.Connection, owner: Owner, key: str, steps: Sequence[Step]) -> None:
    """Write the steps of a lot or a swatch in place of those it has."""
    ours = f"SELECT id FROM step WHERE {owner} = ?"
    db.execute(f"DELETE FROM material WHERE step IN ({ours})", (key,))
    db.execute(f"DELETE FROM step WHERE {owner} = ?", (key,))
    add_steps(db, owner, key, steps)


def _plain(value: Any) -> Any:
    """A number of any library's kind as Python's own."""
    return value if value is None or isinstance(value, str | bool) else float(value)


def _kept(step: Step) -> Step:
    """A step with its texts as they are put on record (`characters`)."""
    materials = tuple(_kept_texts(m) for m in step.materials)
    whole: Step = _kept_texts(step)
    return whole if materials == step.materials else replace(whole, materials=materials)


def _kept_texts(told: Any) -> Any:
    odd = {
        f.name: kept(text)
        for f in fields(told)
        if isinstance(text := getattr(told, f.name), str) and kept(text) != text
    }
    return replace(told, **odd) if odd else told


def read_steps(db: sqlite3.Connection, owner: Owner, key: str) -> tuple[Step, ...]:
    """The steps of a lot (by name) or swatch (by code), in order."""
    return steps_of_many(db, owner, [key]).get(key, ())


def steps_of_many(
    db: sqlite3.Connection, owner: Owner, keys: Sequence[str]
) -> dict[str, tuple[Step, ...]]:
    """The steps of lots or swatches by their key; those without a step are absent."""
    marks = ", ".join("?" * len(keys))
    held: dict[int, list[Material]] = {}
    for m in db.execute(
        f"SELECT material.* FROM step JOIN material ON material.step = step.id "
        f"WHERE step.{owner} IN ({marks}) ORDER BY material.step, material.position",
        tuple(keys),
    ):
        held.setdefault(m["step"], []).append(
            Material(
                m["role"],
                m["name"],
                m["owf"],
                m["form"],
                m["dyestuff_lot"],
                bool(m["how_known"]),
                m["strip"],
                m["told"],
            )
        )
    found: dict[str, list[Step]] = {}
    for row in db.execute(
        f"SELECT * FROM step WHERE {owner} IN ({marks}) ORDER BY {owner}, position", tuple(keys)
    ):
        bath = {name: row[name] for name in _COLUMNS}
        step = Step(materials=tuple(held.get(row["id"], ())), **bath)
        found.setdefault(row[owner], []).append(step)
    return {key: tuple(steps) for key, steps in found.items()}
