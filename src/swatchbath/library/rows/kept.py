"""What is kept beside a swatch, a lot or a delivery of a dyestuff: notes, columns of her own."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from difflib import get_close_matches
from typing import Any

from ...conditions.columns import COLUMNS
from ...errors import BadValue
from .swatch import as_json, check_text

# Names that are there for everyone; any other name is a column of her own.
KEPT = ("note", "place", "price", "season", "provenance", "fastness")


def check_kept(values: Mapping[str, Any], known: Iterable[str] = ()) -> dict[str, str | None]:
    """What is to be kept beside, by name; None or "" takes it away.

    known : names that are there already. Raises BadValue for a name that looks like a slip of a
    condition column, and for what is no text or number.
    """
    out: dict[str, str | None] = {}
    for name, value in values.items():
        called = check_text(name, "The name of what is kept") or ""
        if not called.strip():
            raise BadValue("What is kept beside needs a name, such as note or place.")
        if called not in (*KEPT, *known):
            _no_slip(called)
        text = f"{value:g}" if isinstance(value, float) else value
        text = str(text) if isinstance(text, int) else text
        out[called] = (check_text(text, f"The {called}") or "").strip() or None
    return out


def _no_slip(name: str) -> None:
    plain = "_".join(name.split()).casefold()
    columns = {c.name.casefold(): c.name for c in COLUMNS} | {k: k for k in KEPT}
    near = [plain] if plain in columns else get_close_matches(plain, columns, n=1, cutoff=0.8)
    meant = columns[near[0]] if near else _of_their_words(plain)
    if meant:
        raise BadValue(
            f"There is no column '{name}'. Did you mean {meant}? swatchbath record "
            "--columns lists the columns; a column of your own needs a name unlike theirs."
        )


def _of_their_words(plain: str) -> str:
    """The column meant by a name made of words that columns are made of: dyestuff_2_owf."""
    *words, last = [w for w in plain.split("_") if not w.isdigit()] or [""]
    number = next((f"_{w}" for w in plain.split("_") if w.isdigit()), "")
    parts = {part for c in COLUMNS for part in c.name.casefold().split("_")}
    if not words or not {*words, last} <= parts:
        return ""
    alike = [c.name for c in COLUMNS if c.name.casefold().endswith(f"_{last}")]
    near = get_close_matches("_".join([*words, last]), alike, n=1, cutoff=0.5)
    return f"{near[0]}{number}" if near else ""


def put_kept(extra: str, values: Mapping[str, str | None]) -> str:
    """The kept things of a row, as its JSON holds them, with some of them set or taken away."""
    whole = json.loads(extra) | dict(values)
    return as_json({n: v for n, v in whole.items() if v is not None})


def kept_of_lots(db: sqlite3.Connection, names: Sequence[str]) -> dict[str, dict[str, Any]]:
    """What is kept with lots, by the lot's name; those with nothing are absent."""
    found = {}
    for row in _rows(db, "SELECT name, note, extra FROM lot", names):
        kept = ({"note": row["note"]} if row["note"] else {}) | json.loads(row["extra"])
        if kept:
            found[str(row["name"])] = kept
    return found


def kept_of_dyestuff_lots(
    db: sqlite3.Connection, names: Sequence[str]
) -> dict[str, dict[str, Any]]:
    """What is kept with deliveries of dyestuffs, by name; those with nothing are absent."""
    rows = _rows(db, "SELECT name, extra FROM dyestuff_lot", names)
    found = {str(row["name"]): json.loads(row["extra"]) for row in rows}
    return {name: kept for name, kept in found.items() if kept}


def all_kept(db: sqlite3.Connection) -> list[dict[str, Any]]:
    """What is kept with each lot and delivery: kind, name, session (the dye day of a lot), then
    what is kept by its own names; those with neither are absent."""
    lots = db.execute("SELECT name, session FROM lot ORDER BY name").fetchall()
    beside = kept_of_lots(db, [r["name"] for r in lots])
    days = {str(r["name"]): r["session"] for r in lots}
    names = [r["name"] for r in db.execute("SELECT name FROM dyestuff_lot ORDER BY name")]
    deliveries = kept_of_dyestuff_lots(db, names)
    rows = [
        {"kind": "dye lot", "name": name, "session": day} | _unlike(beside.get(name, {}))
        for name, day in days.items()
        if day or name in beside
    ]
    return rows + [
        {"kind": "dyestuff lot", "name": name, "session": None} | _unlike(kept)
        for name, kept in deliveries.items()
    ]


def _unlike(kept: Mapping[str, Any]) -> dict[str, Any]:
    """A column of hers may be called as one of the table is."""
    return {f"own {n}" if n in ("kind", "name", "session") else n: v for n, v in kept.items()}


def _rows(db: sqlite3.Connection, select: str, names: Sequence[str]) -> list[sqlite3.Row]:
    wanted = json.dumps(list(names), ensure_ascii=False)
    return db.execute(
        f"{select} WHERE name IN (SELECT value FROM json_each(?)) ORDER BY name", (wanted,)
    ).fetchall()
