"""The amount of a material in a diary line, and the weight of the fibre beside it.

amount   = percent | weight ["on" weight "wool"] | number "g/l" | number "ml" ["of" percent]
         | "1:1" | "equal weight" | "twice the weight of the fibre"
"""

from __future__ import annotations

from .quantities import (
    FIBRE_WORDS,
    GRAMS,
    LITRES,
    MILLILITRES,
    grams,
    number,
    of_weight,
    percent,
)  # fmt: skip
from .tokens import Cursor
from .told import Named, Told
from .vessels import WATERS

# How a dyestuff may come; the first five are the table's words.
FORMS = {
    "dried": "dried", "dry": "dried", "fresh": "fresh", "powder": "powder", "powdered": "powder",
    "ground": "powder", "extract": "extract", "liquor": "liquor", "frozen": "frozen",
    "chopped": "chopped", "shredded": "shredded", "crushed": "crushed", "whole": "whole",
    "fermented": "fermented",
}  # fmt: skip


def unweighed(at: Cursor) -> str:
    """What to ask where an amount is told that no scale shows: a handful, 2 tsp."""
    words = at.part_text(at.peek().part).split(": ", 1)[-1]
    return (
        f"'{words}' cannot be weighed. Give its weight, or leave the amount out where a pH tells "
        "enough."
    )


def read_amount(at: Cursor, into: Named, told: Told) -> bool:
    """Read one amount into a name; False where none stands here."""
    if _share(at, into, told):
        return True
    value = percent(at)
    if value is not None:
        if at.take_any(("stock", "solution")):
            at.take_any(("stock", "solution"))
            into.strength = value
            start = at.at
            at.take_any((",",))
            if at.peek().kind == "number" and at.word(1) in MILLILITRES:
                into.ml = number(at)
                at.at += 1
                return True
            at.at = start
            raise told.refuse("how much of the solution? Write 40 ml of 1 %.")
        into.percent = value
        return True
    start = at.at
    if at.peek().kind == "number" and at.word(1) in GRAMS:
        first = at.at
        weight = number(at) or 0.0
        unit = at.take_any(tuple(GRAMS))
        if (at.take("/") or at.take("per") or at.take("a")) and at.take_any(tuple(LITRES)):
            into.grams_litre = weight * GRAMS[unit]
            return True
        at.at = first
    into.grams = grams(at)
    if into.grams is not None:
        on_fibre(at, told)
        return True
    if at.peek().kind == "number" and at.word(1) in MILLILITRES:
        into.ml = number(at)
        at.at += 1
        if at.take("/", "l") or at.take("per", "litre") or at.take("a", "litre"):
            into.ml = None
            return True
        back = at.at
        at.take("of")
        at.take_any(("a", "an"))
        into.strength = percent(at)
        if into.strength is None:
            at.at = back
        else:
            at.take_any(("stock", "solution"))
            at.take_any(("stock", "solution"))
        return True
    if at.peek().kind == "number" and at.word(1) in LITRES and at.word(2) == "of" and (
        at.word(3) not in ("water", *WATERS)
    ):  # fmt: skip
        into.ml = (number(at) or 0.0) * 1000 * LITRES[at.word()]
        at.at += 1
        return True
    at.at = start
    return False


def _share(at: Cursor, into: Named, told: Told) -> bool:
    """1:1, equal weight, twice the weight of the fibre, half its weight, weight for weight."""
    start = at.at
    if at.take("weight", "for", "weight"):
        into.percent = 100.0
        return True
    if at.take_any(("equal", "same")):
        times = 1.0
    elif at.take("half"):
        times = 0.5
    elif at.take("twice") or at.take("double"):
        times = 2.0
    elif at.word(1) == "times":
        times = number(at) or 0.0
        at.take("times")
    elif at.peek().kind == "number" and at.word(1) == ":" and at.peek(2).kind == "number":
        one = number(at) or 0.0
        at.at += 1
        other = number(at) or 0.0
        # Five times the weight is the most that is told so; a thinner one is a liquor.
        if other == 1 and 0 < one <= 5:
            into.percent = 100.0 * one
            form = at.word() if at.word(1) == "weight" else ""
            if form in FORMS:
                into.form = FORMS[form]
                at.at += 2
            if not at.take("by", "weight") and not at.take("weight", "for", "weight"):
                of_weight(at)
            return True
        if one == 1 and 1 < other <= 5:
            raise told.refuse(
                f"1:{other:g} is plant to fibre, or fibre to water? Write {100 / other:g} % or "
                f"liquor 1:{other:g}."
            )
        at.at = start
        return False
    else:
        return False
    at.take_any(("the", "its", "their"))
    at.take_any(("dry",))
    if not at.take_any(("weight", "weights")):
        at.at = start
        return False
    of_weight(at)
    into.percent = 100.0 * times
    return True


def on_fibre(at: Cursor, told: Told) -> bool:
    """Read on 100 g wool, per 100 g: the weight of the fibre, told beside."""
    start = at.at
    by = at.take_any(("on", "for", "per", "to", "/"))
    if by and not (by == "/" and at.peek().kind == "number"):
        at.take_any(("every", "each", "the"))
        weight = grams(at)
        if weight is None and at.word() in GRAMS:
            weight = GRAMS[at.take_any(tuple(GRAMS))]  # 4 oz per lb
        if weight:
            at.take("of")
            at.take_any(("the", "dry"))
            at.take_any(FIBRE_WORDS)
            told_fibre(told, weight, at.text(start), whole=False)
            return True
    at.at = start
    return False


def told_fibre(told: Told, weight: float, said: str, *, whole: bool = True) -> None:
    """Keep the weight of the fibre as a line tells it; refuse another one. whole : what lies in
    the pot, and not the weight that an amount is for, which may be told with each amount."""
    if told.fibre_g is not None and abs(told.fibre_g - weight) > 0.01 * weight:
        raise told.refuse(
            f"'{said}' and a fibre of {told.fibre_g:g} g are told; say which is the dry weight."
        )
    if told.fibre_told and whole:
        raise told.refuse(
            f"'{said}' is the second weight of fibre in it; give the dry weight of all together."
        )
    told.fibre_g, told.fibre_told = weight, whole


def fibre(at: Cursor, told: Told) -> bool:
    """Read 100 g wool: the fibre in the pot with its weight."""
    start = at.at
    weight = grams(at)
    if weight is not None:
        at.take("of")
        at.take_any(("the", "dry"))
        if at.take_any(FIBRE_WORDS):
            told_fibre(told, weight, at.text(start))
            return True
    at.at = start
    return False
