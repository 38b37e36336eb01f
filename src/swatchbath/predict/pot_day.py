"""A pot day: what goes in by weight, how long the stove is on, and when the answer is dry.

Lengths of the day's parts are common practice, no source: a mordant or tannin bath an hour at its
heat, half an hour to heat a pot, an hour to cool before it is lifted, a quarter of an hour to
rinse, about a day to dry.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from ..errors import ValueOutOfRange
from .pots import has_after_bath
from .ranges import Bath
from .vocabulary import meaning

if TYPE_CHECKING:
    from .sampling import NextSample

__all__ = ["Amount", "Pot", "PotDay", "pot_day"]

_MORDANT_MINUTES, _HEATING, _COOLING, _RINSE, _FILL_JARS = 60.0, 30.0, 60.0, 15.0, 15.0
_DRY_HOURS = 24.0
# An amount is measured as a solution of 10 g in a litre where rounding to the scale's step would
# change it by more than this share; our own choice, about what a pot of one recipe varies by.
_OFF = 0.1
_STOCK_G_PER_ML, _MOST_ML = 0.01, 200.0
# Additions that dissolve, so that they can be measured so; common practice, no source.
_DISSOLVES = re.compile(
    r"alum|alumin|iron|soda|tartar|citric|vinegar|lactate|acetate|sulphate|salt"
)


@dataclass(frozen=True)
class Amount:
    """Something to weigh: what, for what, grams, and how (as a person would measure it)."""

    what: str
    role: str
    grams: float
    how: str

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {"what": self.what, "role": self.role, "grams": self.grams, "how": self.how}


@dataclass(frozen=True, eq=False)
class Pot:
    """One dye pot: its samples, grams of fibre, litres of water (None: ratio not on record), what
    goes into the mordant bath (only for the first pot that shares it) and into the dye pot, and
    for each sample what goes into its jar."""

    number: int
    mordanting: int
    samples: tuple[NextSample, ...]
    fibre_g: float
    litres: float | None
    mordant_g: float
    mordant: tuple[Amount, ...]
    dye: tuple[Amount, ...]
    jars: tuple[tuple[Amount, ...], ...]

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
    def samples(self) -> tuple[NextSample, ...]:
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
    samples: Sequence[NextSample], *, sample_g: float = 10.0, scale_g: float = 1.0, pots: int = 99
) -> PotDay:
    """Amounts and hours for samples that `next_samples` chose.

    sample_g : dry fibre of one sample, the smallest she can weigh a bath for. scale_g : the step
    of her scale. pots : on the stove together; mordant baths use them first.
    Raises ValueOutOfRange.
    """
    for value, what in ((sample_g, "The weight of a sample"), (scale_g, "The scale's step")):
        if not (isinstance(value, int | float | np.number) and 0 < value < 1e5):
            raise ValueOutOfRange(f"{what} is {value!r}; give grams above 0.")
    shared: dict[int, list[NextSample]] = {}
    by_pot: dict[int, list[NextSample]] = {}
    for sample in samples:
        shared.setdefault(sample.mordanting, []).append(sample)
        by_pot.setdefault(sample.pot, []).append(sample)
    told: set[int] = set()
    out = []
    for number, mine in by_pot.items():
        first = mine[0].conditions
        grams = sample_g * len(mine)
        group = mine[0].mordanting
        weight = 0.0 if group in told else sample_g * len(shared[group])
        told.add(group)
        ratio = first.get("liquor_ratio")
        out.append(
            Pot(
                number=number,
                mordanting=group,
                samples=tuple(mine),
                fibre_g=grams,
                litres=None if ratio is None else float(f"{ratio * grams / 1000:.3g}"),
                mordant_g=weight,
                mordant=_amounts(first, ("tannin", "mordant"), weight, scale_g),
                dye=_amounts(first, _dye_roles(first), grams, scale_g),
                jars=tuple(
                    _amounts(s.conditions, _after_roles(s.conditions), sample_g, scale_g)
                    for s in mine
                ),
            )
        )
    return PotDay(tuple(out), sample_g, *_hours(out, list(shared.values()), pots))


def _dye_roles(bath: Bath) -> tuple[str, ...]:
    more = [f"dyestuff_{i}" for i in range(2, 10) if f"dyestuff_{i}" in bath]
    return ("dyestuff", *more, "assist")


def _after_roles(bath: Bath) -> tuple[str, ...]:
    return tuple(f"modifier_{i}" for i in range(9, 1, -1) if f"modifier_{i}" in bath) + (
        "modifier",
    )


def _amounts(bath: Bath, roles: Sequence[str], grams: float, scale_g: float) -> tuple[Amount, ...]:
    out = []
    for role in roles:
        word = bath.get(role)
        amount = role.replace("dyestuff", "dye_owf", 1) if "dyestuff" in role else ""
        base, _, slot = role.partition("_")
        amount = amount or f"{base}_owf{'_' + slot if slot else ''}"
        percent = bath.get(amount)
        if grams <= 0 or not percent or meaning(base, str(word or "none")) == "none":
            continue
        weight = float(f"{percent / 100 * grams:.6g}")
        out.append(Amount(str(word), base, weight, _how(str(word), base, weight, scale_g)))
    return tuple(out)


def _how(word: str, role: str, grams: float, scale_g: float) -> str:
    """How an amount is measured on a scale that shows steps of `scale_g`."""
    near = round(grams / scale_g) * scale_g
    if near > 0 and abs(near - grams) <= _OFF * grams:
        return f"{near:g} g"
    ml = grams / _STOCK_G_PER_ML
    if role != "dyestuff" and ml <= _MOST_ML and _DISSOLVES.search(word.casefold()):
        return f"{ml:.3g} ml of a solution of 10 g in 1 litre of water"
    times = next((n for n in (2, 3, 4, 5, 10) if _fits(grams * n, scale_g)), 0)
    if times:
        whole = round(grams * times / scale_g) * scale_g
        return f"{grams:.3g} g (weigh {whole:g} g and take one part in {times})"
    return f"{grams:.3g} g"


def _fits(grams: float, scale_g: float) -> bool:
    near = round(grams / scale_g) * scale_g
    return near > 0 and abs(near - grams) <= _OFF * grams


def _hours(
    pots: Sequence[Pot], shared: Sequence[Sequence[NextSample]], room: int
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
