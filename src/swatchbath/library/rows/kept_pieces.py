"""Kept pieces: the shades that other lots are judged against, to and from the library's table."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from ...colorimetry.lab import Array
from ...colorimetry.measurement import Measurement
from ...errors import BadValue, LibraryError, NotFound
from .swatch import check_text
from .swatches import RESTORE, UNREADABLE

# The layout that has the table.
KEPT_SINCE = 8
# The widest that still asks anything of a colour: beyond, nothing would fail. Our own choice.
_WIDEST = 30.0


@dataclass(frozen=True, eq=False)
class KeptPiece:
    """A shade that others are judged against. id : its row. codes : of the swatches it was read
    from, one, or several of a lot; none for a colour that was typed. lab (3,), covariance (3, 3) :
    D65/2, when it was kept. within : how close others must be, CIEDE2000. lies : where the piece of
    yarn lies, or "". judged : codes of the swatches that were judged by it, in order. added : when
    it was kept."""

    id: int
    name: str
    codes: tuple[str, ...]
    lab: Array
    covariance: Array
    within: float
    lies: str
    judged: tuple[str, ...]
    added: str

    @property
    def colour(self) -> Measurement:
        """Its colour as it was when it was kept."""
        return Measurement(self.lab, self.covariance)


def add(
    db: sqlite3.Connection, name: str, codes: Sequence[str], colour: Measurement, within: float,
    lies: str, now: str,
) -> int:  # fmt: skip
    """Keep a shade; returns its row. Raises BadValue where one is kept under this name already."""
    called = check_called(name)
    if any(k.name.casefold() == called.casefold() for k in all_of(db)):
        raise BadValue(
            f"There is a kept piece called {called} already. Give this one another name, or let "
            "the other go first."
        )
    cursor = db.execute(
        "INSERT INTO kept_piece (name, of_swatches, L, a, b, covariance, within, lies, added) "
        "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
        (
            called, json.dumps(list(codes)), *(float(v) for v in colour.lab),
            json.dumps(colour.covariance.tolist()), check_within(within), check_lies(lies), now,
        ),
    )  # fmt: skip
    return int(cursor.lastrowid or 0)


def check_called(name: str) -> str:
    """What a shade is called, without blanks around it. Raises BadValue."""
    called = (check_text(name, "The name of a kept piece") or "").strip()
    if not called:
        raise BadValue("A kept piece has no name yet. Say what you call the shade.")
    return called


def check_lies(lies: str) -> str:
    """Where a piece lies, as it was said. Raises BadValue."""
    return (check_text(lies, "Where the kept piece lies") or "").strip()


def check_within(within: Any) -> float:
    """How close others must be. Raises BadValue."""
    if isinstance(within, bool) or not isinstance(within, int | float) or not 0 < within <= _WIDEST:
        raise BadValue(
            f"How close it must be is {within!r}; give a difference (CIEDE2000) above 0 and up to "
            f"{_WIDEST:g}, such as 4."
        )
    return float(within)


def all_of(db: sqlite3.Connection) -> list[KeptPiece]:
    """All that are kept, oldest first. Raises LibraryError where one is damaged."""
    rows = db.execute("SELECT * FROM kept_piece WHERE binned IS NULL ORDER BY id").fetchall()
    return [read_row(row) for row in rows]


def named(db: sqlite3.Connection, name: str) -> KeptPiece:
    """The one of this name, capitals aside. Raises NotFound."""
    called = check_called(name)
    every = all_of(db)
    for one in every:
        if one.name.casefold() == called.casefold():
            return one
    there = ", ".join(k.name for k in every)
    raise NotFound(
        f"There is no kept piece called {called}; these there are: {there}."
        if there
        else f"There is no kept piece called {called}, nor any other yet. Keep one first: "
        'swatchbath piece CODE --as "autumn gold"'
    )


def checked(changes: Mapping[str, Any]) -> dict[str, Any]:
    """Changes to a kept piece as its columns hold them. Raises BadValue."""
    out: dict[str, Any] = {}
    for name, value in changes.items():
        if name == "within":
            out[name] = check_within(value)
        elif name == "lies":
            out[name] = check_lies(value)
        elif name == "judged":
            out[name] = json.dumps(list(value))
        elif name == "binned":
            out[name] = value
        else:
            raise BadValue(f"{name} of a kept piece cannot be changed.")
    return out


def read_row(row: sqlite3.Row) -> KeptPiece:
    """A kept piece as its row holds it. Raises LibraryError."""
    try:
        covariance = np.asarray(json.loads(row["covariance"]), dtype=float)
        lab = np.array([row[n] for n in "Lab"], dtype=float)
        Measurement(lab, covariance)  # says what cannot be
        return KeptPiece(
            int(row["id"]), str(row["name"]), tuple(map(str, json.loads(row["of_swatches"]))),
            lab, covariance, float(row["within"]), str(row["lies"]),
            tuple(map(str, json.loads(row["judged"]))), str(row["added"]),
        )  # fmt: skip
    except (BadValue, *UNREADABLE) as error:
        raise LibraryError(
            f"The kept piece {row['name']} is damaged and cannot be read. swatchbath verify tells "
            f"more; {RESTORE}"
        ) from error
