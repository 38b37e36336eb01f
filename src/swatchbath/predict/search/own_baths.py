"""Her own swatches' baths as suggestions: as they were, or with more or less of the dyestuff; and
which baths would only go back to what missed."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ...bath.enough import enough_of
from ...colorimetry.difference import delta_e2000
from ...colorimetry.interval import difference_interval
from ...colorimetry.lab import Array
from ...colorimetry.measurement import cross_covariance
from ...conditions.vocabulary import meaning
from ..features.encoder import Factors
from ..regression.fit import Carried, Fit
from ..regression.gp import nearest_psd
from .candidates import Space
from .columns import Bath, base_of
from .ranking import encode
from .request import TargetColour

# How many of the nearest swatches lend their baths, and how much more or less dyestuff is tried, as
# a dyer would by thumb; common practice, no source.
_NEAREST, _MOST_SCALED = 6, 3.0
# A change of the dyestuff under so much is no change: it is about what pots differ by.
_LEAST_SCALED = 0.1
# Two baths this near in every number (scale units) are nearly the same; our own choice, a third
# of a pH or of 5 degrees.
NEARLY = 0.05
# Where a swatch's bath has cells that are not known, what they were comes again when it is dyed
# again "as then": so much of how far its reading lies from what the fit expects of such a bath, and
# the doubt left of the fit's. The first from houses 700 to 709 (tests/studies/score_first_idea.py
# --what carried), the second our own estimate from that, not fitted.
_COMES_AGAIN, _DOUBT_LEFT = 0.7, 0.65


@dataclass(frozen=True)
class OwnBath:
    """The bath of a swatch on record. row : its place among the fit's rows. scaled : the factor on
    its dyestuff, above 0; None as it was."""

    bath: Bath
    row: int
    scaled: float | None


def own_baths(fit: Fit, space: Space, target: TargetColour) -> list[OwnBath]:
    """The baths of the swatches nearest to a shade, and those with as much more or less dyestuff as
    the shade is deeper or paler; only what limits and caps leave as it was."""
    read = fit.observations.lab
    odd = np.isin(fit.order, fit.outliers)
    order = [i for i in np.argsort(delta_e2000(read, target.lab), kind="stable") if not odd[i]]
    wanted = fit.regression.to_depth(target.lab)[0] * fit.regression.sd[0]
    found: list[OwnBath] = []
    for i in (int(i) for i in order[:_NEAREST]):
        found.append(OwnBath(space.rows[i], i, None))
        deeper = wanted - fit.regression.to_depth(read[i])[0] * fit.regression.sd[0]
        most = min(_MOST_SCALED, _room(space.rows, space.rows[i]))
        factor = float(np.clip(np.exp(deeper), 1 / _MOST_SCALED, most))
        more = _scaled(space.rows[i], factor)
        if more is not None and abs(math.log(factor)) > _LEAST_SCALED:
            found.append(OwnBath(more, i, factor))
    return _as_they_were(fit, space, found)


def _room(rows: Sequence[Bath], bath: Bath) -> float:
    """How many times its dyestuffs a bath may have, 1 or more: to where that is enough, or to the
    most of it on record."""
    room = math.inf
    for name in [n for n in bath if base_of(n) == "dyestuff" and bath[n] != "none"]:
        amount = name.replace("dyestuff", "dye_owf", 1)
        word, form = str(bath[name]), str(bath.get(name.replace("stuff", "stuff_form", 1)) or "")
        known = [
            float(r[n.replace("dyestuff", "dye_owf", 1)])
            for r in rows
            for n in r
            if base_of(n) == "dyestuff"
            and meaning("dyestuff", str(r[n])) == meaning("dyestuff", word)
            and n.replace("dyestuff", "dye_owf", 1) in r
        ]
        most = max([enough_of("dye_owf", word, [form]), *known])
        if bath.get(amount):
            room = min(room, most / float(bath[amount]))
    return max(room, 1.0)


def _scaled(bath: Bath, factor: float) -> Bath | None:
    """A bath with all its dyestuffs times a factor; None where an amount is not known."""
    dyes = [n for n in bath if base_of(n) == "dyestuff" and bath[n] != "none"]
    amounts = [n.replace("dyestuff", "dye_owf", 1) for n in dyes]
    if not amounts or any(n not in bath for n in amounts):
        return None
    return bath | {n: float(bath[n]) * factor for n in amounts}


def _as_they_were(fit: Fit, space: Space, wanted: list[OwnBath]) -> list[OwnBath]:
    """Those that limits, caps and rounding leave nearly as they were, each once."""
    out: dict[tuple[object, ...], OwnBath] = {}
    for own in wanted:
        allowed = space.allowed([own.bath])
        if not allowed:
            continue
        f = encode(fit, [own.bath, allowed[0]])
        if np.abs(f.x[0] - f.x[1]).max(initial=0.0) > NEARLY:
            continue
        factor = own.scaled
        amounts = [n for n in own.bath if base_of(n) == "dye_owf" and own.bath[n] > 0]
        if factor is not None and amounts:  # as rounded
            factor *= allowed[0][amounts[0]] / own.bath[amounts[0]]
        out.setdefault(key_of(allowed[0]), OwnBath(allowed[0], own.row, factor))
    return list(out.values())


def key_of(bath: Bath) -> tuple[object, ...]:
    """A bath as a key, whatever the order of its columns."""
    return tuple(sorted(bath.items(), key=lambda pair: pair[0]))


def carried_by(fit: Fit, own: Sequence[OwnBath | None]) -> Carried:
    """What comes again of each swatch whose bath it is, where cells of that bath are not known; all
    of it where the fit stands back."""
    back = any(own) and fit.stands_back
    shift, left = np.zeros((len(own), 3)), np.ones(len(own))
    for i, mine in enumerate(own):
        if mine is None:
            continue
        f = fit.factors.take(np.array([mine.row]))
        got = fit.regression
        off = got.to_depth(fit.observations.lab[mine.row]) - got.posterior.mean(f)[0]
        if back:
            shift[i] = off
        elif f.spread.any():
            shift[i], left[i] = _COMES_AGAIN * off, _DOUBT_LEFT
    return Carried(shift, left)


def missed_again(fit: Fit, f: Factors, target: TargetColour, tolerance: float) -> np.ndarray:
    """Which baths (m,) are nearly one that was dyed and whose swatch lies, with 9 chances in 10,
    beyond the tolerance: to dye such a one again brings her no nearer."""
    out = np.zeros(len(f.x), bool)
    known = ~(fit.factors.spread > 0).any(axis=1)
    for row in np.flatnonzero(known):
        same = (f.levels == fit.factors.levels[row]).all(axis=1)
        same &= np.abs(f.x - fit.factors.x[row]).max(axis=1, initial=0.0) <= NEARLY
        if (same & ~out).any() and _misses(fit, int(row), target, tolerance):
            out |= same
    return out


def _misses(fit: Fit, row: int, target: TargetColour, tolerance: float) -> bool:
    read, wanted, observed = fit.observations.lab[row], target.lab, fit.observations
    cov = target.covariance + observed.own()[row]
    if observed.measurements is not None and target.measurement is not None:
        theirs, asked = observed.measurements[row], target.measurement
        both = cross_covariance(theirs, asked)
        wanted, cov = asked.lab, theirs.covariance + asked.covariance - both - both.T
    if delta_e2000(read, wanted) <= tolerance:
        return False
    cov = nearest_psd((cov + _scatter(fit, read))[None])[0]
    # One end of an interval of 0.8 leaves one chance in ten beyond it.
    return difference_interval(read, wanted, cov, level=0.8)[0] > tolerance


def _scatter(fit: Fit, lab: Array) -> Array:
    got = fit.regression
    z = got.to_depth(lab)[None]
    return np.asarray(got.lab_moments(z, got.hyper.pot[None])[1][0])
