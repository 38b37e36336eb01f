"""From a shade to baths: what would give it, how likely, and which swatches come nearest.

Many baths are tried; the best by expected colour are ranked by the root mean square of CIEDE2000
over what the model does not know, and improved nearby. Ranking by the expected colour alone would
run off to where nothing is known and everything looks perfect.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike
from scipy.stats import beta

from ...bath.cautions import Caution, cautions_for
from ...colorimetry.covariance import difference_interval, square_root
from ...colorimetry.difference import delta_e2000
from ...colorimetry.lab import Array
from ...colorimetry.measurement import Measurement
from ...colorimetry.words import colour_words
from ..features.encoder import Factors
from ..features.novelty import never_tried
from ..regression.gp import lift
from .neighbours import Precedent, precedents
from .request import (
    Limits,
    Wanted,
    read_count,
    read_limits,
    read_rounding,
    read_seed,
    read_target,
    read_tolerance,
)
from .space import Bath, Space, kind_of

if TYPE_CHECKING:
    from ..model import ShadeModel
    from ..regression.training import Learnt

__all__ = ["Caution", "Idea", "Limits", "Precedent", "suggest"]

# Baths tried, kept by expected colour, draws for ranking and for the chance; and the widths of the
# rounds of improvement (scale units, sd), how many baths are improved, and the tries for each. From
# trials on a made-up dye house (tests/studies/score_shade_model.py): more changed no figure by
# more than its error.
_TRIED, _KEPT, _DRAWS, _CHANCE_DRAWS = 1000, 300, 48, 2000
_WIDTHS, _SEEDS, _PER_SEED = (0.2, 0.1, 0.05), 5, 40
# Two baths of one kind count as different options from this distance in scale units.
_APART = 0.35
# What a bath beyond the recorded ranges must gain to be put before one within them (CIEDE2000):
# about half of what two people would dispute. Our own choice.
_STAY = 0.5
# The most that is said: choosing the best flatters the top end (said 0.98 came true 0.9 of the
# time in tests/studies/score_shade_model.py), unless left-out swatches have earned more.
_MOST_SAID = 0.9
_EARNS_AFTER = 20


@dataclass(frozen=True, eq=False)
class Idea:
    """One suggested bath.

    conditions : column -> value; what was never recorded is left out. lab : expected colour (3,).
    pot_covariance : (3, 3) of the next pot's true colour. delta_e2000 : of lab from the target.
    expected : mean CIEDE2000 of the next pot's true colour from the true target. interval : (low,
    high) that holds 90 % of the pots; low is 0 where nothing speaks against a hit.
    chance_within : chance that it is within `tolerance`. best_chance : what that chance would be
    if everything but the pots' own scatter and the target's doubt were known. precedents : the
    three nearest real swatches. outside : something about it was never tried. cautions stand
    before the amounts. reasons : why it is doubtful, in sentences' halves.
    """

    conditions: dict[str, Any]
    lab: Array
    pot_covariance: Array
    delta_e2000: float
    expected: float
    interval: tuple[float, float]
    chance_within: float
    best_chance: float
    tolerance: float
    precedents: tuple[Precedent, ...]
    outside: bool
    unsure: bool
    cautions: tuple[Caution, ...]
    reasons: tuple[str, ...]

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "cautions": [c.as_dict() for c in self.cautions],
            "conditions": dict(self.conditions),
            "lab": self.lab.tolist(),
            "pot_covariance": self.pot_covariance.tolist(),
            "delta_e2000": self.delta_e2000,
            "expected": self.expected,
            "interval": list(self.interval),
            "chance_within": self.chance_within,
            "best_chance": self.best_chance,
            "tolerance": self.tolerance,
            "precedents": [p.as_dict() for p in self.precedents],
            "outside": self.outside,
            "unsure": self.unsure,
            "reasons": list(self.reasons),
        }


def space_for(
    model: ShadeModel,
    lab: Array,
    limits: Limits | None,
    rounding: Mapping[str, float] | None,
) -> Space:
    """The baths that may be suggested for a colour; browns let madder go hotter."""
    words = colour_words(lab)
    browns = "brown" in words and "red-brown" not in words
    return Space(model._table, read_limits(limits), read_rounding(rounding), browns=browns)


def encode(model: ShadeModel, baths: list[Bath]) -> tuple[pd.DataFrame, Factors]:
    """Candidates as a typed table and as factors."""
    names = list(dict.fromkeys(n for b in baths for n in b))
    words = {n for b in baths for n, v in b.items() if isinstance(v, str)}
    data = {
        n: pd.Series([b.get(n) for b in baths], dtype=object if n in words else float)
        for n in names
    }
    table = pd.DataFrame(data)
    return table, model._encoder.encode(table)


def draws_of(
    model: ShadeModel, f: Factors, unit: Array, *, pots: bool, learnt: Learnt | None = None
) -> tuple[Array, Array]:
    """Expected Lab (m, 3) and draws (m, d, 3) of the colour of baths: what such a bath gives on
    average, or with `pots` what one pot of it gives. unit : (d, 3) standard normal."""
    got = learnt or model._learnt
    mean, c, _ = got.posterior.at(f)
    c = model._factor * lift(c)
    if pots:
        c = c + got.hyper.pot
    values, vectors = np.linalg.eigh(c)
    root = vectors * np.sqrt(np.maximum(values, 0))[:, None, :]
    z = mean[:, None] + np.einsum("mij,dj->mdi", root, unit)
    return got.to_lab(mean), got.to_lab(z)


def suggest(
    model: ShadeModel,
    target: ArrayLike | Measurement,
    *,
    limits: Limits | None = None,
    rounding: Mapping[str, float] | None = None,
    tolerance: float = 2.0,
    k: int = 5,
    seed: int = 0,
) -> list[Idea]:
    """Up to k different baths for a shade, the most promising first.

    target : Lab (3,), D65 and 2 degrees, or a Measurement, whose doubt enters. limits : {column:
    value | (low, high) | [choices]}. rounding : {column: step}. tolerance : CIEDE2000, > 0.
    Raises BadValue where limits and caps leave nothing.
    """
    wanted, k, tolerance = read_target(target), read_count(k), read_tolerance(tolerance)
    space = space_for(model, wanted.lab, limits, rounding)
    rng = np.random.default_rng(read_seed(seed))
    baths = distinct(space.recorded() + space.draw(_TRIED, rng))
    if not baths:
        raise space.why_none()
    unit = rng.standard_normal((_DRAWS, 3))
    unit = np.concatenate([unit, -unit])
    baths, f, scores = _shortlist(model, baths, wanted.lab, unit)
    for width in _WIDTHS:
        best = different(baths, f, scores, _SEEDS)
        new = distinct([b for i in best for b in space.near(baths[i], _PER_SEED, width, rng)])
        if new:
            g = encode(model, new)[1]
            baths, f = baths + new, f.joined(g)
            scores = np.r_[scores, _rms(model, g, wanted.lab, unit)]
    chosen = different(baths, f, scores, k)
    return ideas_of(model, [baths[i] for i in chosen], wanted, tolerance, seed)


def distinct(baths: list[Bath]) -> list[Bath]:
    return list({tuple(sorted(b.items(), key=lambda p: p[0])): b for b in baths}.values())


def _shortlist(
    model: ShadeModel, baths: list[Bath], lab: Array, unit: Array
) -> tuple[list[Bath], Factors, Array]:
    """Those whose expected colour is nearest, and the nearest few of each kind, with scores."""
    f = encode(model, baths)[1]
    got = model._learnt
    far = delta_e2000(got.to_lab(got.posterior.mean(f)), lab)
    order = np.argsort(far, kind="stable")
    keep = list(order[:_KEPT])
    count: dict[tuple[str, ...], int] = {}
    for i in order:
        kind = kind_of(baths[i])
        count[kind] = count.get(kind, 0) + 1
        if count[kind] <= 3 and len(count) <= 40:
            keep.append(i)
    keep = list(dict.fromkeys(int(i) for i in keep))
    f = f.take(np.array(keep))
    return [baths[i] for i in keep], f, _rms(model, f, lab, unit)


def _rms(model: ShadeModel, f: Factors, lab: Array, unit: Array) -> Array:
    """Root mean square CIEDE2000 over what the model does not know (m,), and `_STAY` more for
    baths that leave what was dyed."""
    out = []
    low, high = model._f.x.min(axis=0) - 1e-9, model._f.x.max(axis=0) + 1e-9
    for i in range(0, len(f.x), 200):
        part = f.take(np.arange(i, min(i + 200, len(f.x))))
        draws = draws_of(model, part, unit, pots=False)[1]
        beyond = ((part.x < low) | (part.x > high)).any(axis=1)
        out.append(np.sqrt(np.mean(delta_e2000(draws, lab) ** 2, axis=1)) + _STAY * beyond)
    return np.concatenate(out)


def different(baths: list[Bath], f: Factors, scores: Array, k: int) -> list[int]:
    """The best k that differ: at most two of one kind, their numbers well apart; then, as far as
    k asks for more, the rest by score, less far apart."""
    order = np.argsort(scores, kind="stable")
    kinds = [kind_of(b) for b in baths]
    chosen: list[int] = []
    for apart, most in ((_APART, 2), (_APART, k), (0.5 * _APART, k), (0.02, k)):
        for i in order:
            if len(chosen) == k:
                break
            like = [j for j in chosen if kinds[j] == kinds[i]]
            gaps = [float(np.linalg.norm(f.x[i] - f.x[j])) for j in like]
            if len(like) < most and min(gaps, default=np.inf) > apart:
                chosen.append(int(i))
    return sorted(chosen, key=lambda j: float(scores[j]))


def ideas_of(
    model: ShadeModel, baths: list[Bath], wanted: Wanted, tolerance: float, seed: int
) -> list[Idea]:
    """Everything that is said about chosen baths."""
    table, f = encode(model, baths)
    rng = np.random.default_rng([seed, 1])
    half = rng.standard_normal((_CHANCE_DRAWS // 2, 3))
    unit = np.concatenate([half, -half])
    draws = draws_of(model, f, unit, pots=True)[1]
    lab, _, pot, share = model._colours(f)
    got = model._learnt
    mean = got.posterior.at(f)[0]
    shared = got.shared_with(f, wanted.sources)
    only = got.lab_moments(mean, np.repeat(got.hyper.pot[None], len(mean), axis=0))[1]
    reasons, outside = never_tried(model._encoder, model._words, table, f, model._table)
    most = earned(model, tolerance)
    ideas = []
    for i, bath in enumerate(baths):
        of_gap = lift((pot[i] + wanted.covariance - shared[i] - shared[i].T)[None])[0]
        if wanted.measurement is None and not got.lasting:
            gaps = delta_e2000(draws[i], wanted.lab)
        else:
            gap = (lab[i] - wanted.lab) + unit @ square_root(of_gap).T
            gaps = delta_e2000(wanted.lab + gap, wanted.lab)
        only_pots = only[i] + wanted.covariance
        best = delta_e2000(wanted.lab + unit @ square_root(only_pots).T, wanted.lab)
        unsure = bool(share[i] > 0.5)
        why = [*reasons[i], *(["few swatches are like this bath"] if unsure else [])]
        ideas.append(
            Idea(
                conditions=dict(bath),
                lab=lab[i],
                pot_covariance=pot[i],
                delta_e2000=float(delta_e2000(lab[i], wanted.lab)),
                expected=float(gaps.mean()),
                interval=_interval(lab[i], wanted.lab, of_gap, gaps),
                chance_within=min(float(np.mean(gaps <= tolerance)), most),
                best_chance=min(float(np.mean(best <= tolerance)), most),
                tolerance=tolerance,
                precedents=precedents(model, bath, wanted.lab),
                outside=bool(outside[i]),
                unsure=unsure,
                cautions=tuple(cautions_for(bath)),
                reasons=tuple(why),
            )
        )
    return ideas


def _interval(lab: Array, target: Array, of_gap: Array, gaps: Array) -> tuple[float, float]:
    """The interval told of a bath: from the least difference that is not ruled out, as far as
    holds 90 % of the draws `gaps` (d,) of a pot's difference."""
    low = difference_interval(lab, target, of_gap, level=0.9)[0]
    below = float(np.mean(gaps < low))
    return low, float(np.quantile(gaps, min(below + 0.9, 1.0)))


def earned(model: ShadeModel, tolerance: float) -> float:
    """The most that is said: 0.9, or what left-out swatches with such a chance have earned."""
    left = model.left_out_
    done = ~np.isnan(left.delta_e2000)
    if not left.checked or done.sum() < _EARNS_AFTER:
        return _MOST_SAID
    unit = np.random.default_rng(0).standard_normal((400, 3))
    middle = left.lab[done][:, None]
    off = np.stack([unit @ square_root(c).T for c in left.covariance[done]])
    said = np.mean(delta_e2000(middle + off, middle) <= tolerance, axis=1)
    sure = said >= _MOST_SAID
    if sure.sum() < _EARNS_AFTER:
        return _MOST_SAID
    hits = int(np.sum(left.delta_e2000[done][sure] <= tolerance))
    # Lower 95 % limit of a share (Clopper and Pearson 1934).
    low = float(beta.ppf(0.05, hits, sure.sum() - hits + 1)) if hits else 0.0
    return max(_MOST_SAID, low)
