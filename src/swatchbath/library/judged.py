"""Pairs that she judged by her own eye, and the swatches of a lot."""

from __future__ import annotations

import json
from typing import Any

from .database import Database
from .rows import lots

_BY_EYE = "judged by eye"


class Judged:
    """What a `Library` can do about pairs that are compared; not for use by itself."""

    _database: Database

    def codes_of_lot(self, name: str) -> list[str]:
        """Codes of the swatches of a lot, oldest first; none where there is no such lot."""
        with self._database.reading() as db:
            return lots.swatches_of_pot(db, name) if lots.is_lot(db, name) else []

    def keep_judgement(self, pair: tuple[str, str], difference: float, verdict: str) -> None:
        """Keep how a pair looked to her ("match" or "apart"), with the CIEDE2000 it was read at. A
        pair that is judged again has the later word."""
        with self._database.writing() as db:
            kept = self._judged(db)
            kept = [j for j in kept if sorted(j["pair"]) != sorted(pair)]
            kept.append({"pair": list(pair), "delta_e2000": difference, "verdict": verdict})
            value = json.dumps(kept, ensure_ascii=False)
            db.execute("INSERT OR REPLACE INTO setting VALUES (?, ?)", (_BY_EYE, value))

    @property
    def judgements(self) -> list[dict[str, Any]]:
        """What she judged by eye: pair, delta_e2000 and verdict, oldest first."""
        with self._database.reading() as db:
            return self._judged(db)

    @staticmethod
    def _judged(db: Any) -> list[dict[str, Any]]:
        row = db.execute("SELECT value FROM setting WHERE name = ?", (_BY_EYE,)).fetchone()
        return [] if row is None else list(json.loads(row[0]))
