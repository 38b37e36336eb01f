"""Photos that show a swatch, or the handwritten sheet of its pot, whether a colour was read or not.

A photo of the pot sheet counts as the record of the bath until somebody types it in.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence

from ...errors import BadValue

WHAT = ("swatch", "pot sheet")


def add_shown(db: sqlite3.Connection, key: str, photo: str, what: str, now: str) -> None:
    """Note that a photo (its id) shows the swatch with the code `key`; noting twice does no harm.

    Raises BadValue for another thing than a swatch or a pot sheet.
    """
    if what not in WHAT:
        raise BadValue(f"A photo shows a {' or a '.join(WHAT)}, not '{what}'.")
    db.execute(
        "INSERT INTO shown VALUES (?, ?, ?, ?) ON CONFLICT DO NOTHING", (photo, key, what, now)
    )


def shown_in(db: sqlite3.Connection, photo: str) -> list[str]:
    """Codes of the swatches a photo (its id) shows, those in the bin left out."""
    rows = db.execute(
        "SELECT swatch FROM shown JOIN swatch ON swatch.code = shown.swatch "
        "WHERE shown.photo = ? AND swatch.binned IS NULL ORDER BY shown.added, swatch.code",
        (photo,),
    )
    return [str(r["swatch"]) for r in rows]


def photos_of(db: sqlite3.Connection, key: str) -> list[tuple[str, str, str]]:
    """The photos of a swatch, read or only seen, oldest first: id, file name, what it shows."""
    rows = db.execute(
        "SELECT photo.id, photo.name, max(what) AS what FROM photo JOIN ("
        "SELECT photo, what FROM shown WHERE swatch = ? UNION "
        "SELECT photo, 'swatch' FROM measurement WHERE swatch = ? AND binned IS NULL "
        "AND photo IS NOT NULL) AS seen ON seen.photo = photo.id "
        "GROUP BY photo.id, what ORDER BY photo.rowid",
        (key, key),
    )
    return [(str(r["id"]), str(r["name"]), str(r["what"])) for r in rows]


def shown_of_many(
    db: sqlite3.Connection, keys: Sequence[str]
) -> dict[str, tuple[tuple[str, str], ...]]:
    """The photos of swatches by code: file names and what they show, oldest first."""
    found: dict[str, tuple[tuple[str, str], ...]] = {}
    for r in db.execute(
        "SELECT shown.swatch, photo.name, shown.what FROM shown "
        "JOIN photo ON photo.id = shown.photo "
        f"WHERE shown.swatch IN ({', '.join('?' * len(keys))}) "
        "ORDER BY shown.added, photo.name",
        tuple(keys),
    ):
        found[r["swatch"]] = (*found.get(r["swatch"], ()), (str(r["name"]), str(r["what"])))
    return found
