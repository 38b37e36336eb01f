"""The water and the vessel in a diary line.

water    = "rainwater" | "hard water"
vessel   = ["in" "a"] words "pot" | "in steel"
"""

from __future__ import annotations

from ...conditions.trade_words import material_of
from ...conditions.vocabulary import WORDS, meaning
from .tokens import Cursor
from .told import Told

_POTS = frozenset(
    "pot pots pan pans kettle kettles bucket buckets jar vessel cauldron crock crockpot basin tub "
    "cooker saucepan boiler urn bowl tin barrel container dyepot stockpot".split()
)
_ANY_POT = ("pot", "pots", "pan", "pans", "vessel", "container", "dyepot", "stockpot")
WATERS = {"rain": "rain", "rainwater": "rain", "soft": "soft", "hard": "hard", "tap": "tap",
          "well": "well", "distilled": "distilled", "deionised": "distilled", "spring": "spring",
          "deionized": "distilled", "demineralised": "distilled", "river": "river",
          "lake": "lake", "sea": "sea", "snow": "snow", "softened": "soft",
          "filtered": "filtered"}  # fmt: skip


def water(at: Cursor, told: Told) -> bool:
    """rainwater, hard water, in water."""
    start = at.at
    at.take_any(("in", "with"))
    kind = at.take_any(tuple(WATERS))
    if kind and (kind == "rainwater" or at.take("water")):
        told.fact("water", WATERS[kind], at.text(start))
        return True
    if not kind and at.take("water"):
        if at.take("to", "cover"):
            told.note(at.text(start))
        return True
    at.at = start
    return False


def vessel(at: Cursor, told: Told) -> bool:
    """in a copper pot, stainless steel pan, in steel."""
    start = at.at
    led = bool(at.take("in"))
    article = at.take_any(("a", "an", "the", "my", "our"))
    first = at.at
    while at.peek().kind == "word" and at.word() not in _POTS and at.at - first < 4:
        at.at += 1
    if at.peek(-1).text == "pressure" or at.word() == "pressure":
        raise told.refuse(
            "what a pressure vessel does is not known here, and such a pot can burst; dye below "
            "the boil, or keep it as note: ..."
        )
    alone = first == at.at and at.peek(-1).text in (",", ";")
    if not led and alone and at.word() in _POTS and at.word(1) in ("in", "", ",") and (
        at.peek(1).kind != "number"
    ):  # fmt: skip
        told.fact("vessel", at.take_any(tuple(_POTS)), at.text(start))  # jar in the sun
        return True
    words = at.text(first, at.at) if at.at > first else ""
    if at.word() in _POTS and (
        led or (words and _of_vessel(words) == words) or words.casefold() in _COOKERS
    ):
        noun = at.take_any(tuple(_POTS))
        if words.casefold() in ("dye", "") and noun in _ANY_POT:
            return True  # in the pot
        told.fact("vessel", _of_vessel(words) or f"{words} {noun}".strip(), at.text(start))
        if at.word() == "on" and at.word(1) in ("low", "medium", "high", "warm"):
            at.at += 2  # a cooker's switch is no heat that anyone measured
            told.note(at.text(start))
        return True
    at.at = first
    if article or at.peek().kind != "word":
        at.at = start
        return False
    for n in (2, 1):
        words = at.text(first, min(first + n, len(at.tokens) - 1))
        alone = at.peek(n).kind == "end" or at.word(n) in (",", ";")
        begun = at.peek(-1).part != at.peek().part or at.peek(-1).text in (",", ";")
        # Copper by itself may be a mordant; steel is none.
        sure = led or (begun and material_of(words) is None)
        if alone and sure and meaning("vessel", words) in WORDS["vessel"]:
            at.at = first + n
            told.fact("vessel", words, at.text(start))
            return True
    at.at = start
    return False


# Vessels that are called by what they are for.
_COOKERS = ("slow", "crock", "jam", "preserving", "canning", "stock", "soup", "rice")


def _of_vessel(words: str) -> str:
    """What a vessel is made of, in the words told: stainless steel of a big stainless steel pot."""
    told = words.split()
    for n in (2, 1):
        last = " ".join(told[-n:])
        if told and meaning("vessel", last) in WORDS["vessel"]:
            return last
    return ""
