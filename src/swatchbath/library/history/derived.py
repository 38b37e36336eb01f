"""What is learnt from otherwise since an earlier version: condition columns derived anew."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator, Mapping
from typing import Any

from ...bath.steps import FIBRE_COLUMNS, conditions_of
from ...conditions.spoken import column_words, value_words
from ...errors import LibraryError
from ..rows.swatch import Swatch
from ..rows.swatches import read_swatches
from .earlier_columns import earlier_columns

# Settings: by which rule columns are made of steps (absent in what layouts 1 to 5 wrote), and what
# came out otherwise when the rule changed: code -> column -> [before, after].
RULE, CHANGED, TOLD = "rule of the columns", "columns derived anew", "columns derived anew, told"
_NOW = "2"
_AT_ONCE = 500
Changed = dict[str, dict[str, list[Any]]]


def derive_anew(db: sqlite3.Connection) -> None:
    """Note by which rule columns are made, and for each swatch that an earlier version recorded
    what comes out otherwise. Steps, typed lines and codes stay as they are."""
    row = db.execute("SELECT value FROM setting WHERE name = ?", (RULE,)).fetchone()
    if row is not None and row["value"] == _NOW:
        return
    db.execute("BEGIN IMMEDIATE")
    try:
        changed = _changed(db) if row is None else {}
        if changed:
            db.execute("INSERT OR REPLACE INTO setting VALUES (?, ?)", (CHANGED, _text(changed)))
        db.execute("INSERT OR REPLACE INTO setting VALUES (?, ?)", (RULE, _NOW))
        db.execute("COMMIT")
    except BaseException:
        if db.in_transaction:
            db.execute("ROLLBACK")
        raise


def changed_columns(db: sqlite3.Connection, name: str = CHANGED) -> Changed:
    """What came out otherwise: code -> column -> [before, after], None unknown."""
    row = db.execute("SELECT value FROM setting WHERE name = ?", (name,)).fetchone()
    return {} if row is None else dict(json.loads(row["value"]))


def change_words(columns: Mapping[str, Any]) -> str:
    """The columns of one swatch that came out otherwise, in words."""
    said = [
        f"{column_words(name)}: {value_words(name, new)}, was {value_words(name, old)}"
        for name, (old, new) in columns.items()
    ]
    return "; ".join(said)


def _changed(db: sqlite3.Connection) -> Changed:
    found: Changed = {}
    for swatch in _readable(db):
        fibre = {k: swatch.conditions.get(k) for k in FIBRE_COLUMNS}
        old = earlier_columns(swatch.steps, fibre)
        new = conditions_of(swatch.steps, fibre)
        names = [n for n in (*old, *(n for n in new if n not in old)) if old.get(n) != new.get(n)]
        if names:
            found[swatch.code] = {n: [old.get(n), new.get(n)] for n in names}
    return found


def _readable(db: sqlite3.Connection) -> Iterator[Swatch]:
    """All swatches but those that cannot be read, of which `verify` tells."""
    codes = [str(r["code"]) for r in db.execute("SELECT code FROM swatch ORDER BY number")]
    for start in range(0, len(codes), _AT_ONCE):
        some = codes[start : start + _AT_ONCE]
        try:
            yield from read_swatches(db, some)
        except LibraryError:
            for key in some:
                try:
                    yield from read_swatches(db, [key])
                except LibraryError:
                    continue


def _text(changed: Changed) -> str:
    return json.dumps(changed, ensure_ascii=False)
