"""What is told beside the model's own ideas: vats, what was never dyed, one change, dyed yarn.

`suggest` asks here once; each part has a file of its own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
import pandas as pd

from ...colorimetry.conversion import to_d65_2
from ...colorimetry.difference import delta_e2000
from ...colorimetry.measurement import Measurement
from ...conditions.table import in_a_vat
from ...errors import BadValue
from ...library import Library
from ...predict import Suggestion, Suggestions
from ...predict.search.overdye import best_layers
from ..text.parse import Target
from .directions import Directed, asked_words, changes_from, directed_target
from .dyeings import Dyeing, cautions_of, dyeings_of, expectation, nearest_first, of_layers
from .fading import fades_sentence, window_tests
from .learn import LibraryModel
from .onto import OntoAnswer, onto
from .vats import VatAnswer, vat_colour, vats_for

# An overdye that was never dyed is told only where it is expected so much nearer (CIEDE2000) than
# the model's best idea, and that is further than this from the shade: it is a guess. Our choice.
_NEARER, _FAR = 2.0, 3.0
# Of more swatches than this the nearest and those of vats are looked at; our own choice.
_ALL = 1000


NOT_BLUE = "This is no blue, so nothing is weighed for it."


@dataclass(frozen=True)
class More:
    """What `suggest` tells beside its ideas. beyond : never dyed, after the first idea. fades : for
    each idea what of it fades fast, in a sentence, or ""; weighs : whether its amounts are told."""

    vat: VatAnswer = VatAnswer()
    directed: Directed = Directed()
    onto: OntoAnswer | None = None
    beyond: tuple[dict[str, Any], ...] = ()
    fades: tuple[str, ...] = ()
    weighs: tuple[bool, ...] = ()

    def marked(self, number: int, idea: dict[str, Any]) -> dict[str, Any]:
        """Idea `number` (from 0) as plain values, with what is to be said of it here."""
        told = idea | {"fades": self.fades[number] if self.fades else ""}
        if self.weighs and not self.weighs[number]:
            told |= {"weigh": [], "far_off": idea["far_off"] or NOT_BLUE}
        return told

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "vat": self.vat.as_dict(),
            "changes": self.directed.as_dict(),
            "onto": None if self.onto is None else self.onto.as_dict(),
            "beyond": list(self.beyond),
        }


@dataclass(frozen=True)
class Asked:
    """What was asked: a shade or a swatch, steps from it by direction, dyed yarn to dye over (its
    code or name), and limits."""

    origin: Target
    steps: Mapping[str, int]
    yarn: str | None
    limits: Mapping[str, Any]

    def __post_init__(self) -> None:
        object.__setattr__(self, "steps", {d: n for d, n in self.steps.items() if n})

    @cached_property
    def target(self) -> Target:
        """The shade that is looked for: itself, or so many steps from it. Raises BadValue."""
        return directed_target(self.origin, self.steps) if self.steps else self.origin


def more_for(
    library: Library, asked: Asked, ideas: Suggestions, learnt: LibraryModel | None
) -> More:
    """Everything that is told beside ideas."""
    target, limits = asked.target, asked.limits
    if learnt is not None and learnt.measured:
        table, measured = learnt.conditions, learnt.measured
    else:
        table, read, _ = library.table()
        measured = tuple(read)
    dyeings = _dyeings(table, measured, limits, target)
    onto_yarn = None if asked.yarn is None else _onto(library, asked.yarn, dyeings, target)
    directed = Directed()
    if asked.steps and asked.origin.code is not None and learnt is not None:
        swatch = library.swatch(asked.origin.code)
        directed = changes_from(swatch, learnt.model, target, asked_words(asked.steps))
    vat = VatAnswer()
    if asked.yarn is None and "dyestuff" not in limits:
        vat = vats_for(dyeings, target.lab)
    tests = window_tests(library, table) if ideas else {}
    return More(
        vat,
        directed,
        onto_yarn,
        () if vat.ideas else _beyond(dyeings, target, ideas, limits),
        tuple(fades_sentence(i.conditions, tests) for i in ideas),
        tuple(_weighs(i, vat) for i in ideas),
    )


def _dyeings(
    table: pd.DataFrame,
    measured: Sequence[Measurement],
    limits: Mapping[str, Any],
    target: Target,
) -> list[Dyeing]:
    if table.empty:
        return []
    if len(measured) > _ALL:
        labs = np.array([m.lab for m in measured])
        near = np.zeros(len(labs), bool)
        near[np.argsort(delta_e2000(labs, target.lab), kind="stable")[:_ALL]] = True
        keep = np.flatnonzero(near | in_a_vat(table)).tolist()
        table, measured = table.iloc[keep], [measured[i] for i in keep]
    asked = limits.get("fibre", [])
    fibres = [asked] if isinstance(asked, str) else list(asked)
    return nearest_first(dyeings_of(table, measured, fibres=fibres), target.lab)


def _onto(library: Library, yarn: str, dyeings: Sequence[Dyeing], target: Target) -> OntoAnswer:
    swatch = library.swatch(yarn)
    if swatch.measured is None:
        raise BadValue(
            f"Swatch {swatch.code} has no dry reading yet, so what goes over it cannot be told; "
            "photograph it first."
        )
    fibre = swatch.conditions.get("fibre")
    alike = [d for d in dyeings if d.bath.get("fibre") == fibre] or list(dyeings)
    return replace(
        onto(alike, swatch.code, to_d65_2(swatch.measured).lab, target.lab), name=swatch.name
    )


def _weighs(idea: Suggestion, vat: VatAnswer) -> bool:
    """Whether amounts may be told: not where a blue is wanted and something else would come."""
    return vat.wanted != "blue" or vat_colour(idea.lab) == "blue"


# -- two dyeings over one another ------------------------------------------------------------------


def _beyond(
    dyeings: Sequence[Dyeing], target: Target, ideas: Suggestions, limits: Mapping[str, Any]
) -> tuple[dict[str, Any], ...]:
    """The best of her dyeings over another of hers, where none is expected so near by itself."""
    plain = [d for d in dyeings if not d.in_vat and d.bath.get("modifier") in (None, "none")]
    if not ideas or "dyestuff" in limits or len({d.dye for d in plain}) < 2:
        return ()
    nearest = ideas.nearest.delta_e2000
    if nearest < _FAR:
        return ()
    labs = np.array([d.lab for d in plain])
    base = plain[0].base
    for i, j, shade, away in best_layers(labs, labs, target.lab, base, k=200):
        one, two = plain[i], plain[j]
        if one.dye == two.dye or one.bath.get("fibre") != two.bath.get("fibre"):
            continue
        if away > nearest - _NEARER:
            return ()
        words = f"Never dyed: as {one.words()}, then {two.words()} over it."
        found = expectation(words, shade, target.lab, of_layers(shade, one, two),
                            [one.code, two.code])  # fmt: skip
        return (found | cautions_of(one.bath, two.bath),)
    return ()
