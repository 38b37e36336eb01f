"""What to dye next: the baths that would teach most, chosen one by one and dyed together.

With a target, each is the bath whose pot is expected to improve most on the best seen so far
(expected improvement, Mockus 1975); its expected colour is then believed and the next one chosen,
so that three pots dyed together do not test one thing. Without a target, each is the bath about
which most is still open, within what was dyed: the thin places. A sample that lies in the dye pot
of an earlier one and differs in its after-bath costs a jar and no pot, so it goes first where it
teaches nearly as much (`pots`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from ...colorimetry.difference import delta_e2000
from ...colorimetry.lab import Array
from ...colorimetry.measurement import Measurement
from ..features.encoder import Factors
from ..regression.fit import Fit
from ..regression.kernel import kernel_similarity
from .batch import ROOM, Room, mordanting_of, no_jar, pot_of, with_after_bath, with_mordanting
from .candidates import Space
from .columns import Bath, kind_of
from .limits import Limits, parse_limits, parse_rounding
from .ranges import without_lone
from .ranking import different, distinct, draws_of, encode, expected_lab, space_for
from .request import (
    TargetColour,
    in_frame_of,
    parse_count,
    parse_seed,
    parse_target,
    parse_tolerance,
)
from .sample import Sample, Samples
from .subset import near_to
from .suggested import Suggestion, Suggestions
from .suggestion import suggestions_of

# Baths looked at, kept by expected colour, and draws; from trials on a made-up dye house.
_TRIED, _KEPT, _DRAWS = 1200, 300, 64
# Rounds of improvement with a target: widths (scale units, sd), baths moved, tries for each.
# Without them 43 instead of 63 % of four dyestuffs' shades were met within 2 after three swatches
# (tests/studies/score_shade_model.py, houses 30 to 49).
_WIDTHS, _SEEDS, _PER_SEED = (0.2, 0.1, 0.05), 8, 25
# After-baths tried for a pot that is already on the stove.
_SIBLINGS = 60
# A gain is told from so much on (CIEDE2000): about the least difference that is just seen; by
# convention, no source.
_TOLD_FROM = 1.0
# Samples that are more alike than this (0 to 1, as the regression has learnt it) and are
# expected within this of each other (CIEDE2000) would test one thing; our own choice.
_ALIKE, _SAME_COLOUR = 0.9, 2.0
# A sample in an open pot goes before one that needs a pot of its own from this share of its gain,
# and mordanting shared with an earlier pot before one of its own: a pot costs an hour or two, a
# jar a quarter of one. From trials on a made-up dye house (tests/studies/score_pot_days.py).
SHARE_POT, _SHARE_MORDANT = 0.7, 0.85


def next_samples(
    fit: Fit,
    k: int = 3,
    *,
    target: ArrayLike | Measurement | None = None,
    limits: Limits | None = None,
    rounding: Mapping[str, float] | None = None,
    tolerance: float = 2.0,
    room: Room = ROOM,
    seed: int = 0,
) -> Samples:
    """Up to k baths to dye together, by dye pot; see `ShadeModel.next_samples`.

    room : how many pots and jars there are.
    """
    k, tolerance = parse_count(k), parse_tolerance(tolerance)
    shade = parse_target(target) if target is not None else None
    fit = near_to(fit, target, limits)
    if shade is None:
        space = Space(
            without_lone(fit.table), parse_limits(limits), parse_rounding(rounding), beyond=0.0
        )
    else:
        shade = in_frame_of(shade, fit.regression)
        space = space_for(fit, shade.lab, limits, rounding)
    rng = np.random.default_rng(parse_seed(seed))
    drawn = distinct(space.draw(_TRIED, rng))
    if not drawn:
        raise space.why_none()
    baths = [b for b in drawn if room.holds([b])]
    if not baths:
        raise no_jar(room)
    if shade is not None:
        far = delta_e2000(expected_lab(fit, encode(fit, baths)), shade.lab)
        baths = [baths[i] for i in np.argsort(far, kind="stable")[:_KEPT]]
    choice = _Choice(fit, space, shade, rng)
    while len(choice.chosen) < k and choice.take_one(baths, room):
        pass
    order = choice.by_pot()
    picked = [choice.chosen[i] for i in order]
    expected = _suggestions(fit, picked, shade, tolerance, seed)
    pots, mordantings = _numbered(picked, pot_of), _numbered(picked, mordanting_of)
    return Samples(
        Sample(
            why=why_dye(fit, bath, choice.gains[i], shade is not None),
            gain=choice.gains[i],
            pot=pot,
            mordanting=mordanting,
            **_predicted(suggestion, shade),
        )
        for i, suggestion, bath, pot, mordanting in zip(
            order, expected, picked, pots, mordantings, strict=True
        )
    )


def predict_again(
    fit: Fit,
    samples: Sequence[Sample],
    baths: Sequence[Bath],
    *,
    target: ArrayLike | Measurement | None = None,
    limits: Limits | None = None,
    tolerance: float = 2.0,
    seed: int = 0,
) -> Samples:
    """The samples with slightly other baths, as they can be weighed: what is expected of those.

    Why each was chosen, and its gain, stay: they are of the bath it was chosen for. Raises as
    `next_samples` does.
    """
    shade = None if target is None else parse_target(target)
    near = near_to(fit, target, limits)
    if shade is not None:
        shade = in_frame_of(shade, near.regression)
    tolerance, seed = parse_tolerance(tolerance), parse_seed(seed)
    expected = _suggestions(near, list(baths), shade, tolerance, seed)
    return Samples(
        replace(sample, **_predicted(suggestion, shade))
        for sample, suggestion in zip(samples, expected, strict=True)
    )


def _predicted(suggestion: Suggestion, target: TargetColour | None) -> dict[str, Any]:
    """What a sample says of its bath; without a target nothing of how near it comes."""
    return {
        "conditions": suggestion.conditions,
        "lab": suggestion.lab,
        "pot_covariance": suggestion.pot_covariance,
        "delta_e2000": None if target is None else suggestion.delta_e2000,
        "chance_within": None if target is None else suggestion.chance_within,
        "outside": suggestion.outside,
        "unsure": suggestion.unsure,
        "reasons": suggestion.reasons,
        "cautions": suggestion.cautions,
    }


def _suggestions(
    fit: Fit, baths: list[Bath], target: TargetColour | None, tolerance: float, seed: int
) -> Suggestions:
    # Without a target the grey middle stands in; what is said about it is dropped by the callers.
    stand_in = target or TargetColour(np.array([50.0, 0.0, 0.0]), np.zeros((3, 3)), None)
    return suggestions_of(fit, baths, stand_in, tolerance, seed)


class _Choice:
    """Samples chosen so far, and what is believed of their colours."""

    def __init__(
        self,
        fit: Fit,
        space: Space,
        target: TargetColour | None,
        rng: np.random.Generator,
    ) -> None:
        self.fit, self.space, self.target, self.rng = fit, space, target, rng
        unit = rng.standard_normal((_DRAWS, 3))
        self.unit = np.concatenate([unit, -unit])
        self.regression = fit.regression
        self.chosen: list[Bath] = []
        self.gains: list[float] = []
        self.best = np.inf
        if target is not None:
            self.best = float(self._far(fit.factors).mean(axis=1).min())

    def _far(self, f: Factors) -> Array:
        assert self.target is not None
        # By the doubt before it is widened: with the wider one what is least known always promises
        # most (tests/studies/score_shade_model.py --what rounds).
        draws = draws_of(
            self.fit, f, self.unit, pots=False, regression=self.regression, widened=False
        )
        return delta_e2000(draws, self.target.lab)

    def gain_of(self, baths: list[Bath]) -> Array:
        """What each bath (m,) would gain."""
        f = encode(self.fit, baths)
        if self.target is None:
            return self.regression.posterior.at(f)[2]
        far = self._far(f)
        # A hair for being near, so that of baths that all gain nothing the nearest goes first.
        return np.asarray(np.maximum(self.best - far, 0).mean(axis=1) - 1e-6 * far.mean(axis=1))

    def _best_of(
        self, baths: list[Bath], room: Room, *, improve: bool = False
    ) -> tuple[Bath | None, float]:
        """The bath that gains most of those that still fit and are not nearly one of the samples
        already chosen; improve : or one near such."""

        def fitting(some: list[Bath]) -> list[Bath]:
            return self._unlike_chosen([b for b in some if room.holds([*self.chosen, b])])

        open_ = fitting(baths)
        if not open_:
            return None, -np.inf
        gain = self.gain_of(open_)
        for width in _WIDTHS if improve else ():
            best = different(open_, encode(self.fit, open_), -gain, _SEEDS)
            moved = [b for i in best for b in self.space.near(open_[i], _PER_SEED, width, self.rng)]
            more = fitting(distinct(moved))
            if more:
                open_, gain = open_ + more, np.r_[gain, self.gain_of(more)]
        i = int(np.argmax(gain))
        return open_[i], float(gain[i])

    def take_one(self, baths: list[Bath], room: Room) -> bool:
        """Choose the next sample; False where nothing more fits on the stove."""
        open_pots = {pot_of(b): b for b in self.chosen}
        best, gain = None, -np.inf
        if len(open_pots) < room.pots:
            improve = self.target is not None
            best, gain = self._best_of(baths, room, improve=improve)
            if best is not None and self.chosen:
                best, gain = self._shared_mordanting(best, gain, room)
        inside = [
            b
            for pot in open_pots.values()
            for b in with_after_bath(self.space, pot, baths, _SIBLINGS, self.rng)
        ]
        sibling, its_gain = self._best_of(inside, room)
        if sibling is not None and (best is None or its_gain >= SHARE_POT * gain):
            best, gain = sibling, its_gain
        if best is None:
            return False
        self._take(best, gain)
        return True

    def _unlike_chosen(self, baths: list[Bath]) -> list[Bath]:
        """Those that are not nearly one of the samples already chosen."""
        if not baths or not self.chosen:
            return baths
        f, g = encode(self.fit, baths), encode(self.fit, self.chosen)
        alike = kernel_similarity(self.regression.hyper, f, g) > _ALIKE
        lab, old = (self.regression.to_lab(self.regression.posterior.at(x)[0]) for x in (f, g))
        alike = np.asarray(alike & (delta_e2000(lab[:, None], old[None]) < _SAME_COLOUR))
        return [baths[i] for i in np.flatnonzero(~np.any(alike, axis=1))]

    def _shared_mordanting(self, bath: Bath, gain: float, room: Room) -> tuple[Bath, float]:
        """The bath on fibre mordanted with an earlier pot's, where that costs little."""
        like = with_mordanting(self.space, bath, self.chosen)
        shared, its_gain = self._best_of(like, room)
        if shared is not None and its_gain >= _SHARE_MORDANT * gain:
            return shared, its_gain
        return bath, gain

    def _take(self, bath: Bath, gain: float) -> None:
        f = encode(self.fit, [bath])
        if self.target is not None:
            self.best = min(self.best, float(self._far(f)[0].mean()))
        believed = self.regression.posterior.believing(f)
        self.regression = replace(self.regression, posterior=believed)
        self.chosen.append(bath)
        self.gains.append(max(gain, 0.0))

    def by_pot(self) -> list[int]:
        """The chosen ones by dye pot, pots in the order they were opened."""
        place: dict[Any, int] = {}
        pots = [place.setdefault(pot_of(b), len(place)) for b in self.chosen]
        return sorted(range(len(pots)), key=lambda i: (pots[i], i))


def _numbered(baths: list[Bath], key: Any) -> list[int]:
    place: dict[Any, int] = {}
    return [place.setdefault(key(b), len(place) + 1) for b in baths]


def why_dye(fit: Fit, bath: Bath, gain: float, target: bool) -> str:
    kind = kind_of(bath)
    rows = fit.table.to_dict("records")
    like = sum(kind_of({str(n): v for n, v in row.items()}) == kind for row in rows)
    seen = (
        "nothing of this kind has been dyed"
        if like == 0
        else f"{like} of this kind {'has' if like == 1 else 'have'} been dyed"
    )
    if target and gain < _TOLD_FROM:
        return f"It is not expected to come clearly nearer than the best so far; {seen}."
    if target:
        return f"It may come {gain:.1f} nearer to the shade than the best so far; {seen}."
    return f"{round(100 * gain)} % of what its colour could be is still open; {seen}."
