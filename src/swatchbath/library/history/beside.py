"""What is kept beside lots and deliveries of dyestuffs, changed; what was there before is kept."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from ...conditions.columns import column
from ...errors import BadValue, NotFound
from ..rows import lots
from ..rows.kept import check_kept, kept_of_dyestuff_lots, kept_of_lots, put_kept
from ..rows.swatch import check_text
from .changes import Value, differences
from .fields import read, write


@dataclass(frozen=True)
class BesideEdited:
    """What was changed of a lot or a delivery: name -> before, after (None: not kept). codes : the
    swatches that come of it."""

    name: str
    changed: Mapping[str, tuple[Any, Any]]
    codes: tuple[str, ...]


def edit_lot(
    db: sqlite3.Connection, lot: str, values: Mapping[str, Any], note: Callable[[Value], None]
) -> BesideEdited:
    """Set what is kept with a dye lot, or its dye day (session). Raises BadValue, NotFound."""
    name = _named(lot)
    if not lots.is_lot(db, name):
        raise NotFound(f"There is no lot {name} in this library. swatchbath find {name} may help.")
    _no_bath(values, f"a swatch of the lot {name}")
    day = {n: v for n, v in values.items() if n == "session"}
    kept = check_kept(
        {n: v for n, v in values.items() if n not in day}, kept_of_lots(db, [name]).get(name, {})
    )
    before = read(db, "lot", name)
    own = {n: v for n, v in kept.items() if n != "note"}
    fields: dict[str, Any] = {"extra": put_kept(before["extra"], own)}
    if "note" in kept:
        fields["note"] = kept["note"] or ""
    if day:
        fields["session"] = check_text(day["session"] or None, "A lot's dye day")
    was = kept_of_lots(db, [name]).get(name, {}) | {"session": before["session"]}
    write(db, "lot", name, fields)
    for value in differences("lot", name, before, before | fields):
        note(value)
    now = kept_of_lots(db, [name]).get(name, {}) | {
        "session": fields.get("session", was["session"])
    }
    codes = db.execute(
        "SELECT code FROM swatch WHERE lot = ? AND binned IS NULL ORDER BY number", (name,)
    )
    return BesideEdited(name, _changed(was, now), tuple(r["code"] for r in codes))


def edit_dyestuff_lot(
    db: sqlite3.Connection,
    lot: str,
    values: Mapping[str, Any],
    note: Callable[[Value], None],
    now: str,
) -> BesideEdited:
    """Set what is kept with a delivery or harvest of a dyestuff, or a jar of a liquor, by the name
    that baths give it; there may be none of these yet. Raises BadValue."""
    name = _named(lot)
    _no_bath(values, f"a swatch that was dyed with {name}")
    was = kept_of_dyestuff_lots(db, [name]).get(name, {})
    kept = check_kept(values, was)
    db.execute("INSERT OR IGNORE INTO dyestuff_lot (name, added) VALUES (?, ?)", (name, now))
    before = read(db, "dyestuff lot", name)
    fields = {"extra": put_kept(before["extra"], kept)}
    write(db, "dyestuff lot", name, fields)
    for value in differences("dyestuff lot", name, before, before | fields):
        note(value)
    codes = db.execute(
        "SELECT DISTINCT swatch.code, swatch.number FROM material "
        "JOIN step ON step.id = material.step "
        "JOIN swatch ON swatch.code = step.swatch OR swatch.lot = step.lot "
        "WHERE material.dyestuff_lot = ? AND swatch.binned IS NULL ORDER BY swatch.number",
        (name,),
    )
    after = kept_of_dyestuff_lots(db, [name]).get(name, {})
    return BesideEdited(name, _changed(was, after), tuple(r["code"] for r in codes))


def _named(lot: Any) -> str:
    name = (check_text(lot, "The name of a lot") or "").strip()
    if not name:
        raise BadValue("Name the lot, such as --lot 12 or --dyestuff-lot M25.")
    return name


def _no_bath(values: Mapping[str, Any], where: str) -> None:
    if not values:
        raise BadValue('Nothing is told of what to change. Say it, such as --set note="...".')
    for name in values:
        if column(name) is not None and name != "session":
            raise BadValue(
                f"{name} is a fact of a bath and not kept with a lot. Correct it on {where}."
            )


def _changed(was: Mapping[str, Any], now: Mapping[str, Any]) -> dict[str, tuple[Any, Any]]:
    return {n: (was.get(n), now.get(n)) for n in {**was, **now} if was.get(n) != now.get(n)}
