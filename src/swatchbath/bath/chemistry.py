"""The little chemistry that records need: hydrates of a salt, iron in iron salts, pH of a bath.

Atomic weights are IUPAC's abridged standard atomic weights of 2021 (from memory), acid constants
those of the CRC Handbook of Chemistry and Physics at 25 C (from memory). Solutions are taken as
ideal, which puts soda baths about 0.2 too high and vinegar right.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import Any

from .materials import given, is_a, plain, slots

_WEIGHTS = {
    "H": 1.008, "C": 12.011, "O": 15.999, "Na": 22.990, "Al": 26.982, "S": 32.06, "K": 39.098,
    "Ca": 40.078, "Fe": 55.845,
}  # fmt: skip
SODA_ASH, WASHING_SODA = "Na2CO3", "Na2CO3.10H2O"
IRON_CRYSTALS = "FeSO4.7H2O"
ALUM, ALUM_BURNT = "KAl(SO4)2.12H2O", "KAl(SO4)2"
_PKA_ACETIC, _PKA_CARBONIC_2, _PKW = 4.756, 10.329, 14.0


def molar_mass(formula: str) -> float:
    """Grams a mole of a formula such as FeSO4.7H2O."""
    return sum(_mass(part) for part in formula.split("."))


def _mass(part: str) -> float:
    times = re.match(r"\d+", part)
    body = part[times.end() :] if times else part
    while m := re.search(r"\(([^()]*)\)(\d*)", body):
        body = body[: m.start()] + m[1] * int(m[2] or 1) + body[m.end() :]
    total = 0.0
    for symbol, count in re.findall(r"([A-Z][a-z]?)(\d*)", body):
        total += _WEIGHTS[symbol] * int(count or 1)
    return total * int(times[0] if times else 1)


def strength(crystals: str, dry: str) -> float:
    """Share of the dry salt in its crystals, by weight: washing soda is 0.37 soda ash."""
    return molar_mass(dry) / molar_mass(crystals)


def iron_share(formula: str = IRON_CRYSTALS) -> float:
    """Share of iron in an iron salt, by weight."""
    return _WEIGHTS["Fe"] / molar_mass(formula)


def pH_of_acid(mol_per_litre: float, pKa: float = _PKA_ACETIC) -> float:
    """pH of a weak acid in water, acetic unless said."""
    k = 10**-pKa
    h = (-k + math.sqrt(k * k + 4 * k * mol_per_litre)) / 2
    return -math.log10(h)


def pH_of_soda(grams_per_litre: float) -> float:
    """pH of soda ash in water, away from air."""
    c = grams_per_litre / molar_mass(SODA_ASH)
    k = 10 ** (_PKA_CARBONIC_2 - _PKW)
    oh = (-k + math.sqrt(k * k + 4 * k * c)) / 2
    return _PKW + math.log10(oh)


def soda_question(conditions: Mapping[str, Any]) -> str:
    """What to ask where a bath holds so much "soda" and not which; empty where there is no doubt.

    Soda ash and washing soda crystals differ by the water in the crystals.
    """
    pairs = [("assist", "assist_owf"), ("mordant_assist", "mordant_assist_owf")]
    pairs += [(f"modifier{s}", f"modifier_owf{s}") for s in slots(conditions, "modifier")]
    for name, owf in pairs:
        amount = conditions.get(owf)
        if given(conditions.get(name)) and plain(conditions[name]) == "soda" and amount:
            crystals = float(amount) / strength(WASHING_SODA, SODA_ASH)
            return (
                f"Was the soda soda ash, or washing soda crystals? {float(amount):g} % of soda ash "
                f"is {crystals:.2g} % of crystals. Write soda ash or washing soda."
            )
    return ""


def liquor_question(conditions: Mapping[str, Any]) -> str:
    """What to ask where an amount is told of a home-made iron liquor, whose strength nobody
    measured; empty where there is none, or where a test strip tells of it."""
    for slot in slots(conditions, "modifier"):
        name, amount = conditions.get(f"modifier{slot}"), conditions.get(f"modifier_owf{slot}")
        if is_a(name, "iron liquor") and amount and not conditions.get(f"modifier_strip{slot}"):
            return (
                f"Is {float(amount):g} % the amount of liquor? Its strength is not known, so it is "
                "compared by a test strip: dip one and name its swatch in modifier_strip."
            )
    return ""
