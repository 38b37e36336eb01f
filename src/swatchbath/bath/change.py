"""A bath with some of its columns changed, and all else of its steps as it was."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import fields, replace
from typing import Any

from .step import Material, Step
from .steps import FIBRE_COLUMNS, conditions_of, steps_of


def changed(
    steps: Sequence[Step], fibre: Mapping[str, Any], changes: Mapping[str, Any]
) -> tuple[Step, ...]:
    """The steps with condition columns changed; None takes a column's value away.

    What no column holds (notes, further materials) stays where the treatments stay the same; with
    other treatments the steps are made anew from the columns.
    """
    old = {k: v for k, v in conditions_of(steps, fibre).items() if k not in FIBRE_COLUMNS}
    new = {
        k: v for k, v in (old | dict(changes)).items() if v is not None and k not in FIBRE_COLUMNS
    }
    if new == old:
        return tuple(steps)
    before, after = steps_of(old), steps_of(new)
    if [s.kind for s in before] == [s.kind for s in after]:
        kept = _carried(steps, before, after)
        if kept is not None and conditions_of(kept, {}) == new:
            return kept
    return tuple(after)


def _carried(
    steps: Sequence[Step], before: Sequence[Step], after: Sequence[Step]
) -> tuple[Step, ...] | None:
    """`steps` with what differs between two like rows of steps, or None where it has no place."""
    out = list(steps)
    taken: set[int] = set()
    for one, two in zip(before, after, strict=True):
        place = next((i for i, s in enumerate(out) if i not in taken and _tells(s, one)), None)
        if place is None:
            return None
        taken.add(place)
        if one == two:
            continue
        own = {
            f.name: getattr(two, f.name)
            for f in fields(Step)
            if f.name != "materials" and getattr(one, f.name) != getattr(two, f.name)
        }
        pairs = zip(one.materials, two.materials, strict=False)
        swaps = {_which(a): (a, b) for a, b in pairs}
        if len(one.materials) != len(two.materials):
            return None
        materials = tuple(_swapped(m, swaps) for m in out[place].materials)
        out[place] = replace(out[place], materials=materials, typed="", **own)
    return tuple(out)


def _tells(step: Step, other: Step) -> bool:
    """Whether a step is the one that a step made of columns tells of."""
    there = {_which(m) for m in step.materials}
    return step.kind == other.kind and {_which(m) for m in other.materials} <= there


def _which(material: Material) -> tuple[str, str]:
    return material.role, material.name


def _swapped(material: Material, swaps: Mapping[tuple[str, str], tuple[Any, Any]]) -> Material:
    """A material with what differs between the two that the columns tell of."""
    one, two = swaps.get(_which(material), (material, material))
    own = {
        f.name: getattr(two, f.name)
        for f in fields(Material)
        if getattr(one, f.name) != getattr(two, f.name)
    }
    return replace(material, **own)
