"""A bath on record for another weight of fibre: what to weigh for each treatment, in order.

What was told on the weight of fibre is weighed by it; what was told by the litre, to a pH or not at
all stays told so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ..conditions.trade_words import material_of, spelt
from .step import Material, Step


@dataclass(frozen=True)
class Weighed:
    """One material of a treatment: grams for the weight asked for, or None with what is told
    instead. role : what it was for."""

    what: str
    role: str
    grams: float | None
    told: str = ""
    percent: float | None = None  # of the fibre, where it was told so


@dataclass(frozen=True)
class Treatment:
    """One treatment of a recipe: the step, its materials weighed, and its litres of water (None
    where neither liquor nor litres are on record)."""

    step: Step
    amounts: tuple[Weighed, ...]
    litres: float | None


def weighed_steps(
    steps: Sequence[Step], grams: float, *, recorded_g: float | None = None
) -> list[Treatment]:
    """The treatments of a bath with what to weigh for `grams` of fibre, in order.

    recorded_g : the weight of fibre it was done with, by which litres that were told grow.
    """
    return [
        Treatment(
            step,
            tuple(_amount(m, step, grams) for m in step.materials if m.name != "none"),
            _litres(step, grams, recorded_g),
        )
        for step in steps
    ]


def fibre_for(steps: Sequence[Step], material: str, grams: float) -> float | None:
    """How many grams of fibre so much of a material is enough for; None where no amount of it
    is known in any step."""
    owf = [m.owf for step in steps for m in step.materials if m.owf and _same(m.name, material)]
    return 100 * grams / sum(owf) if owf else None


def used_in(steps: Sequence[Step], material: str) -> list[Material]:
    """Where a material stands in the steps, under any of its names."""
    return [m for step in steps for m in step.materials if _same(m.name, material)]


def _same(one: str, other: str) -> bool:
    return (material_of(one) or spelt(one)) == (material_of(other) or spelt(other))


def _amount(m: Material, step: Step, grams: float) -> Weighed:
    if m.owf:
        return Weighed(m.name, m.role, m.owf * grams / 100, percent=m.owf)
    if m.told:
        return Weighed(m.name, m.role, None, m.told)
    if step.is_vat:
        return Weighed(m.name, m.role, None, "as the vat is")
    if step.pH is not None and m.role != "dyestuff":
        return Weighed(m.name, m.role, None, f"to pH {step.pH:g}")
    return Weighed(m.name, m.role, None)


def _litres(step: Step, grams: float, recorded_g: float | None) -> float | None:
    if step.is_vat:
        return None
    if step.liquor_ratio is not None:
        return step.liquor_ratio * grams / 1000
    if step.litres is not None and recorded_g:
        return step.litres * grams / recorded_g
    return None
