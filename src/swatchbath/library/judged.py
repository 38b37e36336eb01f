"""Pairs that she judged by her own eye."""

from __future__ import annotations

import json
from typing import Any

from .database import Database
from .history.changes import Value

_BY_EYE = "judged by eye"


class Judged:
    """What a `Library` can do about pairs that are compared; not for use by itself."""

    _database: Database

    def keep_judgement(self, pair: tuple[str, str], difference: float, verdict: str) -> None:
        """Keep how a pair looked to her. A pair that is judged again has the later word; undo takes
        it back. verdict : "match" or "apart". difference : the CIEDE2000 it was read at."""
        with self._database.writing() as db:
            before = self._judged(db)
            kept = [j for j in before if sorted(j["pair"]) != sorted(pair)]
            kept.append({"pair": list(pair), "delta_e2000": difference, "verdict": verdict})
            old, new = (json.dumps(js, ensure_ascii=False) for js in (before, kept))
            db.execute("INSERT OR REPLACE INTO setting VALUES (?, ?)", (_BY_EYE, new))
            self._database.note("edit", [Value("judgement", _BY_EYE, "value", old, new, {})])

    @property
    def judgements(self) -> list[dict[str, Any]]:
        """What she judged by eye: pair, delta_e2000 and verdict, oldest first."""
        with self._database.reading() as db:
            return self._judged(db)

    @staticmethod
    def _judged(db: Any) -> list[dict[str, Any]]:
        row = db.execute("SELECT value FROM setting WHERE name = ?", (_BY_EYE,)).fetchone()
        return [] if row is None else list(json.loads(row[0]))
