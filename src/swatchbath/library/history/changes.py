"""The memory of a library: what every write changed, when and why, and how to take it back.

One write (everything inside one `atomic`) is one change. Changes are taken back from the last on;
taking one back is itself put down, so that nothing of what was there is forgotten.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from ...bath.diary.telling import line_of
from ...conditions.spoken import column_words, value_words
from ...errors import BadValue, NotFound
from ..clock import stamp
from .fields import COLOUR, SOURCES, RecordKind, holds, read, steps_from_values, write

Kind = Literal["record", "edit", "bin", "undo"]
# A field of no table: the swatch or reading was not there before.
NEW = "new"
# Changes that can still be taken back: those of what is gone for good hold no values any more.
_LEFT = (
    "FROM change WHERE undone IS NULL AND kind <> 'undo' AND EXISTS "
    "(SELECT 1 FROM change_value WHERE change_value.change = change.id)"
)


@dataclass(frozen=True)
class Value:
    """One field of a change, before and after. columns : condition columns it changed."""

    target: RecordKind
    key: str
    field: str
    old: Any
    new: Any
    columns: Mapping[str, tuple[Any, Any]]


@dataclass(frozen=True)
class Undone:
    """What was taken back: the kind of change, when it was made, and what it concerned."""

    kind: str
    made: str
    why: str
    values: tuple[Value, ...]
    binned: tuple[str, ...]  # codes of swatches that went to the bin by it
    more: int  # changes before it that can be taken back as well

    @property
    def sentences(self) -> list[str]:
        """What was taken back, one sentence each."""
        out = []
        if self.binned:
            plural = "" if len(self.binned) == 1 else "es"
            shown = _listed(self.binned)
            out.append(f"Swatch{plural} {shown} went to the bin, where nothing is lost.")
        elif any(v.field == NEW and v.target != KEPT_PIECE for v in self.values):
            out.append("What was recorded went to the bin, where nothing is lost.")
        out += kept_piece_words([v for v in self.values if v.target == KEPT_PIECE])
        if any(v.target == JUDGEMENT for v in self.values):
            out.append("What was judged last by eye counts no more.")
        out += _together(self.values)
        again: dict[str, list[str]] = {}
        for value in self.values:
            if value.field not in (NEW, *_TOGETHER) and value.target not in (KEPT_PIECE, JUDGEMENT):
                whose = {"reading": "a reading", "lot": f"the whole lot {value.key}"}.get(
                    value.target, value.key
                )
                for text, now, was in _told(value):
                    told = f"{text}: {was} again, was {now}"
                    if value.field == "binned":
                        told = "out of the bin again" if value.new else "in the bin again"
                    elif now is None:
                        told = f"{text} are as before"
                    again.setdefault(told, []).append(whose)
        out += [f"{_listed(whose)}: {told}." for told, whose in again.items()]
        return out

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "kind": self.kind,
            "why": self.why,
            "took_back": self.sentences,
            "in_bin": list(self.binned),
            "more": self.more,
        }


KEPT_PIECE: RecordKind = "kept piece"
JUDGEMENT: RecordKind = "judgement"


def kept_piece_words(values: Sequence[Value]) -> list[str]:
    """What was taken back of kept pieces, a sentence each."""
    out = []
    for value in values:
        if value.field == NEW:
            out.append("The piece that was kept last is kept no more; keep it again to have it.")
        elif value.field == "binned":
            out.append("The kept piece that was let go is kept again.")
        elif value.field == "judged":
            out.append("What was judged last is out of the history of its shade again.")
        elif value.field == "within":
            out.append(f"How close it must be to the kept piece: {value.old:g} again.")
        else:
            out.append(f"Where the kept piece lies: {value.old or 'not said'} again.")
    return out


def _listed(names: Sequence[str]) -> str:
    """Names in a row, each once; the first letter large."""
    once = list(dict.fromkeys(names))
    text = ", ".join(once[:10]) + (f" and {len(once) - 10} more" if len(once) > 10 else "")
    return text[:1].upper() + text[1:]


# Changed for many at once, and told once.
_TOGETHER = (COLOUR, SOURCES, "camera_name")


def _together(values: Sequence[Value]) -> list[str]:
    count = {f: len({v.key for v in values if v.field == f}) for f in _TOGETHER}
    photos, sources, colours = count["camera_name"], count[SOURCES], count[COLOUR]
    out = []
    if photos:
        out.append(
            f"The camera of {photos} photo{'' if photos == 1 else 's'} is called as it was before."
        )
    elif sources:
        whose = "reading is" if sources == 1 else "readings are"
        out.append(f"{sources} {whose} told apart by camera as before.")
    if colours:
        whose = "reading has its colour" if colours == 1 else "readings have their colours"
        out.append(f"{colours} {whose} from before again.")
    return out


def begin(db: sqlite3.Connection, kind: Kind, why: str) -> int:
    """Put down that something is changed; returns the change's number."""
    cursor = db.execute("INSERT INTO change (at, kind, why) VALUES (?, ?, ?)", (stamp(), kind, why))
    return int(cursor.lastrowid or 0)


def put_down(db: sqlite3.Connection, change: int, value: Value) -> None:
    """Add one value to a change."""
    place = db.execute(
        "SELECT coalesce(max(position) + 1, 0) FROM change_value WHERE change = ?", (change,)
    ).fetchone()[0]
    db.execute(
        "INSERT INTO change_value (change, position, target, key, field, old, new, told) "
        "VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
        (
            change,
            place,
            value.target,
            value.key,
            value.field,
            _text(value.old),
            _text(value.new),
            _text({k: list(v) for k, v in value.columns.items()}),
        ),
    )


def differences(
    target: RecordKind,
    key: str,
    before: Mapping[str, Any],
    after: Mapping[str, Any],
    columns: Mapping[str, tuple[Any, Any]] | None = None,
) -> list[Value]:
    """The fields that differ, as values of a change; `columns` goes with the steps."""
    return [
        Value(target, key, n, before.get(n), after[n], (columns or {}) if n == "steps" else {})
        for n in after
        if before.get(n) != after[n]
    ]


def last_of(db: sqlite3.Connection) -> int | None:
    """The number of the change that `undo` would take back, or None."""
    row = db.execute(f"SELECT id {_LEFT} ORDER BY id DESC LIMIT 1").fetchone()
    return None if row is None else int(row["id"])


def undo(db: sqlite3.Connection, change: int) -> Undone:
    """Take back the last change that is not taken back yet. Raises NotFound, BadValue.

    change : the number of the change this is put down as.
    """
    rows = db.execute(f"SELECT * {_LEFT} ORDER BY id DESC LIMIT 1").fetchall()
    if not rows:
        raise NotFound("There is no change left to take back in this library.")
    (last,) = rows
    values = values_of(db, last["id"])
    binned: list[str] = []
    for value in reversed(values):
        now = read(db, value.target, value.key)
        if not now:
            continue  # gone for good since
        back: dict[str, Any]
        if value.field == NEW:
            back = {} if now["binned"] else {"binned": stamp()}
            if back and value.target == "swatch":
                binned.append(value.key)
        elif holds(db, value.target, value.key, value.field, now, value.new):
            back = {value.field: value.old}
        else:
            raise BadValue(
                f"The last change cannot be taken back: the {value.field} of {value.target} "
                f"{value.key} is no longer what it made of it. Nothing was changed; mend the value "
                "with edit."
            )
        write(db, value.target, value.key, back)
        for name, old in back.items():
            columns = {k: (b, a) for k, (a, b) in value.columns.items()}
            was = value.new if name == value.field else now.get(name)
            if name == COLOUR:
                old = {axis: old[axis] for axis in "Lab"}
            put_down(db, change, Value(value.target, value.key, name, was, old, columns))
    db.execute("UPDATE change SET undone = ? WHERE id = ?", (change, last["id"]))
    more = db.execute(f"SELECT count(*) {_LEFT}").fetchone()[0]
    return Undone(
        last["kind"], last["at"], last["why"], tuple(values), tuple(reversed(binned)), int(more)
    )


def values_of(db: sqlite3.Connection, change: int) -> list[Value]:
    """The values of a change, in order."""
    return [
        Value(
            row["target"],
            row["key"],
            row["field"],
            json.loads(row["old"]),
            json.loads(row["new"]),
            {k: (v[0], v[1]) for k, v in json.loads(row["told"]).items()},
        )
        for row in db.execute(
            "SELECT * FROM change_value WHERE change = ? ORDER BY position", (change,)
        )
    ]


def events(
    db: sqlite3.Connection, code: str, lot: str | None, deliveries: Sequence[str] = ()
) -> list[dict[str, str]]:
    """What was changed about a swatch, its lot or the deliveries its bath names, oldest first:
    when, what. Recording is told elsewhere."""
    rows = db.execute(
        "SELECT DISTINCT change.* FROM change JOIN change_value ON change.id = change "
        "WHERE (target = 'swatch' AND key = ?1) OR (target = 'lot' AND key = ?2) OR "
        "(target = 'dyestuff lot' AND key IN (SELECT value FROM json_each(?3))) OR "
        "(target = 'reading' AND key IN (SELECT CAST(id AS TEXT) FROM measurement "
        "WHERE swatch = ?1)) ORDER BY change.id",
        (code, lot, json.dumps(list(deliveries), ensure_ascii=False)),
    ).fetchall()
    out = []
    for row in rows:
        words = []
        for value in values_of(db, row["id"]):
            if value.field == NEW or (value.target, value.key) not in (
                ("swatch", code), ("lot", lot), ("reading", value.key),
                *(("dyestuff lot", d) for d in deliveries),
            ):  # fmt: skip
                continue
            if value.target == "reading" and not _is_of(db, value.key, code):
                continue
            words += sentences(value)
        if words:
            start = {"undo": "taken back: ", "edit": "corrected: "}.get(row["kind"], "")
            why = f" ({row['why']})" if row["why"] else ""
            out.append({"when": str(row["at"]), "what": f"{start}{'; '.join(words)}{why}"})
    return out


def sentences(value: Value) -> list[str]:
    """A value of a change in a dyer's words: "pH of the dye bath: 6, was 5.5"."""
    return [text if now is None else f"{text}: {now}, was {was}" for text, now, was in _told(value)]


def _told(value: Value) -> list[tuple[str, str | None, str]]:
    """What a value is of, what it is now and what it was; now None: the first says it all."""
    if value.field == "binned":
        thing = "a reading " if value.target == "reading" else ""
        words = f"{thing}put in the bin" if value.new else f"{thing}taken out of the bin"
        return [(words, None, "")]
    if value.field == COLOUR:
        return [("read anew", _lab(value.new), _lab(value.old))]
    if value.field == SOURCES:
        moved = [(a, b) for a, b in zip(value.old, value.new, strict=True) if a != b]
        return [
            ("camera", _camera(new), _camera(old))
            for old, new in moved
            if old.startswith("camera:")
        ]
    if value.field == "steps":
        return [_column(name, old, new) for name, (old, new) in value.columns.items()] or [
            _lines(value)
        ]
    if value.field in ("extra", "typed"):
        old, new = json.loads(value.old or "{}"), json.loads(value.new or "{}")
        return [
            _column(name, old.get(name), new.get(name))
            for name in (old | new if value.field == "extra" else ())
            if old.get(name) != new.get(name)
        ]
    if value.field == "shown":
        return [("the photos that show it", None, "")]
    return [_column(value.field, value.old, value.new)]


def _camera(source: str) -> str:
    """A camera by its source's name; of one that has no name of hers, the mark is left out."""
    name = source.removeprefix("camera:")
    return {"unnamed": "not named", "unknown": "not known"}.get(name.partition(" (")[0], name)


def _column(name: str, old: Any, new: Any) -> tuple[str, str, str]:
    return column_words(name), value_words(name, new), value_words(name, old)


def _lines(value: Value) -> tuple[str, str, str]:
    """Steps whose columns are as before: the lines that tell them otherwise."""
    old, new = ([line_of(s) for s in steps_from_values(v or ())] for v in (value.old, value.new))
    now, was = ([line for line in a if line not in b] for a, b in ((new, old), (old, new)))
    return "the bath", "; ".join(now) or "without it", "; ".join(was) or "not told"


def _lab(colour: Mapping[str, float]) -> str:
    return " ".join(f"{axis}* {colour[axis]:.0f}" for axis in "Lab")


def _is_of(db: sqlite3.Connection, reading: str, code: str) -> bool:
    row = db.execute("SELECT swatch FROM measurement WHERE id = ?", (reading,)).fetchone()
    return row is not None and row["swatch"] == code


def _text(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False)
