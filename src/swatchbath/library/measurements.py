"""Measurements, to and from the library's table."""

from __future__ import annotations

import base64
import json
import sqlite3
from collections.abc import Sequence
from typing import Any

import numpy as np

from ..colorimetry.lab import Array
from ..colorimetry.measured import Check, Measurement
from ..errors import BadValue


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


def add_measurement(
    db: sqlite3.Connection,
    key: str,
    measured: Measurement,
    *,
    state: str,
    photo: str | None,
    mark: Sequence[float] | None,
    now: str,
) -> None:
    """Write a reading of the swatch with the code `key`."""
    db.execute(
        "INSERT INTO measurement (swatch, photo, state, rung, light, observer, L, a, b, "
        "repeatability, trueness, shared, checks, notes, mark, added) "
        "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
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
            now,
        ),
    )


def read_measurements(
    db: sqlite3.Connection, key: str
) -> tuple[tuple[str, str | None, Measurement], ...]:
    """The readings of a swatch, oldest first: state, the photo's file name, the reading."""
    rows = db.execute(
        "SELECT measurement.*, photo.name AS photo_name FROM measurement "
        "LEFT JOIN photo ON photo.id = measurement.photo WHERE swatch = ? ORDER BY measurement.id",
        (key,),
    )
    return tuple((r["state"], r["photo_name"], _measurement(r)) for r in rows)


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
