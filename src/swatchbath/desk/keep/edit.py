"""Keeping a library for twenty years: correct, take back, the bin, back up, restore, verify."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ...bath.cautions import cautions_for
from ...conditions.columns import column
from ...errors import BadValue
from ...library import (
    Backup,
    Binned,
    Edited,
    Emptied,
    Library,
    Undone,
    Value,
    Verified,
    back_up,
    reminder,
)
from ...library import restore as restore_backup
from ...library import verify as verify_library
from ...library.history.changes import NEW, sentences
from ...library.safety.strays import KEPT_IN_STEP
from ...library.safety.synced_folder import is_kept_in_step
from ..text.wording import plain

__all__ = [
    "Bin",
    "Correction",
    "Verified",
    "backup",
    "bin",
    "edit",
    "reminders",
    "restore",
    "undo",
    "verify",
]


@dataclass(frozen=True)
class Correction:
    """What a correction changed, in lines of column, before and after; whom else it concerned;
    and what can hurt in the bath as it is told now."""

    edited: Edited
    cautions: tuple[str, ...] = ()
    reading: tuple[int, str] | None = None  # a reading's number and the state it was in, corrected

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "cautions": list(self.cautions),
            "code": self.edited.code,
            "name": self.edited.name,
            "changed": {n: list(v) for n, v in self.edited.changed.items()},
            "reading": None
            if self.reading is None
            else dict(zip(("number", "state"), self.reading, strict=True)),
            "lot": self.edited.lot,
            "also_changed": list(self.edited.also),
            "kept_their_own": list(self.edited.kept),
            "questions": list(self.edited.questions),
        }

    @property
    def sentences(self) -> list[str]:
        """What was changed, and for whom, one sentence each."""
        e = self.edited
        out = [f"{n}: {_or_unknown(a)} is now {_or_unknown(b)}." for n, (a, b) in e.changed.items()]
        if self.reading is not None:
            out.append(f"Reading {self.reading[0]} is now {self.reading[1]}.")
        if not out:
            out.append("All of this is on record so already; nothing was changed.")
        if e.lot is not None:
            others = f", so for {', '.join(e.also)} as well" if e.also else ""
            out.append(f"This is a fact of the pot {e.lot}{others}.")
        if e.kept:
            out.append(f"Of the same pot, {', '.join(e.kept)} had another value and kept it.")
        return out


def edit(
    library: Library,
    swatch: str,
    cells: Iterable[str] = (),
    *,
    why: str = "",
    alone: bool = False,
    reading: int | None = None,
    state: str | None = None,
) -> Correction:
    """Correct what is on record about a swatch, with cells typed as column=value.

    An empty value means not known, the word none that there was none. Facts of the dye pot are
    corrected for all swatches of the lot that share them, unless `alone`. reading, state : the
    number of a reading (oldest 1) that was taken in another state. What was there before is kept.
    """
    values = _parsed(cells)
    if (reading is None) != (state is None):
        raise BadValue("Give a reading's number and its state together, or neither.")
    if not values and reading is None:
        raise BadValue(
            "Nothing is told of what to change. Say a column and its value, such as --set pH=6."
        )
    with library.atomic():
        found = library.swatch(swatch)
        done = Edited(found.code, found.name, {})
        if values:
            done = library.edit(found.code, values, why=why, alone=alone)
        corrected = None
        if reading is not None and state is not None:
            library.edit_state(found.code, reading, state, why=why)
            corrected = (reading, state)
    now = plain(library.swatch(done.code).conditions)
    changed = any(column(name) for name in done.changed)
    cautions = tuple(c.sentence for c in cautions_for(now)) if changed else ()
    return Correction(done, cautions, corrected)


def undo(library: Library) -> Undone:
    """Take back the last change: a value is put back, what was recorded goes to the bin."""
    return library.undo()


def undone_as_dict(done: Undone) -> dict[str, Any]:
    """Plain values for JSON."""
    return {
        "kind": done.kind,
        "why": done.why,
        "took_back": undone_sentences(done),
        "in_bin": list(done.binned),
        "more": done.more,
    }


def undone_sentences(done: Undone) -> list[str]:
    """What was taken back, one sentence each."""
    out = []
    if done.binned:
        out.append(f"{_swatches(done.binned)} went to the bin, where nothing is lost.")
    elif any(v.field == NEW for v in done.values):
        out.append("What was recorded went to the bin, where nothing is lost.")
    for value in done.values:
        if value.field != NEW:
            out += [f"{_of(value)}: {said} was taken back." for said in sentences(value)]
    return out


@dataclass(frozen=True)
class Bin:
    """What is in the bin, and what was just done. put, took : the code. emptied : what is gone."""

    things: tuple[Binned, ...]
    put: str | None = None
    took: str | None = None
    emptied: Emptied | None = None

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        gone = self.emptied
        return {
            "put": self.put,
            "took_out": self.took,
            "emptied": None
            if gone is None
            else {"codes": list(gone.codes), "readings": gone.readings, "photos": gone.photos},
            "in_bin": [
                {"code": t.code, "name": t.name, "reading": t.reading, "what": t.what}
                for t in self.things
            ],
        }


def bin(
    library: Library,
    swatch: str | None = None,
    *,
    reading: int | None = None,
    take_out: bool = False,
    why: str = "",
    empty: bool = False,
    for_good: bool = False,
) -> Bin:
    """List the bin; put a swatch or one of its readings in, or take it out; or empty it.

    Emptying is refused until it is said that it is for good.
    """
    if empty:
        if swatch is not None or reading is not None or take_out:
            raise BadValue(
                "Emptying the bin concerns all that is in it; leave the swatch out, or leave "
                "--empty out."
            )
        there = library.in_bin()
        if there and not for_good:
            count = f"{len(there)} thing{'' if len(there) == 1 else 's'}"
            raise BadValue(
                f"There {'is' if len(there) == 1 else 'are'} {count} in the bin, and emptying it "
                "cannot be taken back. Make a backup, then say --empty --for-good."
            )
        return Bin((), emptied=library.empty_bin())
    if for_good:
        raise BadValue("--for-good goes with --empty. Leave it out.")
    if swatch is None:
        if reading is not None or take_out:
            raise BadValue("Say which swatch: its code or its name.")
        return Bin(tuple(library.in_bin()))
    if take_out:
        took = library.take_out(swatch, reading=reading)
        return Bin(tuple(library.in_bin()), took=took)
    put = library.put_in_bin(swatch, reading=reading, why=why)
    return Bin(tuple(library.in_bin()), put=put)


def backup(library: Library, place: str | Path | None = None, *, progress: Any = None) -> Backup:
    """Make a backup of the library: one dated file, in the place named last time if none is."""
    return back_up(library, place, progress=progress)


def backup_as_dict(done: Backup) -> dict[str, Any]:
    """Plain values for JSON."""
    return {
        "file": str(done.file),
        "swatches": done.swatches,
        "photos": done.photos,
        "bytes": done.size,
        "left_out": list(done.left_out),
    }


def restore(file: str | Path, folder: str | Path) -> Verified:
    """Put a backup back into a new folder, and verify it."""
    return restore_backup(file, folder)


def verify(
    folder: str | Path, *, photos: str | Path | None = None, progress: Any = None
) -> Verified:
    """Read the whole library and tell what is wrong and what to do.

    photos : a folder in which photos that are missing or altered are looked for and put back.
    """
    return verify_library(folder, search=photos, progress=progress)


def verified_as_dict(done: Verified) -> dict[str, Any]:
    """Plain values for JSON."""
    return {
        "ok": done.ok,
        "folder": str(done.folder),
        "swatches": done.swatches,
        "readings": done.readings,
        "photos": done.photos,
        "put_back": list(done.put_back),
        "findings": [f.as_dict() for f in done.findings],
    }


def reminders(library: Library) -> list[str]:
    """What to say once beside any answer: a backup that is due, a folder that is kept in step."""
    due = reminder(library)
    shared = [" ".join(KEPT_IN_STEP)] if is_kept_in_step(library.folder) else []
    return [*([due] if due else []), *shared]


def _parsed(cells: Iterable[str]) -> dict[str, str]:
    values: dict[str, str] = {}
    for item in cells:
        name, sign, value = item.partition("=")
        name = name.strip()
        if not sign or not name:
            raise BadValue(
                f"'{item}' is no correction. Write column=value, such as pH=6; column= with "
                "nothing after it says that it is not known."
            )
        if name in values:
            raise BadValue(f"{name} is told twice; give it once.")
        values[name] = value.strip()
    return values


def _or_unknown(value: Any) -> str:
    if value is None:
        return "not known"
    return f"{value:g}" if isinstance(value, float) else str(value)


def _swatches(codes: tuple[str, ...]) -> str:
    shown = ", ".join(codes[:10]) + (f" and {len(codes) - 10} more" if len(codes) > 10 else "")
    return f"Swatch{'' if len(codes) == 1 else 'es'} {shown}"


def _of(value: Value) -> str:
    if value.target == "reading":
        return "A reading"
    return f"{'Lot' if value.target == 'lot' else 'Swatch'} {value.key}"
