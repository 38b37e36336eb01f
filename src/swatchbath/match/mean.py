"""The mean of several readings, with what they share counted as shared."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from ..colorimetry.lab import Array
from ..colorimetry.measurement import Measurement
from ..errors import BadValue


def mean_reading(
    readings: Sequence[Measurement],
    *,
    called: Sequence[Mapping[str, str]] = (),
    scatter: Array | None = None,
) -> Measurement:
    """The mean of readings of one light and observer, as one reading.

    called : for each reading, other names of its sources, where unknowns are the same that go by
    two names. scatter : (3, 3), of the mean of what was read besides the readings' own errors.
    Texture and what each has alone shrinks with their number; what they share does not. Raises
    BadValue for none, and for unlike lights.
    """
    if not readings:
        raise BadValue("There is no reading to take the mean of. Photograph a swatch first.")
    if len({(r.light, r.observer) for r in readings}) > 1:
        raise BadValue("Readings of unlike lights have no mean. Bring them to one light first.")
    n = len(readings)
    repeat = sum((r.repeatability for r in readings), np.zeros((3, 3))) / n**2
    shared: dict[str, Array] = {}
    alone = np.zeros((3, 3)) if scatter is None else np.asarray(scatter, dtype=float)
    for i, reading in enumerate(readings):
        names = called[i] if called else {}
        own = reading.trueness
        for source, loading in reading.shared.items():
            name = names.get(source, source)
            shared[name] = shared.get(name, np.zeros_like(loading)) + loading / n
            own = own - loading @ loading.T
        alone = alone + own / n**2
    values, vectors = np.linalg.eigh(alone)
    trueness = (vectors * np.maximum(values, 0)) @ vectors.T
    trueness = trueness + sum((a @ a.T for a in shared.values()), np.zeros((3, 3)))
    photos = {r.photo for r in readings}
    return Measurement(
        np.mean([r.lab for r in readings], axis=0),
        repeat,
        trueness=trueness,
        degrees=min(r.degrees for r in readings),
        shared=shared,
        rung=readings[0].rung if len({r.rung for r in readings}) == 1 else "card",
        light=readings[0].light,
        observer=readings[0].observer,
        photo=photos.pop() if len(photos) == 1 else None,
    )
