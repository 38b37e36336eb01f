"""Samples that share mordanting and dye pot and part in after-baths, and the room there is for
them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from ...conditions.vocabulary import meaning
from ...errors import BadValue, ValueOutOfRange
from .candidates import Space
from .columns import Bath

_AFTER = re.compile(r"modifier.*")
# What samples in one mordant bath have in common. Fibres are mordanted apart: their heat differs.
_MORDANT = (
    "fibre", "fibre_form", "tannin", "tannin_owf", "mordant", "mordant_owf", "mordant_C",
    "mordant_minutes",
)  # fmt: skip


@dataclass(frozen=True)
class Room:
    """What there is to dye in: dye pots on the stove together, jars for after-baths."""

    pots: int = 99
    jars: int = 99

    def holds(self, baths: Sequence[Bath]) -> bool:
        """Whether these samples fit."""
        jars = {(pot_of(b), _after_key(b)) for b in baths if has_after_bath(b)}
        return len({pot_of(b) for b in baths}) <= self.pots and len(jars) <= self.jars


ROOM = Room()


def parse_room(pots: int, jars: int) -> Room:
    """Check how many pots (1 or more) and jars (0 or more) there are. Raises ValueOutOfRange."""
    for value, least, what in ((pots, 1, "dye pots"), (jars, 0, "jars for after-baths")):
        if isinstance(value, bool) or not isinstance(value, int | np.integer) or value < least:
            raise ValueOutOfRange(
                f"{value!r} {what} were given; give a whole number of {least} or more."
            )
    return Room(int(pots), int(jars))


def no_jar(room: Room) -> BadValue:
    """The error for limits that leave only baths for which there is no jar."""
    return BadValue(
        f"Every bath within these limits ends in an after-bath, and {room.jars} jars were given "
        "for after-baths; give 1 jar or more, or let the limits allow a bath without an after-bath."
    )


def has_after_bath(bath: Bath) -> bool:
    """Whether a bath ends in an after-bath."""
    return meaning("modifier", str(bath.get("modifier") or "none")) != "none"


def _after_key(bath: Bath) -> tuple[tuple[str, Any], ...]:
    return tuple(sorted((n, v) for n, v in bath.items() if _AFTER.fullmatch(n)))


def pot_of(bath: Bath) -> tuple[tuple[str, Any], ...]:
    """What samples of one dye pot have in common: all but the after-baths and the wash."""
    return tuple(
        sorted((n, v) for n, v in bath.items() if not _AFTER.fullmatch(n) and n != "wash_pH")
    )


def mordanting_of(bath: Bath) -> tuple[Any, ...]:
    """What samples of one mordant bath have in common."""
    return tuple(bath.get(n) for n in _MORDANT)


def with_after_bath(
    space: Space, pot: Bath, baths: Sequence[Bath], most: int, rng: np.random.Generator
) -> list[Bath]:
    """Samples in the dye pot of one, each with the after-bath of another bath or with none."""
    base = {n: v for n, v in pot.items() if not _AFTER.fullmatch(n)}
    afters = list(dict.fromkeys(_after_key(b) for b in baths))
    afters = [afters[i] for i in rng.permutation(len(afters))[:most]]
    made = space.allowed([base | dict(after) for after in afters])
    return [b for b in made if pot_of(b) == pot_of(pot)]


def with_mordanting(space: Space, bath: Bath, earlier: Sequence[Bath]) -> list[Bath]:
    """The bath on fibre that lay in the mordant bath of an earlier one of the same fibre."""
    given = {
        mordanting_of(b): {n: b[n] for n in _MORDANT if n in b}
        for b in earlier
        if b.get("fibre") == bath.get("fibre")
    }
    rest = {n: v for n, v in bath.items() if n not in _MORDANT}
    return space.allowed([rest | part for part in given.values()])
