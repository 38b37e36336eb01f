"""What a dyer calls a column and what stands in it, for sentences: no column's own name is shown.

"pH of the dye bath: 6, was 5.5".
"""

from __future__ import annotations

import re
from typing import Any

from .columns import column

_NAMES = {
    "fibre": "fibre",
    "fibre_form": "form of the fibre",
    "base_L": "lightness of the undyed fibre",
    "base_a": "redness of the undyed fibre",
    "base_b": "yellowness of the undyed fibre",
    "fibre_g": "dry weight of the fibre",
    "pot_g": "dry weight of all fibre in the pot",
    "pot_position": "place in the pot",
    "scour": "scoured with",
    "dyestuff": "dyestuff",
    "dyestuff_form": "form of the dyestuff",
    "dyestuff_lot": "delivery of the dyestuff",
    "dye_owf": "amount of the dyestuff",
    "tannin": "tannin",
    "tannin_owf": "amount of tannin",
    "mordant": "mordant",
    "mordant_owf": "amount of mordant",
    "mordant_C": "temperature of the mordant bath",
    "mordant_minutes": "time in the mordant bath",
    "mordant_assist": "assistant in the mordant bath",
    "mordant_assist_owf": "amount of the assistant in the mordant bath",
    "assist": "assistant in the dye bath",
    "assist_owf": "amount of the assistant in the dye bath",
    "pH": "pH of the dye bath",
    "pH_read": "pH read by",
    "temperature_C": "temperature of the dye bath",
    "minutes": "time in the dye bath",
    "liquor_ratio": "liquor",
    "bath_number": "number of the bath",
    "bath_of": "pot whose liquor it was",
    "pH_end": "pH of the dye bath at the end",
    "stock_days": "age of the stock",
    "vat": "vat",
    "vat_dips": "dips in the vat",
    "vat_dip_minutes": "time of each dip in the vat",
    "vat_days": "age of the vat",
    "vat_C": "temperature of the vat",
    "vat_pH": "pH of the vat",
    "modifier": "after-bath",
    "modifier_owf": "amount in the after-bath",
    "modifier_lot": "jar of the after-bath",
    "modifier_strip": "test strip of the after-bath",
    "modifier_before": "number of the dyestuff dyed over the after-bath",
    "modifier_pH": "pH of the after-bath",
    "modifier_minutes": "time in the after-bath",
    "wash_pH": "pH of the last rinse or wash",
    "session": "dye day",
}
_ORDER = {2: "second", 3: "third", 4: "fourth", 5: "fifth", 6: "sixth", 7: "seventh", 8: "eighth",
          9: "ninth"}  # fmt: skip
_UNITS = {"% owf": " %", "L per kg": "", "d": " days", "min": " min", "g": " g", "°C": " °C"}


def column_words(name: str) -> str:
    """What a dyer calls a column; a column of her own as she named it.

    >>> column_words("temperature_C"), column_words("dye_owf_2"), column_words("modifier_2")
    ('temperature of the dye bath', 'amount of the second dyestuff', 'after-bath before the last')
    """
    if name in _NAMES:
        return _NAMES[name]
    if (how := re.fullmatch(r"dye_([2-9])_how", name)) and column(name):
        return f"how the {_ORDER[int(how[1])]} dyestuff went in"
    numbered = re.fullmatch(r"(.+)_([2-9])", name)
    if not numbered or column(name) is None:
        return name
    words, k = _NAMES[numbered[1]], int(numbered[2])
    if "after-bath" in words:
        which = "before the last" if k == 2 else f"{_ORDER[k]} from the end"
        return words.replace("after-bath", f"after-bath {which}")
    if words == "dyestuff":
        return f"{_ORDER[k]} dyestuff"
    if "vat" in words:
        return f"{words} of the {_ORDER[k]} dyestuff"
    return words.replace("the dyestuff", f"the {_ORDER[k]} dyestuff")


def value_words(name: str, value: Any) -> str:
    """What stands in a column, with its unit; "not known" where nothing does.

    >>> value_words("liquor_ratio", 30.0), value_words("dye_owf", 80.0), value_words("pH", None)
    ('1:30', '80 %', 'not known')
    """
    if value is None or value == "" or value != value:
        return "not known"
    if isinstance(value, bool) or not isinstance(value, int | float):
        return str(value)
    if name == "liquor_ratio":
        return f"1:{value:g}"
    about = column(name)
    unit = _UNITS.get(about.unit, "") if about is not None else ""
    text = f"{value:g}{unit}"
    return text.removesuffix("s") if value == 1 and unit == " days" else text


def change_words(name: str, before: Any, after: Any) -> str:
    """A change as a sentence without its full stop.

    >>> change_words("pH", 5.5, 6.0)
    'pH of the dye bath: 6, was 5.5'
    """
    was = value_words(name, before)
    return f"{column_words(name)}: {value_words(name, after)}, was {was}"


def in_words(sentence: str) -> str:
    """A sentence of ours with the names of columns in a dyer's words; what is to be typed
    (dye_owf=80) stays.

    >>> in_words("Column temperature_C: 5 °C is unusual.")
    'Temperature of the dye bath: 5 °C is unusual.'
    """
    told = re.sub(
        r"\b(column) (\w+)(?=:)",
        lambda m: _as(m[1], column_words(m[2])) if column(m[2]) else m[0],
        sentence,
        flags=re.IGNORECASE,
    )
    return re.sub(
        r"(?<![\w/])\w+_\w+(?![\w/=])",
        lambda m: column_words(m[0]) if column(m[0]) else m[0],
        told,
    )


def _as(word: str, words: str) -> str:
    """Words that begin as large as the word they stand for."""
    large = word[0].isupper() and not words.startswith("pH")
    return words[0].upper() + words[1:] if large else words
