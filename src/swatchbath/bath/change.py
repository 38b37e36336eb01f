"""A bath with some of its columns changed, and all else of its steps as it was."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from numbers import Real
from typing import Any

from ..errors import BadValue
from .step import Step
from .step_edit import with_value
from .steps import FIBRE_COLUMNS, conditions_of, steps_of


def changed(
    steps: Sequence[Step], fibre: Mapping[str, Any], changes: Mapping[str, Any]
) -> tuple[Step, ...]:
    """The steps with condition columns changed; None takes a column's value away.

    One column after the other is changed where it belongs; what no column holds (notes, further
    materials, the order) stays. Raises BadValue where a change fits no step.
    """
    wanted = {
        k: float(v) if isinstance(v, Real) else v
        for k, v in changes.items()
        if k not in FIBRE_COLUMNS
    }
    told = conditions_of(steps, {})
    left = {k: v for k, v in wanted.items() if told.get(k) != v}
    # A word comes before the amount of it, and goes after it.
    order = sorted(left, key=lambda k: (left[k] is None) == isinstance(left[k] or "", str))
    out, error = tuple(steps), None
    while order:
        stuck = []
        for name in order:
            try:
                _, out = with_value((), out, fibre, name, left[name], also=_with(name, left))
            except BadValue as found:
                stuck.append(name)
                error = error or found
        if len(stuck) == len(order):
            break
        order, error = stuck, (error if stuck else None)
    now = conditions_of(out, {})
    aim = {k: v for k, v in (told | wanted).items() if v is not None}
    if now == aim:
        return out
    # Nothing but columns tells this bath, so that it may be told anew from them.
    if tuple(steps_of(told)) == tuple(steps):
        return tuple(steps_of(aim))
    raise error or BadValue(
        "These changes do not fit the bath as it was told; tell the new bath whole."
    )


def _with(name: str, left: Mapping[str, Any]) -> dict[str, Any]:
    """How a further dyestuff went in comes with the dyestuff."""
    slot = name.removeprefix("dyestuff_")
    how = f"dye_{slot}_how"
    return {how: left[how]} if slot != name and left.get(how) is not None else {}
