"""Corrections of what is on record: checked as recording is, and told to all that share a pot."""

from __future__ import annotations

import json
import re
import sqlite3
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from ...bath.step_edit import Steps, with_value
from ...bath.steps import FIBRE_COLUMNS
from ...conditions.columns import column
from ...errors import BadValue
from ..rows import lots, swatches
from ..rows.kept import check_kept, put_kept
from ..rows.steps import read_steps
from ..rows.swatch import STATES, as_json, check_name, check_text
from .changes import Value, differences
from .checked import checked_cells
from .fields import column_changes, read, steps_as_values, write

# Facts of a swatch that are no conditions of its bath.
OWN = ("name", "part", "lot", "session")
# What cannot be changed, and why.
_FIXED = {
    "code": "A code never changes meaning, for it stands on tags and in notes.",
    "swatch": "A code never changes meaning, for it stands on tags and in notes.",
    "photo": "A photo belongs to a reading. Put a wrong reading in the bin and record it again.",
}
# Columns of the dye pot: every swatch that lay in it shares them.
_POT = re.compile(
    r"(dyestuff|dyestuff_form|dyestuff_lot|dye_owf|assist|assist_owf|pH|pH_read|temperature_C|"
    r"minutes|liquor_ratio|bath_number|stock_days|water|vessel|vat|vat_dips|vat_dip_minutes|"
    r"vat_days|vat_C|vat_pH|dye)(?P<number>_[2-9])?(_how)?"
)


@dataclass(frozen=True)
class Edited:
    """What a correction changed. code, name : of the swatch. changed : column -> before, after
    (None unknown). lot : its lot, where the pot's own facts were changed. also : other swatches
    of the pot that were changed with it. kept : those that keep another value of their own.
    questions : things worth a second look."""

    code: str
    name: str | None
    changed: Mapping[str, tuple[Any, Any]]
    lot: str | None = None
    also: tuple[str, ...] = ()
    kept: tuple[str, ...] = ()
    questions: tuple[str, ...] = ()


def edit(
    db: sqlite3.Connection,
    key: str,
    values: Mapping[str, Any],
    note: Callable[[Value], None],
    *,
    alone: bool,
    now: str,
) -> Edited:
    """Set columns of the swatch with the code `key`; None or an empty cell: unknown.

    note : called with each value of the change. alone : not the other swatches of its pot.
    Raises BadValue, and nothing is changed.
    """
    if not values:
        raise BadValue(
            "Nothing is told of what to change. Say a column and its value, such as pH=6."
        )
    for name, reason in _FIXED.items():
        if name in values:
            raise BadValue(f"The {name} of a swatch cannot be changed. {reason}")
    found = swatches.read_swatch(db, key)
    before = _facts(db, key)
    bath = {n: v for n, v in values.items() if column(n) is not None and n not in OWN}
    beside = {n: v for n, v in values.items() if column(n) is None and n not in OWN}
    checked, questions, typed = checked_cells(found.conditions, bath)
    work = _Work(db, note)
    for name in ("name", "part"):
        if name in values:
            _set_word(db, key, name, values[name], work)
    if "lot" in values:
        _move(db, key, check_text(values["lot"] or None, "A swatch's lot"), work, now)
    if "session" in values:
        _set_day(db, key, check_text(values["session"] or None, "A swatch's dye day"), work)
    if beside:
        row = read(db, "swatch", key)
        kept = check_kept(beside, known=before)
        work.put("swatch", key, {"extra": put_kept(row["extra"], kept)})
    for name, value, with_it in _together(checked, before):
        _set_fact(db, key, name, value, work, also=with_it, alone=alone)
    if typed:
        row = read(db, "swatch", key)
        work.put("swatch", key, {"typed": as_json(json.loads(row["typed"]) | typed)})
    for target in work.before:
        work.tell(target)
    after = _facts(db, key)
    changed = {
        n: (before.get(n), after.get(n))
        for n in {**before, **after}
        if before.get(n) != after.get(n)
    }
    pot = [t for t in work.changed if t[0] == "lot"]
    also = sorted(k for t, k in work.changed if t == "swatch" and k != key)
    if pot:
        shared = db.execute("SELECT code FROM swatch WHERE lot = ? AND code <> ?", (pot[0][1], key))
        also = sorted({*also, *(r["code"] for r in shared)})
    return Edited(
        key,
        after.get("name"),
        changed,
        lot=found.lot if pot or also else None,
        also=tuple(also),
        kept=tuple(sorted(work.kept - set(also))),
        questions=questions,
    )


def edit_state(
    db: sqlite3.Connection, reading: int, state: str, note: Callable[[Value], None]
) -> tuple[str, str]:
    """Say that a reading was of the swatch in another state; returns the state before, after."""
    if state not in STATES:
        raise BadValue(f"'{state}' is no state of a swatch; use {', '.join(STATES)}.")
    before = read(db, "reading", str(reading))
    write(db, "reading", str(reading), {"state": state})
    for value in differences("reading", str(reading), before, before | {"state": state}):
        note(value)
    return str(before["state"]), state


class _Work:
    """What is being changed: each swatch or lot as it was before, and what is said of it."""

    def __init__(self, db: sqlite3.Connection, note: Callable[[Value], None]) -> None:
        self.db, self.note = db, note
        self.before: dict[tuple[Any, str], dict[str, Any]] = {}
        self.changed: list[tuple[Any, str]] = []
        self.kept: set[str] = set()

    def put(self, target: Any, key: str, values: Mapping[str, Any]) -> None:
        """Write fields of a swatch or lot."""
        self.before.setdefault((target, key), read(self.db, target, key))
        write(self.db, target, key, values)

    def tell(self, which: tuple[Any, str]) -> None:
        """Put down what came of it."""
        target, key = which
        before, after = self.before[which], read(self.db, target, key)
        columns = column_changes(before, after)
        values = differences(target, key, before, after, columns)
        if values:
            self.changed.append(which)
        for value in values:
            self.note(value)


def _facts(db: sqlite3.Connection, key: str) -> dict[str, Any]:
    swatch = swatches.read_swatch(db, key)
    own = {"name": swatch.name, "part": swatch.part, "lot": swatch.lot, "session": swatch.session}
    return {n: v for n, v in own.items() if v is not None} | swatch.conditions


def _set_word(db: sqlite3.Connection, key: str, name: str, given: Any, work: _Work) -> None:
    if name == "part":
        work.put("swatch", key, {"part": check_text(given, "A swatch's part") or None})
        return
    called = check_name(given) if given not in (None, "") else None
    if called is not None and swatches.by_name(db, called) not in (None, key):
        raise BadValue(f"There is a swatch called {called} already. Give this one another name.")
    work.put("swatch", key, {"name": called})


def _move(db: sqlite3.Connection, key: str, lot: str | None, work: _Work, now: str) -> None:
    """Say that the swatch came out of another pot; its bath stays what it was."""
    found = swatches.read_swatch(db, key)
    if lot == found.lot:
        return
    if lot is None:
        values = {"lot": None, "session": found.session, "steps": steps_as_values(found.steps)}
        work.put("swatch", key, values)
        return
    if not lots.is_lot(db, lot):
        lots.add_lot(db, [], name=lot, session=found.session, note=None, now=now)
    pot = read_steps(db, "lot", lot)
    if found.steps[: len(pot)] != pot:
        raise BadValue(
            f"The lot {lot} is on record with other steps than swatch {key}. Correct the bath of "
            "the swatch first, or give another lot."
        )
    own = steps_as_values(found.steps[len(pot) :])
    work.put("swatch", key, {"lot": lot, "session": None, "steps": own})


def _set_day(db: sqlite3.Connection, key: str, day: str | None, work: _Work) -> None:
    lot = swatches.read_swatch(db, key).lot
    if lot is None:
        work.put("swatch", key, {"session": day})
    else:
        work.put("lot", lot, {"session": day})


def _together(
    changes: list[tuple[str, Any]], before: Mapping[str, Any]
) -> Iterator[tuple[str, Any, dict[str, Any]]]:
    """Each column to set; a dyestuff that is new comes with how it went in."""
    given, done = dict(changes), set()
    for name, value in changes:
        how = f"dye_{name[-1]}_how"
        new = re.fullmatch(r"dyestuff_[2-9]", name) and name not in before
        also = {how: given[how]} if new and given.get(how) is not None else {}
        done |= set(also)
        if name not in done:
            yield name, value, also


def _set_fact(
    db: sqlite3.Connection,
    key: str,
    name: str,
    value: Any,
    work: _Work,
    *,
    also: Mapping[str, Any],
    alone: bool,
) -> None:
    found = read(db, "swatch", key)
    lot = found["lot"]
    on_record = swatches.read_swatch(db, key).conditions
    old = on_record.get(name)
    if name in FIBRE_COLUMNS:
        work.put("swatch", key, {name: value, "typed": _without(found["typed"], name)})
        return
    siblings = [
        r["code"]
        for r in db.execute("SELECT code FROM swatch WHERE lot = ? AND code <> ?", (lot, key))
    ]
    baths = {k: swatches.read_swatch(db, k).conditions for k in siblings}
    pot = read_steps(db, "lot", lot) if lot else ()
    new_pot = _put_bath(db, key, pot, name, value, work, also=also, alone=alone)
    if new_pot != pot:
        work.put("lot", lot, {"steps": steps_as_values(new_pot)})
    shares = _POT.fullmatch(name)
    shared = shares is not None and (shares["number"] is None or old is not None) and not alone
    for other, bath in baths.items():
        after = swatches.read_swatch(db, other).conditions
        meant = {name, *also}
        strayed = [n for n in {**bath, **after} if bath.get(n) != after.get(n) and n not in meant]
        if strayed:
            raise BadValue(
                f"{name} cannot be changed for the whole pot {lot}: {strayed[0]} of swatch {other} "
                "would change with it. Nothing was changed; correct that swatch first, or this one "
                "alone."
            )
        if not shared or after.get(name) == value:
            continue
        if bath.get(name) == old:
            _put_bath(db, other, new_pot, name, value, work, also=also, alone=True)
        else:
            work.kept.add(other)


def _put_bath(
    db: sqlite3.Connection,
    key: str,
    pot: Steps,
    name: str,
    value: Any,
    work: _Work,
    *,
    also: Mapping[str, Any],
    alone: bool,
) -> Steps:
    """Set a column in the steps of one swatch; returns what the pot's steps become."""
    row = read(db, "swatch", key)
    own = read_steps(db, "swatch", key)
    fibre = {c: row[c] for c in FIBRE_COLUMNS}
    new_pot, new_own = with_value(pot, own, fibre, name, value, also=also, alone=alone)
    values: dict[str, Any] = {"typed": _without(row["typed"], name)}
    if new_own != own:
        values["steps"] = steps_as_values(new_own)
    work.put("swatch", key, values)
    return new_pot


def _without(typed: str, name: str) -> str:
    """The cells as they were typed, without one that no longer holds."""
    cells = json.loads(typed)
    return typed if name not in cells else as_json({n: v for n, v in cells.items() if n != name})
