"""What a diary line has told so far."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from ...errors import BadValue

# 82 C and 180 F are one heat told twice; what is rounded to whole degrees lies so far apart.
_SAME_HEAT = 1.0
# Of these the same number told twice is two treatments, and no repetition: 1 h to heat, 1 h held.
_ONCE = ("minutes", "dips")


@dataclass
class Named:
    """Something named in a line: its words, where they stand, and what is told of its amount.

    percent : on the weight of fibre. grams; a volume in ml with its strength in percent; grams a
    litre; amount : all that as typed. quoted : a name by her own word. reducer : of a vat.
    """

    words: str = ""
    part: int = -1
    quoted: bool = False
    percent: float | None = None
    grams: float | None = None
    ml: float | None = None
    strength: float | None = None
    grams_litre: float | None = None
    amount: str | None = None
    form: str | None = None
    lot: str | None = None
    grown: bool = False  # lot is the harvest it came from
    strip: str | None = None
    none: bool = False
    reducer: bool = False
    joined: bool = False  # by an and, to one without an amount
    solution: bool = False

    @property
    def has_amount(self) -> bool:
        """Whether an amount of it was told."""
        return self.amount is not None


@dataclass
class Told:
    """Facts of the bath by the name of their field, what was named, notes, and the rest."""

    line: str
    facts: dict[str, Any] = field(default_factory=dict)
    named: list[Named] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    fibre_g: float | None = None
    fibre_told: bool = False  # in the line itself
    tannin: bool = False
    vat: bool = False
    bracket: bool = False  # what is being read stands in brackets
    resting: float | None = None  # a time that was no heating: left overnight

    def fact(self, name: str, value: Any, said: str) -> None:
        """Keep a fact; BadValue where another one of its kind was told."""
        before = self.facts.get(name)
        if name == "temperature_C" and before is not None and abs(before - value) < _SAME_HEAT:
            return
        again = name in _ONCE and before is not None and not (self.bracket or self._night())
        if again or (name in self.facts and before != value):
            raise BadValue(
                f"In '{self.line}': '{said}' is told beside another of its kind; keep one, or "
                "write two lines where they were two treatments."
            )
        self.facts[name] = value

    def _night(self) -> bool:
        return "duration" in self.facts

    def note(self, words: str) -> None:
        """Keep words that are no fact of the bath."""
        if words and words not in self.notes:
            self.notes.append(words)

    def refuse(self, why: str) -> BadValue:
        """The error that asks back."""
        return BadValue(f"In '{self.line}': {why}")
