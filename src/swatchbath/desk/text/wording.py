"""What screens say of baths, chances and swatches, in a dyer's words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd

from ...colorimetry.lab import lab_to_srgb
from ...library import Swatch

# What a swatch may wait for, in the order it is listed.
WAITS = {
    "to be described": "photographed, and nothing told of the bath",
    "to be typed in": "the bath stands on a photo of the pot sheet",
    "to be photographed": "the bath is told, and no photo taken",
    "to be measured": "photographed, and no colour read dry",
    "given out": "a code on a tag, and nothing else yet",
}


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


# Words that describe a fibre and stand before its name; others come after it.
_BEFORE = ("untreated", "superwash", "raw", "degummed", "scoured", "bleached", "mercerised")


# What a bath in one line leaves out, because it seldom tells two baths apart.
_LEFT_OUT = ("fibre_g", "water", "vessel", "wash_pH", "liquor_ratio")


def bath_words(conditions: Mapping[str, Any], *, brief: bool = False) -> list[str]:
    """A bath in a dyer's words, one line a treatment, in the order it is done. brief : without
    water, vessel and the like."""
    c = plain(conditions)
    if brief:
        c = {n: v for n, v in c.items() if n not in _LEFT_OUT}
    lines = [_before_dyeing(c)]
    for n, dyes in enumerate(_dye_baths(c)):
        parts = [("Dye with " if n == 0 else "Dye over with ") + " and ".join(dyes)]
        if n == 0:
            parts += [
                _unit(c, "pH", "pH {:g}"),
                _unit(c, "temperature_C", "{:g} °C"),
                _unit(c, "minutes", "{:g} min"),
                _unit(c, "liquor_ratio", "{:g} litres a kg"),
                f"bath number {c['bath_number']:g}" if c.get("bath_number", 1) > 1 else "",
                f"{c['water']} water" if "water" in c else "",
                f"in {c['vessel']}" if "vessel" in c else "",
            ]
        lines.append(_joined(parts))
    after = [s for s in ("", *(f"_{i}" for i in range(2, 10))) if _there(c, f"modifier{s}")]
    for slot in reversed(after):  # the last after-bath has no number, the one before it is 2
        lines.append(
            _joined(
                [
                    "After-bath of " + _amount(c, f"modifier{slot}", f"modifier_owf{slot}"),
                    _unit(c, f"modifier_pH{slot}", "pH {:g}"),
                    _unit(c, f"modifier_minutes{slot}", "{:g} min"),
                ]
            )
        )
    if "wash_pH" in c:
        lines.append(f"Wash at pH {c['wash_pH']:g}.")
    return lines


def plant_words(conditions: Mapping[str, Any]) -> str:
    """What a swatch was dyed with, in short: "weld and madder, then indigo"; "" where not told."""
    c = plain(conditions)
    baths: list[list[str]] = [[]]
    for slot in ("", *(f"_{i}" for i in range(2, 10))):
        if _there(c, f"dyestuff{slot}"):
            if slot and c.get(f"dye{slot}_how") == "over":
                baths.append([])
            baths[-1].append(str(c[f"dyestuff{slot}"]))
    return ", then ".join(" and ".join(dyes) for dyes in baths if dyes)


def fibre_words(conditions: Mapping[str, Any]) -> str:
    """A fibre with its form: "superwash wool"; "" where it is not told."""
    c = plain(conditions)
    fibre, form = str(c.get("fibre", "")), str(c.get("fibre_form", ""))
    if not fibre or not form:
        return fibre
    return f"{form} {fibre}" if form in _BEFORE else f"{fibre} ({form})"


def _before_dyeing(c: Mapping[str, Any]) -> str:
    fibre = fibre_words({"fibre": "fibre"} | dict(c))
    if "fibre_g" in c:
        fibre = f"{c['fibre_g']:g} g of {fibre}"
    roles = [r for r in ("tannin", "mordant") if _there(c, r)]
    if roles:
        given = ", then ".join(_amount(c, r, f"{r}_owf") for r in roles)
        return f"Mordant {fibre} with {given}." if "mordant" in roles else f"Give {fibre} {given}."
    none = "without a mordant" if c.get("mordant") == "none" else "mordant not noted"
    return f"Take {fibre}, {none}."


def _dye_baths(c: Mapping[str, Any]) -> list[list[str]]:
    """What went in together, one list a dye bath; what went over comes in a list of its own."""
    baths: list[list[str]] = [[]]
    for slot in ("", *(f"_{i}" for i in range(2, 10))):
        if "dyestuff" + slot not in c:
            continue
        parts = [str(c[k + slot]) for k in ("dyestuff_form", "dyestuff_lot") if _there(c, k + slot)]
        words = _amount(c, "dyestuff" + slot, "dye_owf" + slot)
        words += f" ({', '.join(parts)})" if parts else ""
        if slot and c.get(f"dye{slot}_how") == "over":
            baths.append([words])
        else:
            baths[-1].append(words)
    if _there(c, "assist"):
        baths[0].append(_amount(c, "assist", "assist_owf"))
    return [b for b in baths if b] or [["a dyestuff that is not noted"]]


def _there(c: Mapping[str, Any], name: str) -> bool:
    return str(c.get(name, "none")).casefold() != "none"


def _amount(c: Mapping[str, Any], name: str, owf: str) -> str:
    return f"{c[owf]:g} % {c[name]}" if c.get(owf) else str(c[name])


def _unit(c: Mapping[str, Any], name: str, text: str) -> str:
    return text.format(c[name]) if name in c else ""


def _joined(parts: list[str]) -> str:
    return ", ".join(p for p in parts if p) + "."


def chance_words(chance: float) -> str:
    """A chance as people say it: "about 6 in 10"."""
    tenths = round(chance * 10)
    if chance < 0.05:
        return "less than 1 in 20"
    if chance < 0.075:
        return "about 1 in 20"
    return "about 1 in 10" if tenths < 1 else f"about {min(tenths, 9)} in 10"


def waits_of(swatch: Swatch) -> tuple[str, ...]:
    """What is still to be done about a swatch, as words of `WAITS`; empty when all is there."""
    shown = {what for _, what in swatch.shown}
    seen = "swatch" in shown or bool(swatch.measurements)
    waits = []
    if not swatch.has_bath:
        if "pot sheet" in shown:
            waits.append("to be typed in")
        elif seen:
            waits.append("to be described")
        else:
            return ("given out",)
    if not seen:
        waits.append("to be photographed")
    elif swatch.measured is None:
        waits.append("to be measured")
    return tuple(waits)
