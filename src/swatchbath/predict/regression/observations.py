"""The swatches' colours as learnt from: Lab, and the covariance of their errors."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ...colorimetry.conversion import to_d65_2
from ...colorimetry.covariance import nearest_covariance
from ...colorimetry.lab import Array, numbers_of
from ...colorimetry.measurement import Measurement, is_lasting
from ...errors import BadTable, BadValue, ShapeError
from .depth import depth_jacobian

# Up to so many rows the readings' errors are taken whole, with what they share.
WHOLE_ROWS = 300


@dataclass(frozen=True)
class Observations:
    """lab : (n, 3). errors : (n, n, 3, 3) covariance of the errors that differ from photo to photo,
    or None where nothing is known about them (see `groups.pot_sharing`). lasting :
    for each source that several photos name (the camera, the card), its loadings (n, 3, K), zeros
    where a reading does not name it. measurements : the readings as given, or None.

    The record is learnt from in the colours as this camera and card give them: their error is
    much the same in every photo, so it is no scatter, and taken as such it would draw every
    prediction to the mean. It is what the true colour is not known by.
    """

    lab: Array
    errors: Array | None
    lasting: dict[str, Array]
    photos: tuple[str | None, ...]
    measurements: tuple[Measurement, ...] | None

    def take(self, rows: np.ndarray) -> Observations:
        """Some of the readings."""
        return Observations(
            self.lab[rows],
            None if self.errors is None else self.errors[np.ix_(rows, rows)],
            {name: loads[rows] for name, loads in self.lasting.items()},
            tuple(self.photos[i] for i in rows),
            None if self.measurements is None else tuple(self.measurements[i] for i in rows),
        )

    def own(self) -> Array:
        """Each reading's covariance (n, 3, 3); zeros where nothing is known."""
        n = len(self.lab)
        if self.errors is None:
            return np.zeros((n, 3, 3))
        return self.errors[np.arange(n), np.arange(n)]

    def in_depth(self, sd: Array) -> Array:
        """The errors in standardised depth, (3n, 3n); sd (3,) of the depths."""
        n = len(self.lab)
        if self.errors is None:
            return np.zeros((3 * n, 3 * n))
        j = depth_jacobian(self.lab) / sd[:, None]
        blocks = j[:, None] @ self.errors @ j[None, :].swapaxes(-1, -2)
        return np.asarray(blocks.transpose(0, 2, 1, 3).reshape(3 * n, 3 * n))

    def lasting_in_depth(self, sd: Array) -> dict[str, Array]:
        """The lasting sources' loadings (n, 3, K) in standardised depth; sd (3,) of the depths."""
        if not self.lasting:
            return {}
        j = depth_jacobian(self.lab) / sd[:, None]
        return {name: j @ loads for name, loads in self.lasting.items()}

    def named_in_depth(self, sd: Array) -> dict[str, Array]:
        """As `lasting_in_depth`, for every source that the readings name; for few readings."""
        if self.measurements is None:
            return {}
        j = depth_jacobian(self.lab) / sd[:, None]
        out = {}
        for name, (rows, loads) in sources_of(self.measurements).items():
            out[name] = np.zeros((len(self.lab), *loads.shape[1:]))
            out[name][rows] = j[rows] @ loads
        return out


def sources_of(measurements: Sequence[Measurement]) -> dict[str, tuple[list[int], Array]]:
    """For each named source, the rows that name it and their loadings (k, 3, K)."""
    rows: dict[str, list[int]] = {}
    for i, m in enumerate(measurements):
        for name in m.shared:
            rows.setdefault(name, []).append(i)
    out: dict[str, tuple[list[int], Array]] = {}
    for name, where in rows.items():
        shapes = {measurements[i].shared[name].shape for i in where}
        if len(shapes) > 1:
            raise ShapeError(
                f"The readings describe the source '{name}' differently; measure them again with "
                "the same version."
            )
        out[name] = (where, np.stack([measurements[i].shared[name] for i in where]))
    return out


def parse_labs(
    labs: ArrayLike | Sequence[Measurement], covariances: ArrayLike | None, n: int
) -> Observations:
    """The colours of n rows, from an array (n, 3) or a list of Measurements.

    covariances : (n, 3, 3), each reading's own doubt, for an array. Rows whose Lab is not a number
    are kept here; the caller leaves them out.
    Raises ShapeError or BadValue.
    """
    if isinstance(labs, Sequence) and labs and all(isinstance(m, Measurement) for m in labs):
        items = [m for m in labs if isinstance(m, Measurement)]
        return _from_measurements(items, covariances, n)
    try:
        lab = np.array(labs, dtype=float)
    except (TypeError, ValueError) as error:
        raise BadValue(
            "The colours are neither an array of L*, a*, b* nor a list of Measurements; "
            "give one or the other for every swatch."
        ) from error
    if lab.shape != (n, 3):
        raise ShapeError(
            f"There are {n} rows of conditions, so the colours must have the shape ({n}, 3); "
            f"they have {lab.shape}."
        )
    known = np.isfinite(lab).all(axis=1)
    for i in np.flatnonzero(known | np.isinf(lab).any(axis=1)):
        if not (-5 <= lab[i, 0] <= 110 and np.abs(lab[i, 1:]).max() <= 250):
            raise BadTable(
                f"Row {i + 2}: the colour {lab[i].round(1).tolist()} is not a CIELAB colour "
                "(L* 0 to 100). Check the columns.",
                row=int(i) + 2,
            )
    errors = None
    if covariances is not None:
        given = numbers_of(covariances, "The doubt of the colours")
        if given.shape != (n, 3, 3):
            raise ShapeError(
                f"The covariances must have the shape ({n}, 3, 3); they have {given.shape}."
            )
        errors = np.zeros((n, n, 3, 3))
        for i in np.flatnonzero(known):
            errors[i, i] = nearest_covariance(given[i])
    return Observations(lab, errors, {}, (None,) * n, None)


def check_measurements(items: Sequence[Measurement], covariances: ArrayLike | None, n: int) -> None:
    """Refuse another number of readings than of rows, and covariances that are not their own."""
    if len(items) != n:
        raise ShapeError(f"There are {n} rows of conditions but {len(items)} colours.")
    if covariances is not None:
        own = np.array([m.covariance for m in items])
        given = numbers_of(covariances, "The doubt of the colours")
        if given.shape != own.shape or not np.allclose(given, own, rtol=1e-4, atol=1e-6):
            raise BadValue(
                "Measurements carry their own doubt, and other covariances were given besides; "
                "leave them out."
            )


def _from_measurements(
    items: Sequence[Measurement], covariances: ArrayLike | None, n: int
) -> Observations:
    check_measurements(items, covariances, n)
    items = [to_d65_2(m) for m in items]
    errors = np.zeros((n, n, 3, 3))
    for i, m in enumerate(items):
        errors[i, i] = m.covariance
    lasting: dict[str, Array] = {}
    for name, (rows, loads) in sources_of(items).items():
        if is_lasting(name) and len({items[i].photo for i in rows}) > 1:
            lasting[name] = np.zeros((n, *loads.shape[1:]))
            lasting[name][rows] = loads
            errors[rows, rows] -= loads @ loads.swapaxes(1, 2)
        else:
            between = loads[:, None] @ loads[None].swapaxes(-1, -2)
            between[np.arange(len(rows)), np.arange(len(rows))] = 0  # on the diagonal already
            errors[np.ix_(rows, rows)] += between
    return Observations(
        np.stack([m.lab for m in items]),
        errors,
        lasting,
        tuple(m.photo for m in items),
        tuple(items),
    )
