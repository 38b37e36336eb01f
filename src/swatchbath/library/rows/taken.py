"""Rows of tables that were taken in, each by what stood in it, so that a second time is noticed."""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Iterable, Mapping, Sequence


def digests(rows: Iterable[Mapping[str, str]]) -> list[str]:
    """What tells each row from every other: its cells, and which of its likes it is in the table.

    Two skeins of one bath may have like rows, and are two.
    """
    seen: dict[str, int] = {}
    out = []
    for row in rows:
        text = json.dumps(list(row.items()), ensure_ascii=False)
        seen[text] = seen.get(text, 0) + 1
        whole = f"{seen[text]}\n{text}".encode("utf-8", "backslashreplace")
        out.append(hashlib.sha256(whole).hexdigest())
    return out


def keep(db: sqlite3.Connection, digest: str, swatch: str, table: str, row: int, now: str) -> None:
    """Note that a row became a swatch; one taken a second time on purpose is noted anew."""
    db.execute(
        'INSERT OR REPLACE INTO taken (digest, swatch, "table", "row", added) '
        "VALUES (?, ?, ?, ?, ?)",
        (digest, swatch, table, row, now),
    )


def known(db: sqlite3.Connection, wanted: Sequence[str]) -> dict[str, tuple[str, str]]:
    """Code of the swatch and day, by digest, of the rows that were taken and are not in the bin."""
    rows = db.execute(
        "SELECT digest, swatch, taken.added FROM taken JOIN swatch ON swatch.code = taken.swatch "
        "WHERE swatch.binned IS NULL AND digest IN (SELECT value FROM json_each(?))",
        (json.dumps(list(wanted)),),
    )
    return {r["digest"]: (r["swatch"], r["added"]) for r in rows}
