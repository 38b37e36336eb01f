"""One reading of several: the mean of a lot's swatches, with what their errors share."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from ..colorimetry.lab import Array
from ..colorimetry.measurement import Measurement
from ..errors import BadValue


def mean_reading(readings: Sequence[Measurement]) -> Measurement:
    """The mean of readings of one light and observer, as one reading.

    Errors that are each one's own average away; those of a source that they share do not. The photo
    and the rung are kept where all have the same. Raises BadValue for none, and for unlike lights.
    """
    if not readings:
        raise BadValue("There is no reading to take the mean of. Photograph a swatch first.")
    first, n = readings[0], len(readings)
    if n == 1:
        return first
    if len({(r.light, r.observer) for r in readings}) > 1:
        raise BadValue("Readings of unlike lights have no mean. Bring them to one light first.")
    shared: dict[str, Array] = {}
    for r in readings:
        for name, loading in r.shared.items():
            shared[name] = shared.get(name, np.zeros_like(loading)) + loading / n
    own = sum((r.trueness - _of(r.shared) for r in readings), np.zeros((3, 3))) / n**2
    photos, rungs = {r.photo for r in readings}, {r.rung for r in readings}
    return Measurement(
        np.mean([r.lab for r in readings], axis=0),
        sum((r.repeatability for r in readings), np.zeros((3, 3))) / n**2,
        trueness=own + _of(shared),
        shared=shared,
        degrees=min(r.degrees for r in readings),
        rung=first.rung if len(rungs) == 1 else "card",
        light=first.light,
        observer=first.observer,
        photo=first.photo if len(photos) == 1 else None,
    )


def _of(shared: Mapping[str, Array]) -> Array:
    """(3, 3): the covariance of what shared sources bring."""
    return sum((a @ a.T for a in shared.values()), np.zeros((3, 3)))
