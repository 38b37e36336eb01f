"""Measurements, to and from the library's table."""

from __future__ import annotations

import base64
import json
import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from ...colorimetry.lab import Array
from ...colorimetry.measurement import Check, Measurement
from ...errors import BadValue


def check_mark(mark: Any) -> list[float] | None:
    """Where a swatch is in its photo: x, y, half, or None. Raises BadValue."""
    if mark is None:
        return None
    try:
        place = [float(v) for v in mark]
    except (TypeError, ValueError):
        place = []
    if len(place) != 3 or not np.isfinite(place).all():
        raise BadValue(f"The mark is {mark!r}; give x, y, half in pixels, or None.")
    return place


def check_days(days: Any) -> float | None:
    """Days since dyeing, or None. Raises BadValue."""
    if days is None:
        return None
    if isinstance(days, bool) or not isinstance(days, int | float) or not 0 <= days < 1e5:
        raise BadValue(f"The days since dyeing are {days!r}; give a number of days, or None.")
    return float(days)


def add_measurement(
    db: sqlite3.Connection,
    key: str,
    measured: Measurement,
    *,
    state: str,
    photo: str | None,
    mark: Sequence[float] | None,
    days: float | None = None,
    now: str,
) -> str:
    """Write a reading of the swatch with the code `key`; returns its id."""
    cursor = db.execute(
        "INSERT INTO measurement (swatch, photo, state, rung, light, observer, L, a, b, "
        "repeatability, trueness, shared, checks, notes, mark, days, added) "
        "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        (
            key,
            photo,
            state,
            measured.rung,
            measured.light,
            measured.observer,
            *(float(v) for v in measured.lab),
            json.dumps(measured.repeatability.tolist()),
            json.dumps(measured.trueness.tolist()),
            json.dumps({k: _packed(v) for k, v in measured.shared.items()}),
            json.dumps(
                [[c.name, c.level, c.sentence, c.remedy] for c in measured.checks],
                ensure_ascii=False,
            ),
            json.dumps(measured.notes, ensure_ascii=False),
            None if mark is None else json.dumps(list(mark)),
            days,
            now,
        ),
    )
    return str(cursor.lastrowid)


@dataclass(frozen=True)
class Reading:
    """A reading as it is on record. photo : the file name of its photo. days : since dyeing."""

    state: str
    photo: str | None
    measured: Measurement
    days: float | None


def readings_of_many(db: sqlite3.Connection, keys: Sequence[str]) -> dict[str, list[Reading]]:
    """The readings of swatches by code, oldest first, without those in the bin."""
    found: dict[str, list[Reading]] = {}
    for r in db.execute(
        "SELECT measurement.*, photo.name AS photo_name FROM measurement "
        "LEFT JOIN photo ON photo.id = measurement.photo "
        f"WHERE swatch IN ({', '.join('?' * len(keys))}) AND measurement.binned IS NULL "
        "ORDER BY measurement.id",
        tuple(keys),
    ):
        one = Reading(r["state"], r["photo_name"], _measurement(r), r["days"])
        found.setdefault(r["swatch"], []).append(one)
    return found


def _measurement(row: sqlite3.Row) -> Measurement:
    return Measurement(
        [row["L"], row["a"], row["b"]],
        json.loads(row["repeatability"]),
        trueness=json.loads(row["trueness"]),
        shared={k: _unpacked(v) for k, v in json.loads(row["shared"]).items()},
        rung=row["rung"],
        light=row["light"],
        observer=row["observer"],
        photo=row["photo"],
        checks=tuple(Check(*c) for c in json.loads(row["checks"])),
        notes=tuple(json.loads(row["notes"])),
    )


def _packed(loading: Array) -> str:
    """A loading (3, K) as text a fifth as long as its figures; exact to 7 digits."""
    return base64.b64encode(loading.astype("<f4").tobytes()).decode("ascii")


def _unpacked(text: str) -> Array:
    return np.frombuffer(base64.b64decode(text), dtype="<f4").reshape(3, -1).astype(float)
