"""What is asked of a suggestion: the target, how near, how many, which draws."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from ...colorimetry.conversion import to_d65_2
from ...colorimetry.lab import Array
from ...colorimetry.measurement import Measurement
from ...errors import BadValue, ShapeError, ValueOutOfRange
from ..regression.gp import nearest_psd
from ..regression.regression import Regression


@dataclass(frozen=True, eq=False)
class TargetColour:
    """A target colour: lab (3,), covariance (3, 3), the Measurement it came as or None.

    lab is that of the record's frame, where its readings tell of the frame; see `in_frame_of`.
    """

    lab: Array
    covariance: Array
    measurement: Measurement | None

    @property
    def degrees(self) -> float:
        """Of its error's Student's t; inf where Gaussian."""
        return np.inf if self.measurement is None else self.measurement.degrees

    @property
    def sources(self) -> Mapping[str, Array]:
        """Loadings (3, K) of what its error shares with other readings, by source."""
        return {} if self.measurement is None else self.measurement.shared


def parse_target(target: ArrayLike | Measurement) -> TargetColour:
    """A target, from Lab (taken as exact) or a Measurement. Raises BadValue or ShapeError."""
    if isinstance(target, Measurement):
        target = to_d65_2(target)
        return TargetColour(target.lab, target.covariance, target)
    try:
        lab = np.array(target, dtype=float)
    except (TypeError, ValueError) as error:
        raise BadValue(f"The target {target!r} is not a colour; give L*, a*, b*.") from error
    if lab.shape != (3,):
        raise ShapeError(f"A target is three numbers, L*, a*, b*; this has shape {lab.shape}.")
    if not np.isfinite(lab).all() or not 0 <= lab[0] <= 100 or np.abs(lab[1:]).max() > 200:
        raise BadValue(f"The target {lab.tolist()} is not a CIELAB colour (L* 0 to 100).")
    return TargetColour(lab, np.zeros((3, 3)), None)


def in_frame_of(target: TargetColour, regression: Regression) -> TargetColour:
    """The target as the record's readings have it, who share a photo or a sitting with it: less
    what they tell of that photo's error, which is then known the better. Itself where they share
    nothing, as in a new frame.

    The mean and the covariance of a normal variable given others (Rasmussen and Williams 2006,
    appendix A.2; from memory).
    """
    off, taken = regression.told_of(target.sources)
    if not taken.any():
        return target
    left = nearest_psd((target.covariance - taken)[None])[0]
    return replace(target, lab=target.lab - off, covariance=left)


def parse_count(k: int) -> int:
    """How many were asked for. Raises ValueOutOfRange unless it is a whole number above 0."""
    if isinstance(k, bool) or not isinstance(k, int | np.integer) or k < 1:
        raise ValueOutOfRange(f"{k!r} were asked for; give a whole number of 1 or more.")
    return int(k)


def parse_seed(seed: int) -> int:
    """A seed of random draws. Raises ValueOutOfRange unless it is a whole number from 0."""
    if isinstance(seed, bool) or not isinstance(seed, int | np.integer) or seed < 0:
        raise ValueOutOfRange(f"The seed is {seed!r}; give a whole number of 0 or more.")
    return int(seed)


def parse_tolerance(tolerance: float) -> float:
    """A tolerance. Raises ValueOutOfRange unless it is a number above 0."""
    if not (isinstance(tolerance, int | float | np.number) and 0 < tolerance < np.inf):
        raise ValueOutOfRange(f"The tolerance is {tolerance!r}; give a CIEDE2000 above 0, as 2.")
    return float(tolerance)
