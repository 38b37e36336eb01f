"""One correction of many swatches, shown before it is made, and taken back as one."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ...bath.cautions import cautions_for
from ...conditions.columns import Column, column
from ...conditions.units import TwoWays, parse_with_unit
from ...conditions.vocabulary import meaning
from ...errors import BadValue, SwatchbathError
from ...library import KEPT, Edited, Library, Swatch
from ..text.wording import plain
from .edit import change_sentences, own_names_checked, parsed_cells

# How many are shown before all are changed.
_SHOWN = 3
# Columns that are numbered together: those of one dyestuff, those of one after-bath.
_FAMILIES = (
    re.compile(r"(dyestuff|dyestuff_form|dyestuff_lot|dye_owf|vat\w*)$"),
    re.compile(r"modifier\w*$"),
)
_OWNERS = ("dyestuff", "modifier")
_SLOTS = ("", *(f"_{k}" for k in range(2, 10)))
_FACTS = ("code", "name", "lot", "part", "session")


class _TakeBack(Exception):
    """Raised to undo what was only tried."""


@dataclass(frozen=True)
class EditManyAnswer:
    """found : codes of the swatches that were meant. changed : what changes, or would, of each
    that does. also : others of their pots that change with them. written : whether it was done."""

    found: tuple[str, ...]
    changed: tuple[Edited, ...]
    also: tuple[str, ...]
    questions: tuple[str, ...]
    cautions: tuple[str, ...]
    written: bool

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "cautions": list(self.cautions),
            "found": list(self.found),
            "swatches": [
                {"code": e.code, "name": e.name}
                | {"changed": {n: list(v) for n, v in e.changed.items()}}
                for e in self.changed
            ],
            "also_changed": list(self.also),
            "questions": list(self.questions),
            "written": self.written,
        }

    @property
    def sentences(self) -> list[str]:
        """What changes, the first ones in full."""
        count = len(self.changed)
        whole = "1 swatch" if len(self.found) == 1 else f"{len(self.found)} swatches"
        if not count:
            return [f"{whole} found, and all of it is on record so already; nothing was changed."]
        did = ("was changed" if count == 1 else "were changed") if self.written else "would change"
        whom = "it" if len(self.found) == 1 else f"{count} of them"
        out = [f"{whole} found; {whom} {did}."]
        for e in self.changed[:_SHOWN]:
            name = f" ({e.name})" if e.name else ""
            out.append(f"{e.code}{name}: {' '.join(change_sentences(e.changed))}")
        if count > _SHOWN:
            out.append(f"And {count - _SHOWN} more.")
        if self.also:
            out.append(f"So it is for what lay in the same pots: {', '.join(self.also)}.")
        return out


def edit_many(
    library: Library,
    where: Sequence[str],
    cells: Iterable[str],
    *,
    why: str = "",
    alone: bool = False,
    yes: bool = False,
) -> EditManyAnswer:
    """Correct all swatches of which all of `where` holds.

    where : column=value; words are compared by what they mean, numbers by their value, `column=`
    holds where nothing is known. A dyestuff is looked for among all of a bath, and what is set of
    it (dyestuff_lot, dye_owf) is set of that one. cells : as for `edit`. yes : do it; else it is
    only shown. All of it is one change, taken back by one undo.
    """
    asked = _asked(where)
    values = parsed_cells(cells)
    if not values:
        raise BadValue(
            "Nothing is told of what to change. Say a column and its value, such as --set "
            "dyestuff_lot=M25."
        )
    own_names_checked(values)
    if "name" in values:
        raise BadValue("A name is one swatch's own, and cannot be given to many.")
    found: list[str] = []
    done: list[Edited] = []
    try:
        with library.atomic():
            for code in library.codes():
                slots = _slots(library.swatch(code), asked)
                if slots is None:
                    continue
                found.append(code)
                done.append(_one(library, code, _numbered(values, slots), why, alone))
            if not found:
                raise BadValue(
                    f"No swatch on record is so: {' and '.join(where)}. Nothing was changed; "
                    "swatchbath find looks for words."
                )
            changed = tuple(e for e in done if e.changed)
            baths = [plain(library.swatch(e.code).conditions) for e in changed if _of_bath(e)]
            if not yes:
                raise _TakeBack
    except _TakeBack:
        pass
    # One that changed first changes others of its pot, which are among those found as well.
    moved = _moved(done, found)
    also = sorted({c for e in done for c in e.also} - set(found))
    return EditManyAnswer(
        tuple(found),
        moved,
        tuple(also),
        tuple(dict.fromkeys(q for e in done for q in e.questions)),
        tuple(dict.fromkeys(c.sentence for bath in baths for c in cautions_for(bath))),
        yes,
    )


def swatches_where(library: Library, where: Sequence[str]) -> list[Swatch]:
    """All swatches of which all of `where` holds, oldest first; see `edit_many`. Raises BadValue
    where there is none."""
    asked = _asked(where)
    found = [s for s in library.swatches(library.codes()) if _slots(s, asked) is not None]
    if not found:
        raise BadValue(
            f"No swatch on record is so: {' and '.join(where)}. swatchbath find looks for words."
        )
    return found


def _one(library: Library, code: str, values: Mapping[str, str], why: str, alone: bool) -> Edited:
    try:
        return library.edit(code, values, why=why, alone=alone)
    except SwatchbathError as error:
        raise BadValue(f"Swatch {code}: {error} Nothing was changed of any.") from error


def _moved(done: Sequence[Edited], found: Sequence[str]) -> tuple[Edited, ...]:
    """What changed of each that was found, that which changed with another of its pot too."""
    out: dict[str, Edited] = {e.code: e for e in done if e.changed}
    names = {e.code: e.name for e in done}
    for e in done:
        for other in e.also:
            if other in names and other not in out:
                out[other] = Edited(other, names[other], e.changed)
    return tuple(out[code] for code in found if code in out)


def _of_bath(edited: Edited) -> bool:
    return any(column(name) for name in edited.changed)


def _asked(where: Sequence[str]) -> list[tuple[str, str]]:
    if not where:
        raise BadValue("Say which swatches are meant, such as --where dyestuff=madder.")
    out = []
    for item in where:
        name, sign, value = (part.strip() for part in item.partition("="))
        if not sign or not name:
            raise BadValue(
                f"'{item}' does not say which swatches are meant. Write column=value, such as "
                "dyestuff=madder; column= with nothing after it: where it is not known."
            )
        about = column(name)
        if about is not None and about.kind == "number" and value:
            _number(value, about)
        elif about is None and name not in (*KEPT, *_FACTS):
            own_names_checked({name: value})
        out.append((name, value))
    return out


def _slots(swatch: Swatch, asked: Sequence[tuple[str, str]]) -> dict[int, set[str]] | None:
    """Of which dyestuffs and after-baths what is asked holds, by family; None where it does not
    hold of this swatch."""
    slots: dict[int, set[str]] = {}
    for name, value in asked:
        which = _family(name)
        if which is None:
            if not _holds(swatch, name, value):
                return None
            continue
        owner = _OWNERS[which]
        there = {s for s in _SLOTS if owner + s in swatch.conditions or (not s and value)}
        there = {s for s in there if _holds(swatch, name + s, value)}
        slots[which] = slots.get(which, there) & there
        if not slots[which]:
            return None
    return slots


def _family(name: str) -> int | None:
    return next((i for i, of in enumerate(_FAMILIES) if of.match(name)), None)


def _numbered(values: Mapping[str, str], slots: Mapping[int, set[str]]) -> dict[str, str]:
    """What to set, each of the dyestuff or after-bath that was asked for."""
    out = {}
    for name, value in values.items():
        which = _family(name)
        for slot in sorted(slots.get(which, {""}) if which is not None else {""}):
            out[name + slot] = value
    return out


def _holds(swatch: Swatch, name: str, value: str) -> bool:
    there = getattr(swatch, name) if name in _FACTS else swatch.conditions.get(name)
    if not value:
        return there is None or there == ""
    if there is None:
        return False
    about = column(name)
    if about is not None and about.kind == "number":
        return abs(float(there) - _number(value, about)) < 1e-6
    return meaning(name, str(there)) == meaning(name, value)


def _number(text: str, about: Column) -> float:
    try:
        read = parse_with_unit(text, about.unit)
    except TwoWays as error:
        raise BadValue(f"{text} can be read in two ways; type {error}.") from error
    if read is None or read.needs:
        raise BadValue(f"'{text}' is no {about.name} ({about.allowed}).")
    return read.value
