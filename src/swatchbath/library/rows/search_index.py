"""What finds a swatch, kept beside it so that finding does not read the whole library.

It is made from what is on record and can be made again at any time; the database forgets
that of a swatch whenever something it tells of is changed (`schema`).
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from ...colorimetry.conversion import to_d65_2
from ...colorimetry.words import colour_words
from .swatch import Swatch
from .swatches import read_swatches

# Counted up when words or colours are made in another way, so that old ones are made again.
MADE = 2
NO_COLOUR = "to be photographed"
# Not in the bin.
_KEPT = "swatch NOT IN (SELECT code FROM swatch WHERE binned IS NOT NULL)"


@dataclass(frozen=True)
class SearchEntry:
    """What finds a swatch: all its words in small letters, and its colour in Lab D65/2."""

    words: str
    lab: tuple[float, float, float] | None


def missing(db: sqlite3.Connection) -> list[str]:
    """Codes of swatches for which this is to be made."""
    rows = db.execute(
        "SELECT code FROM swatch WHERE binned IS NULL AND code NOT IN "
        "(SELECT swatch FROM said WHERE made = ?)",
        (MADE,),
    )
    return [r["code"] for r in rows]


def make(db: sqlite3.Connection, keys: Sequence[str]) -> dict[str, SearchEntry]:
    """What finds these swatches, by code."""
    found = {}
    for swatch in read_swatches(db, keys):
        lab, colour = None, NO_COLOUR
        read = swatch.measured
        if read is not None:
            L, a, b = (float(v) for v in to_d65_2(read).lab)
            lab, colour = (L, a, b), colour_words(read.lab)
        found[swatch.code] = SearchEntry(_words(swatch, colour), lab)
    return found


def keep(db: sqlite3.Connection, made: Mapping[str, SearchEntry]) -> None:
    """Keep it beside the swatches."""
    db.executemany(
        "INSERT OR REPLACE INTO said (swatch, made, L, a, b, words) VALUES (?, ?, ?, ?, ?, ?)",
        [(key, MADE, *(one.lab or (None,) * 3), one.words) for key, one in made.items()],
    )


def matching(
    db: sqlite3.Connection, words: Sequence[str], unkept: Mapping[str, SearchEntry], limit: int
) -> list[str]:
    """Codes of swatches that tell all the words, newest first, at most `limit`.

    unkept : what could not be kept.
    """
    if not words:
        rows = db.execute(
            "SELECT code FROM swatch WHERE binned IS NULL ORDER BY number DESC LIMIT ?", (limit,)
        )
        return [r["code"] for r in rows]
    told = [key for key, one in unkept.items() if all(w in one.words for w in words)]
    rows = db.execute(
        f"SELECT code FROM swatch WHERE binned IS NULL AND (code IN (SELECT swatch FROM said "
        f"WHERE made = ?{' AND instr(words, ?)' * len(words)}) OR code IN "
        "(SELECT value FROM json_each(?))) ORDER BY number DESC LIMIT ?",
        (MADE, *words, json.dumps(told), limit),
    )
    return [r["code"] for r in rows]


@dataclass(eq=False)
class Colours:
    """Codes (n,) and Lab (n, 3) under D65/2 of all swatches with a dry reading, as last read from a
    library; asked for again, they are read anew only where something was written since."""

    version: tuple[int, int, int] | None = None
    codes: np.ndarray = field(default_factory=lambda: np.zeros(0, dtype=str))
    labs: np.ndarray = field(default_factory=lambda: np.zeros((0, 3)))

    def is_current(self, db: sqlite3.Connection) -> bool:
        """Whether nothing was written since they were read, nor is being written now: what is not
        kept yet may still be taken back."""
        return not db.in_transaction and self.version == _written(db)

    def read(
        self, db: sqlite3.Connection, words: Sequence[str], unkept: Mapping[str, SearchEntry]
    ) -> tuple[np.ndarray, np.ndarray]:
        """Those that tell all the words. unkept : what could not be kept."""
        every = not words and not unkept and not db.in_transaction
        if every and self.is_current(db):
            return self.codes, self.labs
        version = _written(db)
        rows = colours(db, words, unkept)
        codes = np.array([row[0] for row in rows], dtype=str)
        labs = np.array([row[1:] for row in rows], dtype=float).reshape(-1, 3)
        if every:
            self.version, self.codes, self.labs = version, codes, labs
        return codes, labs


def _written(db: sqlite3.Connection) -> tuple[int, int, int]:
    """Changes with every write: by this connection, and by others."""
    others = int(db.execute("PRAGMA data_version").fetchone()[0])
    return id(db), others, db.total_changes


def colours(
    db: sqlite3.Connection, words: Sequence[str], unkept: Mapping[str, SearchEntry]
) -> list[tuple[str, float, float, float]]:
    """Code, L, a, b (D65/2) of all swatches with a dry reading that tell all the words."""
    rows = db.execute(
        f"SELECT swatch, L, a, b FROM said WHERE made = ? AND L IS NOT NULL AND {_KEPT}"
        + " AND instr(words, ?)" * len(words),
        (MADE, *words),
    )
    rows.row_factory = None
    more = [
        (key, *one.lab)
        for key, one in unkept.items()
        if one.lab is not None and all(w in one.words for w in words)
    ]
    return [*rows.fetchall(), *more]


def _words(swatch: Swatch, colour: str) -> str:
    """Everything about a swatch that words may match."""
    parts = [swatch.code, swatch.name, swatch.lot, swatch.session, colour]
    parts += [str(v) for v in swatch.conditions.values()]
    parts += [s.note for s in swatch.steps]
    for kept in (swatch.lot_kept, *swatch.dyestuff_lots_kept.values()):
        parts += [str(v) for v in kept.values()]
    return " ".join(str(p) for p in parts if p).casefold()
