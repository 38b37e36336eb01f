"""A swatch as it is read from the library, and what may be told of one."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from math import isfinite, isnan
from numbers import Real
from typing import Any

from ...bath.step import Step
from ...bath.steps import FIBRE_COLUMNS
from ...characters import kept
from ...colorimetry.measurement import Measurement
from ...errors import BadValue
from ..codes import is_code

STATES = ("dry", "dry washed", "dry unwashed", "wet")
_FIBRE_WORDS = ("fibre", "fibre_form", "pot_position")


@dataclass(frozen=True)
class Swatch:
    """One swatch on record.

    Attributes
    ----------
    code, name, lot, part, session, added : str or None
        Session is the dye day; added is UTC.
    steps : tuple of Step
        Its treatments in their order, those of its lot first.
    conditions : dict
        The same as columns, column -> value, with columns of her own.
    measurements : tuple of (state, photo's file name or None, Measurement)
        Oldest first.
    typed : mapping
        Cells typed in other units than the stored ones, by column, as they were typed.
    days : tuple of float or None
        Since dyeing, for each measurement.
    shown : tuple of (str, str)
        Photos of it by file name, and what they show.
    numbers, damaged : tuple of int
        Of each measurement among all its readings, oldest 1; those that cannot be read.
    lot_kept, dyestuff_lots_kept : mapping
        What is kept beside its lot, and beside the deliveries and jars its bath names, by their
        name.
    """

    code: str
    name: str | None
    lot: str | None
    part: str | None
    session: str | None
    steps: tuple[Step, ...]
    conditions: dict[str, Any]
    measurements: tuple[tuple[str, str | None, Measurement], ...]  # state, photo's file name, it
    added: str
    # Cells typed in other units than the stored ones, by column, as they were typed.
    typed: Mapping[str, str] = field(default_factory=dict)
    days: tuple[float | None, ...] = ()  # since dyeing, for each measurement
    shown: tuple[tuple[str, str], ...] = ()  # photos of it by file name: name, what they show
    numbers: tuple[int, ...] = ()  # of each measurement among all its readings, oldest 1
    damaged: tuple[int, ...] = ()  # numbers of the readings that cannot be read
    # What is kept beside its lot, and beside the deliveries and jars its bath names, by their name.
    lot_kept: Mapping[str, Any] = field(default_factory=dict)
    dyestuff_lots_kept: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)

    @property
    def issues(self) -> tuple[str, ...]:
        """What of it could not be read, one sentence each."""
        return tuple(
            f"Reading {n} of swatch {self.code} is damaged and was left out; photograph the swatch "
            "again (swatchbath verify tells more)."
            for n in self.damaged
        )

    @property
    def has_bath(self) -> bool:
        """Whether anything is told of its fibre or its bath."""
        return bool(self.steps) or any(c in self.conditions for c in FIBRE_COLUMNS)

    @property
    def measured(self) -> Measurement | None:
        """The latest dry reading, or None."""
        dry = [m for state, _, m in self.measurements if state != "wet"]
        return dry[-1] if dry else None


def check_name(name: Any) -> str | None:
    """A swatch's name without blanks around it; BadValue where it could be taken for a colour or
    for a code."""
    if name is None:
        return None
    typed = check_text(name, "A swatch's name")
    assert typed is not None
    plain = typed.strip()
    if not plain:
        raise BadValue("The name of the swatch is empty. Give it a name, or none at all.")
    parts = [p for p in re.split(r"[,;\s]+", plain) if p]
    if len(parts) == 3 and all(re.fullmatch(r"[+-]?\d+(\.\d+)?", p) for p in parts):
        raise BadValue(
            f"The name '{plain}' reads as a colour in L*, a*, b*. Give the swatch another name."
        )
    if re.fullmatch(r"#([0-9a-fA-F]{3}|[0-9a-fA-F]{6})", plain):
        raise BadValue(
            f"The name '{plain}' reads as a screen colour. Give the swatch another name."
        )
    if is_code(plain):
        raise BadValue(
            f"The name '{plain}' reads as a swatch's code, and would be taken for another swatch. "
            "Give the swatch another name."
        )
    return plain


def check_text(value: Any, what: str) -> str | None:
    """Text or None; BadValue for anything else, and for characters that cannot be stored."""
    if value is None:
        return None
    if not isinstance(value, str):
        raise BadValue(f"{what} is {value!r}; give it as text.")
    try:
        value.encode("utf-8")
    except UnicodeEncodeError as error:
        raise BadValue(f"{what} holds a broken character; type it again.") from error
    return kept(value)


def check_fibre(fibre: Mapping[str, Any] | None) -> dict[str, Any]:
    """The columns that describe the fibre, by name, None unknown. Raises BadValue."""
    checked = dict(fibre or {})
    for name, value in checked.items():
        if name not in FIBRE_COLUMNS:
            raise BadValue(f"{name} does not describe the fibre; {', '.join(FIBRE_COLUMNS)} do.")
        if name in _FIBRE_WORDS:
            checked[name] = check_text(value, name)
        elif value is not None:
            if isinstance(value, bool) or not isinstance(value, Real):
                raise BadValue(f"{name} is {value!r}; give a number, or None where unknown.")
            checked[name] = None if isnan(value) else float(value)
            if not (isnan(value) or isfinite(value)):
                raise BadValue(f"{name} has no end; give a number, or None where unknown.")
    return checked


def _kept(value: Any) -> Any:
    """A value of JSON with its texts as they are put on record."""
    if isinstance(value, str):
        return kept(value)
    if isinstance(value, Mapping):
        return {_kept(name): _kept(item) for name, item in value.items()}
    if isinstance(value, list | tuple):
        return [_kept(item) for item in value]
    return value


def as_json(extra: Mapping[str, Any] | None) -> str:
    """Columns that are kept and not used, as JSON text. Raises BadValue."""
    try:
        text = json.dumps(_kept(dict(extra or {})), ensure_ascii=False)
        text.encode("utf-8")
    except (TypeError, ValueError) as error:
        raise BadValue(
            "What is kept beside the bath must be texts and numbers by name; one of them is not."
        ) from error
    return text
