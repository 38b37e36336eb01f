"""Numbers with their units in a diary line: read from a place in it, or not there.

number   = NUMBER | "one" | "two" ... | "a" | "an" | "half a"
time     = number unit [number unit | "and a half" | NUMBER] | "overnight"
heat     = [about] number ("C" | "F" | "°" | "degrees" ...)
weight   = number ("%" [of the weight of fibre] | "g" | "kg" | "oz" | "lb" | "mg")
"""

from __future__ import annotations

from collections.abc import Container
from math import isnan

from ...conditions.units import GALLON_L, OUNCE_G, POUND_G
from ...errors import BadValue
from .tokens import Cursor, value_of

_COUNTED = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
            "twelve")  # fmt: skip
ORDINALS = {"first": 1, "second": 2, "third": 3, "fourth": 4, "fifth": 5, "sixth": 6}
ABOUT = (
    "about",
    "around",
    "approx",
    "approximately",
    "ca",
    "circa",
    "roughly",
    "~",
    "≈",
    "say",
    "c",
)
MINUTES = {
    "sec": 1 / 60, "secs": 1 / 60, "second": 1 / 60, "seconds": 1 / 60,
    "min": 1, "mins": 1, "minute": 1, "minutes": 1, "m": 1, "'": 1,
    "h": 60, "hr": 60, "hrs": 60, "hour": 60, "hours": 60,
    "d": 1440, "day": 1440, "days": 1440, "week": 10080, "weeks": 10080,
    "month": 43200, "months": 43200,
}  # fmt: skip
GRAMS = {
    "g": 1, "gr": 1, "gram": 1, "grams": 1, "gm": 1, "mg": 0.001, "kg": 1000, "kilo": 1000,
    "kilos": 1000, "oz": OUNCE_G, "ounce": OUNCE_G, "ounces": OUNCE_G, "lb": POUND_G,
    "lbs": POUND_G, "pound": POUND_G, "pounds": POUND_G,
}  # fmt: skip
LITRES = {
    "l": 1, "litre": 1, "litres": 1, "liter": 1, "liters": 1, "ltr": 1, "gallon": GALLON_L,
    "gallons": GALLON_L, "gal": GALLON_L,
}  # fmt: skip
MILLILITRES = ("ml", "cc", "millilitre", "millilitres", "milliliter", "milliliters")
# What nobody can weigh.
UNWEIGHED = frozenset(
    "handful handfuls pinch pinches tsp tsps teaspoon teaspoons tbsp tbsps tablespoon tablespoons "
    "spoon spoons spoonful spoonfuls cup cups cupful splash dash glug drop drops bit little few "
    "lots plenty bunch bunches scoop scoops capful capfuls bucketful some several jarful glass "
    "bagful armful knob piece pieces".split()
)
# A night in the pot; common practice, no source.
OVERNIGHT_MINUTES = 720.0
_WOF = ("owf", "wof", "o.w.f", "w.o.f")


def number(at: Cursor) -> float | None:
    """The number here, stepped over; None where there is none. Raises BadValue for 1,500."""
    token = at.peek()
    if token.kind == "number":
        value = value_of(token.text)
        if isnan(value) and "/" in token.text:
            raise BadValue(
                f"In '{at.line}': {token.text} is no fraction; write each number with what it is "
                "of, such as alum 12 %, cream of tartar 6 %."
            )
        if isnan(value) and len(token.text.replace(",", ".").split(".")) > 2:
            raise BadValue(
                f"In '{at.line}': {token.text} is no number; a date goes into a note, such as "
                f"note: {token.text}."
            )
        if isnan(value):
            raise BadValue(
                f"In '{at.line}': {token.text} can be read in two ways; type "
                f"{token.text.replace(',', '')} or {token.text.replace(',', '.', 1)}."
            )
        at.at += 1
        return value
    if token.text in _COUNTED:
        at.at += 1
        return _COUNTED.index(token.text) + 1.0
    if at.take("quarter", "of", "an"):
        return 0.25
    if at.take("three", "quarters", "of", "an"):
        return 0.75
    if at.take("half", "an") or at.take("half", "a"):
        return 0.5
    if at.word() == "half" and at.word(1) in ("hour", "day", "lb", "pound", "kilo"):
        at.at += 1
        return 0.5
    if at.word() in ("a", "an"):
        at.at += 1
        return 1.0
    return None


def no_range(at: Cursor, units: Container[str]) -> None:
    """Refuse 60 to 70 C at the number just read: one number with another after it, then a unit."""
    ahead = 0
    if at.word() in units:
        ahead = 1
    if at.word(ahead) not in ("-", "–", "to", "or", "—"):
        return
    after = at.peek(ahead + 1)
    if at.word(ahead) == "to" and at.word(ahead + 3) in (*FIBRE_WORDS, "of"):
        return  # 1 kg to 500 g wool
    if after.kind == "number" and (at.word(ahead + 2) in units):
        raise BadValue(
            f"In '{at.line}': {at.text(at.at - 1, at.at + ahead + 3)} are two numbers; give the "
            "one it was, or its middle."
        )


def time(at: Cursor) -> float | None:
    """Minutes told here, stepped over: 1 h, 1 h 30, 1h30, two hours, an hour and a half."""
    start = at.at
    at.take_any(ABOUT)
    value = number(at)
    if value is None or at.peek(-1).text == ")":
        at.at = start
        return None
    no_range(at, MINUTES)
    if at.take("and", "a", "half") and at.word() in MINUTES:
        value += 0.5
    unit = at.word()
    if unit == "second" and at.word(1) in ("bath", "dyebath", "dip", "exhaust", "pot"):
        at.at = start
        return None
    metres = unit == "m" and not (at.glued() and at.peek(-1).kind == "number")
    if unit not in MINUTES or metres:  # 3 m of cloth
        at.at = start
        return None
    at.at += 1
    total = value * MINUTES[unit]
    if at.take("and", "a", "half"):
        total += MINUTES[unit] / 2
    elif at.peek().kind == "number":
        more, again = at.at, number(at)
        following = at.word()
        if following in ("min", "mins", "minutes", "minute", "m") and MINUTES[unit] > 1:
            at.at += 1
            total += again or 0.0
        elif MINUTES[unit] == 60 and (again or 60) < 60 and _ends(at):
            total += again or 0.0
        else:
            at.at = more
    return float(f"{total:.10g}")


def _ends(at: Cursor) -> bool:
    """Whether nothing follows that could be the unit of the number just read."""
    return at.peek().kind == "end" or at.word() in (",", ";", ")", "at", "in", "(", "then")


def heat(at: Cursor) -> float | None:
    """Degrees Celsius told here, stepped over: 80 C, 60°, 180F, 82 deg C."""
    start = at.at
    at.take_any(ABOUT)
    value = number(at) if at.peek().kind == "number" else None
    if value is None:
        at.at = start
        return None
    units = ("c", "f", "°", "degrees", "deg", "degree", "celsius", "fahrenheit", "centigrade")
    no_range(at, units)
    sign = bool(at.take_any(("°", "degrees", "degree", "deg")))
    unit = at.take_any(("c", "celsius", "centigrade", "degc", "f", "fahrenheit", "degf"))
    if unit.endswith("f") or unit == "fahrenheit":
        return round((value - 32) / 1.8, 1)
    if unit or sign:
        return value
    at.at = start
    return None


def percent(at: Cursor) -> float | None:
    """Percent told here, with what it is of, stepped over."""
    start = at.at
    ahead = at.take_any(_WOF)
    value = number(at) if at.peek().kind == "number" else None
    if value is not None:
        no_range(at, ("%", "percent"))
        if at.take_any(("%", "percent")) or (at.take("per", "cent")):
            of_weight(at)
            return value
        if ahead or at.word() in _WOF:
            at.take_any(_WOF)
            return value
    at.at = start
    return None


def of_weight(at: Cursor) -> None:
    """Step over what a percentage is of: owf, on the weight of fibre, of the dry wool."""
    if at.take_any(_WOF):
        return
    start = at.at
    if at.take_any(("of", "on", "as")):
        at.take_any(("the", "its", "dry"))
        at.take_any(("dry",))
        if at.take_any(_WOF) or at.take("weight"):
            if at.take("of"):
                at.take_any(("the",))
                at.take_any(FIBRE_WORDS)
            return
        if at.take_any(FIBRE_WORDS):
            return
    at.at = start


FIBRE_WORDS = (
    "fibre", "fiber", "fibres", "wool", "yarn", "silk", "cotton", "linen", "cloth", "fabric",
    "goods", "hemp", "fleece", "skein", "skeins", "hank", "hanks", "material", "textile", "alpaca",
    "mohair",
)  # fmt: skip


def grams(at: Cursor) -> float | None:
    """Grams told here, stepped over; not where they are grams a litre."""
    start = at.at
    at.take_any(ABOUT)
    value = number(at) if at.peek().kind == "number" or at.word(1) in GRAMS else None
    if value is not None:
        no_range(at, GRAMS)
        unit = at.take_any(tuple(GRAMS))
        if unit:
            more = at.peek().kind == "number" and at.word(1) in GRAMS and unit.startswith("lb")
            rest = grams(at) if more else None  # 2 lb 3 oz
            return float(f"{value * GRAMS[unit] + (rest or 0.0):.6g}")
    at.at = start
    return None
