"""A treatment as one line, as it stands in a pot diary, made into a step.

    dye: fresh weld 300 %, 80 C, 1 h, pH 6 strip, 1:30, in steel, rain water
    mordant: gallnut 8 % ; alum 15 % + soda 2 %, 48 h, 60 F
    vat: indigo, fructose, 3 dips of 10 min, 50 C, 5 days old
    after-bath: iron liquor, jar J2, strip NJCE3, 10 min

Parts are separated by a comma and a blank, or by a semicolon, so that 5,5 stays a number.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import replace
from typing import Any

from ..conditions.columns import column
from ..conditions.units import TwoWays, parse_with_unit
from ..conditions.vocabulary import WORDS, meaning
from ..errors import BadValue
from .step import Material, Step

_KINDS = {
    "scour": "scour", "mordant": "mordant", "tannin": "mordant", "dye": "dye", "overdye": "dye",
    "vat": "dye", "after-bath": "after-bath", "afterbath": "after-bath", "after": "after-bath",
    "rinse": "rinse", "wash": "wash", "dry": "dry",
}  # fmt: skip
_ORDINALS = {"first": 1, "fresh": 1, "second": 2, "third": 3, "fourth": 4, "fifth": 5}
_AMOUNT = r"\d+(?:[.,]\d+)?\s*(?:%(?:\s*(?:owf|wof))?|mg|g|kg|oz|lb)(?![a-z])"
_MATERIAL = re.compile(
    rf"^(?:(?P<before>{_AMOUNT})\s+)?(?:of\s+)?(?P<name>.*?)(?:\s+(?P<after>{_AMOUNT}))?"
    rf"(?:\s+\((?P<lot>[^)]*)\))?(?:\s+(?P<late>{_AMOUNT}))?$",
    re.IGNORECASE,
)
# What is left of an amount that could not be read: a number, a percent sign, no number at all.
_NO_NAME = re.compile(r"%|(?<![^\W_])[-+]?\d|\bnan\b|\binf\b", re.IGNORECASE)
_ASSISTS = set(WORDS["assist"]) - {"none"} | {"soda ash", "washing soda", "baking soda"}
_TANNINS = set(WORDS["tannin"]) - {"none"}
_MORDANTS = set(WORDS["mordant"]) - {"none"}


def read_step(line: str, *, fibre_g: float | None = None) -> Step:
    """The step a line tells of; the line is kept beside it (`Step.typed`).

    fibre_g : the dry weight of the fibre in the pot, for amounts in grams. Raises BadValue.
    """
    text = " ".join(line.split())
    found = re.match(r"^([a-z-]+)\s*:?\s*(.*)$", text, re.IGNORECASE)
    word = found[1].casefold() if found else ""
    if not found or word not in _KINDS:
        raise BadValue(
            f"'{line}' begins with no treatment. Begin with {', '.join(_KINDS)}, such as "
            "dye: weld 80 %, 80 C, 1 h."
        )
    facts_told: dict[str, Any] = {}
    materials: list[Material] = []
    notes: list[str] = []
    for part in re.split(r",(?!\d)\s*|;\s*", found[2]):
        if not part.strip():
            continue
        item = part.strip()
        if re.match(r"^note\b", item, re.IGNORECASE):
            notes.append(re.sub(r"^note:?\s*", "", item, flags=re.IGNORECASE))
            continue
        facts = _facts(item, word, line, bool(materials))
        if facts is None:
            found_here = _materials(item, word, line, math.nan if fibre_g is None else fibre_g)
            _check_meant(found_here, materials, item, word, line)
            materials += found_here
        elif "jar" in facts or "strip" in facts:
            if not materials:
                raise BadValue(f"In '{line}': name the liquor before its jar or strip.")
            own = {"lot" if k == "jar" else k: v for k, v in facts.items()}
            materials[-1] = replace(materials[-1], **own)
        else:
            twice = sorted(set(facts) & set(facts_told))
            if twice:
                raise BadValue(f"In '{line}': {item} is told beside another; keep one.")
            facts_told |= facts
    if word == "vat":
        if not materials:
            raise BadValue(f"In '{line}': say what the vat was of, such as indigo or woad.")
        if not any(k in facts_told for k in ("vat", "dips", "dip_minutes", "vat_days")):
            facts_told["vat"] = "unnamed"
    return Step(_KINDS[word], tuple(materials), note="; ".join(notes), typed=text, **facts_told)


# One pattern a fact: what it looks like, and the fields it gives.
_Made = Callable[[re.Match[str], str], dict[str, Any] | None]


def _facts(item: str, word: str, line: str, named: bool) -> dict[str, Any] | None:
    """What a part tells of the bath, or None where it names materials."""
    plain = item.casefold()
    if m := re.match(r"^ph\s*(\S+)(?:\s*(?:by|with|,)?\s*(.+))?$", plain):
        how = meaning("pH_read", m[2].strip()) if m[2] else None
        if how not in (None, "strip", "meter"):
            raise BadValue(f"In '{line}': pH is read by strip or meter, not by '{m[2]}'.")
        return _given(pH=_number("pH", m[1], line), pH_read=how)
    if m := re.match(r"^(\d+)\s*(?:dips?|x)(?:\s*(?:of|at|x)?\s*(\d.*))?$", plain):
        minutes = _number("vat_dip_minutes", m[2], line) if m[2] else None
        return _given(dips=_number("vat_dips", m[1], line), dip_minutes=minutes)
    if m := re.match(r"^(?:bath\s*(?:number\s*)?(\d+)|(\w+?)(?:st|nd|rd|th)?\s+bath)$", plain):
        number = m[1] or (
            m[2] if m[2].isdigit() else str(_ORDINALS.get(item.split()[0].lower(), ""))
        )
        return _given(bath_number=_number("bath_number", number, line)) if number else None
    if m := re.match(r"^(?:(\d.*?)\s+old|stock\s+(\d.*?)(?:\s+old)?)$", plain):
        name = "vat_days" if word == "vat" else "stock_days"
        return {name: _number(name, m[1] or m[2], line)}
    if m := re.match(r"^in (?:an? )?(\S.*)$", plain):
        return {"vessel": item[m.start(1) :].removesuffix(" pot")}
    if plain.endswith(" water") and plain.removesuffix(" water") in WORDS["water"]:
        return {"water": plain.removesuffix(" water")}
    if m := re.match(r"^(jar|strip)\s+(\S.*)$", plain):
        return {m[1]: item[m.start(2) :]}
    if word == "vat" and meaning("vat", plain.removesuffix(" vat")) in WORDS["vat"]:
        return {"vat": meaning("vat", plain.removesuffix(" vat"))}
    for name in ("temperature_C", "minutes", "liquor_ratio"):
        if _reads(item, name):
            # A bare number could be any of them.
            if re.fullmatch(r"[\d.,]+", item):
                raise BadValue(f"In '{line}': {item} of what? Say 80 C, 60 min or pH 6.")
            if name == "minutes" and word == "vat":
                return {"dip_minutes": _number("vat_dip_minutes", item, line)}
            return {name: _number(name, item, line)}
    return None


def _reads(item: str, name: str) -> bool:
    about = column(name)
    assert about is not None
    try:
        found = parse_with_unit(item, about.unit)
    except TwoWays:
        return True
    return found is not None and not found.needs


def _number(name: str, text: str, line: str) -> float:
    """A number of a column, in its unit and range."""
    about = column(name)
    assert about is not None and about.recorded is not None
    try:
        found = parse_with_unit(text, about.unit)
    except TwoWays as error:
        raise BadValue(f"In '{line}': {text} can be read in two ways; type {error}.") from error
    low, high = about.recorded
    if found is None or not low <= found.value <= high or (about.above and found.value == low):
        raise BadValue(f"In '{line}': {text} is not {about.allowed}; mend it or leave it out.")
    return found.value


def _given(**facts: Any) -> dict[str, Any]:
    return {k: v for k, v in facts.items() if v is not None}


def _materials(item: str, word: str, line: str, fibre_g: float) -> list[Material]:
    out = []
    for text in re.split(r"\s+\+\s+|\s+and\s+", item):
        m = _MATERIAL.match(text.strip())
        amounts = [] if m is None else [m[g] for g in ("before", "after", "late") if m[g]]
        name = "" if m is None else m["name"].strip()
        if m is None or not name or len(amounts) > 1 or _NO_NAME.search(name):
            raise BadValue(
                f"In '{line}': '{text}' cannot be read. Write a material with its amount, such as "
                "alum 12 %, or a fact with its unit, such as 80 C."
            )
        owf = None
        if amounts:
            reading = parse_with_unit(amounts[0], "% owf", fibre_g)
            if reading is None or reading.value > 1000:
                raise BadValue(f"In '{line}': {amounts[0]} is no amount up to 1000 % owf.")
            if not reading.needs:
                owf = reading.value
        form = None
        first, _, rest = name.partition(" ")
        if rest and first.casefold() in WORDS["dyestuff_form"] and _KINDS[word] == "dye":
            form, name = first.casefold(), rest
        elif name.casefold().endswith((" extract", " powder")) and _KINDS[word] == "dye":
            name, _, form = name.rpartition(" ")
            form = form.casefold()
        out.append(Material(_role(name, word), name, owf, form, m["lot"]))
    return out


def _check_meant(
    found: list[Material], before: list[Material], item: str, word: str, line: str
) -> None:
    """Refuse a stray word: after the first material, one without an amount must be a known one."""
    known = {w for words in WORDS.values() for w in words} | _ASSISTS
    for material in found:
        name = meaning(material.role, material.name)
        if before and material.owf is None and name not in known and word != "vat":
            raise BadValue(
                f"In '{line}': '{item}' is no fact known here, and no material with an amount. "
                f"Write note: {item}, or give it its amount."
            )


def _role(name: str, word: str) -> str:
    kind = _KINDS[word]
    if kind == "after-bath":
        return "modifier"
    if kind == "mordant":
        if word == "tannin" or meaning("tannin", name) in _TANNINS:
            return "tannin"
        return "assist" if meaning("assist", name) in _ASSISTS else "mordant"
    if kind == "dye":
        if meaning("assist", name) in _ASSISTS:
            return "assist"
        return "mordant" if meaning("mordant", name) in _MORDANTS else "dyestuff"
    return "other"


def line_of(step: Step) -> str:
    """A step as a line: as it was typed, or else in the same words."""
    if step.typed:
        return step.typed
    facts_told = [_material_words(m) for m in step.materials]
    vat = [f"{step.vat} vat" if step.vat else ""]
    dips = "" if step.dips is None else f"{step.dips:g} dips"
    if step.dip_minutes is not None:
        dips = f"{dips} of {step.dip_minutes:g} min" if dips else f"{step.dip_minutes:g} min a dip"
    read = f" {step.pH_read}" if step.pH_read else ""
    units = [
        (step.pH, f"pH {{:g}}{read}"),
        (step.temperature_C, "{:g} C"),
        (step.minutes, "{:g} min"),
        (step.liquor_ratio, "1:{:g}"),
        (step.bath_number, "bath {:g}"),
        (step.stock_days, "stock {:g} days"),
        (step.vat_days, "{:g} days old"),
    ]
    facts_told += [*vat, dips, *(text.format(v) for v, text in units if v is not None)]
    facts_told += [
        f"in {step.vessel}" if step.vessel else "",
        f"{step.water} water" if step.water else "",
    ]
    facts_told += [f"note {step.note}" if step.note else ""]
    word = "vat" if step.is_vat else step.kind
    parts = ", ".join(t for t in facts_told if t)
    return f"{word}: {parts}" if parts else word


def _material_words(m: Material) -> str:
    words = f"{m.form} {m.name}" if m.form else m.name
    words += "" if m.owf is None else f" {m.owf:g} %"
    if m.role == "modifier":
        words += f", jar {m.lot}" if m.lot else ""
        return words + (f", strip {m.strip}" if m.strip else "")
    return words + (f" ({m.lot})" if m.lot else "")
