"""What is on record about a swatch beside what `bath_words` tells, in short lines."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from .wording import plain

_NUMBERS = tuple(f"_{k}" for k in range(2, 10))
_OF_A_VAT = ("_dips", "_dip_minutes", "_days", "_C", "_pH")
# Told in words of their own here.
_ABOVE = re.compile(
    r"base_[Lab]|bath_number|dye_[2-9]_how|scour|mordant_(C|minutes)|pH_read|stock_days|"
    r"pot_position|modifier_(lot|strip)(_[2-9])?|vat(_dips|_dip_minutes|_days|_C|_pH)?(_[2-9])?"
)
# Told by `bath_words` wherever they are known.
_TOLD = re.compile(
    r"fibre|fibre_form|fibre_g|(dyestuff|dyestuff_form|dyestuff_lot|dye_owf)(_[2-9])?|"
    r"(tannin|mordant|assist)(_owf)?|modifier(_owf|_pH|_minutes)?(_[2-9])?|"
    r"pH|temperature_C|minutes|liquor_ratio|wash_pH|water|vessel"
)


def note_lines(conditions: Mapping[str, Any]) -> list[str]:
    """Lines for what is recorded and not in the words of the bath: what there was none of, the
    undyed colour, what is not known of two dyestuffs, a fresh bath, and the dyer's own columns."""
    known = plain(conditions)
    lines = []
    after = [v for n, v in known.items() if re.fullmatch(r"modifier(_[2-9])?", n)]
    none = [n for n in ("tannin", "assist") if _is_none(known.get(n))]
    none += ["after-bath"] if after and all(map(_is_none, after)) else []
    if none:
        lines.append(f"Noted: no {', no '.join(none).replace('assist', 'addition')}.")
    base = [f"{axis}* {known[f'base_{axis}']:g}" for axis in "Lab" if f"base_{axis}" in known]
    if base:
        lines.append(f"The fibre undyed: {'  '.join(base)}.")
    if known.get("bath_number") == 1:
        lines.append("A fresh bath.")
    for k in range(2, 10):
        if f"dyestuff_{k}" in known and f"dye_{k}_how" not in known:
            lines.append(
                f"Whether {known[f'dyestuff_{k}']} went in together with the one before it or over "
                "it is not noted."
            )
    lines += _prepared(known) + [line for k in ("", *_NUMBERS) if (line := _vat(known, k))]
    for name, value in known.items():
        if _TOLD.fullmatch(name) and not _of_an_unnamed_after_bath(name, known):
            continue
        if not _ABOVE.fullmatch(name):
            lines.append(f"{name}: {value:g}" if isinstance(value, float) else f"{name}: {value}")
    return lines


def _prepared(known: Mapping[str, Any]) -> list[str]:
    """Scour, mordant bath, how pH was read, place in the pot, age of the stock, liquors' jars."""
    lines = []
    if "scour" in known:
        none = _is_none(known["scour"])
        lines.append("Not scoured." if none else f"Scoured with {known['scour']}.")
    heat = f"{known['mordant_C']:g} °C" if "mordant_C" in known else ""
    time = time_words(known["mordant_minutes"]) if "mordant_minutes" in known else ""
    if heat or time:
        lines.append(f"In the mordant: {', '.join(t for t in (heat, time) if t)}.")
    if "pH_read" in known:
        lines.append(f"The pH was read by {known['pH_read']}.")
    if "stock_days" in known:
        lines.append(f"The stock was {known['stock_days']:g} days old.")
    if "pot_position" in known:
        lines.append(f"It lay at the {known['pot_position']} of the pot.")
    for k in ("", *_NUMBERS):
        liquor = known.get(f"modifier{k}", "the after-bath")
        if f"modifier_lot{k}" in known:
            lines.append(f"The {liquor} was that of jar {known[f'modifier_lot{k}']}.")
        if f"modifier_strip{k}" in known:
            lines.append(
                f"The {liquor} has no measured strength; its test strip is swatch "
                f"{known[f'modifier_strip{k}']}."
            )
    return lines


def _vat(known: Mapping[str, Any], k: str) -> str:
    """A vat in one line: its kind, dips, heat, pH and age."""
    facts = {n: known[f"vat{n}{k}"] for n in ("", *_OF_A_VAT) if f"vat{n}{k}" in known}
    if not facts:
        return ""
    dips = f"{facts['_dips']:g} dips" if "_dips" in facts else ""
    if "_dip_minutes" in facts:
        each = time_words(facts["_dip_minutes"])
        dips = f"{dips} of {each}" if dips else f"{each} a dip"
    words = [
        str(facts.get("", "kind not noted")),
        dips,
        f"{facts['_C']:g} °C" if "_C" in facts else "",
        f"pH {facts['_pH']:g}" if "_pH" in facts else "",
        f"{facts['_days']:g} days old" if "_days" in facts else "",
    ]
    dye = known.get(f"dyestuff{k}", "dyestuff not noted")
    return f"The {dye} was a vat: {', '.join(w for w in words if w)}."


def time_words(minutes: float) -> str:
    """Minutes as they are said: 90 min, 6 h, 2 days.

    >>> time_words(2880)
    '2 days'
    """
    for size, unit in ((1440, "days"), (60, "h")):
        if minutes >= 2 * size and minutes % (size / 2) == 0:
            return f"{minutes / size:g} {unit}"
    return f"{minutes:g} min"


def typed_words(typed: Mapping[str, str]) -> str:
    """How cells were typed where that was in other units; empty where none was."""
    facts = ", ".join(f"{name} as {text}" for name, text in typed.items())
    return f"Typed: {facts}." if facts else ""


def _of_an_unnamed_after_bath(name: str, known: Mapping[str, Any]) -> bool:
    found = re.fullmatch(r"modifier_(?:pH|minutes)(_[2-9])?", name)
    if not found:
        return False
    return _is_none(known.get(f"modifier{found[1] or ''}", "none"))


def _is_none(word: Any) -> bool:
    return isinstance(word, str) and word.casefold() == "none"
