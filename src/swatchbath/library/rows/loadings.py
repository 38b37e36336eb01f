"""The loadings of a reading's sources as text, a fifth as long as their figures."""

from __future__ import annotations

import base64

import numpy as np

from ...colorimetry.lab import Array


def packed(loading: Array) -> str:
    """A loading (3, K) as base64 of 32-bit floats, little end first; exact to 7 digits."""
    return base64.b64encode(loading.astype("<f4").tobytes()).decode("ascii")


def unpacked(text: str) -> Array:
    """The reverse of `packed`. Raises ValueError for another text."""
    return (
        np.frombuffer(base64.b64decode(text, validate=True), dtype="<f4")
        .reshape(3, -1)
        .astype(float)
    )
