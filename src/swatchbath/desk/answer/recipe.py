"""Her own recipe for another weight of fibre, and how far what is left of a material goes."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ...bath.care import is_dangerous
from ...bath.measuring import dissolves, in_kitchen
from ...bath.procedure import HOW_TO_PH
from ...bath.recipe import Treatment, Weighed, fibre_for, used_in, weighed_steps
from ...bath.step import KINDS, Step
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
# Percents are said whole from so much on, as a dyer weighs; a pot is filled to so much of what it
# holds, so that fibre can be turned in it. Common practice, no source.
_WHOLE_FROM, _FILLED = 5.0, 0.85
COUNTS = {2: "two", 3: "three", 4: "four", 5: "five", 6: "six"}
_LITRES = re.compile(r"(\d+(?:[.,]\d+)?)[ -]?(?:l|litres?|liters?)\b", re.I)
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
            f"Nothing is told of the bath of {swatch.code} yet, so there is nothing to weigh. "
            f"Record it first: swatchbath pot --codes {swatch.code}."
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
    lines = [f"{a.what}: {_amount_words(a)}" for a in treatment.amounts]
    if treatment.litres is not None:
        lines.append(f"water: {litres_words(treatment.litres)}")
    pots = pots_needed(treatment.litres, holds_of(treatment.step.vessel))
    return [*lines, pots] if pots else lines


def _amount_words(a: Weighed, stock: Collection[str] = ()) -> str:
    if a.grams is not None:
        return measured_words(a, stock)
    if a.told.startswith("to pH"):
        return f"{a.told}, {HOW_TO_PH}"
    if a.told == "as the vat is":
        return "nothing to weigh; it is in the vat"
    if a.told:
        by_water = "; it goes by the water and not by the weight of fibre"
        return f"{a.told}, as you typed it{by_water if '/' in a.told else ''}"
    return "its amount is not on record"


def measured_words(a: Weighed, stock: Collection[str] = ()) -> str:
    """An amount as it is measured in a kitchen: whole grams, or a stock where those are too coarse.

    stock : names of what she measures as a stock.
    """
    grams = a.grams or 0.0
    way = in_kitchen(
        grams, as_stock=dissolves(a.role, a.what), always_stock=a.what.casefold() in stock
    )
    if way is not None and way.stock:
        return way.how
    return grams_words(grams if way is None else way.grams)


def weighed(
    steps: Sequence[Step] | Mapping[str, Any], grams: float, stock: Collection[str] = ()
) -> list[str]:
    """What to weigh for so many grams of fibre, in the order it is done: one line each, and the
    water of the dye bath. steps : or the condition columns of an idea. stock : names of what she
    measures as a stock."""
    told = steps_of(steps) if isinstance(steps, Mapping) else steps
    treatments = weighed_steps(told, grams)
    added = [
        (t.step.kind, a)
        for t in treatments
        for a in t.amounts
        if a.grams is not None or a.told.startswith("to pH")
    ]
    times = Counter(a.what for _, a in added)
    lines = [
        f"{_with_percent(a)}{_KIND[kind] if times[a.what] > 1 else ''}: {_amount_words(a, stock)}"
        for kind, a in added
    ]
    by_pH = [i for i, line in enumerate(lines) if line.endswith(HOW_TO_PH)]
    for i in by_pH[1:]:
        lines[i] = lines[i].replace(HOW_TO_PH, "in the same way")
    litres = litres_of(treatments)
    return lines + ([] if litres is None else [f"water: {litres_words(litres)}"])


# Where the same thing goes into two treatments, which of them each line is of.
_KIND = {k: f" in the {k}{'' if k == 'after-bath' else ' bath'}" for k in KINDS}


def _with_percent(a: Weighed) -> str:
    """What is weighed; of what is dangerous its percentage stands here, after the cautions."""
    percent = "" if a.percent is None or not is_dangerous(a.what) else f" {a.percent:g} %"
    return f"{a.what}{percent}"


def litres_of(treatments: Iterable[Treatment]) -> float | None:
    """The water of the first bath whose water is known."""
    return next((t.litres for t in treatments if t.litres is not None), None)


def as_weighed(conditions: Mapping[str, Any]) -> dict[str, Any]:
    """A bath with its percents as a dyer says them: whole from 5 up, else to a tenth."""
    out = dict(conditions)
    for name, value in conditions.items():
        if "_owf" in name and isinstance(value, int | float) and value >= _WHOLE_FROM:
            out[name] = float(round(value))
        elif "_owf" in name and isinstance(value, int | float):
            out[name] = round(value, 1) or value
    return out


def pots_needed(litres: float | None, holds: float | None) -> str:
    """What to say where a pot of so many litres does not hold a bath of so many; else ""."""
    if litres is None or holds is None or litres <= holds * _FILLED:
        return ""
    pots = math.ceil(litres / (holds * _FILLED))
    both = "both" if pots == 2 else "all"
    return (
        f"A pot of {litres_words(holds)} does not hold {litres_words(litres)} and the fibre: dye "
        f"in {COUNTS.get(pots, pots)} pots of {litres_words(litres / pots)} each. These are then "
        f"{COUNTS.get(pots, pots)} lots; mix skeins of {both}."
    )


def holds_of(vessel: Any) -> float | None:
    """The litres in the name of a pot, such as "steel, 20 litres"; None where it names none."""
    found = _LITRES.search(str(vessel or ""))
    return float(found[1].replace(",", ".")) if found else None


def typed_litres(text: str) -> float:
    """What a pot holds as typed, "12 litres" or "12"; BadValue."""
    found = _LITRES.fullmatch(text.strip()) or re.fullmatch(r"(\d+(?:[.,]\d+)?)", text.strip())
    litres = float(found[1].replace(",", ".")) if found else 0.0
    if not 0 < litres < 1e4:
        raise BadValue(f"'{text}' is not what a pot holds. Give it in litres, such as 12 litres.")
    return litres
