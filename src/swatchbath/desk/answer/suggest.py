"""From a shade to baths, with what to weigh for an order of a certain size."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from ...bath.materials import family, given, is_silk
from ...colorimetry.covariance import give_or_take
from ...colorimetry.measurement import Measurement, is_lasting
from ...colorimetry.words import colour_words, difference_words
from ...errors import BadValue, NotEnoughSwatches
from ...library import Library
from ...predict import Suggestions
from ...predict.regression.observations import WHOLE_ROWS
from ..entry.came_out import missed_before, typed_shade
from ..entry.fibre import typed_grams
from ..photo.in_frame import NOTHING_MORE, InFrame
from ..photo.shade import refuse_without_photo, shade_in_photo
from ..text.parse import Target, parse_limits, parse_steps, parse_target
from ..text.wording import grams_words, pots_words, records
from .delivery_model import DeliveryNote, learn_for
from .fading import lasting_first
from .find import FoundSwatch
from .give_out import give_out
from .idea import Habits, habits_of, idea_as_dict
from .learn import LibraryModel
from .more import Asked, More, more_for
from .own_yarn import NO_YARN, OwnYarn, own_yarn_for
from .recipe import FAR_LARGER, TRIAL_G, typed_litres

# Steps a kitchen can keep: pH to a strip's unit, heat to 5 C, time to 5 minutes, amounts to a
# tenth of a percent (iron and mordant to half of one). Common practice, no source.
ROUNDING: dict[str, float] = {
    "pH": 1.0,
    "modifier_pH": 1.0,
    "wash_pH": 1.0,
    "temperature_C": 5.0,
    "minutes": 5.0,
    "modifier_minutes": 5.0,
    "dye_owf": 5.0,
    "mordant_owf": 1.0,
    "tannin_owf": 1.0,
    "assist_owf": 1.0,
    "mordant_assist_owf": 1.0,
    "modifier_owf": 0.5,
    "liquor_ratio": 5.0,
    "bath_number": 1.0,
}
# Ideas looked at beyond those asked for, some of which may not be told.
_SPARE = 2


@dataclass(frozen=True)
class SuggestAnswer:
    """Baths for a colour, or, with too few swatches, the nearest ones and why no more is said."""

    target: Target
    tolerance: float
    ideas: Suggestions
    nearest: tuple[FoundSwatch, ...]
    learnt: LibraryModel | None
    too_few: str = ""
    grams: float | None = None
    deliveries: tuple[DeliveryNote, ...] = ()
    own_yarn: OwnYarn = NO_YARN
    issues: tuple[str, ...] = ()  # readings that could not be read, one sentence each
    habits: Habits = Habits()
    not_told: str = ""  # what its photo shares with the record and is not used
    holds: float | None = None  # litres of the pot it is to be dyed in
    given_out: Mapping[str, Any] | None = None  # the code for one of the ideas
    after_miss: str = ""  # what to do instead, where the last pot for this shade missed it
    more: More = More()  # vats, one change, what was never dyed

    @property
    def note(self) -> str:
        """What is to be said of the shade itself: that it is a wish, or how well it was read."""
        return f"{self._how_read} {self.not_told}".strip()

    @property
    def _how_read(self) -> str:
        value = self.target.value
        if self.target.note or not isinstance(value, Measurement):
            return self.target.note
        if self.target.beside:  # its answers are in the record's frame, and that was said
            return ""
        doubt = give_or_take(value.lab, value.covariance, value.degrees)
        if doubt < 2 * self.tolerance:
            return ""
        return (
            f"It was read give or take {doubt:.0f} (CIEDE2000); a chart in its photo tells it "
            "better."
        )

    @property
    def full_pot(self) -> str:
        """What to do first where the order is far larger than any swatch; else ""."""
        if self.grams is None or self.learnt is None or self.grams <= TRIAL_G:
            return ""
        grams_on_record = self.learnt.conditions.get("fibre_g")
        weights = np.array([] if grams_on_record is None else grams_on_record, dtype=float)
        weights = weights[np.isfinite(weights)]
        if len(weights) and self.grams < FAR_LARGER * weights.max():
            return ""
        small = (
            f"Your swatches weighed about {np.median(weights):.0f} g"
            if len(weights)
            else "What your swatches weighed is not on record"
        )
        return (
            f"{small}: a pot of {grams_words(self.grams)} may come out otherwise. Dye "
            f"{grams_words(TRIAL_G)} first and compare."
        )

    @property
    def out_of_reach(self) -> str:
        """What to say first where no bath comes near: how far the nearest is, and which way."""
        return out_of_reach(self.ideas, self.target)

    @property
    def at_best(self) -> str:
        """How many pots could come close enough if the record told all; "" without ideas."""
        if not self.ideas:
            return ""
        exact = not isinstance(self.target.value, Measurement)
        why = "" if exact else ", and the shade itself is known only so well"
        return (
            f"At best {pots_words(self.ideas.best_chance)} can come out close enough (within "
            f"{self.tolerance:g}), however much is on record: pots of one recipe scatter{why}."
        )

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "target": {"note": self.note} | self.target.as_dict(),
            "tolerance": self.tolerance,
            "out_of_reach": self.out_of_reach,
            "reach": self.ideas.reach if self.ideas else None,
            "best_chance": self.ideas.best_chance if self.ideas else None,
            "at_best": self.at_best,
            "nearest_idea": self.ideas.index(self.ideas.nearest) + 1 if self.ideas else None,
            "deliveries": [d.as_dict() for d in self.deliveries],
            "grams": self.grams or TRIAL_G,
            "grams_words": grams_words(self.grams or TRIAL_G),
            "full_pot": self.full_pot,
            "ideas": [
                self.more.marked(
                    n,
                    idea_as_dict(
                        i, self.target.lab, self.learnt, self.habits, self.grams, self.holds
                    ),
                )
                for n, i in enumerate(self.ideas)
            ],
            **self.more.as_dict(),
            "nearest": [p.as_dict() for p in self.nearest],
            "too_few": self.too_few,
            "left_out": None
            if self.learnt is None
            else self.learnt.model.cross_validation_.as_dict(),
            "trust": "" if self.learnt is None else self.learnt.trust,
            **self.own_yarn.as_dict(),
            "after_miss": self.after_miss,
            "given_out": None if self.given_out is None else dict(self.given_out),
            "issues": list(self.issues),
            "meta": None if self.learnt is None else self.learnt.model.meta_,
        }


def not_told_of(target: Target, on_record: Sequence[Measurement]) -> str:
    """A sentence for a shade whose photo or sitting a large record shares, which is not used then;
    else "". on_record : the readings learnt from."""
    value = target.value
    if target.code or target.beside or not isinstance(value, Measurement):
        return ""
    passing = {name for name in value.shared if not is_lasting(name)}
    if len(on_record) <= WHOLE_ROWS or not any(passing & m.shared.keys() for m in on_record):
        return ""
    return (
        f"Your record holds over {WHOLE_ROWS} swatches, so what those of this very photo or "
        "sitting tell of it is not used; lay two of them beside the shade and name them (--beside)."
    )


def out_of_reach(ideas: Suggestions, target: Target) -> str:
    """A sentence where no bath comes near a colour: how far the nearest is, and which way."""
    if not ideas or ideas.reach != "out of reach":
        return ""
    best = ideas.nearest
    way = difference_words(best.lab, target.lab)
    return (
        f"Not with what is recorded so far: the nearest bath is expected to come out "
        f"{colour_words(best.lab)}, {best.delta_e2000:.0f} away (CIEDE2000): {way}."
    )


def _without_tannin_on_wool(ideas: Suggestions, learnt: LibraryModel, k: int) -> Suggestions:
    """The first k ideas but those with tannin under a mordant on wool, which she never did; all
    of them where nothing else is left."""
    rows = learnt.conditions
    if any(_tannin_on_wool(row) for row in records(rows.filter(_BEFORE, axis=1))):
        return Suggestions(ideas[:k])
    kept = [i for i in ideas if not _tannin_on_wool(i.conditions)]
    return Suggestions((kept or ideas)[:k])


_BEFORE = ["fibre", "tannin", "mordant"]


def _tannin_on_wool(bath: Mapping[str, Any]) -> bool:
    wool = family(bath.get("fibre")) == "protein" and not is_silk(bath.get("fibre"))
    return wool and given(bath.get("tannin")) and given(bath.get("mordant"))


def suggest(
    library: Library,
    target: str | Target,
    *,
    limits: Iterable[str] = (),
    tolerance: float = 2.0,
    k: int = 3,
    learnt: LibraryModel | None = None,
    grams: float | str | None = None,
    steps: Iterable[str] = (),
    pot: float | str | None = None,
    but: Mapping[str, int] | None = None,
    onto: str | None = None,
) -> SuggestAnswer:
    """Baths for a shade, from the library's own swatches; amounts rounded to a kitchen's steps.

    but : steps from a swatch, as {"lighter": 1}; onto : a swatch of yarn that is dyed already.

    grams : how much fibre is to be dyed ("1.2 kg"), for what to weigh; unless given, what
    is weighed for 100 g is told. steps : other steps, as "pH=0.5". pot : what the pot holds ("12
    litres"). A delivery that the limits name
    and that was only checked is corrected for, unless `learnt` is given.
    """
    grams = None if grams is None else typed_grams(grams)
    holds = typed_litres(str(pot)) if pot is not None else None
    request = parse_limits(limits)
    origin = parse_target(target, library) if isinstance(target, str) else target
    asked = Asked(origin, dict(but or {}), onto, request)
    wanted = asked.target
    rounding = ROUNDING | parse_steps(steps)
    if "fibre_g" in request:
        raise BadValue("How much fibre is to be dyed is no limit on a bath; give --grams instead.")
    nearest = tuple(
        FoundSwatch(s, f.delta_e2000, f.words)
        for s, f in library.find(lab=wanted.lab, k=4)
        if s.code != wanted.code
    )[:3]
    own_yarn = own_yarn_for(library, wanted)
    deliveries: tuple[DeliveryNote, ...] = ()
    if learnt is None:
        try:
            chosen = learn_for(library, request)
        except NotEnoughSwatches as error:
            return SuggestAnswer(
                wanted,
                tolerance,
                Suggestions(),
                nearest,
                None,
                str(error),
                grams,
                own_yarn=own_yarn,
                issues=library.issues,
                more=more_for(library, asked, Suggestions(), None),
            )
        learnt, request, deliveries = chosen.learnt, chosen.limits, chosen.deliveries
    how = {"rounding": rounding, "tolerance": tolerance, "k": k + _SPARE}
    ideas = Suggestions()
    if onto is None:
        ideas = lasting_first(library, wanted, request, learnt, **how)
        ideas = _without_tannin_on_wool(ideas, learnt, k)
    large = len(learnt.labs) > WHOLE_ROWS and wanted.code is None
    return SuggestAnswer(
        wanted, tolerance, ideas, nearest, learnt, "", grams, deliveries, own_yarn, library.issues,
        habits_of(library, ideas, learnt),
        not_told_of(wanted, library.table()[1]) if large else "", holds,
        after_miss=missed_before(library, typed_shade(wanted.code, wanted.lab)),
        more=more_for(library, asked, ideas, learnt),
    )  # fmt: skip


def suggest_typed(
    library: Library,
    shade: str | None,
    *,
    photo: str | None = None,
    card: str | None = None,
    card_lab: str | None = None,
    at: str | None = None,
    in_frame: InFrame = NOTHING_MORE,
    dye: int | None = None,
    **how: Any,
) -> SuggestAnswer:
    """`suggest` for a shade as typed, or for the colour at a place in a photo with a card; with
    card="none" that is a wish, as the picture shows it. dye : the number of an idea, from 1, that
    is dyed next: a code is given out for it, and keeps what was said."""
    if (shade is None) == (photo is None):
        raise BadValue("Name one shade: L*,a*,b*, a swatch, a screen colour, or --photo with --at.")
    if photo is None:
        refuse_without_photo(card, card_lab, at, in_frame)
        answer = suggest(library, str(shade), **how)
    else:
        found = shade_in_photo(
            library, photo, card=card, card_lab=card_lab, at=at, in_frame=in_frame
        )
        answer = suggest(library, found.target, **how)
    if dye is None:
        return answer
    return replace(answer, given_out=give_out(library, answer.target, answer.as_dict(), dye))
