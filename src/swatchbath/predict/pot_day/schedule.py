"""A pot day: what goes in by weight, how long the stove is on, and when the answer is dry.

Lengths of the day's parts are common practice, no source: a mordant or tannin bath an hour at its
heat, half an hour to heat a pot, an hour to cool before it is lifted, a quarter of an hour to
rinse, about a day to dry.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from ...conditions.vocabulary import meaning
from ..search.batch import has_after_bath
from ..search.columns import Bath
from ..search.limits import Limits, parse_limits
from ..search.sample import Sample
from .weighing import MORDANT_ROLES, Amount, after_roles, amounts, check_grams, dye_roles, together

_MORDANT_MINUTES, _HEATING, _COOLING, _RINSE, _FILL_JARS = 60.0, 30.0, 60.0, 15.0, 15.0
_DRY_HOURS = 24.0


@dataclass(frozen=True, eq=False)
class Pot:
    """One dye pot: its samples, grams of fibre, litres of water (None: ratio not on record), what
    goes into the mordant bath (only for the first pot that shares it) and into the dye pot, and
    for each sample what goes into its jar."""

    number: int
    mordanting: int
    samples: tuple[Sample, ...]
    fibre_g: float
    litres: float | None
    mordant_g: float
    mordant: tuple[Amount, ...]
    dye: tuple[Amount, ...]
    jars: tuple[tuple[Amount, ...], ...]

    @property
    def mordanted(self) -> bool:
        """Whether its fibre goes through a tannin or a mordant bath."""
        return _before_dyeing(self.samples[0].conditions) > 0

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "number": self.number,
            "mordanting": self.mordanting,
            "fibre_g": self.fibre_g,
            "litres": self.litres,
            "mordant_fibre_g": self.mordant_g,
            "mordant": [a.as_dict() for a in self.mordant],
            "dye": [a.as_dict() for a in self.dye],
            "samples": [
                s.as_dict() | {"jar": [a.as_dict() for a in jar]}
                for s, jar in zip(self.samples, self.jars, strict=True)
            ],
        }


@dataclass(frozen=True, eq=False)
class PotDay:
    """Samples dyed in one day.

    stove_hours : how long the stove is on. work_hours : from the first bath to the samples on the
    line. dry_hours : from the first bath to dry samples, ready to be photographed.
    """

    pots: tuple[Pot, ...]
    sample_g: float
    stove_hours: float
    work_hours: float
    dry_hours: float

    @property
    def samples(self) -> tuple[Sample, ...]:
        """All samples, by pot."""
        return tuple(s for pot in self.pots for s in pot.samples)

    @property
    def totals(self) -> dict[str, float]:
        """Grams of each thing that is weighed, and of each fibre."""
        out: dict[str, float] = {}
        for pot in self.pots:
            fibre = str(pot.samples[0].conditions.get("fibre", "fibre"))
            out[fibre] = out.get(fibre, 0.0) + pot.fibre_g
            for a in (*pot.mordant, *pot.dye, *(a for jar in pot.jars for a in jar)):
                out[a.what] = out.get(a.what, 0.0) + a.grams
        return {name: float(f"{g:.6g}") for name, g in out.items()}

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "sample_g": self.sample_g,
            "stove_hours": self.stove_hours,
            "work_hours": self.work_hours,
            "dry_hours": self.dry_hours,
            "totals_g": self.totals,
            "pots": [p.as_dict() for p in self.pots],
        }


def pot_day(
    samples: Sequence[Sample],
    *,
    sample_g: float = 10.0,
    scale_g: float = 1.0,
    pots: int = 99,
    limits: Limits | None = None,
) -> PotDay:
    """Amounts and hours for samples that `next_samples` chose, their baths as `weighed` gives.

    sample_g : dry fibre of one sample, the smallest she can weigh a bath for. scale_g : the step
    of her scale. pots : on the stove together; mordant baths use them first. limits : as asked for.
    Raises ValueOutOfRange, also for what cannot be weighed.
    """
    check_grams(sample_g, scale_g)
    allowed = parse_limits(limits)
    mordanted: set[int] = set()
    out = []
    shared, by_pot = together(samples)
    for number, mine in by_pot.items():
        first = samples[mine[0]].conditions
        grams = sample_g * len(mine)
        group = samples[mine[0]].mordanting
        weight = 0.0 if group in mordanted else sample_g * len(shared[group])
        mordanted.add(group)
        ratio = first.get("liquor_ratio")
        out.append(
            Pot(
                number=number,
                mordanting=group,
                samples=tuple(samples[i] for i in mine),
                fibre_g=grams,
                litres=None if ratio is None else float(f"{ratio * grams / 1000:.3g}"),
                mordant_g=weight,
                mordant=amounts(first, MORDANT_ROLES, weight, scale_g, allowed),
                dye=amounts(first, dye_roles(first), grams, scale_g, allowed),
                jars=tuple(
                    amounts(c, after_roles(c), sample_g, scale_g, allowed)
                    for c in (samples[i].conditions for i in mine)
                ),
            )
        )
    groups = [[samples[i] for i in places] for places in shared.values()]
    return PotDay(tuple(out), sample_g, *_hours(out, groups, pots))


def _hours(
    pots: Sequence[Pot], shared: Sequence[Sequence[Sample]], room: int
) -> tuple[float, float, float]:
    """Hours the stove is on, until the samples hang, and until they are dry."""
    baths = [_before_dyeing(group[0].conditions) for group in shared]
    mordant = _in_turns([b for b in baths if b], room)
    dye = _in_turns(
        [_HEATING + _number(p.samples[0].conditions, "minutes", 60.0) for p in pots], room
    )
    after = [
        _number(s.conditions, "modifier_minutes", 15.0)
        for p in pots
        for s in p.samples
        if has_after_bath(s.conditions)
    ]
    stove = mordant + dye
    work = stove + _COOLING + (max(after) + _FILL_JARS if after else 0.0) + _RINSE
    return (
        _quarters(stove),
        _quarters(work),
        _quarters(work) + _DRY_HOURS,
    )


def _before_dyeing(bath: Bath) -> float:
    there = [r for r in ("tannin", "mordant") if meaning(r, str(bath.get(r) or "none")) != "none"]
    return (_HEATING + _MORDANT_MINUTES) * len(there)


def _in_turns(minutes: Sequence[float], room: int) -> float:
    """Minutes for baths of which `room` stand on the stove together, the longest first."""
    free = [0.0] * max(1, min(room, len(minutes)))
    for length in sorted(minutes, reverse=True):
        free[free.index(min(free))] += length
    return max(free)


def _number(bath: Bath, name: str, usual: float) -> float:
    value = bath.get(name)
    return usual if value is None or isinstance(value, str) else float(value)


def _quarters(minutes: float) -> float:
    """Hours, up to the next quarter."""
    return float(np.ceil(minutes / 15 - 1e-9) / 4)
