"""Steps and their materials, to and from the library's tables."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from typing import Any, Literal

from ..bath.steps import Material, Step
from ..errors import BadValue

_COLUMNS = (
    "pH",
    "temperature_C",
    "minutes",
    "liquor_ratio",
    "bath_number",
    "water",
    "vessel",
)
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
    return tuple(steps)


def add_steps(db: sqlite3.Connection, owner: Owner, key: str, steps: Sequence[Step]) -> None:
    """Write the steps of a lot (by name) or swatch (by code), in order."""
    for position, step in enumerate(steps):
        cursor = db.execute(
            f"INSERT INTO step ({owner}, position, kind, note, {', '.join(_COLUMNS)}) "
            "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
            (key, position, step.kind, step.note, *(_plain(getattr(step, n)) for n in _COLUMNS)),
        )
        for place, m in enumerate(step.materials):
            db.execute(
                "INSERT INTO material (step, position, role, name, owf, form, dyestuff_lot, "
                "how_known) VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
                (
                    cursor.lastrowid,
                    place,
                    m.role,
                    m.name,
                    _plain(m.owf),
                    m.form,
                    m.lot,
                    int(m.how_known),
                ),
            )


def _plain(value: Any) -> Any:
    """A number of any library's kind as Python's own."""
    return value if value is None or isinstance(value, str) else float(value)


def read_steps(db: sqlite3.Connection, owner: Owner, key: str) -> tuple[Step, ...]:
    """The steps of a lot (by name) or swatch (by code), in order."""
    steps = []
    for row in db.execute(f"SELECT * FROM step WHERE {owner} = ? ORDER BY position", (key,)):
        materials = tuple(
            Material(
                m["role"],
                m["name"],
                m["owf"],
                m["form"],
                m["dyestuff_lot"],
                bool(m["how_known"]),
            )
            for m in db.execute(
                "SELECT * FROM material WHERE step = ? ORDER BY position", (row["id"],)
            )
        )
        bath = {name: row[name] for name in _COLUMNS}
        steps.append(Step(row["kind"], materials, note=row["note"], **bath))
    return tuple(steps)
