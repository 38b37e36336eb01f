"""What stands beside swatches: lots and liquors, deliveries, names, rows of tables taken in."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from typing import Any

from .clock import stamp
from .database import Database
from .rows import kept, lots, swatches, taken
from .rows.steps import names_used


class Beside:
    """What a `Library` can do about what stands beside its swatches; not for use by itself."""

    _database: Database

    def note_taken(self, digest: str, swatch: str, table: str, row: int) -> None:
        """Note which row of which table a swatch was taken from; digest : of what stood in it."""
        with self._database.writing() as db:
            taken.keep(db, digest, self._named(db, swatch), table, row, stamp())

    def session_of(self, lot: str) -> str | None:
        """The dye day of a lot; None where the lot or its day is not on record."""
        with self._database.reading() as db:
            return lots.session_of(db, lot)

    def liquors(self, key: str) -> tuple[dict[str, list[str]], list[str]]:
        """Whose liquor a swatch was dyed in, and what was dyed in that of its own pot after it.

        key : its code or name. The first by the pot's name as it was told, with the codes of what
        came out of it (none where it is not on record); the second as codes.
        """
        with self._database.reading() as db:
            found = swatches.read_swatch(db, self._named(db, key))
            pots = dict.fromkeys(step.pot for step in found.steps if step.pot)
            names = [n for n in (found.lot, found.code, found.name) if n]
            before = {pot: lots.swatches_of_pot(db, pot) for pot in pots}
            return before, lots.swatches_from_pot(db, names)

    def kept_beside(self) -> list[dict[str, Any]]:
        """What is kept with each lot and delivery of a dyestuff, as rows of a table."""
        with self._database.reading() as db:
            return kept.all_kept(db)

    def taken(self, digests: Sequence[str]) -> dict[str, tuple[str, str]]:
        """Of rows of tables, by their digests, those that became swatches: code and when, by
        digest."""
        with self._database.reading() as db:
            return taken.known(db, digests)

    def material_names(self) -> list[str]:
        """The names of all materials on record, as they were told."""
        with self._database.reading() as db:
            return names_used(db)

    def _named(self, db: sqlite3.Connection, key: str) -> str:
        return swatches.code_of(db, key, str(self._database.folder))
