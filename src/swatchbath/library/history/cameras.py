"""Whose camera photos count under, changed on record: the sources of their readings' errors.

A reading names its camera as `camera:NAME` and its sittings as `sitting:NAME: ...`. One that was
read beside swatches on record names those of their photos as well.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Collection, Iterator, Mapping
from typing import Any

import numpy as np

from ...colorimetry.lab import Array
from ..rows.loadings import packed, unpacked
from .changes import Value, begin, put_down
from .fields import COLOUR, SOURCES, read_colour, write

# Settings of a library: what the camera of its photos that name none is called; and, in one that an
# earlier layout wrote, that its readings are to be made anew: which layout, and the change in which
# it was brought up to date.
UNNAMED, TO_READ = "unnamed camera", "readings to be made anew"
_UP_TO_DATE = "brought up to date"
# How a photo's camera is called that shares nothing with any other.
_NOBODY = "unknown ({})"

Note = Callable[[Value], None]


def unnamed_camera(db: sqlite3.Connection) -> str:
    """What a library calls the camera of photos that do not say whose they are."""
    return str(db.execute("SELECT value FROM setting WHERE name = ?", (UNNAMED,)).fetchone()[0])


def share_unnamed(db: sqlite3.Connection, layout: int) -> None:
    """In a library of an earlier layout, make the photos that name no camera one camera's, as one
    change; and note that its readings are to be made anew."""
    change: int | None = None
    start = _NOBODY.split("{")[0]
    for key, shared in _shared(db, "photo IS NOT NULL"):
        old = [n for n in _cameras(shared) if n.startswith(start)]
        if old:
            change = change or begin(db, "edit", _UP_TO_DATE)
            made = _renamed(db, key, shared, {n: unnamed_camera(db) for n in old})
            put_down(db, change, made)
    if db.execute("SELECT 1 FROM measurement WHERE photo IS NOT NULL").fetchone():
        value = json.dumps({"layout": layout, "change": change})
        db.execute("INSERT OR REPLACE INTO setting VALUES (?, ?)", (TO_READ, value))


def call_camera(
    db: sqlite3.Connection, photos: Collection[str], name: str | None, note: Note
) -> list[str]:
    """Say what the camera of some photos is called, which their files do not name; None: unnamed.

    Returns the ids of readings beside swatches of both these photos and others of the same camera
    before, whose errors can no longer be told apart: they are to be read anew.
    """
    wanted = name or unnamed_camera(db)
    before = _called(db)
    for photo in photos:
        row = db.execute("SELECT camera_name FROM photo WHERE id = ?", (photo,)).fetchone()
        if row[0] != name:
            write(db, "photo", photo, {"camera_name": name})
            note(Value("photo", photo, "camera_name", row[0], name, {}))
    mixed = []
    places = ", ".join("?" * len(photos))
    for key, shared in _shared(db, f"photo IN ({places}) OR rung = 'beside'", *photos):
        of = {n.removeprefix("photo:") for n in shared if n.startswith("photo:")}
        moves = {}
        for old in _cameras(shared):
            theirs = {p for p in of if old in (before.get(p), _NOBODY.format(p[:16]))}
            if theirs and theirs <= set(photos):
                moves[old] = wanted
            elif theirs & set(photos):
                mixed.append(key)
        moves = {old: new for old, new in moves.items() if old != new}
        if moves and key not in mixed:
            note(_renamed(db, key, shared, moves))
    return mixed


def _called(db: sqlite3.Connection) -> dict[str, str]:
    unnamed = unnamed_camera(db)
    rows = db.execute("SELECT id, coalesce(camera, camera_name, ?) FROM photo", (unnamed,))
    return {str(r[0]): str(r[1]) for r in rows}


def _shared(
    db: sqlite3.Connection, where: str, *values: str
) -> Iterator[tuple[str, dict[str, str]]]:
    """The sources of readings by their ids, loadings as text; those of a damaged one are passed
    over."""
    rows = db.execute(f"SELECT id, shared FROM measurement WHERE {where}", values).fetchall()
    for key, text in rows:
        try:
            shared = json.loads(text)
        except ValueError:
            continue
        if isinstance(shared, dict):
            yield str(key), shared


def _cameras(shared: Mapping[str, Any]) -> list[str]:
    return [n.removeprefix("camera:") for n in shared if n.startswith("camera:")]


def _renamed(
    db: sqlite3.Connection, key: str, shared: Mapping[str, str], moves: Mapping[str, str]
) -> Value:
    """Write a reading's sources under new names of cameras; returns what changed."""
    names = [_moved(n, moves) for n in shared]
    if len(set(names)) == len(names):
        write(db, "reading", key, {SOURCES: names})
        return Value("reading", key, SOURCES, list(shared), names, {})
    # Two cameras turn out to be one: their errors in this reading add up.
    old = read_colour(db, key)
    both: dict[str, Array] = {}
    trueness = np.array(json.loads(old["trueness"]))
    for name, text in zip(names, shared.values(), strict=True):
        loading = unpacked(text)
        if name in both:
            across = both[name] @ loading.T
            trueness = trueness + across + across.T
            loading = both[name] + loading
        both[name] = loading
    new = old | {
        "trueness": json.dumps(trueness.tolist()),
        "shared": json.dumps({n: packed(v) for n, v in both.items()}),
    }
    write(db, "reading", key, {COLOUR: new})
    return Value("reading", key, COLOUR, old, {axis: new[axis] for axis in "Lab"}, {})


def _moved(source: str, moves: Mapping[str, str]) -> str:
    for old, new in moves.items():
        if source == f"camera:{old}":
            return f"camera:{new}"
        if source.startswith(f"sitting:{old}: "):
            return f"sitting:{new}{source.removeprefix(f'sitting:{old}')}"
    return source
