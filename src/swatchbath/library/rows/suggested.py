"""Suggestions that a code was given out for, and what a dyer has lived with."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Mapping
from typing import Any

from ...errors import BadValue


def keep(db: sqlite3.Connection, code: str, told: Mapping[str, Any], now: str) -> None:
    """Keep what was said of a suggestion with the code that was given out for it."""
    try:
        text = json.dumps(dict(told), ensure_ascii=False, allow_nan=False)
    except (TypeError, ValueError) as error:
        raise BadValue(f"The suggestion for {code} cannot be kept: {error}.") from error
    if db.execute("SELECT 1 FROM suggested WHERE swatch = ?", (code,)).fetchone():
        raise BadValue(f"The code {code} was given out for a suggestion already.")
    db.execute("INSERT INTO suggested (swatch, told, added) VALUES (?, ?, ?)", (code, text, now))


def of(db: sqlite3.Connection, code: str) -> dict[str, Any] | None:
    """What was suggested for a code; None where nothing was."""
    row = db.execute("SELECT told FROM suggested WHERE swatch = ?", (code,)).fetchone()
    return None if row is None else dict(json.loads(row["told"]))


def all_of(db: sqlite3.Connection) -> dict[str, dict[str, Any]]:
    """What was suggested, by code, oldest first; of codes in the bin nothing."""
    rows = db.execute(
        "SELECT suggested.swatch, told FROM suggested JOIN swatch ON swatch.code = swatch "
        "WHERE swatch.binned IS NULL ORDER BY swatch.number"
    )
    return {str(r["swatch"]): dict(json.loads(r["told"])) for r in rows}


def dried(db: sqlite3.Connection) -> list[str]:
    """Codes of swatches that were dyed and dried by whoever keeps the record: told line by line,
    read dry, and not out of a table or a book."""
    rows = db.execute(
        "SELECT code FROM swatch WHERE binned IS NULL "
        "AND EXISTS (SELECT 1 FROM measurement AS m WHERE m.swatch = code AND m.state <> 'wet' "
        "AND m.binned IS NULL) "
        "AND EXISTS (SELECT 1 FROM step WHERE typed <> '' AND (step.swatch = code OR "
        "step.lot = swatch.lot)) "
        "AND NOT EXISTS (SELECT 1 FROM taken WHERE taken.swatch = code) ORDER BY number"
    )
    return [str(r["code"]) for r in rows]
