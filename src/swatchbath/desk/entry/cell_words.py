"""What the cells of one row tell, where a cell holds more than a word or a number."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from ...bath.diary.reading import begins_with, read_step
from ...bath.step import Step
from ...bath.steps import conditions_of
from ...conditions.columns import column
from ...conditions.trade_words import uses_of
from ...conditions.units import TwoWays, parse_with_unit
from ...conditions.vocabulary import FIBRES, meaning
from ...errors import BadTable, BadValue
from ..text.heading_words import LINES, SHORT
from .cell_parts import in_full, tells_more
from .fibre import fibre_of_words
from .headings import Heading
from .row_steps import in_order

# How a line of a diary begins for a cell of a column.
_BEGINS = {"tannin": "tannin", "mordant": "mordant", "dyestuff": "dye", "modifier": "after-bath"}
_LINE = re.compile(
    r"(?:scour|mordant|tannin|dye|overdye|vat|after-?bath|after|modifier|sadden|exhaust|rinse|wash|"
    r"dry|dunging)\b[^:]{0,20}:",
    re.IGNORECASE,
)
_BETWEEN = re.compile(
    rf"\s*\n\s*|\s+(?:/|\||>|->|→|then)\s+(?={_LINE.pattern})|\s*;\s*(?={_LINE.pattern})",
    re.IGNORECASE,
)
_AMOUNT = re.compile(r"\d+(?:[.,]\d+)?\s*(?:mg|g|kg|oz|lb)\b", re.IGNORECASE)
_TOGETHER = re.compile(r"\s*(?:\+|&|/|\band\b)\s*")
_YES = ("yes", "y", "x", "✓", "✔", "√", "+", "ja", "true", "done")
_NO = re.compile(
    r"no|n|none|nein|false|without|[-–—]|0+(?:[.,]0+)?\s*(?:%|g|oz|ml)?", re.IGNORECASE
)
# The same for what was added to a bath, which is told beside something.
_BESIDE = {"mordant_assist": "mordant: alum", "assist": "dye: madder"}
# What comes after another of its kind in one cell: weld 80 % then indigo.
_THEN = re.compile(r"[,;]?\s+then\s+|\s*→\s*", re.IGNORECASE)
_AGAIN = {"dyestuff": "overdye"}
# Heats and times that may be told in words: of which treatment, and where a step holds the number
# and the word.
_SPOKEN = {
    "temperature_C": ("dye", "temperature_C", "heat"),
    "minutes": ("dye", "minutes", "duration"),
    "mordant_C": ("mordant", "temperature_C", "heat"),
    "mordant_minutes": ("mordant", "minutes", "duration"),
}


@dataclass(frozen=True)
class ToldRow:
    """cells : column -> text or number. steps : of lines of a diary, in order. words : for the kind
    of a treatment, its heat and time where those are told in words: simmer, overnight."""

    cells: dict[str, Any]
    steps: tuple[Step, ...] = ()
    words: Mapping[str, Mapping[str, str]] = field(default_factory=dict)


def are_lines(cells: Sequence[str]) -> bool:
    """Whether most cells of a column are lines of a diary: mordant: alum 12 %."""
    return bool(cells) and sum(bool(_LINE.match(c)) for c in cells) > 0.6 * len(cells)


def told_by(number: int, pairs: Sequence[tuple[Heading, str]], every: Mapping[str, str]) -> ToldRow:
    """The cells of a row, each thing in its own column. every : what holds where nothing is said.

    Raises BadTable, with the row, for a cell that tells what cannot be read.
    """
    row = _Row(number)
    lines: list[tuple[Heading, str]] = []
    for heading, cell in pairs:
        if heading.column == LINES:
            lines.append((heading, cell))
        elif not heading.word:
            row.cells[heading.column] = cell
    for heading, cell in pairs:
        if heading.column in _SPOKEN:
            row.spoken(heading, cell)
    row.fibre()
    named = [(h, cell) for h, cell in pairs if h.word]
    row.weighed([(h, cell) for h, cell in named if h.column == "fibre_g"])
    named = [(h, cell) for h, cell in named if h.column != "fibre_g"]
    for heading, cell in pairs:
        base = re.sub(r"_[2-9]$", "", heading.column)
        if not heading.word and base in _BEGINS:
            row.word(heading, base, cell)
        elif not heading.word and base in _BESIDE:
            row.addition(heading, cell)
    for name in dict.fromkeys(h.column for h, _ in named):
        row.materials(name, [(h, cell) for h, cell in named if h.column == name])
    for heading, cell in lines:
        row.lines(heading, cell)
    row.close_up()
    for name, value in every.items():
        row.cells.setdefault(name, value)
    return ToldRow(row.cells, in_order(row.lines_told, row.words_told), row.heat_and_time)


class _Row:
    """One row while it is read."""

    def __init__(self, number: int) -> None:
        self.number = number
        self.cells: dict[str, Any] = {}
        self.lines_told: list[Step] = []
        self.words_told: list[Step] = []
        self.heat_and_time: dict[str, dict[str, str]] = {}

    def bad(self, heading: Heading, sentence: str) -> BadTable:
        return BadTable(
            f"Row {self.number}, column {heading.given}: {sentence}",
            row=self.number,
            column=heading.column,
        )

    def fibre(self) -> None:
        """Superwash wool 50 g: the fibre, what was done to it, its weight."""
        text = self.cells.get("fibre", "")
        if not text or meaning("fibre", text) in FIBRES:
            return
        try:
            told = fibre_of_words(text)
        except BadValue:
            return  # the cell is refused as it stands, with the fibres that are known
        for name, value in told.items():
            if name == "fibre":
                self.cells[name] = value
            else:
                self.cells.setdefault(name, value)

    def weighed(self, given: Sequence[tuple[Heading, str]]) -> None:
        """Columns called by a fibre, Wool g: the one that holds a weight."""
        there = [(h, cell) for h, cell in given if not _NO.fullmatch(cell)]
        for heading, cell in there:
            if len(there) > 1 or meaning("fibre", str(self.cells.get("fibre", heading.word))) != (
                heading.word
            ):
                raise self.bad(
                    heading, "two fibres are told. Give each a row of its own, with its weight."
                )
            self.cells |= {"fibre": heading.word, "fibre_g": cell}

    def spoken(self, heading: Heading, cell: str) -> None:
        """Simmer, overnight: a heat or a time in words, as a line of a diary tells it."""
        name, about = heading.column, column(heading.column)
        kind, number, word = _SPOKEN[name]
        try:
            plain = cell.casefold() == "none" or parse_with_unit(cell, about.unit if about else "")
        except TwoWays:
            plain = True  # asked back where it is checked
        if plain:
            return
        try:
            step = read_step(f"dye: madder, {cell}")
        except BadValue as error:
            reason = re.sub(r"^In '.*?': ", "", str(error))
            raise self.bad(heading, reason[:1].upper() + reason[1:]) from error
        if getattr(step, number) is None or len(step.materials) > 1:
            unit = about.unit if about else ""
            raise self.bad(heading, f"'{cell}' is no {unit}. Type a number with its unit.")
        self.cells[name] = getattr(step, number)
        if getattr(step, word):
            self.heat_and_time.setdefault(kind, {})[word] = getattr(step, word)

    @property
    def grams(self) -> float | None:
        """The weight that amounts in grams are counted on."""
        for name in ("pot_g", "fibre_g"):
            cell = self.cells.get(name)
            if cell is not None:
                try:
                    read = parse_with_unit(str(cell), "g")
                except TwoWays:
                    return None
                return None if read is None or not read.value > 0 else read.value
        return None

    def word(self, heading: Heading, base: str, cell: str) -> None:
        """A cell that names a material, perhaps with its amount, time and heat."""
        slot = heading.column[len(base) :]
        if base != "dyestuff" and _NO.fullmatch(cell):
            self.cells[heading.column] = "none"
            return
        cell = self.cells[heading.column] = in_full(cell)
        if heading.over:
            after = re.sub(r"\s+(?:dip|bath|after-?bath)$", "", cell, flags=re.IGNORECASE)
            uses = uses_of(after)
            if uses and "dyestuff" not in uses and "modifier" not in self.cells:
                # Iron over a dye is no dyestuff.
                self.cells["modifier"] = after
                del self.cells[heading.column]
                return
            self.cells[f"dye{slot}_how"] = "over"
        cell = self.shared_out(base, slot, cell)
        if not tells_more(base, cell):
            return
        parts = _THEN.split(cell)
        begins = [_BEGINS[base], *(_AGAIN.get(base, _BEGINS[base]) for _ in parts[1:])]
        # A cell may begin by itself: tannin: gallnut 8 % in a column of mordants.
        lines = [p if _LINE.match(p) else f"{b}: {p}" for b, p in zip(begins, parts, strict=True)]
        steps = [self.read(heading, line) for line in lines]
        if {s.kind for s in steps} != {begins_with(f"{b}: x") for b in begins}:
            raise self.bad(heading, f"'{cell}' is another treatment than its column's.")
        told = conditions_of(steps, {})
        if slot and (base == "modifier" or len(steps) > 1 or f"{base}_2" in told):
            raise self.bad(
                heading, f"'{cell}' holds more than one thing. Give each its own column."
            )
        del self.cells[heading.column]
        self.put(heading, {n + slot: v for n, v in told.items()} if slot else told)
        amount = _AMOUNT.search(cell)
        owf = {"dyestuff": "dye_owf"}.get(base, f"{base}_owf") + slot
        if amount and owf not in self.cells:
            self.cells[owf] = amount[0]  # kept as typed: the weight it is of is not told
        if not slot:
            self.words_told += steps

    def addition(self, heading: Heading, cell: str) -> None:
        """What was added to a bath, perhaps with its amount: tartar 6 %."""
        name = heading.column
        cell = self.cells[name] = (
            "none" if _NO.fullmatch(cell) else SHORT.get(cell.casefold(), cell)
        )
        if re.search(r"\d", cell):
            told = conditions_of([self.read(heading, f"{_BESIDE[name]}, {cell}")], {})
            if name not in told:
                raise self.bad(heading, f"'{cell}' is no assistant that is known here.")
            del self.cells[name]
            self.put(heading, {n: v for n, v in told.items() if n in (name, f"{name}_owf")})

    def shared_out(self, base: str, slot: str, cell: str) -> str:
        """Alum + tartar, with 15 % + 6 % in the column of the amount: each with its own."""
        owf = {"dyestuff": "dye_owf"}.get(base, f"{base}_owf") + slot
        names = [n for n in _TOGETHER.split(cell) if n]
        amounts = [a for a in _TOGETHER.split(str(self.cells.get(owf, ""))) if a]
        names = [in_full(n) for n in names]
        if len(names) < 2:
            return cell
        alike = [n for n in names if base in uses_of(n)]
        if base == "dyestuff" and len(amounts) == 1 and len(alike) > 1:
            raise BadTable(
                f"Column {base}: {amounts[0]} is told of {cell} together. Write each with its own "
                f"amount, such as {names[0]} 30 % + {names[1]} 10 %."
            )
        if len(amounts) == len(names):
            del self.cells[owf]
            names = [f"{n} {a}" for n, a in zip(names, amounts, strict=True)]
        return " + ".join(names)

    def materials(self, name: str, given: Sequence[tuple[Heading, str]]) -> None:
        """Columns called by a material, Alum or Madder %: those that hold something."""
        owner = "dyestuff" if name == "dye_owf" else name.removesuffix("_owf")
        there = [(h, cell) for h, cell in given if not _NO.fullmatch(cell)]
        known = self.cells.get(owner)
        if not there:
            self.cells.setdefault(owner, "none")
            return
        if owner != "dyestuff" and len(there) > 1:
            one, two = there[0][0].word, there[1][0].word
            raise self.bad(
                there[1][0],
                f"{one} and {two} are both told, and one column holds one of them. Write them as "
                f"lines of a diary in one column, such as {_BEGINS.get(owner, 'mordant')}: {one} "
                f"10 % / {_BEGINS.get(owner, 'mordant')}: {two} 5 %.",
            )
        for heading, cell in there:
            slot = ""
            if owner == "dyestuff":
                while self.cells.get(owner + slot) not in (None, ""):
                    slot = f"_{int(slot[1:]) + 1 if slot else 2}"
            elif known and meaning(owner, str(known)) != heading.word:
                raise self.bad(
                    heading,
                    f"an amount of {heading.word} is told, and the {owner} is {known}. Mend one of "
                    "the two.",
                )
            self.cells.setdefault(owner + slot, heading.word)
            if cell.casefold() not in (*_YES, heading.word):
                if not re.search(r"\d", cell):
                    raise self.bad(
                        heading,
                        f"'{cell}' is no amount of {heading.word}, and neither yes nor no. Type "
                        "one of these, or leave the cell empty.",
                    )
                self.cells[f"{name}{slot}"] = cell

    def close_up(self) -> None:
        """A second dyestuff where the first cell is empty is the first."""
        if "dyestuff" in self.cells or any(n.startswith("dye_") and "how" in n for n in self.cells):
            return
        for k in range(2, 10):
            if f"dyestuff_{k}" in self.cells:
                for name in [n for n in self.cells if n.endswith(f"_{k}") and column(n)]:
                    self.cells[name.removesuffix(f"_{k}")] = self.cells.pop(name)
                return

    def lines(self, heading: Heading, cell: str) -> None:
        """A cell of whole lines, one treatment each."""
        parts = [p.strip() for p in _BETWEEN.split(cell) if p and p.strip()]
        steps = [self.read(heading, part) for part in parts]
        self.put(heading, conditions_of(steps, {}))
        self.lines_told += steps

    def read(self, heading: Heading, line: str) -> Step:
        try:
            return read_step(line, fibre_g=self.grams)
        except BadValue as error:
            raise self.bad(heading, str(error)) from error

    def put(self, heading: Heading, told: Mapping[str, Any]) -> None:
        """What a line tells beside what the cells tell; the two must agree."""
        for name, value in told.items():
            there = self.cells.get(name)
            if there in (None, ""):
                self.cells[name] = value
            elif not _alike(name, there, value):
                raise self.bad(
                    heading,
                    f"'{value}' is told of {name}, and another cell of the row says '{there}'. "
                    "Mend one of the two.",
                )


def _alike(name: str, one: Any, other: Any) -> bool:
    about = column(name)
    if about is not None and about.kind == "number":
        try:
            read = parse_with_unit(str(one), about.unit)
        except TwoWays:
            return False
        return read is not None and abs(read.value - float(other)) < 1e-6
    return meaning(name, str(one)) == meaning(name, str(other))
