"""Photos, to and from the library's table: whose camera, when, and what lies in them."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from ...colorimetry.measurement import Measurement
from ...errors import BadValue, NotFound
from .measurements import measurement_of
from .photo_files import KeptPhoto, file_of

# Values in one question to SQLite, which takes at least 999 (its limits page, from memory).
_AT_ONCE = 900


@dataclass(frozen=True)
class PhotoOnRecord:
    """A photo on record. name : as its file was called; file : below the library's folder. camera :
    as the file says; camera_name : as she calls one that the file does not name. sitting : as she
    called it. taken : by the camera's clock. frame : what of known colour lies in it, as it was
    kept; empty where that is not on record."""

    id: str
    name: str
    file: str
    camera: str | None
    camera_name: str | None
    sitting: str | None
    taken: datetime | None
    frame: Mapping[str, Any]


@dataclass(frozen=True)
class PhotoReading:
    """A reading from a photo. mark : x, y, half in it, or None. measured : None where damaged."""

    id: str
    swatch: str
    state: str
    mark: tuple[float, float, float] | None
    measured: Measurement | None


def add_photo(
    db: sqlite3.Connection,
    photo: KeptPhoto,
    *,
    camera: str | None,
    sitting: str | None,
    taken: datetime | None,
    frame: str,
    now: str,
) -> None:
    """Write a photo, or what is new about one on record; a new frame is laid over the old one."""
    row = db.execute("SELECT frame FROM photo WHERE id = ?", (photo.digest,)).fetchone()
    if row is not None:
        frame = json.dumps(_joined(_frame(row["frame"]), _frame(frame)), ensure_ascii=False)
    db.execute(
        "INSERT INTO photo (id, name, file, camera, sitting, taken, frame, added) "
        "VALUES (?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (id) DO UPDATE SET "
        "camera = coalesce(camera, excluded.camera), taken = coalesce(taken, excluded.taken), "
        "sitting = coalesce(excluded.sitting, sitting), frame = excluded.frame",
        (
            photo.digest,
            photo.called,
            photo.file,
            camera,
            sitting,
            None if taken is None else taken.isoformat(),
            frame,
            now,
        ),
    )


def frame_as_json(frame: Mapping[str, Any] | None) -> str:
    """What lies in a photo, as text. Raises BadValue."""
    try:
        text = json.dumps(dict(frame or {}), ensure_ascii=False, allow_nan=False)
        text.encode("utf-8")
    except (TypeError, ValueError) as error:
        raise BadValue(
            "What lies in a photo is kept as texts, numbers, lists and dicts."
        ) from error
    return text


def read_photos(db: sqlite3.Connection) -> list[PhotoOnRecord]:
    """All photos on record, in the order they were added."""
    return [_photo(row) for row in db.execute("SELECT * FROM photo ORDER BY rowid")]


def read_photo_row(db: sqlite3.Connection, digest: str) -> PhotoOnRecord:
    """The photo with this id. Raises NotFound."""
    row = db.execute("SELECT * FROM photo WHERE id = ?", (digest,)).fetchone()
    if row is None:
        raise NotFound(f"There is no photo {str(digest)[:12]} in this library.")
    return _photo(row)


def readings_from(db: sqlite3.Connection, digest: str) -> list[PhotoReading]:
    """The readings from a photo, oldest first, without those in the bin."""
    return _readings(db, "photo = ? ORDER BY id", digest)


def latest_places(
    db: sqlite3.Connection, codes: Iterable[str]
) -> dict[str, tuple[str, tuple[float, float, float]]]:
    """By code, the photo and the place of the latest dry reading that has both."""
    asked, found = list(codes), {}
    for start in range(0, len(asked), _AT_ONCE):
        some = asked[start : start + _AT_ONCE]
        # Later ones lie over earlier ones.
        for row in db.execute(
            "SELECT swatch, photo, mark FROM measurement WHERE binned IS NULL "
            "AND photo IS NOT NULL AND mark IS NOT NULL AND state <> 'wet' "
            f"AND swatch IN ({', '.join('?' * len(some))}) ORDER BY id",
            some,
        ):
            place = _mark(row["mark"])
            if place is not None:
                found[str(row["swatch"])] = (str(row["photo"]), place)
    return found


def reading_before(
    db: sqlite3.Connection, swatch: str, reading: str, photo: str
) -> PhotoReading | None:
    """The dry reading of a swatch (its code) that was the latest one ahead of another reading (its
    id), and not from the same photo."""
    found = _readings(
        db,
        "swatch = ? AND id < ? AND photo IS NOT ? AND state <> 'wet' ORDER BY id DESC LIMIT 1",
        swatch,
        int(reading),
        photo,
    )
    return found[0] if found else None


def _readings(db: sqlite3.Connection, which: str, *values: str | int) -> list[PhotoReading]:
    rows = db.execute(
        "SELECT measurement.* FROM measurement JOIN swatch ON swatch.code = measurement.swatch "
        f"WHERE measurement.binned IS NULL AND swatch.binned IS NULL AND {which}",
        values,
    )
    return [
        PhotoReading(
            str(r["id"]),
            r["swatch"],
            r["state"],
            _mark(r["mark"]),
            measurement_of(r),
        )
        for r in rows
    ]


def _mark(text: str | None) -> tuple[float, float, float] | None:
    if text is None:
        return None
    x, y, half = json.loads(text)
    return float(x), float(y), float(half)


def _photo(row: sqlite3.Row) -> PhotoOnRecord:
    return PhotoOnRecord(
        row["id"],
        row["name"],
        file_of(row["id"], row["file"]),
        row["camera"],
        row["camera_name"],
        row["sitting"],
        None if row["taken"] is None else datetime.fromisoformat(row["taken"]),
        _frame(row["frame"]),
    )


def _frame(text: str | None) -> dict[str, Any]:
    try:
        frame = json.loads(text or "{}")
    except ValueError:
        return {}
    return frame if isinstance(frame, dict) else {}


def _joined(old: dict[str, Any], new: dict[str, Any]) -> dict[str, Any]:
    """Both frames of a photo: the new one where they tell of the same, and the places of both."""
    both = old | new
    for name in ("swatches", "known"):
        if name in old and name in new:
            both[name] = old[name] | new[name]
    return both
