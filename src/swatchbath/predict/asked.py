"""What is asked of a suggestion: the target, how near, how many, within which limits, and in the
steps her scale can weigh. Each is checked here, before any search."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from ..colorimetry.convert import to_d65_2
from ..colorimetry.lab import Array
from ..colorimetry.measured import Measurement
from ..errors import BadValue, NotFound, ShapeError, ValueOutOfRange
from .columns import COLUMNS, column
from .vocabulary import FIBRES, meaning

__all__ = [
    "Allowed",
    "Limits",
    "Wanted",
    "read_count",
    "read_limits",
    "read_rounding",
    "read_seed",
    "read_target",
    "read_tolerance",
]

Limits = Mapping[str, Any]


@dataclass(frozen=True)
class Allowed:
    """One limit: low to high for a number, or a tuple of choices (numbers or words)."""

    low: float = -math.inf
    high: float = math.inf
    choices: tuple[Any, ...] = ()

    def holds(self, name: str, value: Any) -> bool:
        """Whether a value keeps to the limit."""
        if self.choices:
            if isinstance(value, str):
                return meaning(name, value) in {meaning(name, str(c)) for c in self.choices}
            return any(isinstance(c, float) and abs(value - c) < 1e-9 for c in self.choices)
        return isinstance(value, int | float) and self.low - 1e-9 <= value <= self.high + 1e-9


def read_limits(limits: Limits | None) -> dict[str, Allowed]:
    """Check limits given as {column: value | (low, high) | [choices]}.

    Raises NotFound for a column that is none; BadValue or ValueOutOfRange for a value that cannot
    be.
    """
    out: dict[str, Allowed] = {}
    if limits is not None and not isinstance(limits, Mapping):
        raise BadValue(f"Limits go by column, as {{'fibre': 'wool'}}; {limits!r} is not that.")
    for name, given in (limits or {}).items():
        about = column(str(name))
        if about is None or about.kind == "group":
            known = ", ".join(c.name for c in COLUMNS if c.kind != "group")
            raise NotFound(f"'{name}' cannot be limited; the condition columns are: {known}.")
        if about.kind == "number":
            out[name] = _numbers(name, given)
        else:
            words = list(given) if isinstance(given, list | tuple | set | frozenset) else [given]
            out[name] = Allowed(choices=tuple(_word(name, w) for w in words))
            if not words:
                raise BadValue(f"The limit on {name} allows nothing; name at least one {name}.")
    return out


def _numbers(name: str, given: Any) -> Allowed:
    if isinstance(given, tuple):
        if len(given) != 2:
            raise BadValue(
                f"The limit on {name} is {given!r}; give one number, (low, high), or a list."
            )
        low, high = (_number(name, v) for v in given)
        if low > high:
            raise BadValue(
                f"The limit on {name} runs from {low:g} to {high:g}; the lower end comes first."
            )
        return Allowed(low, high)
    if isinstance(given, list):
        if not given:
            raise BadValue(f"The limit on {name} allows nothing; give at least one number.")
        return Allowed(choices=tuple(_number(name, v) for v in given))
    value = _number(name, given)
    return Allowed(value, value)


def _number(name: str, value: Any) -> float:
    about = column(name)
    assert about is not None and about.recorded is not None
    if isinstance(value, str) and value.strip().casefold() == "none" and about.none_is == 0:
        return 0.0
    if isinstance(value, bool) or not isinstance(value, int | float | np.number):
        raise BadValue(f"The limit on {name} is {value!r}; it must be a number ({about.allowed}).")
    if not about.recorded[0] <= float(value) <= about.recorded[1]:
        raise ValueOutOfRange(
            f"The limit on {name} is {float(value):g}, outside {about.allowed}; give another."
        )
    return float(value)


def _word(name: str, value: Any) -> str:
    if not isinstance(value, str) or not value.strip():
        raise BadValue(f"The limit on {name} is {value!r}; give a word, or a list of words.")
    word = " ".join(value.split())
    if name == "fibre" and meaning("fibre", word) not in FIBRES:
        raise BadValue(f"'{word}' is not a fibre known here; use one of: {', '.join(FIBRES)}.")
    return word


def read_rounding(rounding: Mapping[str, float] | None) -> dict[str, float]:
    """Check rounding given as {column: step}. Raises NotFound or ValueOutOfRange."""
    out: dict[str, float] = {}
    if rounding is not None and not isinstance(rounding, Mapping):
        raise BadValue(f"Rounding goes by column, as {{'pH': 0.5}}; {rounding!r} is not that.")
    for name, step in (rounding or {}).items():
        about = column(str(name))
        if about is None or about.kind != "number":
            raise NotFound(f"'{name}' cannot be rounded; it is not a column of numbers.")
        if not (isinstance(step, int | float | np.number) and math.isfinite(step) and step > 0):
            raise ValueOutOfRange(f"The step for {name} is {step!r}; give a number above 0.")
        out[name] = float(step)
    return out


@dataclass(frozen=True, eq=False)
class Wanted:
    """A target colour: lab (3,), covariance (3, 3), the Measurement it came as or None."""

    lab: Array
    covariance: Array
    measurement: Measurement | None

    @property
    def sources(self) -> Mapping[str, Array]:
        """Loadings (3, K) of what its error shares with other readings, by source."""
        return {} if self.measurement is None else self.measurement.shared


def read_target(target: ArrayLike | Measurement) -> Wanted:
    """A target, from Lab (taken as exact) or a Measurement. Raises BadValue or ShapeError."""
    if isinstance(target, Measurement):
        target = to_d65_2(target)
        return Wanted(target.lab, target.covariance, target)
    try:
        lab = np.array(target, dtype=float)
    except (TypeError, ValueError) as error:
        raise BadValue(f"The target {target!r} is not a colour; give L*, a*, b*.") from error
    if lab.shape != (3,):
        raise ShapeError(f"A target is three numbers, L*, a*, b*; this has shape {lab.shape}.")
    if not np.isfinite(lab).all() or not 0 <= lab[0] <= 100 or np.abs(lab[1:]).max() > 200:
        raise BadValue(f"The target {lab.tolist()} is not a CIELAB colour (L* 0 to 100).")
    return Wanted(lab, np.zeros((3, 3)), None)


def read_count(k: int) -> int:
    """How many were asked for. Raises ValueOutOfRange unless it is a whole number above 0."""
    if isinstance(k, bool) or not isinstance(k, int | np.integer) or k < 1:
        raise ValueOutOfRange(f"{k!r} were asked for; give a whole number of 1 or more.")
    return int(k)


def read_seed(seed: int) -> int:
    """A seed of random draws. Raises ValueOutOfRange unless it is a whole number from 0."""
    if isinstance(seed, bool) or not isinstance(seed, int | np.integer) or seed < 0:
        raise ValueOutOfRange(f"The seed is {seed!r}; give a whole number of 0 or more.")
    return int(seed)


def read_tolerance(tolerance: float) -> float:
    """A tolerance. Raises ValueOutOfRange unless it is a number above 0."""
    if not (isinstance(tolerance, int | float | np.number) and 0 < tolerance < np.inf):
        raise ValueOutOfRange(f"The tolerance is {tolerance!r}; give a CIEDE2000 above 0, as 2.")
    return float(tolerance)
