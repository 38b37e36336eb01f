"""What each heading of a dyer's own table means: a column, something kept beside, or nothing."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from ...conditions.columns import column
from ...conditions.spoken import column_words
from ...conditions.units import TwoWays, parse_with_unit
from ...errors import BadValue
from ...library import KEPT
from ..text.heading_words import (
    ALONE,
    AMOUNTS,
    ITSELF,
    LINES,
    NUMBER,
    OF_A_BATH,
    OTHERS,
    OVER,
    columns_by_word,
    family_of,
    headed_by,
    in_two_words,
    plain_heading,
    unit_of,
)

# A column of hers that is not taken at all.
OUT = "leave out"
_OUT = (OUT, "out", "nothing", "skip", "ignore")
_BESIDE = ("beside", "kept", "keep", "keep beside", "kept beside", "own")
_KNOWN = (*OTHERS, *KEPT, NUMBER, LINES)


@dataclass(frozen=True)
class Heading:
    """A heading as it stands, the column it was matched to (its own name where to none), the unit
    its cells are in, and whether it is a column known here. word : the material it is named for,
    whose amount its cells tell ("Alum % WOF"). why : what a unit that is not said was told by.
    over : a dyestuff that went over the one before it."""

    given: str
    column: str
    unit: str = ""
    known: bool = True
    word: str = ""
    why: str = ""
    over: bool = False

    def as_dict(self) -> dict[str, object]:
        """Plain values for JSON."""
        facts = {"heading": self.given, "column": self.column, "unit": self.unit}
        return facts | {"used": self.known, "material": self.word, "why": self.why}

    @property
    def words(self) -> str:
        """What it was taken for, on a screen."""
        if self.column == OUT:
            return "left out"
        if not self.known:
            return "kept, not used"
        unit = f", in {self.unit}" if self.unit else ""
        if self.over:
            return f"{column_words(self.column)}, over the first"
        if self.word:
            return f"{column_words(self.column)}, amount of {self.word}{unit}"
        if self.column == NUMBER:
            return "name, its number"
        if self.column == LINES:
            return "lines of a diary, read as treatments"
        return f"{column_words(self.column)}{unit}{f' ({self.why})' if self.why else ''}"


def match_headings(given: Sequence[str], groups: Sequence[str] = ()) -> list[Heading]:
    """Each heading with its column.

    groups : what stands over each heading, where there are two rows of them. A short heading that
    says nothing by itself (%, WOF, a second Temp) is that of the material before it. Where two
    mean one column, the one that has its very name or else the first is it, and the other is kept
    beside.
    """
    over = list(groups) or [""] * len(given)
    bare = Counter(plain_heading(unit_of(h)[0]) for h in given)
    found: list[Heading] = []
    before, called = None, ""  # the family of the material told last, and its heading
    for heading, group in zip(given, over, strict=True):
        one = _under(heading, group) if group else _match(heading)
        plain = plain_heading(unit_of(heading)[0])
        short = plain in AMOUNTS or (plain in OF_A_BATH and bare[plain] > 1)
        if not group and before is not None and short:
            again = _match(f"{before} {heading}")
            shown = f"{called} {heading}" if bare[plain] > 1 else heading
            one = replace(again, given=shown) if again.known else one
        elif not short:
            # What tells of another thing ends what a short heading may belong to.
            before, called = family_of(one.column) if one.known else None, heading
        found.append(one)
    return _each_once(found)


def changed_headings(found: Sequence[Heading], said: Iterable[str], where: str) -> list[Heading]:
    """The headings with what she says of them: "heading=column", "heading=note", "heading=leave
    out", each with "in UNIT" if need be. where : the table, for sentences. Raises BadValue."""
    out = list(found)
    meant: list[int] = []
    for item in said:
        name, sign, target = item.rpartition("=")
        if not sign or not name.strip() or not target.strip():
            raise BadValue(
                f"'{item}' does not say what a heading means. Write heading=column, heading=note "
                'or heading=leave out, such as --column "Base=note".'
            )
        places = [i for i, h in enumerate(out) if h.given.casefold() == name.strip().casefold()]
        plain = plain_heading(name)
        places = places or [i for i, h in enumerate(out) if plain_heading(h.given) == plain]
        if not places:
            names = ", ".join(h.given for h in out)
            raise BadValue(f"There is no heading '{name.strip()}' in {where}; it has: {names}.")
        for i in places:
            out[i] = _as_said(out[i], target.strip())
            meant.append(i)
    for i in meant:
        # What she says comes before what was guessed of another.
        for j, other in enumerate(out):
            if j not in meant and _same(out[i], other):
                out[j] = _beside(other)
    return _each_once(out)


def _as_said(heading: Heading, target: str) -> Heading:
    if target.casefold() in _OUT:
        return Heading(heading.given, OUT, known=False)
    if target.casefold() in _BESIDE:
        return Heading(heading.given, heading.given, known=False)
    one = _match(target)
    if not one.known:
        raise BadValue(
            f"There is no column '{target}' for the heading '{heading.given}'. swatchbath record "
            f"--columns lists the columns; others are {', '.join(KEPT)} and leave out."
        )
    unit = one.unit or (heading.unit if _fits(one.column, heading.unit) else "")
    return replace(one, given=heading.given, unit=unit)


def _same(one: Heading, other: Heading) -> bool:
    """Whether two headings cannot both mean what they are taken for."""
    if not (one.known and other.known and one.column == other.column):
        return False
    return not (one.word and other.word and one.word != other.word)


def _each_once(found: Sequence[Heading]) -> list[Heading]:
    out = list(found)
    for i, one in enumerate(out):
        for j in range(i):
            if _same(one, out[j]):
                weaker = j if one.given.strip() == one.column != out[j].given.strip() else i
                out[weaker] = _beside(out[weaker])
    if any(h.column == NUMBER and h.known for h in out):
        named = any(h.column == "name" for h in out)
        out = [replace(h, column="name") if h.column == NUMBER and not named else h for h in out]
    if not any(h.column == "modifier" for h in out):
        # A jar that no after-bath goes with is her name for the swatch.
        named = any(h.known and h.column in ("name", NUMBER) for h in out)
        for i, h in enumerate(out):
            if h.known and h.column in ("modifier_lot", "modifier_strip") and h.given != h.column:
                out[i] = _beside(h) if named else replace(h, column="name")
                named = True
    taken: Counter[str] = Counter()
    for i, one in enumerate(out):
        if not one.known and one.column != OUT:
            taken[one.column] += 1
            if taken[one.column] > 1 or column(one.column) or one.column in _KNOWN:
                out[i] = replace(one, column=f"{one.column} {max(taken[one.column], 2)}")
    return out


def _beside(heading: Heading) -> Heading:
    return Heading(heading.given, heading.given.strip(), known=False)


def _under(heading: str, group: str) -> Heading:
    """A heading that stands under another: Mordant over %, Dye bath over Plant."""
    shown = f"{group}: {heading}" if heading else group
    plain = plain_heading(heading)
    tries = [f"{group} {heading}", heading]
    if not plain or plain in ITSELF or plain == plain_heading(group):
        tries = [group]
    elif plain_heading(unit_of(heading)[0]) in AMOUNTS:
        tries = [f"{group} {heading}", f"{group} {unit_of(heading)[1]}"]
    for text in tries:
        one = _match(text)
        if one.known:
            # What is known by itself and not with the group stands beside it.
            return replace(one, given=shown if group in text else heading)
    return Heading(shown, shown, known=False)


def _match(heading: str) -> Heading:
    own = heading.strip()
    if column(own) is not None or own in _KNOWN:
        return Heading(heading, own)
    called, unit = unit_of(own)
    plain = plain_heading(called)
    short = in_two_words(plain)
    if short == "" and unit in ALONE:
        return Heading(heading, ALONE[unit], unit)
    if plain in OVER and not unit:
        return Heading(heading, "dyestuff_2", over=True)
    for text, of in ((plain, unit), (plain_heading(own), ""), (short, unit)):
        number = re.fullmatch(r"(.*?)\s*([1-9])", text or "")
        base, slot = (number[1], f"_{number[2]}") if number else (text or "", "")
        slot = "" if slot == "_1" else slot
        for name in columns_by_word().get(base, ()):
            if (not slot or column(name + slot)) and _fits(name, of):
                return Heading(heading, name + slot, of)
    for end in ("", " amount", " weight", " wt", " wof", " owf", " strength", " added", " used"):
        made = headed_by(plain.removesuffix(end)) if plain.endswith(end) else None
        if made:
            name = {"dyestuff": "dye_owf", "fibre": "fibre_g"}.get(made[0], f"{made[0]}_owf")
            # Wool with no unit is a name for anything; Wool g is a weight.
            if _fits(name, unit) and (unit or made[0] != "fibre"):
                return Heading(heading, name, unit, word=made[1])
    return Heading(heading, own, "", known=False)


def _fits(name: str, unit: str) -> bool:
    """Whether a column's cells can be in a unit; a plain word column has none."""
    about = column(name)
    kind = "" if about is None or about.kind != "number" else about.unit
    if name == "days":
        kind = "d"
    if not unit:
        # "Dye" alone is the plant, not its amount.
        return True
    if name == NUMBER or name in KEPT or (about is not None and about.kind != "number"):
        return False
    return parse_with_unit(f"1 {unit}", kind, 100.0) is not None


def with_unit(cell: str, heading: Heading) -> str:
    """A cell with the unit that its heading tells of, where it has none of its own."""
    text = cell.strip()
    if not heading.unit or not re.fullmatch(r"[+-]?[\d.,]+", text):
        return cell
    about = column(heading.column)
    if about is None:
        return cell
    try:
        plain = parse_with_unit(text, about.unit)
        there = parse_with_unit(f"{text} {heading.unit}", about.unit)
    except TwoWays:
        return cell
    # Where the unit is the column's own, the cell stays as it stands.
    if plain is not None and there is not None and plain.value == there.value:
        return cell
    return f"{text} {heading.unit}"
