"""What is on record about a swatch beside what `bath_words` tells, in short lines."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from .wording import plain

# Told by `bath_words` wherever they are known.
_TOLD = re.compile(
    r"fibre|fibre_form|fibre_g|(dyestuff|dyestuff_form|dyestuff_lot|dye_owf)(_[2-9])?|"
    r"(tannin|mordant|assist)(_owf)?|modifier(_owf|_pH|_minutes)?(_[2-9])?|"
    r"pH|temperature_C|minutes|liquor_ratio|wash_pH|water|vessel"
)


def also_noted(conditions: Mapping[str, Any]) -> list[str]:
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
    for name, value in known.items():
        if _TOLD.fullmatch(name) and not _of_an_unnamed_after_bath(name, known):
            continue
        if not re.fullmatch(r"base_[Lab]|bath_number|dye_[2-9]_how", name):
            lines.append(f"{name}: {value:g}" if isinstance(value, float) else f"{name}: {value}")
    return lines


def _of_an_unnamed_after_bath(name: str, known: Mapping[str, Any]) -> bool:
    found = re.fullmatch(r"modifier_(?:pH|minutes)(_[2-9])?", name)
    if not found:
        return False
    return _is_none(known.get(f"modifier{found[1] or ''}", "none"))


def _is_none(word: Any) -> bool:
    return isinstance(word, str) and word.casefold() == "none"
