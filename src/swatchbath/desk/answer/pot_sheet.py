"""What lies beside the pot: a swatch's own bath, or a suggested one, for a weight of fibre.

It carries every caution in full, whatever is on record: who reads it may be somebody else.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ...bath.cautions import cautions_for
from ...bath.procedure import as_done, procedure
from ...bath.recipe import weighed_steps
from ...bath.steps import steps_of
from ...errors import BadValue
from ...library import Library
from ..entry.fibre import typed_grams
from ..text.bath_words import bath_words
from ..text.wording import grams_words, plain
from .expected import expected_of
from .recipe import TRIAL_G, as_weighed, litres_of, pots_needed, recipe_of, typed_litres, weighed


def pot_sheet(
    library: Library, key: str, *, grams: float | str | None = None, pot: str | None = None
) -> dict[str, Any]:
    """The sheet as plain values: bath, cautions, what to weigh, each step, what to expect.

    grams : dry fibre ("1.2 kg"); 100 g unless given, or what it was done with. pot : what the pot
    holds ("20 litres"). Raises NotFound, and BadValue where no bath is on record.
    """
    swatch = library.swatch(key)
    said = library.suggestion(swatch.code)
    if not swatch.has_bath and said is None:
        raise BadValue(
            f"Nothing is told of the bath of {swatch.code} yet, so it cannot be dyed again."
        )
    suggested = said is not None and not swatch.has_bath
    conditions: Mapping[str, Any] = (
        as_weighed(said["conditions"]) if said is not None and suggested else swatch.conditions
    )
    used = tuple(said["brings_pH"]) if said is not None and suggested else ()
    steps = as_done(steps_of(conditions), used) if suggested else swatch.steps
    weight = TRIAL_G if grams is None else typed_grams(grams)
    if grams is None and not suggested and swatch.conditions.get("fibre_g"):
        weight = float(swatch.conditions["fibre_g"])
    litres = litres_of(weighed_steps(steps, weight))
    lab = None
    if suggested and said is not None:
        lab = list(said["lab"])
    elif (found := expected_of(library, swatch)) is not None:
        lab = found["lab"]
    if swatch.measured is not None:
        lab = swatch.measured.lab.tolist()
    return {
        "code": swatch.code,
        "name": swatch.name,
        "suggested": suggested,
        "grams": weight,
        "grams_words": grams_words(weight),
        "bath": bath_words({n: v for n, v in conditions.items() if n != "fibre_g"}, steps),
        "cautions": [c.sentence for c in cautions_for(plain(conditions), steps)],
        "weigh": weighed(steps, weight),
        "pots": pots_needed(litres, typed_litres(pot) if pot else None),
        "full_pot": "" if suggested else recipe_of(swatch, weight).full_pot,
        "procedure": [
            {"kind": m.kind, "words": m.words, "hers": m.hers}
            for m in procedure(steps, conditions.get("fibre"), () if suggested else swatch.steps)
        ],
        "lab": lab,
    }
