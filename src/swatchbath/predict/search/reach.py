"""Can a shade be had at all? From all baths that were looked at together, not from each alone.

Each bath's own interval is wide where the record is untidy, and one wide interval that touches the
shade says nothing. What the record leaves open is the same for baths that are alike: in each joint
draw of all their colours the nearest is sought, and it is counted how often that is near.
"""

from __future__ import annotations

import numpy as np

from ...colorimetry.difference import delta_e2000
from ...colorimetry.lab import Array
from ..features.encoder import Factors
from ..regression.fit import Fit
from .ranking import expected_lab
from .request import TargetColour

# Baths taken: the nearest by expected colour, and as many from the rest, evenly; and draws. Our own
# choice.
_NEAREST, _OTHERS, _DRAWS = 60, 60, 300
# Out of reach is said where under so great a share of the draws comes within the tolerance: of a
# shade known exactly, and of one that was read, whose own error is as large as the tolerance.
# On made-up houses as tests/studies/score_chance.py makes them, by a trial that was not kept: the
# first chosen on houses 1200 to 1223, where greater ones say it wrongly of every tenth shade; the
# second on 1240 to 1243. On 1244 to 1247 it was said of 8 in 10 of both, wrongly of 1 in 42.
_HARDLY, _HARDLY_READ = 0.05, 0.25


def hardly_any(near: Array, tolerance: float, *, exact: bool) -> bool:
    """Whether hardly any bath can give, on average over its pots, a colour within the tolerance
    (CIEDE2000) of a shade. near : as `nearest_in_draws` gives it. exact : the shade is known
    exactly."""
    return bool(np.mean(near <= tolerance) < (_HARDLY if exact else _HARDLY_READ))


def nearest_in_draws(fit: Fit, f: Factors, target: TargetColour, rng: np.random.Generator) -> Array:
    """In each joint draw (d,) of the colours that baths give on average, by the doubt before it is
    widened, the least CIEDE2000 of any of them from the shade as it was read."""
    order = np.argsort(delta_e2000(expected_lab(fit, f), target.lab), kind="stable")
    rest = order[_NEAREST:]
    some = np.unique(np.linspace(0, len(rest) - 1, min(_OTHERS, len(rest))).astype(int))
    g = f.take(np.r_[order[:_NEAREST], rest[some]])
    got = fit.regression
    mean = got.posterior.at(g)[0]
    values, vectors = np.linalg.eigh(got.posterior.joint(g))
    root = vectors * np.sqrt(np.maximum(values, 0))
    off = rng.standard_normal((_DRAWS, len(values))) @ root.T
    drawn = got.to_lab(mean + off.reshape(_DRAWS, *mean.shape))
    return np.asarray(delta_e2000(drawn, target.lab).min(axis=1))
