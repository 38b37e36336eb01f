"""The colours of many swatches: each reading's own error, without what pairs of them share."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike

from ...colorimetry.conversion import to_d65_2
from ...colorimetry.covariance import nearest_covariance
from ...colorimetry.lab import Array, numbers_of
from ...colorimetry.measurement import Measurement, is_lasting
from ...errors import ShapeError
from .observations import WHOLE_ROWS, Observations, check_measurements, parse_labs, sources_of


@dataclass(frozen=True)
class ManyObservations(Observations):
    """Observations of which only each one's own covariance is kept; a few know their pairs again.

    errors is empty where these are known (None where not): the pairs of so many are not kept.
    """

    own_covariance: Array = field(default_factory=lambda: np.zeros((0, 3, 3)))

    def own(self) -> Array:
        """Each reading's covariance (n, 3, 3)."""
        return self.own_covariance

    def take(self, rows: np.ndarray) -> Observations:
        """Some of the readings: whole where they are few."""
        rows = np.asarray(rows)
        lasting = {name: loads[rows] for name, loads in self.lasting.items()}
        photos = tuple(self.photos[i] for i in rows)
        few = None if self.measurements is None else tuple(self.measurements[i] for i in rows)
        if len(rows) > WHOLE_ROWS:
            errors = None if self.errors is None else np.zeros((0, 0, 3, 3))
            return ManyObservations(
                self.lab[rows], errors, lasting, photos, few, self.own_covariance[rows]
            )
        errors = None
        if few is not None:
            errors = _pair_errors(few, lasting)
        elif self.errors is not None:
            errors = np.zeros((len(rows), len(rows), 3, 3))
            errors[np.arange(len(rows)), np.arange(len(rows))] = self.own_covariance[rows]
        return Observations(self.lab[rows], errors, lasting, photos, few)


def _pair_errors(items: Sequence[Measurement], lasting: dict[str, Array]) -> Array:
    """(n, n, 3, 3): the errors of a few readings without their lasting part."""
    n = len(items)
    errors = np.zeros((n, n, 3, 3))
    for i, m in enumerate(items):
        errors[i, i] = m.covariance
    for name, (rows, loads) in sources_of(items).items():
        if name in lasting:
            errors[rows, rows] -= loads @ loads.swapaxes(1, 2)
            continue
        between = loads[:, None] @ loads[None].swapaxes(-1, -2)
        between[np.arange(len(rows)), np.arange(len(rows))] = 0  # on the diagonal already
        errors[np.ix_(rows, rows)] += between
    return errors


def parse_any_labs(
    labs: ArrayLike | Sequence[Measurement], covariances: ArrayLike | None, n: int
) -> Observations:
    """`parse_labs`, for any number of rows."""
    if n <= WHOLE_ROWS:
        return parse_labs(labs, covariances, n)
    if isinstance(labs, Sequence) and labs and all(isinstance(m, Measurement) for m in labs):
        return _many_measurements([m for m in labs if isinstance(m, Measurement)], covariances, n)
    plain = parse_labs(labs, None, n)
    if covariances is None:
        return ManyObservations(plain.lab, None, {}, plain.photos, None, np.zeros((n, 3, 3)))
    given = numbers_of(covariances, "The doubt of the colours")
    if given.shape != (n, 3, 3):
        raise ShapeError(
            f"The covariances must have the shape ({n}, 3, 3); they have {given.shape}."
        )
    known = np.asarray(np.isfinite(plain.lab).all(axis=1))
    own = np.array(
        [nearest_covariance(c) if k else c for c, k in zip(given, known.tolist(), strict=True)]
    )
    return ManyObservations(plain.lab, np.zeros((0, 0, 3, 3)), {}, plain.photos, None, own)


def _many_measurements(
    items: list[Measurement], covariances: ArrayLike | None, n: int
) -> ManyObservations:
    check_measurements(items, covariances, n)
    items = [to_d65_2(m) for m in items]
    own = np.array([m.covariance for m in items])
    lasting: dict[str, Array] = {}
    for name, (rows, loads) in sources_of(items).items():
        if is_lasting(name) and len({items[i].photo for i in rows}) > 1:
            lasting[name] = np.zeros((n, *loads.shape[1:]))
            lasting[name][rows] = loads
            own[rows] -= loads @ loads.swapaxes(1, 2)
    return ManyObservations(
        np.stack([m.lab for m in items]),
        np.zeros((0, 0, 3, 3)),
        lasting,
        tuple(m.photo for m in items),
        tuple(items),
        own,
    )
