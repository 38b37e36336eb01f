"""Measurements, to and from the library's table."""

from __future__ import annotations

import json
import sqlite3
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from ...colorimetry.measurement import Check, Measurement
from ...colorimetry.spectrum import Spectrum
from ...errors import BadValue
from ..connection import lenient_text
from .loadings import packed, unpacked


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
    columns = {
        "swatch": key,
        "photo": photo,
        "state": state,
        **colour_columns(measured),
        "mark": None if mark is None else json.dumps(list(mark)),
        "days": days,
        "added": now,
    }
    cursor = db.execute(
        f"INSERT INTO measurement ({', '.join(columns)}) VALUES ({', '.join('?' * len(columns))})",
        tuple(columns.values()),
    )
    return str(cursor.lastrowid)


def colour_columns(measured: Measurement) -> dict[str, Any]:
    """A colour with its doubt and how it was come by, as the table has it."""
    L, a, b = (float(v) for v in measured.lab)
    checks = [[c.name, c.level, c.sentence, c.remedy] for c in measured.checks]
    return {
        "rung": measured.rung,
        "light": measured.light,
        "observer": measured.observer,
        "L": L,
        "a": a,
        "b": b,
        "repeatability": json.dumps(measured.repeatability.tolist()),
        "trueness": json.dumps(measured.trueness.tolist()),
        "shared": json.dumps({k: packed(v) for k, v in measured.shared.items()}),
        "degrees": measured.degrees if np.isfinite(measured.degrees) else None,
        "checks": json.dumps(checks, ensure_ascii=False),
        "notes": json.dumps(measured.notes, ensure_ascii=False),
        "spectrum": _spectrum_cell(measured.spectrum),
    }


def _spectrum_cell(spectrum: Spectrum | None) -> str | None:
    if spectrum is None:
        return None
    return json.dumps([spectrum.start, spectrum.step, spectrum.values.tolist()])


@dataclass(frozen=True)
class StoredReading:
    """A reading as it is on record. number : among those of its swatch, oldest 1. photo : the file
    name of its photo. measured : None where a cell of it is damaged. days : since dyeing."""

    number: int
    state: str
    photo: str | None
    measured: Measurement | None
    days: float | None


def readings_of_many(db: sqlite3.Connection, keys: Sequence[str]) -> dict[str, list[StoredReading]]:
    """The readings of swatches by code, oldest first, without those in the bin."""
    found: dict[str, list[StoredReading]] = {}
    numbers: Counter[str] = Counter()
    with lenient_text(db):
        rows = db.execute(
            "SELECT measurement.*, photo.name AS photo_name FROM measurement "
            "LEFT JOIN photo ON photo.id = measurement.photo "
            f"WHERE swatch IN ({', '.join('?' * len(keys))}) ORDER BY measurement.id",
            tuple(keys),
        ).fetchall()
    for r in rows:
        numbers[r["swatch"]] += 1
        if r["binned"] is not None:
            continue
        one = StoredReading(
            numbers[r["swatch"]], r["state"], r["photo_name"], measurement_of(r), r["days"]
        )
        found.setdefault(r["swatch"], []).append(one)
    return found


def measurement_of(row: sqlite3.Row) -> Measurement | None:
    """The reading of a row of the table; None where one of its cells is damaged."""
    try:
        for cell in row:
            if isinstance(cell, str):
                cell.encode("utf-8")
        if "null" in (row["repeatability"], row["trueness"]):
            return None  # would be taken for a reading of usual doubt
        return _measurement(row)
    except (ValueError, TypeError, KeyError, AttributeError, OverflowError):
        return None


def _measurement(row: sqlite3.Row) -> Measurement:
    return Measurement(
        [row["L"], row["a"], row["b"]],
        json.loads(row["repeatability"]),
        trueness=json.loads(row["trueness"]),
        shared={k: unpacked(v) for k, v in json.loads(row["shared"]).items()},
        rung=row["rung"],
        degrees=np.inf if row["degrees"] is None else row["degrees"],
        light=row["light"],
        observer=row["observer"],
        photo=row["photo"],
        checks=tuple(Check(*c) for c in json.loads(row["checks"])),
        notes=tuple(json.loads(row["notes"])),
        spectrum=None if row["spectrum"] is None else Spectrum(*json.loads(row["spectrum"])),
    )
