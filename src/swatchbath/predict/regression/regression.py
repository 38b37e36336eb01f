"""The regression itself: fitted to rows, or conditioned on them with known scales, and its answers
as colours."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from ...colorimetry.lab import Array
from ..features.encoder import Factors
from .depth import depth_jacobian, depth_to_lab, lab_jacobian, lab_moments, lab_to_depth
from .gp import Posterior, fit_hyper, own_blocks, reading_share
from .groups import Groups, pot_sharing
from .kernel import PARTS, Hyper
from .local_gp import LocalPosterior
from .observations import WHOLE_ROWS, Observations
from .trade_prior import TradePrior


@dataclass(frozen=True)
class Regression:
    """One fitted regression: scales, posterior, the standard of its depths, the rows' lasting
    errors in such depths (see `Observations.lasting_in_depth`), and where there are few rows all
    that their readings name as shared, in such depths too."""

    hyper: Hyper
    posterior: Posterior
    middle: Array
    sd: Array
    lasting: Mapping[str, Array] = field(default_factory=dict)
    named: Mapping[str, Array] = field(default_factory=dict)

    def on(self, f: Factors, observed: Observations, groups: Groups, extra: Array) -> Regression:
        """The regression on other rows, its scales as they are; see `condition`."""
        return condition(self.hyper, self.middle, self.sd, f, observed, groups, extra)

    def to_lab(self, z: Array) -> Array:
        """Lab of standardised depths (..., 3)."""
        return depth_to_lab(z * self.sd + self.middle)

    def to_depth(self, lab: Array) -> Array:
        """Standardised depths (..., 3) of Lab: the inverse of `to_lab`."""
        return (lab_to_depth(lab) - self.middle) / self.sd

    def lab_moments(self, z: Array, c: Array) -> tuple[Array, Array]:
        """Mean (m, 3) and covariance (m, 3, 3) in Lab of standardised depths so distributed."""
        return lab_moments(z * self.sd + self.middle, c * np.outer(self.sd, self.sd))

    def reading(
        self, g: Factors, readings: Observations, shared: Array, slope: Array, c: Array
    ) -> tuple[Array, Array]:
        """Mean depth (m, 3) of readings of baths g that share errors with the swatches', and what
        that takes from their doubt, in Lab (m, 3, 3).

        shared : (m, n, 3, 3) in Lab; slope : (m, 3, 3) dz/dLab of the new readings; c : their
        covariance without what is shared.
        """
        m, n = shared.shape[:2]
        new = slope / self.sd[:, None]
        old = depth_jacobian(readings.lab) / self.sd[:, None]
        wide = new[:, None] @ shared @ old[None].swapaxes(-1, -2)
        mean, c_shared, _ = self.posterior.at(g, wide.transpose(0, 2, 1, 3).reshape(3 * m, 3 * n))
        back = self.lab_slope(mean)
        return mean, back @ (c_shared - c) @ back.swapaxes(1, 2)

    def lasting_of(self, g: Factors) -> dict[str, Array]:
        """For each lasting source its loadings (m, 3, K), in Lab, on the colours predicted of
        baths: those of the swatches they are predicted from, as far as each counts."""
        return self._carried(g, self.lasting)

    def shared_with(self, g: Factors, sources: Mapping[str, Array]) -> tuple[Array, Array]:
        """What the errors of the colours predicted of baths share with those of a reading, in Lab,
        through the swatches they are predicted from: (m, 3, 3) of both together, predicted first,
        and (m, 3, 3) of the predicted colours' own. sources : the reading's loadings (3, K) by
        name."""
        known = {**self.named, **self.lasting}
        mine = {n: v for n, v in known.items() if n in sources and v.shape[1:] == sources[n].shape}
        both, own = np.zeros((len(g.x), 3, 3)), np.zeros((len(g.x), 3, 3))
        for name, loads in self._carried(g, mine).items():
            both += loads @ sources[name].T
            own += loads @ loads.swapaxes(1, 2)
        return both, own

    def told_of(self, sources: Mapping[str, Array]) -> tuple[Array, Array]:
        """What the swatches' readings tell of the error of another reading that shares sources with
        them: its mean (3,) and the covariance they take off it (3, 3), in Lab. sources : the
        reading's loadings (3, K) by name.

        A lasting error is much the same in all that was learnt from, so nothing of it is told; of
        very many rows what their readings share is not kept.
        """
        mine = [
            n
            for n, v in self.named.items()
            if n in sources and n not in self.lasting and v.shape[1:] == sources[n].shape
        ]
        if not mine:
            return np.zeros(3), np.zeros((3, 3))
        own = np.concatenate([sources[n] for n in mine], axis=1)
        mean, taken = self.posterior.told_of(np.concatenate([self.named[n] for n in mine], axis=2))
        return own @ mean, own @ taken @ own.T

    def _carried(self, g: Factors, errors: Mapping[str, Array]) -> dict[str, Array]:
        """What errors (n, 3, K) of the rows do to the colours predicted of baths, (m, 3, K)."""
        if not errors:
            return {}
        back, out = self.lab_slope(self.posterior.mean(g)), {}
        for name, loads in errors.items():
            common = loads.mean(axis=0)  # what the middle of the depths carries
            out[name] = back @ (common + self.posterior.carried(g, loads - common))
        return out

    def lab_slope(self, z: Array) -> Array:
        """dLab/dz (..., 3, 3) of standardised depths."""
        return lab_jacobian(z * self.sd + self.middle) * self.sd


def learn(
    f: Factors,
    readings: Observations,
    groups: Groups,
    extra: Array,
    *,
    start: Hyper | None = None,
    steps: int = 60,
) -> Regression:
    """Fit the regression to n rows. extra (n,) >= 0: added reading variance, in shares of B."""
    depth = lab_to_depth(readings.lab)
    middle, sd = depth.mean(axis=0), np.maximum(depth.std(axis=0), 1e-3)
    z = (depth - middle) / sd
    n, lasting = len(z), readings.lasting_in_depth(sd)
    pots = pot_sharing(groups, with_errors=readings.errors is not None)
    hyper, both = start, np.stack([extra, extra], axis=1)
    # What is a share of B needs B: begin with that of the depths, then once more with its own.
    B = start.B if start is not None else np.corrcoef(z.T) * 0.5 + 0.1 * np.eye(3)
    if readings.errors is None:
        trade = TradePrior.of(sd, B, PARTS)
        hyper = fit_hyper(f, z, pots, both, start=start, steps=steps, trade=trade)
        return Regression(hyper, Posterior(hyper, f, z, pots, both, sd), middle, sd)
    noise = readings.in_depth(sd)
    own = own_blocks(noise)
    for turns in (steps, steps // 3) if start is None else (steps,):
        share, trade = reading_share(own, B), TradePrior.of(sd, B, PARTS)
        hyper = fit_hyper(f, z, pots, share + both, start=hyper, steps=turns, trade=trade)
        B = hyper.B
    assert hyper is not None
    if n > WHOLE_ROWS:
        share = reading_share(own, B) + both
        return Regression(hyper, Posterior(hyper, f, z, pots, share, sd), middle, sd, lasting)
    whole = noise + np.kron(np.diag(extra), hyper.B)
    named = readings.named_in_depth(sd)
    return Regression(hyper, Posterior(hyper, f, z, pots, whole, sd), middle, sd, lasting, named)


def condition(
    hyper: Hyper,
    middle: Array,
    sd: Array,
    f: Factors,
    readings: Observations,
    groups: Groups,
    extra: Array,
) -> Regression:
    """The regression with scales that are known already, on n rows: nothing is fitted.

    extra (n,) : added reading variance, in shares of B. Whole for few rows, else nearby.
    """
    z = (lab_to_depth(readings.lab) - middle) / sd
    n = len(z)
    with_errors, lasting = readings.errors is not None, readings.lasting_in_depth(sd)
    j = depth_jacobian(readings.lab) / sd[:, None]
    if n <= WHOLE_ROWS:
        both = np.stack([extra, extra], axis=1)
        noise = readings.in_depth(sd) + np.kron(np.diag(extra), hyper.B) if with_errors else both
        sharing = pot_sharing(groups, with_errors=with_errors)
        named = readings.named_in_depth(sd)
        posterior = Posterior(hyper, f, z, sharing, noise, sd)
        return Regression(hyper, posterior, middle, sd, lasting, named)
    share = reading_share(j @ readings.own() @ j.swapaxes(1, 2), hyper.B) + extra[:, None]
    return Regression(
        hyper, LocalPosterior(hyper, f, z, groups, share, with_errors, sd), middle, sd, lasting
    )
