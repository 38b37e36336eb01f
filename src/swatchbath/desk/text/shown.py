"""Steps and colours as plain values for JSON: one shape in every answer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import fields
from typing import Any

import numpy as np

from ...bath.diary.telling import line_of
from ...bath.step import Step
from ...bath.steps import steps_of
from ...colorimetry.covariance import give_or_take
from ...colorimetry.measurement import Measurement
from .wording import plain


def step_as_dict(step: Step) -> dict[str, Any]:
    """A step: its kind, the line that tells it, its materials, and what else is known of it.

    What is not known is left out, so that null never stands for it.
    """
    out: dict[str, Any] = {"kind": step.kind, "told": line_of(step)}
    out["materials"] = [
        {
            f.name: getattr(m, f.name)
            for f in fields(m)
            if getattr(m, f.name) is not None and f.name != "how_known"
        }
        for m in step.materials
    ]
    for f in fields(step):
        value = getattr(step, f.name)
        if f.name not in ("kind", "materials", "typed") and value not in (None, ""):
            out[f.name] = value
    return out


def steps_as_dicts(steps: Sequence[Step] | Mapping[str, Any]) -> list[dict[str, Any]]:
    """Steps, or those that the columns of a bath tell of."""
    told = steps_of(plain(steps)) if isinstance(steps, Mapping) else steps
    return [step_as_dict(step) for step in told]


def colour_as_dict(colour: Any) -> dict[str, Any]:
    """A colour with its doubt: `lab`, `give_or_take` (CIEDE2000, two in three lie within) and
    `covariance`. colour : a Measurement, an exact Lab (3,), or None for one that is not known."""
    if colour is None:
        return {"lab": None, "give_or_take": None, "covariance": None}
    if not isinstance(colour, Measurement):
        lab = np.asarray(colour, dtype=float)
        return {"lab": lab.tolist(), "give_or_take": 0.0, "covariance": np.zeros((3, 3)).tolist()}
    return {
        "lab": colour.lab.tolist(),
        "give_or_take": give_or_take(colour.lab, colour.covariance, colour.degrees),
        "covariance": colour.covariance.tolist(),
    }
