"""The treatments of a row of a table, where lines of a diary tell of some and columns of others."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from ...bath.change import changed
from ...bath.step import Step
from ...bath.steps import FIBRE_COLUMNS, conditions_of, steps_of

# In which order treatments come that columns tell of.
_ORDER = {"scour": 0, "mordant": 2, "dye": 3, "after-bath": 4, "rinse": 5, "wash": 5, "dry": 6}
_TANNIN = 1


def steps_told(
    told: Sequence[Step], words: Mapping[str, Mapping[str, str]], bath: Mapping[str, Any]
) -> tuple[Step, ...]:
    """The treatments of a row of which lines tell, or words of heat and time, and columns besides.

    The lines stay as they are; treatments that only columns tell of are put before or after them.
    Raises BadValue where they do not make one bath.
    """
    kinds = {s.kind for s in told}
    whole = in_order(told, [s for s in steps_of(bath) if s.kind not in kinds])
    own = {k: v for k, v in bath.items() if k not in FIBRE_COLUMNS}
    old = conditions_of(whole, {})
    differs = {k: own.get(k) for k in old | own if own.get(k) != old.get(k)}
    steps = list(changed(whole, {}, differs))
    for kind, said in words.items():
        role = "dyestuff" if kind == "dye" else "mordant"
        for i, step in enumerate(steps):
            held = any(m.role == role for m in step.materials)
            if step.kind == kind and held and not step.is_vat:
                heat, time = said.get("heat", step.heat), said.get("duration", step.duration)
                steps[i] = replace(step, heat=heat, duration=time)
                break
    return tuple(steps)


def in_order(lines: Sequence[Step], others: Sequence[Step]) -> tuple[Step, ...]:
    """Treatments that columns tell of before or after the lines, which stay in their order."""
    others = sorted(others, key=_place)
    if not lines:
        return tuple(others)
    before = [s for s in others if _place(s) < _ORDER["dye"]]
    return (*before, *lines, *(s for s in others if _place(s) >= _ORDER["dye"]))


def _place(step: Step) -> int:
    tannin = bool(step.materials) and step.materials[0].role == "tannin"
    return _TANNIN if tannin else _ORDER.get(step.kind, _ORDER["dye"])
