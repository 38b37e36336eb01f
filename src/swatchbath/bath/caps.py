"""Caps for what may be suggested. They bind what this project suggests, never what may be
recorded, and no limit of the person who dyes raises them. The figures stand in `cautions.json`,
each with its origin."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from ..errors import NotFound
from .materials import (
    after_baths,
    dyestuffs,
    family,
    given,
    in_a_vat,
    is_a,
    is_silk,
    materials_in,
    may_be_suggested,
    number,
    plain,
    slots,
    words_of,
)

_TINY = 1e-9
# How far an after-bath of acid or alkali keeps from the neutral pH 7; our own choice.
_SOUR, _ALKALINE = 6.9, 7.1
_ALKALI = ("lye", "lime", "soda", "ammonia")
# What is made up to a pH and often not weighed: an amount of 0 says nothing there.
_BY_PH = (*_ALKALI, "acid")
# What no one weighs; common practice, no source.
_UNWEIGHED = {"water", "rainwater", "heat", "steam", "air", "sun", "rinse"}
# Word columns that have a rule of their own; all others must name nothing that is never suggested.
_OWN_RULE = re.compile(r"fibre|(dyestuff|modifier|vat)(_\d)?|mordant|tannin|assist")
_NAMES = re.compile(r"(dyestuff|modifier)_(lot|strip)(_\d)?|pot_position")
# A delivery may be called after the tin it came in; "lead" is as common a word.
_COMMON = ("tin", "lead")
# A bath's words, and for its numbers only whether they are given: what most rules go by. Thousands
# of baths with the same few words are looked at for one suggestion, so those are worked out once.
Words = tuple[tuple[str, Any], ...]


@dataclass(frozen=True)
class Cap:
    """One number's cap: its column, the range it must keep to, and why, as half a sentence."""

    column: str
    low: float
    high: float
    reason: str


@lru_cache(maxsize=64)
def cap(name: str) -> float:
    """A cap by its name, such as "heat for wool" (°C). Raises NotFound."""
    for entry in words_of()["caps"]:
        if entry["name"] == name:
            return float(entry["limit"])
    names = ", ".join(e["name"] for e in words_of()["caps"])
    raise NotFound(f"There is no cap called '{name}'; there are: {names}.")


def breaks_caps(conditions: Mapping[str, Any], *, browns: bool = False) -> list[str]:
    """Why a bath may not be suggested, half a sentence for each reason; empty if it may.

    browns : browns are asked for, so madder may go above its heat. Unknown heats and pH break no
    cap, as they are not suggested either; iron of an unknown amount does.
    """
    reasons = refusals(conditions)
    for rule in caps_of(conditions, browns=browns):
        value = number(conditions, rule.column)
        if value > rule.high + _TINY or value < rule.low - _TINY:
            reasons.append(rule.reason)
    return list(dict.fromkeys(reasons))


def refusals(conditions: Mapping[str, Any]) -> list[str]:
    """Why the words of a bath rule it out whatever its numbers; empty if they do not."""
    words = _words(conditions)
    issues = list(_refused(words))
    if any(math.isnan(number(conditions, c)) for c in _iron_columns(words)):
        issues.append("iron of an unknown amount is not suggested")
    for column, word in _weighed(words):
        if number(conditions, column) <= 0:
            issues.append(f"{word} of 0 % is no bath")
    return issues + _vessel(conditions, words)


# Columns of what is given before the dye and in its bath, besides the dyestuffs.
_BEFORE_OR_IN = ("mordant", "tannin", "assist", "mordant_assist")


@lru_cache(maxsize=8192)
def _weighed(words: Words) -> tuple[tuple[str, str], ...]:
    """The amount columns of what a bath names, each with its word; without what is made up to a
    pH, and without rinses, heat and the like, which are not weighed."""
    conditions, found = dict(words), []
    pairs = [("mordant", "mordant_owf"), ("tannin", "tannin_owf"), ("assist", "assist_owf")]
    pairs += [("mordant_assist", "mordant_assist_owf")]
    for base, amount in (("dyestuff", "dye_owf"), ("modifier", "modifier_owf")):
        pairs += [(base + s, amount + s) for s in slots(conditions, base)]
    for name, amount in pairs:
        word = conditions.get(name)
        if not given(word):
            continue
        added = name.endswith("assist") or name.startswith("modifier")
        if added and any(is_a(word, m) for m in _BY_PH):
            continue
        if not name.startswith("modifier") or not set(plain(word).split()) & _UNWEIGHED:
            found.append((amount, str(word)))
    return tuple(found)


def _words(conditions: Mapping[str, Any]) -> Words:
    return tuple([(n, _word(v)) for n, v in conditions.items()])


def _word(value: Any) -> Any:
    if isinstance(value, str):
        return value
    there = value == value if type(value) is float else given(value)  # NaN is not itself
    return True if there else None


@lru_cache(maxsize=8192)
def _refused(words: Words) -> tuple[str, ...]:
    conditions, issues = dict(words), []
    fibre = conditions.get("fibre")
    protein, silk = family(fibre) == "protein", is_silk(fibre)
    additions = [conditions.get(n) for n in _BEFORE_OR_IN]
    after = [word for _, word in after_baths(conditions)]
    for word in [*additions, *after]:
        never = [m for m in words_of()["never_suggested"] if is_a(word, m)]
        if never:
            issues.append(f"{never[0]} is never suggested")
        elif not may_be_suggested(word):
            issues.append(f"'{word}' is not on the list of what may be suggested")
    for dye in dyestuffs(conditions):
        if plain(dye) in words_of()["unknown_dyestuffs"]:
            issues.append("an unknown plant is never suggested")
        elif any(is_a(dye, m) for m in ("poisonous plant", *words_of()["poisons"])):
            issues.append(f"{dye} is poisonous and never suggested")
        elif any(is_a(dye, m) for m in ("bleach", "strong acid", "reducing agent")):
            issues.append(f"{dye} is no dyestuff and never suggested")
    issues += _other_words(words)
    laid_in = [*additions, *after, conditions.get("scour")]
    if protein and silk and any(is_a(w, m) for w in laid_in for m in ("lye", "lime")):
        issues.append(f"lye on {fibre} is not suggested")
    if in_a_vat(conditions):
        issues.append("a vat is recorded and not suggested")
    return tuple(issues)


def _other_words(words: Words) -> list[str]:
    """What speaks against the words that name no treatment and no dyestuff."""
    issues = []
    for name, word in words:
        if not isinstance(word, str) or _OWN_RULE.fullmatch(name) or not given(word):
            continue
        banned = {*words_of()["never_suggested"], "reducing agent"}
        named = set(materials_in([word]))
        if name == "water":  # which is given no amount, so nothing may be dissolved in it
            banned |= {"iron", *_ALKALI, "acid", "alum"}
        elif _NAMES.fullmatch(name):
            banned -= set(_COMMON)
        elif name in ("fibre_form", "scour"):  # "chromed", "tinned"; but cloth may be bleached
            named |= set(materials_in(_undone(word))) & set(words_of()["poisons"])
        if found := sorted(named & banned):
            issues.append(f"{found[0]} in {name.replace('_', ' ')} is never suggested")
    return issues


def _undone(word: str) -> list[str]:
    """A word's possible stems: "chromed" -> "chrom", "chrome"; "tinned" -> "tin"."""
    text = plain(word)
    return [re.sub(p, r, text) for p, r in ((r"ed\b", ""), (r"d\b", ""), (r"(\w)\1ed\b", r"\1"))]


def _vessel(conditions: Mapping[str, Any], words: Words) -> list[str]:
    issues, eaten, eats = _vessel_words(words)
    if issues or not eaten:
        return list(issues)
    alkaline = any(number(conditions, n) > cap("pH that eats metal") for n in ("pH", "wash_pH"))
    if eats or alkaline:
        return ["lye, soda or acid in an aluminium or galvanised pot is not suggested"]
    return []


@lru_cache(maxsize=8192)
def _vessel_words(words: Words) -> tuple[tuple[str, ...], bool, bool]:
    """What speaks against the vessel; whether it is of a metal that is eaten; and whether the
    bath's words alone say that it would be."""
    conditions = dict(words)
    vessel = conditions.get("vessel")
    if is_a(vessel, "iron") or any(is_a(vessel, m) for m in words_of()["poisons"]):
        return (f"a vessel of {vessel} gives off an unknown amount of its metal",), False, False
    if is_a(vessel, "food pot"):
        return ("a pot that is used for food is never suggested",), False, False
    used = [conditions.get("assist"), *(w for _, w in after_baths(conditions))]
    eats = any(is_a(w, m) for w in used for m in _BY_PH)
    return (), is_a(vessel, "eaten metal"), eats


@lru_cache(maxsize=8192)
def _iron_columns(words: Words) -> tuple[str, ...]:
    """The columns that hold amounts of iron."""
    conditions = dict(words)
    pairs = [(n, f"{n}_owf") for n in _BEFORE_OR_IN if n != "tannin"]
    pairs += [(f"modifier{s}", f"modifier_owf{s}") for s in slots(conditions, "modifier")]
    return tuple(owf for name, owf in pairs if is_a(conditions.get(name), "iron"))


def caps_of(conditions: Mapping[str, Any], *, browns: bool = False) -> list[Cap]:
    """The caps on the numbers of a bath, given its words and its other numbers.

    Heat comes before pH, as the pH cap depends on it. Iron is capped in all treatments together,
    so its rules leave to each what the others have not used.
    """
    words, heat = _words(conditions), number(conditions, "temperature_C")
    hot = math.isnan(heat) or heat > cap("hot") + _TINY
    return [*_fixed_caps(words, hot, browns), *_iron_caps(conditions, words)]


@lru_cache(maxsize=8192)
def _fixed_caps(words: Words, hot: bool, browns: bool) -> tuple[Cap, ...]:
    conditions = dict(words)
    found = [*_heat(conditions, browns), *_pH(conditions, hot), *_time(conditions, hot)]
    amounts = [("mordant_owf", "mordant"), ("tannin_owf", "tannin"), ("assist_owf", "assistant")]
    amounts += [("mordant_assist_owf", "assistant")]
    amounts += [(f"dye_owf{s}", "dyestuff") for s in slots(conditions, "dyestuff")]
    for column, name in amounts:
        most = cap(f"{name} amount")
        found.append(Cap(column, 0.0, most, f"{name} over {most:g} % is not suggested"))
    return tuple(found)


def _iron_caps(conditions: Mapping[str, Any], words: Words) -> list[Cap]:
    columns = _iron_columns(words)
    if not columns:
        return []
    fibre, found = conditions.get("fibre"), []
    of = f" on {fibre}" if given(fibre) else ""
    wool = family(fibre) == "protein" and not is_silk(fibre)
    most = cap("iron on wool" if wool else "iron on silk and cellulose")
    known = {c: v for c in columns if not math.isnan(v := number(conditions, c))}
    for column in columns:
        rest = sum(v for c, v in known.items() if c != column)
        left = max(0.0, most - rest)
        found.append(Cap(column, 0.0, left, f"iron over {most:g} % is not suggested{of}"))
    return found


def _heat(conditions: Mapping[str, Any], browns: bool) -> list[Cap]:
    fibre, found = conditions.get("fibre"), []
    if family(fibre) == "protein":
        most = cap("heat for silk" if is_silk(fibre) else "heat for wool")
        found.append(
            Cap("temperature_C", 0, most, f"over {most:g} °C is not suggested for {fibre}")
        )
    if any("madder" in plain(d) for d in dyestuffs(conditions)) and not browns:
        most = cap("heat for madder")
        why = f"madder over {most:g} °C turns brown and is not suggested"
        found.append(Cap("temperature_C", 0, most, why))
    return found


def _pH(conditions: Mapping[str, Any], hot: bool) -> list[Cap]:
    fibre = conditions.get("fibre")
    protein = family(fibre) == "protein"
    of = f" for {fibre}" if given(fibre) else ""
    lowest = cap("lowest pH")
    cool = cap("cool pH for wool and silk")
    if protein:
        bath, after, wash = (cap("hot pH for wool and silk") if hot else cool), cool, cool
    else:
        bath, after = cap("bath pH for cellulose"), cap("after-bath pH for cellulose")
        wash = bath
    why = f"a dye bath over pH {bath:g} at this heat is not suggested{of}"
    found = [
        Cap("pH", -math.inf, bath, why),
        Cap("pH", lowest, math.inf, f"a dye bath under pH {lowest:g} is not suggested{of}"),
        Cap("wash_pH", lowest, wash, f"a wash outside pH {lowest:g} to {wash:g} is not suggested"),
    ]
    for slot, _ in after_baths(conditions):
        name = f"modifier_pH{slot}"
        why = f"an after-bath over pH {after:g} is not suggested{of}"
        found.append(Cap(name, -math.inf, after, why))
        why = f"an after-bath under pH {lowest:g} is not suggested{of}"
        found.append(Cap(name, lowest, math.inf, why))
    return [*found, *_sides(conditions)]


def _sides(conditions: Mapping[str, Any]) -> list[Cap]:
    """An after-bath of acid lies under pH 7, one of alkali over it: what the words mean."""
    found = []
    for slot, word in after_baths(conditions):
        sour, alkaline = is_a(word, "acid"), any(is_a(word, m) for m in _ALKALI)
        why = f"an after-bath of {word} lies {'under' if sour else 'over'} pH 7"
        if sour != alkaline:
            low, high = (-math.inf, _SOUR) if sour else (_ALKALINE, math.inf)
            found.append(Cap(f"modifier_pH{slot}", low, high, why))
    return found


def _time(conditions: Mapping[str, Any], hot: bool) -> list[Cap]:
    most = cap("minutes hot" if hot else "minutes cool")
    found = [Cap("minutes", 0, most, f"over {most:g} minutes at this heat is not suggested")]
    protein = family(conditions.get("fibre")) == "protein"
    for slot, word in after_baths(conditions):
        alkali = any(is_a(word, m) for m in _ALKALI)
        name = "minutes in an after-bath"
        if protein and alkali:
            name = "minutes of alkali on wool and silk"
        elif is_a(word, "iron"):
            name = "minutes of iron"
        most = cap(name)
        why = f"over {most:g} minutes in an after-bath of {word} is not suggested"
        found.append(Cap(f"modifier_minutes{slot}", 0, most, why))
    return found
