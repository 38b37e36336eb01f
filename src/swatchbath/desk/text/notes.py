"""What is on record about a swatch beside what `bath_words` tells, in short lines."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from .wording import plain

# Told in words of their own here.
_ABOVE = re.compile(r"base_[Lab]|bath_number|dye_[2-9]_how|pot_position|pot_g")
# Told by `bath_words` wherever they are known.
_TOLD = re.compile(
    r"fibre|fibre_form|fibre_g|scour|(dyestuff|dyestuff_form|dyestuff_lot|dye_owf)(_[2-9])?|"
    r"(tannin|mordant|assist|mordant_assist)(_owf)?|mordant_(C|minutes)|"
    r"modifier(_owf|_pH|_minutes|_lot|_strip|_before)?(_[2-9])?|"
    r"vat(_dips|_dip_minutes|_days|_C|_pH)?(_[2-9])?|"
    r"pH|pH_read|pH_end|temperature_C|minutes|liquor_ratio|bath_of|stock_days|wash_pH|water|vessel"
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
        lines.append(f"Noted: no {', no '.join(none).replace('assist', 'assistant')}.")
    base = [f"{axis}* {known[f'base_{axis}']:g}" for axis in "Lab" if f"base_{axis}" in known]
    if base:
        lines.append(f"The fibre undyed: {'  '.join(base)}.")
    if known.get("bath_number") == 1:
        lines.append("A fresh bath.")
    for k in range(2, 10):
        if f"dyestuff_{k}" in known and f"dye_{k}_how" not in known:
            lines.append(
                f"Whether {known[f'dyestuff_{k}']} went in together with the one before it or over "
                "it is not recorded."
            )
    if "pot_g" in known:
        lines.append(f"{known['pot_g']:g} g of fibre lay in the pot.")
    if "pot_position" in known:
        lines.append(f"It lay at the {known['pot_position']} of the pot.")
    for name, value in known.items():
        if not _TOLD.fullmatch(name) and not _ABOVE.fullmatch(name):
            lines.append(f"{name}: {value:g}" if isinstance(value, float) else f"{name}: {value}")
    return lines


def typed_words(typed: Mapping[str, str]) -> str:
    """How cells were typed where that was in other units; empty where none was."""
    facts = ", ".join(f"{name} as {text}" for name, text in typed.items())
    return f"Typed: {facts}." if facts else ""


def _is_none(word: Any) -> bool:
    return isinstance(word, str) and word.casefold() == "none"
