"""Many baths weighed against a shade: their factors, draws of their colours, and which to keep."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pandas as pd

from ...colorimetry.difference import delta_e2000
from ...colorimetry.lab import Array
from ...colorimetry.words import colour_words
from ..features.encoder import Factors
from ..features.novelty import never_tried
from ..regression.fit import Carried, Fit
from ..regression.gp import nearest_psd
from ..regression.regression import Regression
from .candidates import Space
from .columns import Bath, kind_of
from .limits import Limits, parse_limits, parse_rounding

# Baths kept by expected colour; from trials on a made-up dye house
# (tests/studies/score_shade_model.py): more changed no figure by more than its error.
_KEPT = 300
# Two baths of one kind count as different options from this distance in scale units.
_APART = 0.35
# From which CIEDE2000 on a miss is a miss, and the weight of the root mean square beside it. The
# weight .05 was first scored on rounds of made-up houses 210 to 214; on 720 to 727 it was level
# with the root mean square alone (tests/studies/FIGURES.md).
_NEAR, _FROM_AFAR = 3.0, 0.05
# How many of the best baths are held against what was dyed.
LOOKED_AT = 60
# What a bath beyond the recorded ranges must gain to be put before one within them (CIEDE2000):
# about half of what two people would dispute. Our own choice.
_STAY = 0.5


def space_for(
    fit: Fit, lab: Array, limits: Limits | None, rounding: Mapping[str, float] | None
) -> Space:
    """The baths that may be suggested for a colour; browns let madder go hotter."""
    words = colour_words(lab)
    browns = "brown" in words and "red-brown" not in words
    return Space(fit.table, parse_limits(limits), parse_rounding(rounding), browns=browns)


def table_of(baths: list[Bath]) -> pd.DataFrame:
    """Baths as a typed table."""
    names = list(dict.fromkeys(n for b in baths for n in b))
    words = {n for b in baths for n, v in b.items() if isinstance(v, str)}
    return pd.DataFrame(
        {
            n: pd.Series([b.get(n) for b in baths], dtype=object if n in words else float)
            for n in names
        }
    )


def encode(fit: Fit, baths: list[Bath]) -> Factors:
    """Baths as factors of the fit."""
    return fit.encoder.encode(table_of(baths))


def expected_lab(fit: Fit, f: Factors) -> Array:
    """Roughly expected colours (m, 3), to choose which baths are worth a closer look."""
    return fit.regression.to_lab(fit.regression.posterior.mean(f))


def draws_of(
    fit: Fit,
    f: Factors,
    unit: Array,
    *,
    pots: bool,
    regression: Regression | None = None,
    toward: tuple[Array, Array] | None = None,
    carried: Carried | None = None,
    widened: bool = True,
) -> Array:
    """Draws (m, d, 3) of the Lab of baths: what such a bath gives on average, or with `pots` what
    one pot of it gives. unit : (d, 3) standard normal. regression : instead of the fit's own.
    toward : a Lab (3,) that counts as a reading of each bath, and by what share (m,), 0 to 1.
    carried : what else is known of the baths. widened : whether the doubt is as widened by the
    test on lots left out (what is told), or the regression's own (what to try next)."""
    got = regression or fit.regression
    mean, c, _ = got.posterior.at(f)
    if carried is not None:
        mean, c = carried.of(mean, c)
    c = (fit.covariance_inflation if widened else 1.0) * nearest_psd(c)
    if toward is not None:
        lab, share = toward
        mean = mean + share[:, None] * (got.to_depth(lab) - mean)
        c = (1 - share)[:, None, None] * c
    if pots:
        c = c + got.hyper.pot
    values, vectors = np.linalg.eigh(c)
    root = vectors * np.sqrt(np.maximum(values, 0))[:, None, :]
    return got.to_lab(mean[:, None] + np.einsum("mij,dj->mdi", root, unit))


def distinct(baths: list[Bath]) -> list[Bath]:
    """Each bath once."""
    return list({tuple(sorted(b.items(), key=lambda p: p[0])): b for b in baths}.values())


def shortlist(
    fit: Fit, baths: list[Bath], lab: Array, unit: Array
) -> tuple[list[Bath], Factors, Array]:
    """Those whose expected colour is nearest, and the nearest few of each kind, with scores."""
    f = encode(fit, baths)
    far = delta_e2000(expected_lab(fit, f), lab)
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
    return [baths[i] for i in keep], f, loss_of(fit, f, lab, unit)


def loss_of(fit: Fit, f: Factors, lab: Array, unit: Array, carried: Carried | None = None) -> Array:
    """How little a bath (m,) promises, 0 and more: the mean over what the fit does not know of
    1 - exp(-d^2 / (2 w^2)) with d the CIEDE2000 and w = 3, which asks how often it comes near and
    not how far a miss lies, and a twentieth of the root mean square, which leads from afar; and
    more for baths that leave what was dyed. carried : what else is known of the baths."""
    out = []
    low, high = fit.factors.x.min(axis=0) - 1e-9, fit.factors.x.max(axis=0) + 1e-9
    for i in range(0, len(f.x), 200):
        rows = np.arange(i, min(i + 200, len(f.x)))
        part = f.take(rows)
        also = None if carried is None else Carried(carried.shift[rows], carried.left[rows])
        draws = draws_of(fit, part, unit, pots=False, carried=also)
        beyond = ((part.x < low) | (part.x > high)).any(axis=1)
        square = delta_e2000(draws, lab) ** 2
        near = 1 - np.exp(-square / (2 * _NEAR**2)).mean(axis=1)
        out.append(near + _FROM_AFAR * (np.sqrt(square.mean(axis=1)) + _STAY * beyond))
    return np.concatenate(out)


def inside_first(fit: Fit, baths: list[Bath], f: Factors, scores: Array) -> Array:
    """The scores (m,), those of baths with something never tried no better than the best bath of
    what was dyed, where one is among the best: what is beyond the record does not lead."""
    best = np.argsort(scores, kind="stable")[:LOOKED_AT]
    table = table_of([baths[i] for i in best])
    outside = never_tried(fit.encoder, fit.words, table, f.take(best), fit.table)[1]
    if outside.all():
        return scores
    out = scores.copy()
    out[best[outside]] = np.maximum(out[best[outside]], scores[best[~outside]].min() + 1e-6)
    return out


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
