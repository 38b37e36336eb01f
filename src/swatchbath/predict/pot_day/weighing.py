"""What to weigh for the samples of a pot day, as a person's scale can: the baths are rounded to it.

Directly where that comes near enough, else as a stock of 1 %, else as a part of what
can be weighed; where nothing of this will do, with somewhat heavier samples.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from ...bath.caps import breaks_caps
from ...bath.measuring import SAME, dissolves, measures
from ...conditions.vocabulary import meaning
from ...errors import ValueOutOfRange
from ..search.columns import Bath, base_of
from ..search.limits import Limit, Limits, parse_limits
from ..search.sample import Sample

# A sample is made so many times heavier at the most for the scale's sake; our own choice.
_HEAVIER = 3.0


@dataclass(frozen=True)
class Amount:
    """Something to weigh: what, for what, grams, how (as a person would measure it), and what
    percent of the fibre that is."""

    what: str
    role: str
    grams: float
    how: str
    percent: float

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "what": self.what,
            "role": self.role,
            "grams": self.grams,
            "how": self.how,
            "percent": self.percent,
        }


def weighed(
    samples: Sequence[Sample],
    *,
    sample_g: float = 10.0,
    scale_g: float = 1.0,
    limits: Limits | None = None,
) -> list[Bath]:
    """The samples' baths with every amount as it can be measured, within the caps as before and
    within `limits`; percents to three digits.

    Raises ValueOutOfRange for what cannot be measured.
    """
    check_grams(sample_g, scale_g)
    allowed = parse_limits(limits)
    baths = [dict(s.conditions) for s in samples]
    shared, by_pot = together(samples)
    fibre = [
        *((places, MORDANT_ROLES) for places in shared.values()),
        *((places, dye_roles(baths[places[0]])) for places in by_pot.values()),
        *(([i], after_roles(bath)) for i, bath in enumerate(baths)),
    ]
    for places, roles in fibre:
        for role in roles:
            made = amounts(baths[places[0]], (role,), sample_g * len(places), scale_g, allowed)
            for i in places:
                baths[i] |= {_amount_of(role): amount.percent for amount in made}
    return baths


def weighable_sample(
    samples: Sequence[Sample],
    *,
    sample_g: float = 10.0,
    scale_g: float = 1.0,
    limits: Limits | None = None,
) -> float:
    """Grams of a sample for which all can be measured: `sample_g`, or somewhat more.

    Raises ValueOutOfRange, with the scale or the sample that would do, where it takes more than
    three times as much.
    """
    try:
        weighed(samples, sample_g=sample_g, scale_g=scale_g, limits=limits)
        return sample_g
    except _Unweighable as error:
        larger = _first(samples, limits, ((g, scale_g) for g in _ladder(sample_g, 1)))
        if larger and larger[0] <= _HEAVIER * sample_g:
            return larger[0]
        finer = _first(samples, limits, ((sample_g, g) for g in _ladder(scale_g, -1)))
        would_do = [f"a scale that tells {finer[1]:g} g apart"] if finer else []
        would_do += [f"samples of {larger[0]:g} g"] if larger else []
        advice = " or ".join(would_do) or "other limits on the amounts"
        raise ValueOutOfRange(f"{error} Give {advice}.") from error


class _Unweighable(ValueOutOfRange):
    """What the scale cannot weigh, and for how much fibre."""


def _first(
    samples: Sequence[Sample], limits: Limits | None, tries: Iterator[tuple[float, float]]
) -> tuple[float, float] | None:
    """The first sample and scale (g) with which all can be measured."""
    for sample_g, scale_g in tries:
        try:
            weighed(samples, sample_g=sample_g, scale_g=scale_g, limits=limits)
        except _Unweighable:
            continue
        return sample_g, scale_g
    return None


def _ladder(grams: float, way: int) -> Iterator[float]:
    """1, 2, 5, 10 ... g above (way 1) or below (way -1) so many grams, four decades at the most."""
    decade = math.floor(math.log10(grams))
    exponents = range(decade - 4, decade + 5)
    steps = [float(f"{n}e{e}") for e in exponents for n in (1, 2, 5)]
    return (g for g in steps[::way] if (g - grams) * way > 1e-9 * grams and g < 1e5)


def check_grams(sample_g: float, scale_g: float) -> None:
    for value, what in ((sample_g, "The weight of a sample"), (scale_g, "The scale's step")):
        if not (isinstance(value, int | float | np.number) and 0 < value < 1e5):
            raise ValueOutOfRange(f"{what} is {value!r}; give grams above 0.")


def together(
    samples: Sequence[Sample],
) -> tuple[dict[int, list[int]], dict[int, list[int]]]:
    """Places of the samples that share a mordant bath, and of those that share a dye pot."""
    shared: dict[int, list[int]] = {}
    by_pot: dict[int, list[int]] = {}
    for i, sample in enumerate(samples):
        shared.setdefault(sample.mordanting, []).append(i)
        by_pot.setdefault(sample.pot, []).append(i)
    return shared, by_pot


MORDANT_ROLES = ("tannin", "mordant", "mordant_assist")


def dye_roles(bath: Bath) -> tuple[str, ...]:
    more = [f"dyestuff_{i}" for i in range(2, 10) if f"dyestuff_{i}" in bath]
    return ("dyestuff", *more, "assist")


def after_roles(bath: Bath) -> tuple[str, ...]:
    return tuple(f"modifier_{i}" for i in range(9, 1, -1) if f"modifier_{i}" in bath) + (
        "modifier",
    )


def _amount_of(role: str) -> str:
    """The column of how much there is of something: dyestuff_2 -> dye_owf_2."""
    base = base_of(role)
    return f"{'dye' if base == 'dyestuff' else base}_owf{role.removeprefix(base)}"


def amounts(
    bath: Bath,
    roles: Sequence[str],
    fibre_g: float,
    scale_g: float,
    limits: Mapping[str, Limit],
) -> tuple[Amount, ...]:
    out = []
    for role in roles:
        base, name = base_of(role), _amount_of(role)
        word = str(bath.get(role) or "none")
        if fibre_g <= 0 or not bath.get(name) or meaning(base, word) == "none":
            continue
        way = _measured(bath, role, name, fibre_g, scale_g, limits)
        if way is None:
            grams = bath[name] / 100 * fibre_g
            raise _Unweighable(
                f"{grams:.3g} g of {word} for {fibre_g:g} g of fibre cannot be weighed on a scale "
                f"that tells {scale_g:g} g apart."
            )
        percent, grams, how = way
        out.append(Amount(word, base, grams, how, percent))
    return tuple(out)


def _three_digits(percent: float) -> float:
    """To three digits, and to a tenth above 100, where a scale tells less than a percent apart."""
    return round(percent, 1) if percent >= 100 else float(f"{percent:.3g}")


def _measured(
    bath: Bath,
    role: str,
    name: str,
    fibre_g: float,
    scale_g: float,
    limits: Mapping[str, Limit],
    *,
    again: int = 3,
) -> tuple[float, float, str] | None:
    """Percent, grams and words for an amount as it can be measured; None where it cannot be.

    Weighed if that comes near enough, else as a stock, else as a part of what can be weighed;
    always within its limit. again : how often what is told is tried whether it is measured alike.
    """
    grams = bath[name] / 100 * fibre_g
    capped = len(breaks_caps(bath))
    moved: tuple[float, float, str] | None = None
    for way in measures(grams, scale_g, as_stock=dissolves(role, str(bath[role]))):
        if way.stock:
            return bath[name], way.grams, way.how
        percent = 100 * way.grams / fibre_g
        same = abs(percent - bath[name]) <= SAME * bath[name]
        percent = bath[name] if same else _three_digits(percent)
        breaks = len(breaks_caps({**bath, name: percent})) > capped
        if breaks or (name in limits and not limits[name].holds(name, percent)):
            continue
        if percent == bath[name] or not again:
            return percent, way.grams, way.how
        # Measured once more as what it is from then on: told and weighed are one. A way that would
        # be taken otherwise then is left for one that would not.
        told = {**bath, name: percent}
        then = _measured(told, role, name, fibre_g, scale_g, limits, again=again - 1)
        if then is not None and then[0] == percent:
            return then
        moved = moved or then
    return moved
