"""The fibre of a pot as words, and its weight, made into columns."""

from __future__ import annotations

import math
import re
from typing import Any

from ...conditions.units import TwoWays, parse_with_unit
from ...conditions.vocabulary import FIBRES, WORDS, meaning
from ...errors import BadValue


def fibre_of_words(text: str, grams: float = math.nan) -> dict[str, Any]:
    """The fibre columns that words tell of: "superwash wool, 10 g, bottom". Raises BadValue."""
    found: dict[str, Any] = {} if math.isnan(grams) else {"fibre_g": grams}
    for part in [p.strip() for p in re.split(r",(?!\d)\s*|;\s*", text) if p.strip()]:
        plain = part.casefold()
        if plain in WORDS["pot_position"]:
            found["pot_position"] = plain
        elif re.match(r"^\d", plain):
            found["fibre_g"] = weight_of(part, {})
        else:
            words = plain.split()
            kind = next((w for w in reversed(words) if meaning("fibre", w) in FIBRES), None)
            if kind is None or "fibre" in found:
                known = ", ".join(FIBRES)
                raise BadValue(f"'{part}' names no fibre known here; use one of: {known}.")
            found["fibre"] = kind
            rest = " ".join(w for w in words if w != kind)
            if rest:
                found["fibre_form"] = rest
    if "fibre" not in found:
        raise BadValue(f"'{text}' names no fibre. Say such as wool, superwash wool or linen.")
    return found


def weight_of(text: str | None, typed: dict[str, str]) -> float:
    if text is None:
        return math.nan
    try:
        reading = parse_with_unit(text, "g")
    except TwoWays as error:
        raise BadValue(f"The weight {text} can be read in two ways; type {error}.") from error
    if reading is None or not 0 < reading.value <= 1e6:
        raise BadValue(f"'{text}' is no weight of fibre. Give it in g or oz, such as 100 g.")
    if reading.typed:
        typed["fibre_g"] = reading.typed
    return reading.value
