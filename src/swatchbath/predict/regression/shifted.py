"""A regression that knows a delivery of a dyestuff only by how it is shifted from a known one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ...colorimetry.lab import Array
from ..features.encoder import Factors
from .gp import Posterior


class ShiftedPosterior(Posterior):
    """A posterior that answers baths with the new delivery from the one it is compared to.

    place : which word factor is the delivery; new, like : the levels of the new one and of the
    known one. shift (3,), wide (3, 3) : of standardised depth, and what is not known of it.
    """

    def __init__(
        self, base: Posterior, place: int, new: int, like: int, shift: Array, wide: Array
    ) -> None:
        self.__dict__ = dict(base.__dict__)
        self._base, self._place, self._new, self._like = base, place, new, like
        self._shift, self._wide = shift, wide

    def _as_known(self, g: Factors) -> tuple[Factors, np.ndarray]:
        """Baths with the new delivery as baths with the known one, and which they are (m,)."""
        mine = g.levels[:, self._place] == self._new
        levels = g.levels.copy()
        levels[mine, self._place] = self._like
        return replace(g, levels=levels), mine

    def believing(self, g: Factors) -> ShiftedPosterior:
        """As `Posterior.believing`; the shift stays as it is."""
        base = self._base.believing(self._as_known(g)[0])
        return ShiftedPosterior(base, self._place, self._new, self._like, self._shift, self._wide)

    def carried(self, g: Factors, errors: Array) -> Array:
        """As `Posterior.carried`: a new delivery is predicted from the swatches of the old one."""
        return self._base.carried(self._as_known(g)[0], errors)

    def mean(self, g: Factors) -> Array:
        """Expected standardised depth (m, 3)."""
        known, mine = self._as_known(g)
        return np.asarray(self._base.mean(known) + mine[:, None] * self._shift)

    def at(self, g: Factors, cross: Array | None = None) -> tuple[Array, Array, Array]:
        """As `Posterior.at`, with the shift and what is not known of it."""
        known, mine = self._as_known(g)
        mean, cov, fraction = self._base.at(known, cross)
        wide = cov + mine[:, None, None] * self._wide
        return mean + mine[:, None] * self._shift, wide, fraction
