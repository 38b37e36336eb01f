"""What screens say of baths, chances and swatches, in a dyer's words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd

from ..colorimetry.lab import lab_to_srgb


def plain(conditions: Mapping[str, Any]) -> dict[str, Any]:
    """Known conditions only, as plain values."""
    out: dict[str, Any] = {}
    for name, value in conditions.items():
        if value is None or value != value:
            continue
        out[name] = float(value) if isinstance(value, float | np.floating | np.integer) else value
    return out


def records(table: pd.DataFrame) -> list[dict[str, Any]]:
    """The rows of a table as dicts of its columns."""
    return [{str(k): v for k, v in row.items()} for row in table.to_dict("records")]


def screen(lab: Any) -> dict[str, Any]:
    """How a screen shows a colour, and whether it is duller there than in life."""
    shown, duller = lab_to_srgb(lab)
    return {
        "screen": "#{:02x}{:02x}{:02x}".format(*(int(v) for v in shown)),
        "duller_on_screen": bool(duller),
    }


def bath_words(conditions: Mapping[str, Any]) -> list[str]:
    """A bath in a dyer's words, one line a treatment, in the order it is done."""
    c = plain(conditions)

    def amount(name: str, owf: str) -> str:
        return f"{c[owf]:g} % {c[name]}" if owf in c and c.get(owf) else str(c[name])

    def with_(*parts: str) -> str:
        return ", ".join(p for p in parts if p)

    def unit(name: str, text: str) -> str:
        return text.format(c[name]) if name in c else ""

    lines = []
    before = [
        amount(role, f"{role}_owf")
        for role in ("tannin", "mordant")
        if c.get(role, "none") != "none"
    ]
    fibre = with_(str(c.get("fibre", "fibre")), str(c.get("fibre_form", "")))
    if before:
        lines.append(f"Mordant {fibre} with {', then '.join(before)}.")
    else:
        none = "without a mordant" if c.get("mordant") == "none" else "mordant not noted"
        lines.append(f"Take {fibre}, {none}.")
    dyes = []
    for suffix in ("", *(f"_{i}" for i in range(2, 10))):
        if "dyestuff" + suffix in c:
            extra = [
                str(c[k + suffix])
                for k in ("dyestuff_form", "dyestuff_lot")
                if c.get(k + suffix, "none") != "none"
            ]
            words = amount("dyestuff" + suffix, "dye_owf" + suffix)
            dyes.append(words + (f" ({', '.join(extra)})" if extra else ""))
    if c.get("assist", "none") != "none":
        dyes.append(amount("assist", "assist_owf"))
    lines.append(
        with_(
            "Dye with " + " and ".join(dyes),
            unit("pH", "pH {:g}"),
            unit("temperature_C", "{:g} °C"),
            unit("minutes", "{:g} min"),
            unit("liquor_ratio", "{:g} litres a kg"),
            f"bath number {c['bath_number']:g}" if c.get("bath_number", 1) > 1 else "",
        )
        + "."
    )
    if c.get("modifier", "none") != "none":
        lines.append(
            with_(
                "After-bath of " + amount("modifier", "modifier_owf"),
                unit("modifier_pH", "pH {:g}"),
                unit("modifier_minutes", "{:g} min"),
            )
            + "."
        )
    return lines


def chance_words(chance: float) -> str:
    """A chance as people say it: "about 6 in 10"."""
    tenths = round(chance * 10)
    if chance < 0.05:
        return "less than 1 in 20"
    return "about 1 in 10" if tenths < 1 else f"about {min(tenths, 9)} in 10"
