"""Numbers with the trade's units, as they are typed: 190 F, 3.5 oz, 48 h, 1:30, 40 g, 20 % WOF.

Factors are exact by definition (international yard and pound agreement of 1959, from memory; the
US gallon of 231 cubic inches, from memory) unless said otherwise.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

OUNCE_G = 28.349523125
POUND_G = 453.59237
GALLON_L = 3.785411784
_NUMBER = r"[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:e[+-]?\d+)?"
_CELL = re.compile(rf"^\s*({_NUMBER})\s*(.*?)\s*$", re.IGNORECASE)
_THOUSANDS = re.compile(r"^[+-]?[1-9]\d{0,2},\d{3}$")
_RATIO = re.compile(rf"^\s*({_NUMBER})\s*:\s*({_NUMBER})\s*$")
_SEVERAL = re.compile(rf"\s*({_NUMBER})\s*([a-z]+)", re.IGNORECASE)

_MINUTES = {
    "": 1, "min": 1, "mins": 1, "minute": 1, "minutes": 1, "m": 1, "'": 1,
    "h": 60, "hr": 60, "hrs": 60, "hour": 60, "hours": 60,
    "d": 1440, "day": 1440, "days": 1440, "week": 10080, "weeks": 10080,
}  # fmt: skip
_DAYS = {
    "": 1, "d": 1, "day": 1, "days": 1, "week": 7, "weeks": 7, "month": 30, "months": 30,
    "h": 1 / 24, "hour": 1 / 24, "hours": 1 / 24,
}  # fmt: skip
_GRAMS = {
    "": 1, "g": 1, "gram": 1, "grams": 1, "gr": 1, "mg": 0.001,
    "kg": 1000, "kilo": 1000, "kilos": 1000,
    "oz": OUNCE_G, "ounce": OUNCE_G, "ounces": OUNCE_G,
    "lb": POUND_G, "lbs": POUND_G, "pound": POUND_G, "pounds": POUND_G,
}  # fmt: skip
_LITRES = {
    "l": 1, "litre": 1, "litres": 1, "liter": 1, "liters": 1, "ml": 0.001,
    "gal": GALLON_L, "gallon": GALLON_L, "gallons": GALLON_L,
}  # fmt: skip
_RATIOS = {
    "": 1, "l per kg": 1, "l/kg": 1, "litres a kg": 1, "litres per kg": 1, "l a kg": 1, "ml/g": 1,
    "gal/lb": 1000 * GALLON_L / POUND_G, "gal per lb": 1000 * GALLON_L / POUND_G,
    "gallons per pound": 1000 * GALLON_L / POUND_G,
}  # fmt: skip
_OWF = ("", "%", "% owf", "% wof", "owf", "wof", "percent", "%owf", "%wof", "% o.w.f.", "% w.o.f.")
_CELSIUS = ("", "c", "°c", "celsius", "degrees c", "deg c", "degrees")
_FAHRENHEIT = ("f", "°f", "fahrenheit", "degrees f", "deg f")


@dataclass(frozen=True)
class TypedNumber:
    """value in the stored unit (NaN: not to be had without the fibre's weight, see `needs`), and
    the text as typed where it was not the plain number; `needs` says what is missing."""

    value: float
    typed: str | None = None
    needs: str = ""


class TwoWays(ValueError):
    """A number that can be read in two ways, 1,500; holds both."""

    def __init__(self, whole: str, part: str) -> None:
        super().__init__(f"{whole}{part} or {whole}.{part}")


@lru_cache(maxsize=8192)
def parse_with_unit(text: str, unit: str, fibre_g: float = math.nan) -> TypedNumber | None:
    """A cell's number in a column's unit, or None where it is no such number.

    unit : the column's ("°C", "g", "% owf", "min", "d", "L per kg", ""). fibre_g : the dry weight
    of the fibre, for amounts typed in grams and liquor typed in litres; NaN unknown.
    Raises TwoWays for 1,500.

    >>> parse_with_unit("190 F", "°C").value
    87.8
    >>> parse_with_unit("40 g", "% owf", fibre_g=50).value
    80.0
    """
    text = " ".join(text.split())
    found = _CELL.match(text)
    ratio = _RATIO.match(text)
    if unit == "L per kg" and ratio:
        one, other = _plain(ratio[1]), _plain(ratio[2])
        low, high = sorted((one, other))
        return TypedNumber(high, text) if low == 1 else None
    if not found:
        return None
    number, unit_typed = _plain(found[1]), found[2].casefold()
    # What is after the number, without a full stop that ends an abbreviation.
    unit_typed = unit_typed.removesuffix(".") if unit_typed not in _OWF else unit_typed
    value, needs = _converted(number, unit_typed, unit, fibre_g, text)
    if value is None:
        return None
    if needs:
        return TypedNumber(math.nan, text, needs)
    return TypedNumber(value, None if _is_plain(text) else text)


def _converted(
    number: float, unit_typed: str, unit: str, fibre_g: float, text: str
) -> tuple[float | None, str]:
    if unit == "°C":
        if unit_typed in _FAHRENHEIT:
            return round((number - 32) / 1.8, 1), ""
        return (number, "") if unit_typed in _CELSIUS else (None, "")
    if unit == "g":
        return (_rounded(number * _GRAMS[unit_typed]), "") if unit_typed in _GRAMS else (None, "")
    if unit == "min":
        return _times(number, unit_typed, text, _MINUTES), ""
    if unit == "d":
        return _times(number, unit_typed, text, _DAYS), ""
    if unit == "% owf":
        if unit_typed in _OWF:
            return number, ""
        return _share(number, unit_typed, _GRAMS, 100.0, fibre_g)
    if unit == "L per kg":
        if unit_typed in _RATIOS:
            return _rounded(number * _RATIOS[unit_typed]), ""
        return _share(number, unit_typed, _LITRES, 1000.0, fibre_g)
    return (number, "") if unit_typed in ("", unit.casefold()) else (None, "")


def _share(
    number: float, unit_typed: str, factors: Mapping[str, float], times: float, fibre_g: float
) -> tuple[float | None, str]:
    if unit_typed not in factors or unit_typed == "":
        return None, ""
    if math.isnan(fibre_g):
        return math.nan, "the dry weight of the fibre"
    return _rounded(number * factors[unit_typed] * times / fibre_g), ""


def _times(number: float, unit_typed: str, text: str, factors: Mapping[str, float]) -> float | None:
    if unit_typed in factors:
        return _rounded(number * factors[unit_typed])
    parts = _SEVERAL.findall(text)  # 1 h 30 min, 1h30
    whole = "".join("".join(p) for p in parts).replace(" ", "")
    rest = text.replace(" ", "")[len(whole) :]
    if not parts or any(p[1].casefold() not in factors for p in parts):
        return None
    if rest and not (rest.isdigit() and parts[-1][1].casefold().startswith("h")):
        return None
    total = sum(_plain(n) * factors[u.casefold()] for n, u in parts)
    return _rounded(total + (float(rest) * factors.get("min", 0.0) if rest else 0.0))


def _plain(text: str) -> float:
    if _THOUSANDS.match(text):
        raise TwoWays(*text.split(","))
    return float(text.replace(",", "."))


def _rounded(value: float) -> float:
    """Without the tail that a factor leaves: six figures are more than any scale gives."""
    return float(f"{value:.6g}")


def _is_plain(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True
