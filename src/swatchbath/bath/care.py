"""Which cautions of a bath are told in full, and which in a word to whoever has lived with them.

What is most dangerous always stands in full. The rest does until a dried pot of her own used that
material; then one line names each danger.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from .cautions import Caution, cautions_for, materials_of
from .materials import materials_in
from .step import Step

# What is most dangerous: nothing of it is told by amount before its caution.
_DANGEROUS = frozenset(
    ("iron", "lye", "strong lye", "lime", "acid", "strong acid", "ammonia", "reducing agent")
)


@dataclass(frozen=True)
class Lived:
    """What the dried pots of a dyer's own called for: names of cautions, and materials."""

    cautions: frozenset[str] = frozenset()
    materials: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Care:
    """The cautions of a bath as they are told before its amounts. full : sentences, most hazardous
    first. brief : one line that names each danger she knows. general : one line for every pot."""

    full: tuple[str, ...] = ()
    brief: str = ""
    general: str = ""

    @property
    def lines(self) -> list[str]:
        """All of it, in order."""
        return [*self.full, *(line for line in (self.brief, self.general) if line)]

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {"full": list(self.full), "brief": self.brief, "general": self.general}


def is_dangerous(material: str) -> bool:
    """Whether a material is iron, lye, lime, acid, ammonia or what reduces a vat."""
    return bool(materials_in([material]) & _DANGEROUS)


def without_dangerous_amounts(steps: Iterable[Step]) -> list[Step]:
    """The steps of a bath as they may be told before its cautions: without the amounts of what is
    most dangerous."""
    return [
        replace(
            step,
            materials=tuple(
                replace(m, owf=None, told=None) if is_dangerous(m.name) else m
                for m in step.materials
            ),
        )
        for step in steps
    ]


def lived_with(baths: Iterable[Mapping[str, Any]]) -> Lived:
    """What some dried baths, as condition columns, called for."""
    names: set[str] = set()
    materials: set[str] = set()
    for bath in baths:
        names |= {c.name for c in cautions_for(bath)}
        materials |= materials_of(bath)
    return Lived(frozenset(names), frozenset(materials))


def care_of(cautions: Iterable[Caution], materials: Iterable[str], lived: Lived) -> Care:
    """The cautions of baths that hold `materials`, in full and in short."""
    new = frozenset(materials) - lived.materials
    full, known, general = [], [], []
    for caution in cautions:
        if caution.general:
            general.append(caution.danger)
        elif caution.stands or caution.name not in lived.cautions or new & set(caution.of):
            full.append(caution.sentence)
        else:
            known.append(caution.danger)
    return Care(
        tuple(full),
        f"As in your pots before, mind: {'; '.join(known)}." if known else "",
        f"In every pot: {'; '.join(general)}." if general else "",
    )
