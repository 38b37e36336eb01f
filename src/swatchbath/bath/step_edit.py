"""One fact of a bath changed in its steps, with all that no column tells left where it is.

The rule that makes columns of steps (`bath.steps`) is the only judge: the smallest change of the
steps is taken after which they tell the new value, and every other column as before.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import fields, replace
from functools import partial
from typing import Any

from ..errors import BadValue
from .step import KINDS, Step
from .steps import conditions_of, steps_of

Steps = tuple[Step, ...]
# Told by nobody's column, or not a fact of the bath.
_NEVER = ("kind", "materials", "role", "note", "typed", "heat", "duration", "litres", "told")
# What was told in other words goes with the number that it told.
_IN_WORDS = {"temperature_C": "heat", "minutes": "duration", "liquor_ratio": "litres"}
_AFTER_THE_POT = ("modifier", "wash")


def with_value(
    lot: Steps,
    own: Steps,
    fibre: Mapping[str, Any],
    name: str,
    value: Any,
    *,
    also: Mapping[str, Any] | None = None,
    alone: bool = False,
) -> tuple[Steps, Steps]:
    """The steps of a pot and those of a swatch alone, after the column `name` is set to `value`.

    value : None for unknown. also : columns that come with it and with nothing else, such as how
    a second dyestuff went in. alone : leave the pot's steps as they are.
    Raises BadValue where no single change of the steps tells this and nothing else.
    """
    wanted = conditions_of([*lot, *own], fibre)
    if value is None:
        wanted.pop(name, None)
    else:
        wanted |= {name: value} | dict(also or {})

    def fits(pot: Steps, part: Steps) -> bool:
        return conditions_of([*pot, *part], fibre) == wanted

    if fits(lot, own):
        return lot, own
    for search in (_in_place, _put_in, _taken_out):
        ours = ((lot, part) for part in search(own, value, wanted))
        pots = () if alone else ((pot, own) for pot in search(lot, value, wanted))
        # What comes after the pot belongs to the swatch; all else to the pot, where it has steps.
        first_own = alone or not lot or name.startswith(_AFTER_THE_POT)
        for pairs in (ours, pots) if first_own else (pots, ours):
            for pot, part in pairs:
                if fits(pot, part):
                    return pot, part
    again = tuple(steps_of(wanted))
    before = tuple(steps_of(conditions_of(own, fibre)))
    if not lot and fits((), again) and _bare(own) == before:
        return lot, _notes_kept(own, again)
    raise BadValue(
        f"{name} cannot be {'emptied' if value is None else f'set to {_said(value)}'}: it does not "
        "fit the other facts of this bath. Name what it belongs to together with it, such as the "
        "mordant with its amount."
    )


def _in_place(steps: Steps, value: Any, wanted: Mapping[str, Any]) -> Iterator[Steps]:
    for i in reversed(range(len(steps))):
        for changed in (*_fields_set(steps[i], value), *_materials_set(steps[i], value)):
            yield (*steps[:i], _retyped(changed), *steps[i + 1 :])


def _put_in(steps: Steps, value: Any, wanted: Mapping[str, Any]) -> Iterator[Steps]:
    if value is None:
        return
    fresh = steps_of(wanted)
    # What stands alone in a plain telling is a step of its own, unless one waits for it.
    yield from _beside(steps, fresh, lambda held, new: not held or len(new) > 1)
    for new in fresh:
        if new not in steps:
            for i in sorted(range(len(steps) + 1), key=partial(_disorder, steps, new)):
                yield (*steps[:i], new, *steps[i:])
    yield from _beside(steps, fresh, lambda held, new: True)


def _beside(
    steps: Steps, fresh: Sequence[Step], may: Callable[[Sequence[Any], Sequence[Any]], bool]
) -> Iterator[Steps]:
    """The steps with a material of a plain telling put into one of the like kind."""
    for new in fresh:
        for i, step in enumerate(steps):
            if step.kind != new.kind or not may(step.materials, new.materials):
                continue
            for material in new.materials:
                if material not in step.materials:
                    for more in _made(step, materials=(*step.materials, material)):
                        yield (*steps[:i], _retyped(more), *steps[i + 1 :])


def _taken_out(steps: Steps, value: Any, wanted: Mapping[str, Any]) -> Iterator[Steps]:
    if value is not None:
        return
    for i in reversed(range(len(steps))):
        held = steps[i].materials
        for j in reversed(range(len(held))):
            for left in _made(steps[i], materials=held[:j] + held[j + 1 :]):
                if left.kind != "dye" and _is_empty(left):
                    yield (*steps[:i], *steps[i + 1 :])
                yield (*steps[:i], _retyped(left), *steps[i + 1 :])
        if _is_empty(replace(steps[i], pH=None, minutes=None)):
            yield (*steps[:i], *steps[i + 1 :])


def _fields_set(step: Step, value: Any) -> Iterator[Step]:
    for f in fields(step):
        if f.name not in _NEVER and getattr(step, f.name) != value:
            words = {_IN_WORDS[f.name]: None} if f.name in _IN_WORDS else {}
            for changed in _made(step, **{f.name: value}, **words):
                # An after-bath of which nothing is told any more is none.
                if not _is_empty(changed) or changed.kind == "dye":
                    yield changed


def _materials_set(step: Step, value: Any) -> Iterator[Step]:
    for j, material in enumerate(step.materials):
        for f in fields(material):
            new = value
            if f.name == "how_known":
                new = value is not None
            if f.name in _NEVER or getattr(material, f.name) == new:
                continue
            try:
                words: dict[str, Any] = {"told": None} if f.name == "owf" else {}
                changed = replace(material, **{f.name: new}, **words)
            except BadValue:
                continue
            held = step.materials
            yield from _made(step, materials=(*held[:j], changed, *held[j + 1 :]))


def _made(step: Step, **changes: Any) -> list[Step]:
    """The step so changed, or nothing where it could not be a step."""
    try:
        return [replace(step, **changes)]
    except BadValue:
        return []


def _retyped(step: Step) -> Step:
    """A line as it was typed no longer tells of a step that was changed."""
    return replace(step, typed="")


def _is_empty(step: Step) -> bool:
    return all(getattr(step, f.name) in (None, "", ()) for f in fields(step) if f.name != "kind")


def _disorder(steps: Steps, new: Step, place: int) -> tuple[int, int]:
    """How many steps would stand on the wrong side of a new one; later places first."""
    order = KINDS.index(new.kind)
    before = sum(KINDS.index(s.kind) > order for s in steps[:place])
    after = sum(KINDS.index(s.kind) < order for s in steps[place:])
    return before + after, -place


def _bare(steps: Sequence[Step]) -> Steps:
    return tuple(replace(step, note="", typed="") for step in steps)


def _notes_kept(old: Steps, new: Steps) -> Steps:
    """The new steps with the notes of the old ones, each at the like step, else at the last."""
    out = list(new)
    for place, step in enumerate(old):
        if not step.note:
            continue
        nth = sum(s.kind == step.kind for s in old[:place])
        like = [i for i, s in enumerate(out) if s.kind == step.kind]
        i = like[min(nth, len(like) - 1)] if like else len(out) - 1
        out[i] = replace(out[i], note="; ".join(n for n in (out[i].note, step.note) if n))
    return tuple(out)


def _said(value: Any) -> str:
    return f"{value:g}" if isinstance(value, float) else f"'{value}'"
