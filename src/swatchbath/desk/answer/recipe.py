"""Her own recipe for another weight of fibre, and how far what is left of a material goes."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ...bath.recipe import Treatment, fibre_for, used_in, weighed_steps
from ...bath.step import Step
from ...bath.steps import steps_of
from ...errors import BadValue
from ...library import Swatch
from ..entry.fibre import typed_grams
from ..text.bath_words import bath_words
from ..text.shown import step_as_dict
from ..text.wording import fibre_words, grams_words, litres_words, plain

# A pot is far larger than what is on record from so many times it; a trial of 100 g tells.
# Common practice, no source.
FAR_LARGER, TRIAL_G = 5.0, 100.0
_LEFT = re.compile(r"^(?P<what>\D.*?)[\s:,]+(?P<grams>\d.*)$")


@dataclass(frozen=True)
class OwnRecipe:
    """A swatch's bath for another weight: its treatments in words and figures.

    words : one line for each treatment. recorded_g : the weight it was done with, if known.
    """

    grams: float
    fibre: str
    treatments: tuple[Treatment, ...]
    words: tuple[str, ...]
    recorded_g: float | None

    @property
    def full_pot(self) -> str:
        """What to do first where the pot is far larger than it was; else ""."""
        was = self.recorded_g
        if self.grams <= TRIAL_G or (was is not None and self.grams < FAR_LARGER * was):
            return ""
        small = (
            f"It was done with {grams_words(was)} of fibre"
            if was
            else "How much fibre it was done with is not on record"
        )
        return (
            f"{small}: a pot of {grams_words(self.grams)} may come out otherwise. Dye "
            f"{grams_words(TRIAL_G)} first and compare."
        )

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "grams": self.grams,
            "grams_words": grams_words(self.grams),
            "fibre": self.fibre,
            "full_pot": self.full_pot,
            "treatments": [
                {
                    "bath": line,
                    "step": step_as_dict(t.step),
                    "amounts": [
                        {"what": a.what, "role": a.role, "grams": a.grams, "told": a.told}
                        for a in t.amounts
                    ],
                    "litres": t.litres,
                    "weigh": weigh_lines(t),
                }
                for t, line in zip(self.treatments, self.words, strict=True)
            ],
        }


def recipe_of(swatch: Swatch, grams: float | str) -> OwnRecipe:
    """A swatch's own bath, weighed for so much fibre. Raises BadValue."""
    if not swatch.steps:
        raise BadValue(
            f"Nothing is told of the bath of {swatch.code} yet, so there is nothing to weigh. Tell "
            f"of it first: swatchbath pot --codes {swatch.code}."
        )
    conditions = plain(swatch.conditions)
    weight = typed_grams(grams)
    own_g, pot_g = (conditions.pop(n, None) for n in ("fibre_g", "pot_g"))
    recorded = pot_g or own_g
    # The words of each treatment by itself; of one that there was none of there are none.
    told = [(step, bath_words(conditions, [step])[-1]) for step in swatch.steps]
    told = [(step, line) for step, line in told if not line.startswith("Take ")]
    return OwnRecipe(
        weight,
        fibre_words(conditions) or "fibre",
        tuple(weighed_steps([step for step, _ in told], weight, recorded_g=recorded)),
        tuple(line for _, line in told),
        recorded,
    )


def left_of(swatch: Swatch, items: Iterable[str]) -> list[dict[str, Any]]:
    """How much fibre what is left of a material dyes, typed as "madder 300 g". Raises BadValue."""
    return [_left(swatch, item) for item in items]


def _left(swatch: Swatch, item: str) -> dict[str, Any]:
    found = _LEFT.match(item.strip())
    if not found:
        raise BadValue(
            f"'{item}' is not what is left. Write a material and its weight: madder 300 g."
        )
    what, grams = found["what"].strip(), typed_grams(found["grams"])
    there = used_in(swatch.steps, what)
    if not there:
        held = ", ".join(dict.fromkeys(m.name for s in swatch.steps for m in s.materials))
        raise BadValue(
            f"There was no {what} in the baths of {swatch.code}. In them: {held or 'nothing told'}."
        )
    fibre_g = fibre_for(swatch.steps, what, grams)
    if fibre_g is None:
        raise BadValue(
            f"How much {there[0].name} went on a weight of fibre is not on record for "
            f"{swatch.code}, so how far it goes cannot be told; edit puts it right."
        )
    does = "dyes" if any(m.role == "dyestuff" for m in there) else "is enough for"
    fibre = f"{grams_words(fibre_g)} of {fibre_words(plain(swatch.conditions)) or 'fibre'}"
    return {
        "what": there[0].name,
        "grams": grams,
        "fibre_g": fibre_g,
        "words": f"{grams_words(grams)} of {there[0].name} {does} {fibre} as this was.",
    }


def weigh_lines(treatment: Treatment) -> list[str]:
    """What to weigh for a treatment and how much water, one line each."""
    lines = []
    for a in treatment.amounts:
        if a.grams is not None:
            lines.append(f"{a.what}: {grams_words(a.grams)}")
        elif a.told.startswith("to pH"):
            lines.append(f"{a.what}: {a.told}; add it little by little and read the pH")
        elif a.told == "as the vat is":
            lines.append(f"{a.what}: nothing to weigh; it is in the vat")
        elif a.told:
            by_water = "; it goes by the water and not by the weight of fibre"
            lines.append(f"{a.what}: {a.told}, as it was told{by_water if '/' in a.told else ''}")
        else:
            lines.append(f"{a.what}: its amount is not on record")
    if treatment.litres is not None:
        lines.append(f"water: {litres_words(treatment.litres)}")
    return lines


def weighed(steps: Sequence[Step] | Mapping[str, Any], grams: float) -> list[str]:
    """What to weigh for so many grams of fibre, in the order it is done: one line each, and the
    water of the dye bath. steps : or the condition columns of an idea."""
    told = steps_of(steps) if isinstance(steps, Mapping) else steps
    treatments = weighed_steps(told, grams)
    lines = [
        f"{a.what}: {grams_words(a.grams)}"
        for t in treatments
        for a in t.amounts
        if a.grams is not None
    ]
    litres = next((t.litres for t in treatments if t.litres is not None), None)
    return lines + ([] if litres is None else [f"water: {litres_words(litres)}"])
