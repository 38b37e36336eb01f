"""What is on record about a swatch, corrected; what was there before is kept."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from ...bath.cautions import cautions_for
from ...conditions.columns import column
from ...conditions.spoken import change_words
from ...errors import BadValue
from ...library import KEPT, Edited, Library
from ..text.heading_words import columns_by_word, plain_heading
from ..text.wording import plain

# Facts of a swatch that are no conditions and nothing kept beside.
_OWN = ("name", "part", "lot", "session", "code", "photo", "swatch")


@dataclass(frozen=True)
class EditAnswer:
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
        out = change_sentences(e.changed)
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
) -> EditAnswer:
    """Correct what is on record about a swatch, with cells typed as column=value.

    An empty value means not known, the word none that there was none. Facts of the dye pot are
    corrected for all swatches of the lot that share them, unless `alone`. reading, state : the
    number of a reading (oldest 1) that was taken in another state. What was there before is kept.
    """
    values = own_names_checked(parsed_cells(cells), library.swatch(swatch).conditions)
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
    now = library.swatch(done.code)
    changed = any(column(name) for name in done.changed)
    cautions = (
        tuple(c.sentence for c in cautions_for(plain(now.conditions), now.steps)) if changed else ()
    )
    return EditAnswer(done, cautions, corrected)


def change_sentences(changed: Mapping[str, tuple[Any, Any]]) -> list[str]:
    """What was changed, before and after, one sentence each."""
    return [f"{change_words(n, a, b)}." for n, (a, b) in changed.items()]


def parsed_cells(cells: Iterable[str]) -> dict[str, str]:
    """Corrections typed as column=value. Raises BadValue."""
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


def own_names_checked(values: dict[str, str], known: Iterable[str] = ()) -> dict[str, str]:
    """The same; refuses a name that is a word for a column and not the column: temp for
    temperature_C. known : her own names that are on record. Raises BadValue."""
    for name in values:
        if column(name) is None and name not in (*KEPT, *_OWN, *known):
            meant = columns_by_word().get(plain_heading(name), [])
            if meant and meant[0] not in (name, *_OWN):
                raise BadValue(
                    f"There is no column '{name}'. Did you mean {meant[0]}? swatchbath record "
                    "--columns lists the columns; a column of your own needs another name."
                )
    return values
