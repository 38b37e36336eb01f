"""What fades fast in light: said of each idea, and never first where a lasting one comes near."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pandas as pd

from ...bath.lasting import fading, found_lasting
from ...bath.materials import dyestuffs, given
from ...conditions.vocabulary import meaning
from ...library import Library
from ...predict import Suggestions
from ..text.parse import Target
from ..text.wording import records
from .learn import LibraryModel

# A lasting dyestuff goes before one that fades where it is expected within the tolerance, or so
# little further than the best (CIEDE2000); our own choice.
_AS_GOOD = 1.5


def window_tests(library: Library, table: pd.DataFrame) -> dict[str, bool]:
    """What her own light tests say of dyestuffs, by their meaning: True where it lasts. From what
    is kept as fastness with a swatch of one dyestuff, beside its lot or with the dyestuff's
    delivery; of several the latest, a swatch's own before those. table : the library's."""
    found: dict[str, bool] = {}
    beside = [r for r in library.kept_beside() if found_lasting(r.get("fastness")) is not None]
    for kept in beside:
        column = "lot" if kept["kind"] == "dye lot" else "dyestuff_lot"
        if column in table:
            _note(found, table[table[column] == kept["name"]], kept["fastness"])
    if "fastness" in table:
        told = table[table["fastness"].notna()]
        for i in range(len(told)):
            _note(found, told.iloc[[i]], told["fastness"].iloc[i])
    return found


def _note(found: dict[str, bool], rows: pd.DataFrame, note: Any) -> None:
    lasts = found_lasting(note)
    for row in records(rows):
        dyes = dyestuffs(row)
        if lasts is not None and len(dyes) == 1:
            found[meaning("dyestuff", str(dyes[0]))] = lasts


def fades_sentence(conditions: Mapping[str, Any], tests: Mapping[str, bool]) -> str:
    """A sentence for a bath with a dyestuff that fades fast in light; else ""."""
    dyes = fading(conditions, tests)
    if not dyes:
        return ""
    own = [d for d in dyes if meaning("dyestuff", d) in tests]
    why = "by your own test" if own else "by common practice"
    names = " and ".join(d if i else d[0].upper() + d[1:] for i, d in enumerate(dyes))
    return f"{names} fade{'s' if len(dyes) == 1 else ''} fast in light, {why}."


def lasting_first(
    library: Library, target: Target, limits: Mapping[str, Any], learnt: LibraryModel, **how: Any
) -> Suggestions:
    """The model's ideas, with one of a lasting dyestuff before those that fade, where it comes
    near. how : what else `ShadeModel.suggest` takes."""
    model = learnt.model
    ideas = model.suggest(target.value, limits=limits or None, **how)
    tests = window_tests(library, learnt.conditions)
    if not fading(ideas[0].conditions, tests):
        return ideas
    lasting = [i for i in ideas if not fading(i.conditions, tests)]
    if not lasting and "dyestuff" not in limits:
        dyes = {str(d) for d in learnt.conditions["dyestuff"].dropna()}
        stay = sorted(d for d in dyes if given(d) and not fading({"dyestuff": d}, tests))
        if stay:
            only = {**limits, "dyestuff": stay}
            more = model.suggest(target.value, limits=only, **how | {"k": 1})
            lasting = [i for i in more if not fading(i.conditions, tests)]
    if not lasting:
        return ideas
    best = min(lasting, key=lambda i: i.expected)
    if best.delta_e2000 > best.tolerance and best.expected > ideas[0].expected + _AS_GOOD:
        return ideas
    return Suggestions([best, *(i for i in ideas if i is not best)][: len(ideas)])
