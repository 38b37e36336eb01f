"""What screens say of baths, chances and swatches, in a dyer's words."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
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


def _there(c: Mapping[str, Any], name: str) -> bool:
    return str(c.get(name, "none")).casefold() != "none"


def chance_words(chance: float) -> str:
    """A chance as people say it: "about 6 in 10"."""
    tenths = round(chance * 10)
    if chance < 0.05:
        return "less than 1 in 20"
    if chance < 0.075:
        return "about 1 in 20"
    return "about 1 in 10" if tenths < 1 else f"about {min(tenths, 9)} in 10"


def pots_words(chance: float) -> str:
    """A chance as pots: "about 6 pots in 10", "less than 1 pot in 20".

    >>> pots_words(0.58), pots_words(0.01)
    ('about 6 pots in 10', 'less than 1 pot in 20')
    """
    count, _, of = chance_words(chance).rpartition(" in ")
    return f"{count} {'pot' if count.endswith(' 1') else 'pots'} in {of}"


def grams_words(grams: float) -> str:
    """A weight as it is weighed, to three figures: "1.2 kg", "84 g", "0.35 g".

    >>> grams_words(1140.0), grams_words(4.9), grams_words(0.3549), grams_words(999.9)
    ('1.14 kg', '4.9 g', '0.355 g', '1 kg')
    """
    three = float(f"{grams:.3g}")
    return f"{_figure(three / 1000)} kg" if three >= 1000 else f"{_figure(three)} g"


def litres_words(litres: float) -> str:
    """Water as it is measured out, to three figures: "36 litres", "1 litre", "300 ml"."""
    three = float(f"{litres:.3g}")
    if three < 1:
        return f"{_figure(three * 1000)} ml"
    return f"{_figure(three)} litre{'' if three == 1 else 's'}"


def _figure(value: float) -> str:
    """A number without an exponent and without zeros at its end."""
    return f"{float(f'{value:.6g}'):.6f}".rstrip("0").rstrip(".")


_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def day_words(day: str) -> str:
    """A day as people write it, "28 Nov 2026"; what is no date stays as it is."""
    try:
        on = date.fromisoformat(day)
    except ValueError:
        return day
    return f"{on.day} {_MONTHS[on.month - 1]} {on.year}"


def when_words(stamp: str) -> str:
    """A moment on record, told in the time zone of the machine: "28 Nov 2026, 10:12"; what is no
    moment, as an old record may hold, stays as it is."""
    try:
        at = datetime.fromisoformat(stamp).astimezone()
    except ValueError:
        return stamp
    return f"{day_words(at.date().isoformat())}, {at:%H:%M}"


def counted(count: int, one: str, many: str = "") -> str:
    """So many of something: "1 swatch", "3 swatches"; many : where an s is not enough."""
    return f"{count} {one if count == 1 else many or one + 's'}"


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
