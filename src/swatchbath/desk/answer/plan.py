"""What to dye on the next pot day: samples, pots, hours, grams, and when the answer is dry."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ...bath.care import Care, Lived, care_of
from ...bath.cautions import Caution, all_cautions, cautions_for, materials_of
from ...bath.materials import given
from ...bath.procedure import HOW_TO_PH, as_done
from ...bath.step import Step
from ...bath.steps import steps_of
from ...colorimetry.covariance import give_or_take
from ...colorimetry.words import colour_words
from ...errors import ValueOutOfRange
from ...library import Library
from ...predict import Sample
from ...predict.pot_day.schedule import PotDay, pot_day
from ...predict.pot_day.weighing import weighable_sample, weighed
from ...predict.search.batch import parse_room
from ...predict.search.experiment import predict_again
from ..entry.fibre import typed_grams
from ..text.bath_words import bath_words
from ..text.parse import Target, parse_limits, parse_target
from ..text.shown import steps_as_dicts
from ..text.wording import (
    chance_words,
    close_enough_words,
    counted,
    grams_words,
    litres_words,
    screen,
)
from .delivery_model import DeliveryNote, learn_for
from .idea import lived_in, used_in_record
from .learn import LibraryModel
from .recipe import as_weighed
from .suggest import ROUNDING, out_of_reach

# A sample that teaches less than this share of the best one is not worth its jar; our own choice.
_LEAST_GAIN = 0.05
_START = 9  # an hour to begin at, for telling when it is dry


@dataclass(frozen=True)
class PlanAnswer:
    """A pot day for a shade, or for the thin places of the record where `target` is None."""

    target: Target | None
    tolerance: float
    day: PotDay
    most: int
    learnt: LibraryModel
    deliveries: tuple[DeliveryNote, ...] = ()
    requested_g: float | None = None
    out_of_reach: str = ""
    lived: Lived = Lived()
    used: tuple[str, ...] = ()  # her acids and alkalis

    @property
    def cautions(self) -> tuple[str, ...]:
        """All that the day's baths call for, each once, most hazardous first."""
        return tuple(c.sentence for c in self._day_cautions)

    @property
    def care(self) -> Care:
        """The same as they are told: in full, or in a word where she has lived with it."""
        materials: set[str] = set()
        for sample in self.day.samples:
            materials |= materials_of(sample.conditions, self._done(sample.conditions))
        return care_of(self._day_cautions, materials, self.lived)

    @property
    def _day_cautions(self) -> list[Caution]:
        found = {
            c.name
            for s in self.day.samples
            for c in cautions_for(s.conditions, self._done(s.conditions))
        }
        return [c for c in all_cautions() if c.name in found]

    def _done(self, conditions: Mapping[str, Any]) -> list[Step]:
        return as_done(steps_of(as_weighed(conditions)), self.used)

    def _bath(self, conditions: Mapping[str, Any]) -> list[str]:
        return bath_words(as_weighed(conditions), self._done(conditions))

    def _jar(self, sample: Sample) -> list[str]:
        """The after-baths of a sample, one line each; empty where there is no jar."""
        return [line for line in self._bath(sample.conditions) if line.startswith("After-bath")]

    @property
    def to_pH(self) -> str:
        """How what is told to a pH goes in; "" where nothing is."""
        lines = [line for s in self.day.samples for line in self._bath(s.conditions)]
        there = any("(to pH " in line for line in lines)
        return f"What is told to a pH goes in {HOW_TO_PH}." if there else ""

    @property
    def when(self) -> str:
        """One sentence: how long it takes, and when the samples are dry."""
        day = self.day
        return (
            f"{_hours(day.stove_hours)} at the stove; the samples hang after "
            f"{_hours(day.work_hours)} and are dry about a day later: begun at {_START} in the "
            f"morning, they can be photographed the next day from about "
            f"{_clock(_START + day.dry_hours)}."
        )

    @property
    def summary(self) -> str:
        """One sentence: how many samples, pots and jars, and how much fibre."""
        day = self.day
        jars = sum(bool(self._jar(s)) for s in day.samples)
        count = len(day.samples)
        pots = counted(len(day.pots), "dye pot")
        tannin, mordant = self._baths_of("tannin"), self._baths_of("mordant")
        before = [
            *([counted(tannin, "tannin bath")] if tannin else []),
            counted(mordant, "mordant bath") if mordant else "no mordant baths",
        ]
        over = sum(
            str(p.samples[0].conditions.get(f"dye_{k}_how")) == "over"
            for p in day.pots
            for k in range(2, 10)
        )
        dyed_over = [counted(over, "second dye bath")] if over else []
        return (
            f"{counted(count, 'sample')} of {grams_words(day.sample_g)} in "
            f"{', '.join([pots, *dyed_over, *before])}, {counted(jars, 'jar')} for after-baths."
        )

    def _baths_of(self, role: str) -> int:
        """How many baths of tannin or of mordant the day takes; samples share them."""
        return len(
            {p.mordanting for p in self.day.pots if given(p.samples[0].conditions.get(role))}
        )

    @property
    def heavier(self) -> str:
        """Said where samples are heavier than was asked for."""
        if self.requested_g is None or self.requested_g == self.day.sample_g:
            return ""
        return (
            f"Your scale cannot weigh what samples of {grams_words(self.requested_g)} take, so "
            f"they are planned at {grams_words(self.day.sample_g)}."
        )

    @property
    def spare(self) -> str:
        """Said where fewer samples are planned than were asked for."""
        if len(self.day.samples) >= self.most:
            return ""
        return (
            f"{counted(self.most, 'sample')} could be dyed, but more than these would teach "
            "little or need more pots and jars."
        )

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON; cautions first."""
        target = None
        if self.target is not None:
            target = {"note": self.target.note} | self.target.as_dict()
        day = self.day.as_dict()
        first_of: dict[int, int] = {}
        for pot_shown, pot in zip(day["pots"], self.day.pots, strict=True):
            earlier = first_of.setdefault(pot.mordanting, pot.number)
            shared = pot.mordanted and earlier != pot.number
            pot_shown["mordanted_with_pot"] = earlier if shared else None
            first = pot.samples[0].conditions
            after = {n for n in first if n.startswith("modifier") or n == "wash_pH"}
            pot_shown["bath"] = self._bath({n: v for n, v in first.items() if n not in after})
            pot_shown["fibre"] = grams_words(pot.fibre_g)
            pot_shown["mordant_fibre"] = grams_words(pot.mordant_g)
            pot_shown["water"] = "" if pot.litres is None else litres_words(pot.litres)
            for shown, sample in zip(pot_shown["samples"], pot.samples, strict=True):
                shown["cautions"] = [c.sentence for c in sample.cautions]
                shown["words"] = colour_words(sample.lab)
                shown["steps"] = steps_as_dicts(sample.conditions)
                shown["give_or_take"] = give_or_take(sample.lab, sample.pot_covariance)
                shown["after_bath"] = self._jar(sample)
                if sample.chance_within is not None:
                    shown["chance"] = chance_words(sample.chance_within)
                    shown["odds"] = close_enough_words(sample.chance_within, self.tolerance)
                shown |= screen(sample.lab)
        return {
            "cautions": list(self.cautions),
            "care": self.care.as_dict(),
            "target": target,
            "tolerance": self.tolerance,
            "deliveries": [d.as_dict() for d in self.deliveries],
            "out_of_reach": self.out_of_reach,
            "summary": self.summary,
            "to_pH": self.to_pH,
            "heavier": self.heavier,
            "when": self.when,
            "spare": self.spare,
            "day": day,
            "trust": self.learnt.trust,
            "issues": list(self.learnt.issues),
            "meta": self.learnt.model.meta_,
        }


def plan(
    library: Library,
    target: str | None = None,
    *,
    k: int | None = None,
    pots: int = 2,
    jars: int = 4,
    sample_g: float | str = 10.0,
    scale_g: float | str = 1.0,
    limits: Iterable[str] = (),
    tolerance: float = 2.0,
    learnt: LibraryModel | None = None,
) -> PlanAnswer:
    """A day of samples that would teach most: about a shade, or about the record's thin places.

    k : samples at the most, as many as pots and jars hold unless given. sample_g : dry fibre of
    one sample ("10 g"). scale_g : the step of the scale; amounts are rounded to it before a bath's
    colour is told. A delivery that the limits name and that was only checked is corrected for,
    unless `learnt` is given. Raises NotEnoughSwatches under 12 usable swatches, BadValue where the
    jars leave nothing, ValueOutOfRange for what the scale cannot weigh.
    """
    room = parse_room(pots, jars)
    sample_g, scale_g = typed_grams(sample_g), typed_grams(scale_g)
    if k is not None and k < 1:
        raise ValueOutOfRange(f"{k} samples were asked for; give a whole number of 1 or more.")
    # In each pot one sample can do without an after-bath.
    most = min(k or 99, room.pots + room.jars)
    wanted = None if target is None else parse_target(target, library)
    request = parse_limits(limits)
    deliveries: tuple[DeliveryNote, ...] = ()
    if learnt is None:
        chosen = learn_for(library, request)
        learnt, request, deliveries = chosen.learnt, chosen.limits, chosen.deliveries
    samples = learnt.model.next_samples(
        most,
        target=None if wanted is None else wanted.value,
        limits=request or None,
        rounding=ROUNDING,
        tolerance=tolerance,
        room=room,
    )
    least = _LEAST_GAIN * max((s.gain for s in samples), default=0.0)
    worth = [s for s in samples if s.gain > least] or samples[:1]
    while True:  # without one of two that a scale makes the same, the rest is weighed otherwise
        grams = weighable_sample(worth, sample_g=sample_g, scale_g=scale_g, limits=request)
        baths = weighed(worth, sample_g=grams, scale_g=scale_g, limits=request)
        unlike = _unlike(worth, baths)
        if len(unlike) == len(worth):
            break
        worth = unlike
    worth = predict_again(
        learnt.model.fit_,
        worth,
        baths,
        target=None if wanted is None else wanted.value,
        limits=request or None,
        tolerance=tolerance,
    )
    day = pot_day(worth, sample_g=grams, scale_g=scale_g, pots=room.pots, limits=request)
    reach = "" if wanted is None else _out_of_reach(wanted, worth, request, tolerance, learnt)
    lived, used = lived_in(library, learnt), used_in_record(learnt)
    return PlanAnswer(
        wanted, tolerance, day, most, learnt, deliveries, sample_g, reach, lived, used
    )


def _out_of_reach(
    wanted: Target,
    samples: Iterable[Sample],
    limits: dict[str, Any],
    tolerance: float,
    learnt: LibraryModel,
) -> str:
    """What `suggest` says first of such a shade where no bath comes near; looked into only where
    no sample does."""
    if any(s.delta_e2000 is not None and s.delta_e2000 <= tolerance for s in samples):
        return ""
    ideas = learnt.model.suggest(
        wanted.value, limits=limits or None, rounding=ROUNDING, tolerance=tolerance, k=3
    )
    return out_of_reach(ideas, wanted)


def _unlike(samples: list[Sample], baths: Sequence[Mapping[str, Any]]) -> list[Sample]:
    """The samples less those whose bath, as it is weighed, is that of an earlier one."""
    return [s for i, s in enumerate(samples) if baths[i] not in baths[:i]]


def _hours(hours: float) -> str:
    whole, minutes = int(hours), round(60 * (hours % 1))
    text = counted(whole, "hour") if whole else ""
    return f"{text} {counted(minutes, 'minute')}".strip() if minutes else text


def _clock(hour: float) -> str:
    return f"{int(hour) % 24}:{round(60 * (hour % 1)):02d}"
