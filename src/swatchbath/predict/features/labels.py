"""What a dyer calls a number of a bath, and its unit as shown."""

from __future__ import annotations

import pandas as pd

from ...conditions.vocabulary import meaning

_NUMBERS = {
    "base_L": ("lightness of the undyed fibre", ""),
    "base_a": ("redness of the undyed fibre", ""),
    "base_b": ("yellowness of the undyed fibre", ""),
    "tannin_owf": ("tannin", " %"),
    "mordant_owf": ("mordant", " %"),
    "assist_owf": ("assistant in the dye bath", " %"),
    "mordant_assist_owf": ("assistant in the mordant bath", " %"),
    "pH": ("dye bath pH", ""),
    "temperature_C": ("dye bath heat", " °C"),
    "minutes": ("time in the dye bath", " min"),
    "liquor_ratio": ("liquor ratio", " L per kg"),
    "bath_number": ("bath number", ""),
    "modifier_minutes": ("time in the after-bath", " min"),
    "modifier_owf": ("after-bath amount", " %"),
    "modifier_pH": ("after-bath pH", ""),
    "wash_pH": ("wash pH", ""),
    "final_pH": ("final pH", ""),
    "pH_step": ("pH step from dye bath to after-bath", ""),
    "iron_owf": ("iron", " %"),
    "other_after_owf": ("after-bath amount", " %"),
    "dye_owf": ("dyestuff amount", " %"),
}


def label_of(name: str) -> tuple[str, str]:
    """A number's name in a dyer's words, and its unit with a space before it."""
    if name.startswith("amount of "):
        return name.removeprefix("amount of "), " %"
    return _NUMBERS.get(name, (name, ""))


def shown(value: float, unit: str) -> str:
    """A value to three figures, with its unit."""
    return f"{float(f'{value:.3g}'):g}{unit}"


def spellings(*tables: pd.DataFrame) -> dict[tuple[str, str], str]:
    """How each word was first written, by column and meaning."""
    out: dict[tuple[str, str], str] = {}
    for table in tables:
        for name in table.columns:
            for word in sorted({w for w in table[name] if isinstance(w, str)}):
                out.setdefault((str(name), meaning(str(name), word)), word)
    return out
