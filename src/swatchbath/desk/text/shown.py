"""Steps as plain values for JSON: one shape in every answer."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

from ...bath.diary.telling import line_of
from ...bath.step import Step


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
