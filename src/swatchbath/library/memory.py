"""Corrections, undo and the bin, and what a library keeps about itself."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from ..colorimetry.words import rung_words
from ..errors import BadValue
from .clock import stamp
from .database import Database
from .history import beside, bin, changes, derived, edits, fields
from .history.beside import BesideEdited
from .history.bin import Binned, Emptied
from .history.changes import Kind, Undone, Value
from .history.edits import Edited
from .history.fields import RecordKind
from .rows import swatches
from .rows.swatch import check_text


class Memory:
    """What a `Library` can do about its past; not for use by itself."""

    folder: Path
    _database: Database

    def edit(
        self, swatch: str, values: Mapping[str, Any], *, why: str = "", alone: bool = False
    ) -> Edited:
        """Correct what is on record about a swatch: column -> value, None or "" for unknown.

        Facts of the dye pot are changed for every swatch of its lot that shares them, unless
        `alone`. why : in a word, if she likes. The values from before are kept; see `undo`.
        Raises BadValue, and nothing is changed.
        """
        why = check_text(why, "The reason") or ""
        with self._database.writing() as db:
            key = self._code(db, swatch)
            note = self._noting("edit", why)
            return edits.edit(db, key, values, note, alone=alone, now=stamp())

    def edit_lot(self, lot: str, values: Mapping[str, Any], *, why: str = "") -> BesideEdited:
        """Set what is kept with a dye lot: a note, a column of her own, its dye day (session).
        values : by name, None to take one away. why : in her words."""
        check_text(why, "The reason")
        with self._database.writing() as db:
            return beside.edit_lot(db, lot, values, self._noting("edit", why))

    def edit_dyestuff_lot(
        self, lot: str, values: Mapping[str, Any], *, why: str = ""
    ) -> BesideEdited:
        """Set what is kept with a delivery or harvest of a dyestuff, or with a jar of a liquor
        (lot). values : by name, None to take one away. why : in her words."""
        check_text(why, "The reason")
        with self._database.writing() as db:
            return beside.edit_dyestuff_lot(db, lot, values, self._noting("edit", why), stamp())

    def edit_state(self, swatch: str, reading: int, state: str, *, why: str = "") -> None:
        """Correct the state in which a swatch was read; reading : its number, oldest 1. why : in
        her words."""
        why = check_text(why, "The reason") or ""
        with self._database.writing() as db:
            number = int(bin.reading_of(db, self._code(db, swatch), reading))
            edits.edit_state(db, number, state, self._noting("edit", why))

    @property
    def last_change(self) -> int | None:
        """The number of the change that `undo` would take back, or None."""
        with self._database.reading() as db:
            return changes.last_of(db)

    def undo(self, change: int | None = None) -> Undone:
        """Take back the last change that is not taken back yet: a recording goes to the bin, any
        other value is put back. change : its number, where it was named to her. Raises NotFound
        where there is none, BadValue where another one is the last by now."""
        with self._database.writing() as db:
            if change is not None and change != changes.last_of(db):
                raise BadValue(
                    "Something else was changed since, or this is taken back already. Nothing was "
                    "taken back; look at what happened first."
                )
            return changes.undo(db, self._database.change("undo"))

    def put_in_bin(self, swatch: str, *, reading: int | None = None, why: str = "") -> str:
        """Put a swatch, or one of its readings, in the bin; returns the code. reading : its number,
        oldest 1. why : in her words."""
        why = check_text(why, "The reason") or ""
        with self._database.writing() as db:
            key = self._code(db, swatch)
            bin.put_in(db, key, reading, self._noting("bin", why), stamp())
            return key

    def take_out(self, swatch: str, *, reading: int | None = None) -> str:
        """Take a swatch, or one of its readings, out of the bin again; returns the code. reading :
        its number, oldest 1."""
        with self._database.writing() as db:
            key = bin.code_in_bin(db, swatch) if reading is None else self._code(db, swatch)
            bin.take_out(db, key or swatch, reading, self._noting("bin", ""))
            return key or swatch

    def empty_bin(self) -> Emptied:
        """Remove for good what is in the bin. Its codes are never given to another swatch."""
        with self._database.writing() as db:
            gone, files = bin.empty(db, stamp())
        # A photo may have been added again meanwhile; nobody adds one under the lock.
        with self._database.writing() as db:
            known = {r["file"] for r in db.execute("SELECT file FROM photo")}
            for file in files:
                if file not in known:
                    (self.folder / file).unlink(missing_ok=True)
        return gone

    def oldest(self) -> str | None:
        """When the first swatch was recorded, or None."""
        with self._database.reading() as db:
            row = db.execute("SELECT added FROM swatch ORDER BY number LIMIT 1").fetchone()
        return None if row is None or not row["added"] else str(row["added"])

    def setting(self, name: str) -> str | None:
        """Something the library keeps about itself under a name, or None."""
        with self._database.reading() as db:
            row = db.execute("SELECT value FROM setting WHERE name = ?", (name,)).fetchone()
        return None if row is None else str(row["value"])

    def columns_changed(self) -> dict[str, dict[str, list[Any]]]:
        """Columns that are made of the steps otherwise than when an earlier version recorded them:
        code -> column -> [before, after]."""
        with self._database.reading() as db:
            return derived.changed_columns(db)

    def set_setting(self, name: str, value: str) -> None:
        """Keep something about the library itself. name, value : texts."""
        with self._database.writing() as db:
            db.execute("INSERT OR REPLACE INTO setting VALUES (?, ?)", (name, value))

    def _noting(self, kind: Kind, why: str) -> Callable[[Value], None]:
        return lambda value: self._database.note(kind, [value], why)

    @contextmanager
    def _watched(self, target: RecordKind, key: str) -> Iterator[None]:
        """Put down what changes about a swatch or lot that is on record already."""
        before = fields.read(self._database.db, target, key)
        yield
        after = fields.read(self._database.db, target, key)
        columns = fields.column_changes(before, after)
        self._database.note("record", changes.differences(target, key, before, after, columns))
        if target == "swatch":
            self._database.touched.add(key)

    def in_bin(self) -> list[Binned]:
        """What is in the bin, the latest first."""
        with self._database.reading() as db:
            return bin.listed(db)

    def history(self, key: str) -> list[dict[str, Any]]:
        """What is on record about a swatch, oldest first: when, what. key : its code or name."""
        with self._database.reading() as db:
            found = swatches.read_swatch(db, self._code(db, key))
            events: list[dict[str, Any]] = [{"when": found.added, "what": "recorded"}]
            for row in db.execute(
                "SELECT added, state, rung FROM measurement WHERE swatch = ? ORDER BY id",
                (found.code,),
            ):
                what = f"measured {row['state']}, {rung_words(row['rung'])}"
                events.append({"when": row["added"], "what": what})
            named = {m.lot for step in found.steps for m in step.materials if m.lot}
            events += changes.events(db, found.code, found.lot, sorted(named))
        # Of one second, what was recorded comes before what was changed about it.
        return sorted(events, key=lambda e: str(e["when"]))

    def _code(self, db: sqlite3.Connection, key: Any) -> str:
        return swatches.code_of(db, key, str(self.folder))
