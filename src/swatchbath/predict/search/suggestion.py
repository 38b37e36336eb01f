"""From a shade to baths: what would give it, how likely, and which swatches come nearest.

Many baths are tried; the best by expected colour are ranked by how often they come near over what
the model does not know, and improved nearby; beside them stand the baths of her nearest swatches.
Ranking by the expected colour alone would run off to where nothing is known and everything looks
perfect.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import betaincinv, chdtri

from ...bath.cautions import cautions_for
from ...colorimetry.covariance import joined_degrees, square_root
from ...colorimetry.difference import delta_e2000
from ...colorimetry.interval import difference_interval
from ...colorimetry.lab import Array
from ...colorimetry.measurement import Measurement
from ..features.novelty import never_tried
from ..regression.cross_validation import CrossValidation
from ..regression.fit import UNSURE, Fit, colours_of
from ..regression.gp import nearest_psd
from .columns import Bath
from .limits import Limits
from .own_baths import OwnBath, carried_by, key_of, missed_again, own_baths
from .precedents import precedents
from .ranking import (
    LOOKED_AT,
    different,
    distinct,
    draws_of,
    encode,
    inside_first,
    loss_of,
    shortlist,
    space_for,
    table_of,
)
from .reach import hardly_any, nearest_in_draws
from .request import (
    TargetColour,
    in_frame_of,
    parse_count,
    parse_seed,
    parse_target,
    parse_tolerance,
)
from .subset import near_to
from .suggested import Suggestion, Suggestions

# Baths tried, draws for ranking and for the chance; and the widths of the rounds of improvement
# (scale units, sd), how many baths are improved, and the tries for each. From trials on a made-up
# dye house (tests/studies/score_shade_model.py): more changed no figure by more than its error.
_TRIED, _DRAWS, _CHANCE_DRAWS = 1000, 48, 2000
_WIDTHS, _SEEDS, _PER_SEED = (0.2, 0.1, 0.05), 5, 40
# What puts a bath that only goes back to a swatch that missed behind all others.
_BEHIND = 200.0
# The most that is stated: choosing the best flatters the top end (0.98 stated came true 0.9 of the
# time in tests/studies/score_shade_model.py), unless left-out swatches have earned more.
_MAX_STATED_PROBABILITY = 0.9
_EARNS_AFTER = 20
# That a shade exists says that some bath gives it; that it is the bath suggested for it, less. In
# the chance the wanted colour counts as a reading of that bath, with so many times the variance
# that the regression itself, before it is widened, gives it. Chosen of 3 to 12 in trials on
# made-up dye houses (tests/studies/score_chance.py).
_READING_VARIANCE = 6.0


def suggest(
    fit: Fit,
    target: ArrayLike | Measurement,
    *,
    limits: Limits | None = None,
    rounding: Mapping[str, float] | None = None,
    tolerance: float = 2.0,
    k: int = 5,
    seed: int = 0,
) -> Suggestions:
    """Up to k different baths for a shade, the most promising first; see `ShadeModel.suggest`."""
    shade, k, tolerance = parse_target(target), parse_count(k), parse_tolerance(tolerance)
    fit = near_to(fit, target, limits)
    shade = in_frame_of(shade, fit.regression)
    space = space_for(fit, shade.lab, limits, rounding)
    rng = np.random.default_rng(parse_seed(seed))
    baths = distinct(space.recorded() + space.draw(_TRIED, rng))
    if not baths:
        raise space.why_none()
    unit = rng.standard_normal((_DRAWS, 3))
    unit = np.concatenate([unit, -unit])
    baths, f, scores = shortlist(fit, baths, shade.lab, unit)
    for width in _WIDTHS:
        best = different(baths, f, scores, _SEEDS)
        new = distinct([b for i in best for b in space.near(baths[i], _PER_SEED, width, rng)])
        if new:
            g = encode(fit, new)
            baths, f = baths + new, f.joined(g)
            scores = np.r_[scores, loss_of(fit, g, shade.lab, unit)]
    near = nearest_in_draws(fit, f, shade, rng)
    hardly = hardly_any(near, tolerance, exact=shade.measurement is None)
    own = own_baths(fit, space, shade)
    hers = {key_of(o.bath) for o in own}
    keep = np.array([i for i, b in enumerate(baths) if key_of(b) not in hers], dtype=int)
    baths, f, scores = [baths[i] for i in keep], f.take(keep), scores[keep]
    if own:
        g = encode(fit, [o.bath for o in own])
        baths, f = baths + [o.bath for o in own], f.joined(g)
        scores = np.r_[scores, loss_of(fit, g, shade.lab, unit, carried_by(fit, own))]
    whose: list[OwnBath | None] = [*([None] * len(keep)), *own]
    top = np.argsort(scores, kind="stable")[:LOOKED_AT]
    missed = np.zeros(len(baths), bool)
    missed[top] = missed_again(fit, f.take(top), shade, tolerance)
    scores = np.where(missed, scores + _BEHIND, scores)
    if own and fit.stands_back:
        scores = np.where([w is None for w in whose], scores + _BEHIND, scores)
    chosen = different(baths, f, inside_first(fit, baths, f, scores), k)
    mine = [whose[i] for i in chosen]
    found = suggestions_of(fit, [baths[i] for i in chosen], shade, tolerance, seed, mine)
    return Suggestions(replace(s, hardly_any=hardly) for s in found)


def suggestions_of(
    fit: Fit,
    baths: list[Bath],
    target: TargetColour,
    tolerance: float,
    seed: int,
    own: Sequence[OwnBath | None] | None = None,
) -> Suggestions:
    """Everything that is said about chosen baths. own : for each, whose own bath it is."""
    whose = own if own is not None else [None] * len(baths)
    carried = carried_by(fit, whose)
    table = table_of(baths)
    f = fit.encoder.encode(table)
    rng = np.random.default_rng([seed, 1])
    half = rng.standard_normal((_CHANCE_DRAWS // 2, 3))
    sizes = rng.random(_CHANCE_DRAWS // 2)
    unit = np.concatenate([half, -half])

    def heavy(unit: Array, degrees: float) -> Array:
        """The draws as a Student's t of so many degrees, of covariance 1, has them."""
        if not np.isfinite(degrees):
            return unit
        scale = chdtri(degrees, 1 - sizes) / (degrees - 2)
        return np.asarray(unit / np.sqrt(np.concatenate([scale, scale]))[:, None])

    lab, _, pot, fraction = colours_of(fit, f, carried)
    got = fit.regression
    mean, c = carried.of(*got.posterior.at(f)[:2])
    shared, sharing = got.shared_with(f, target.sources)
    only = got.lab_moments(mean, np.repeat(got.hyper.pot[None], len(mean), axis=0))[1]
    reasons, outside = never_tried(fit.encoder, fit.words, table, f, fit.table)
    most = probability_cap(fit.cross_validation, tolerance)
    not_known = got.lab_moments(mean, fit.covariance_inflation * nearest_psd(c))[1]
    left = nearest_psd(target.covariance + sharing - shared - shared.swapaxes(1, 2))
    k = share_of_shade(not_known, fit.covariance_inflation, left)
    exact = target.measurement is None and not got.lasting
    if exact:
        draws = draws_of(fit, f, unit, pots=True, carried=carried)
        near = draws_of(fit, f, unit, pots=True, toward=(target.lab, k), carried=carried)
    degrees_of_gap = [joined_degrees(p, target.covariance, np.inf, target.degrees) for p in pot]
    found = Suggestions()
    for i, bath in enumerate(baths):
        of_gap = nearest_psd((pot[i] + target.covariance - shared[i] - shared[i].T)[None])[0]
        if exact:
            gaps, nearer = (delta_e2000(d[i], target.lab) for d in (draws, near))
        else:
            gap, drawn = lab[i] - target.lab, heavy(unit, degrees_of_gap[i])
            gaps = delta_e2000(target.lab + gap + drawn @ square_root(of_gap).T, target.lab)
            less = square_root(nearest_psd((of_gap - k[i] * not_known[i])[None])[0])
            nearer = delta_e2000(target.lab + (1 - k[i]) * gap + drawn @ less.T, target.lab)
        degrees = joined_degrees(only[i], left[i], np.inf, target.degrees)
        off = heavy(unit, degrees) @ square_root(only[i] + left[i]).T
        best = delta_e2000(target.lab + off, target.lab)
        unsure, mine = bool(fraction[i] > UNSURE), whose[i]
        why = [*reasons[i], *(["few swatches are like this bath"] if unsure else [])]
        found.append(
            Suggestion(
                conditions=dict(bath),
                lab=lab[i],
                pot_covariance=pot[i],
                delta_e2000=float(delta_e2000(lab[i], target.lab)),
                expected=float(gaps.mean()),
                interval=_interval(lab[i], target.lab, of_gap, gaps, degrees_of_gap[i]),
                chance_within=min(float(np.mean(nearer <= tolerance)), most),
                best_chance=min(float(np.mean(best <= tolerance)), most),
                tolerance=tolerance,
                precedents=precedents(fit, bath, target.lab),
                outside=bool(outside[i]),
                unsure=unsure,
                cautions=tuple(cautions_for(bath)),
                reasons=tuple(why),
                of_row=None if mine is None else int(fit.order[mine.row]),
                scaled=None if mine is None else mine.scaled,
            )
        )
    return found


def share_of_shade(not_known: Array, inflation: float, left: Array) -> Array:
    """By what share (m,), 0 to 1, the wanted colour draws the colours expected of baths to itself,
    as a reading of them would.

    not_known : (m, 3, 3) covariance, in Lab, of what the fit does not know of each bath, widened by
    `inflation` (1 or more). left : (m, 3, 3) of the wanted colour's own doubt where the record does
    not share it: a colour that is hardly known says little.
    """
    bath, own = (np.trace(c, axis1=1, axis2=2) for c in (not_known, left))
    return np.asarray(bath / (bath + _READING_VARIANCE * bath / inflation + own + 1e-12))


def _interval(
    lab: Array, target: Array, of_gap: Array, gaps: Array, degrees: float
) -> tuple[float, float]:
    """The interval told of a bath: from the least difference that is not ruled out, as far as
    holds 90 % of the draws `gaps` (d,) of a pot's difference."""
    low = difference_interval(lab, target, of_gap, level=0.9, degrees=degrees)[0]
    below = float(np.mean(gaps < low))
    return low, float(np.quantile(gaps, min(below + 0.9, 1.0)))


def probability_cap(scored: CrossValidation, tolerance: float) -> float:
    """The most that is stated: 0.9, or what left-out swatches with such a chance have earned."""
    done = ~np.isnan(scored.delta_e2000)
    if not scored.checked or done.sum() < _EARNS_AFTER:
        return _MAX_STATED_PROBABILITY
    unit = np.random.default_rng(0).standard_normal((400, 3))
    middle = scored.lab[done][:, None]
    off = np.stack([unit @ square_root(c).T for c in scored.covariance[done]])
    stated = np.mean(delta_e2000(middle + off, middle) <= tolerance, axis=1)
    sure = stated >= _MAX_STATED_PROBABILITY
    if sure.sum() < _EARNS_AFTER:
        return _MAX_STATED_PROBABILITY
    hits = int(np.sum(scored.delta_e2000[done][sure] <= tolerance))
    # Lower 95 % limit of a share (Clopper and Pearson 1934).
    low = float(betaincinv(hits, sure.sum() - hits + 1, 0.05)) if hits else 0.0
    return max(_MAX_STATED_PROBABILITY, low)
