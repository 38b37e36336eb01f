"""The fibre of a pot as words, and its weight, made into columns."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from typing import Any

from ...bath.step import Step
from ...conditions.units import TwoWays, parse_with_unit
from ...conditions.vocabulary import FIBRES, WORDS, meaning
from ...errors import BadValue, ValueOutOfRange

# Breeds and cloths that are always of one fibre; common practice, no source.
_MADE_OF = dict.fromkeys(
    "corriedale bfl bluefaced romney shetland cheviot targhee rambouillet polwarth cormo jacob "
    "wensleydale lincoln gotland icelandic falkland leicester lambswool suffolk texel dorset "
    "masham finn".split(),
    "wool",
) | {"muslin": "cotton", "calico": "cotton", "noil": "silk", "bourette": "silk", "habotai": "silk"}
_WEIGHT = re.compile(
    r"(?<![\w.,])\d+(?:[.,]\d+)?\s*(?:mg|g|gr|grams?|kg|kilos?|oz|ounces?|lbs?|pounds?)\b\.?",
    re.IGNORECASE,
)


def fibre_of_words(text: str, typed: dict[str, str] | None = None) -> dict[str, Any]:
    """The fibre columns that words tell of: "superwash wool 10 g, bottom". Raises BadValue.

    typed : takes the weight as it was typed, where that was in another unit than grams.
    """
    found: dict[str, Any] = {}
    weights = _WEIGHT.findall(text)
    if len(weights) > 1:
        raise BadValue(f"'{text}' tells two weights, {weights[0]} and {weights[1]}. Keep one.")
    for weight in weights:
        found["fibre_g"] = weight_of(weight, {} if typed is None else typed)
    parts = re.split(r",(?!\d)\s*|;\s*", _WEIGHT.sub("", text))
    for part in [p.strip() for p in parts if p.strip()]:
        plain = part.casefold()
        if plain in WORDS["pot_position"]:
            found["pot_position"] = plain
        elif re.match(r"^\d", plain):
            found["fibre_g"] = weight_of(part, {} if typed is None else typed)
        else:
            words = [w for w in plain.split() if w not in ("of", "in")]
            kind = next((w for w in reversed(words) if meaning("fibre", w) in FIBRES), None)
            if kind is None and "fibre" not in found:
                kind = next((_MADE_OF[w] for w in words if w in _MADE_OF), None)
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


def share_weight(
    fibres: Sequence[dict[str, Any]], weight: str | None, typed: dict[str, str]
) -> float:
    """The dry weight of all fibre in the pot in g, NaN unknown, for amounts in grams; each fibre
    of several gets the pot's beside its own (`pot_g`).

    weight : of the pot, where it was told; else it is the sum of the fibres', where all are. Of
    several fibres one whose own weight is not told has none: nobody said how they share the pot's.
    typed : takes the pot's weight as typed. Raises BadValue where they weigh more than the pot.
    """
    own = [fibre.get("fibre_g", math.nan) for fibre in fibres]
    told: dict[str, str] = {}
    pot = weight_of(weight, told)
    known = sum(g for g in own if not math.isnan(g))
    if math.isnan(pot):
        pot = sum(own) if own else math.nan
    elif known > pot * (1 + 1e-9):
        raise BadValue(
            f"The fibres weigh {known:g} g, and all that lay in the pot {pot:g} g. Mend one of the "
            "two weights."
        )
    if math.isnan(pot):
        return pot
    for fibre in fibres:
        if len(fibres) == 1 and "fibre_g" not in fibre:
            fibre["fibre_g"] = pot
            typed |= told
        elif len(fibres) > 1 or fibre["fibre_g"] != pot:
            fibre["pot_g"] = pot
            typed |= {"pot_g": told["fibre_g"]} if told else {}
    return pot


def typed_grams(text: str | float) -> float:
    """A weight as typed, "1.2 kg", in grams; a number is grams already. Raises BadValue."""
    if isinstance(text, str):
        return weight_of(text, {})
    if not 0 < text < 1e6:
        raise ValueOutOfRange(f"The weight is {text:g} g; give one above 0 and under 1000 kg.")
    return float(text)


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


def weightless(steps: Iterable[Step], grams: float) -> list[str]:
    """What to say of amounts in grams whose percentage nobody can work out."""
    named = [
        m.name
        for s in steps
        for m in s.materials
        if m.owf is None and m.told and s.kind in ("mordant", "dye", "after-bath")
        if re.search(r"\d\s*(?:g|kg|mg|oz|lbs?|grams?|ounces?|pounds?)\b(?!\s*/)", m.told)
    ]
    if not named or not math.isnan(grams):
        return []
    way = (
        "tell how much fibre lay in the pot, with --weight, or with each --fibre, such as "
        "--fibre 'wool 60 g'"
    )
    many = len(set(named)) > 1
    kept = "These amounts are kept as you typed them" if many else "It is kept as you typed it"
    return [
        f"How much fibre was it? {kept}, and what it is on the weight of fibre is not known: "
        f"{', '.join(dict.fromkeys(named))}. If you know it, swatchbath undo, and {way}."
    ]
