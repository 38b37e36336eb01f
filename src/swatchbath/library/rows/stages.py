"""A bath told in stages: mordanted today, dyed tomorrow."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence

from ...bath.step import Step
from ...errors import BadValue, NotFound
from .lots import is_lot
from .steps import check_steps, read_steps, replace_steps


def go_on(
    db: sqlite3.Connection,
    key: str,
    steps: Sequence[Step],
    *,
    lot: str | None,
    part: str | None,
    session: str | None,
) -> None:
    """Add steps after those of a swatch; a lot, part and dye day where it has none yet.

    Raises BadValue where it has another lot, NotFound where there is no such lot.
    """
    more = check_steps(steps)
    row = db.execute("SELECT lot, part, session FROM swatch WHERE code = ?", (key,)).fetchone()
    if lot is not None and row["lot"] not in (None, lot):
        raise BadValue(
            f"Swatch {key} is of the lot {row['lot']}, not {lot}. Leave the lot out, or record a "
            "new piece with --like."
        )
    if lot is not None and not is_lot(db, lot):
        raise NotFound(f"There is no lot {lot}; record the lot first.")
    now_lot = row["lot"] or lot
    # The day of a swatch with a lot is its lot's.
    day = None if now_lot else row["session"] or session
    db.execute(
        "UPDATE swatch SET lot = ?, part = ?, session = ? WHERE code = ?",
        (now_lot, row["part"] or part, day, key),
    )
    replace_steps(db, "swatch", key, (*read_steps(db, "swatch", key), *more))
