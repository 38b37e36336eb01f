"""A hash of each row, by which a stored fit and an answer know what they were learnt from."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Sequence
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike

from ...colorimetry.measurement import Measurement


def row_keys(
    conditions: pd.DataFrame,
    labs: ArrayLike | Sequence[Measurement],
    covariances: ArrayLike | None = None,
) -> list[str]:
    """A hash of each row: its cells, its colour and that colour's doubt."""
    names = sorted(str(c) for c in conditions.columns)
    columns = [list(conditions[c]) for c in names]
    listed = isinstance(labs, Sequence) and bool(labs) and isinstance(labs[0], Measurement)
    colours: Any = labs if listed else np.asarray(labs, dtype=float)
    own = None if covariances is None else np.asarray(covariances, dtype=float)
    seen: Counter[str] = Counter()
    out = []
    for i in range(len(conditions)):
        digest = hashlib.sha256()
        for name, cells in zip(names, columns, strict=True):
            if not _empty(cells[i]):
                digest.update(f"{name}={cells[i]!r}\n".encode())
        lab = colours[i]
        if isinstance(lab, Measurement):
            digest.update(f"{lab.rung} {lab.photo} {lab.degrees!r}".encode())
            digest.update(lab.lab.tobytes() + lab.covariance.tobytes())
            for source in sorted(lab.shared):
                digest.update(source.encode() + lab.shared[source].tobytes())
        else:
            digest.update(lab.tobytes())
        if own is not None:
            digest.update(own[i].tobytes())
        key = digest.hexdigest()[:24]
        seen[key] += 1
        out.append(f"{key}-{seen[key]}")
    return out


def _empty(value: Any) -> bool:
    return value is None or value is pd.NA or (isinstance(value, float) and value != value)
