"""What an answer was computed from: enough to tell two answers apart, and to get one again."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from typing import Any

import numpy as np
import scipy

from ...version import __version__


def meta_of(keys: Sequence[str], swatches: int, seed: int) -> dict[str, Any]:
    """keys : `row_keys` of the rows given, in any order. swatches : how many were learnt from.

    >>> meta_of(["b", "a"], 2, 0)["data"] == meta_of(["a", "b"], 2, 0)["data"]
    True
    """
    data = hashlib.sha256("\n".join(sorted(keys)).encode()).hexdigest()
    versions = {"swatchbath": __version__, "numpy": np.__version__, "scipy": scipy.__version__}
    return {"data": data[:24], "swatches": swatches, "seed": seed, "versions": versions}
