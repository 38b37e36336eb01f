"""What screens say of baths, chances and swatches, in a dyer's words."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from datetime import date, datetime
from typing import Any

import numpy as np
import pandas as pd

from ...colorimetry.lab import lab_to_srgb
from ...colorimetry.words import colour_words, difference_words
from ...library import Swatch

# What a swatch may wait for, in the order it is listed.
WAITS = {
    "to be described": "photographed, and nothing recorded of the bath",
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
    if tenths == 2:
        return "about 1 in 5"
    return "about 1 in 10" if tenths < 1 else f"about {min(tenths, 9)} in 10"


def pots_words(chance: float) -> str:
    """A chance as pots: "about 6 pots in 10", "less than 1 pot in 20".

    >>> pots_words(0.58), pots_words(0.01)
    ('about 6 pots in 10', 'less than 1 pot in 20')
    """
    count, _, of = chance_words(chance).rpartition(" in ")
    return f"{count} {'pot' if count.endswith(' 1') else 'pots'} in {of}"


def odds_words(chance: float, tolerance: float, high: float) -> str:
    """How often the next pot comes out close enough, and how far 9 in 10 lie.

    >>> odds_words(0.2, 3, 9.1)
    'About 1 pot in 5 comes out close enough (within 3); 9 in 10 within 9.'
    """
    return f"{close_enough_words(chance, tolerance)[:-1]}; 9 in 10 within {high:.0f}."


def close_enough_words(chance: float, tolerance: float) -> str:
    """How often the next pot comes out close enough.

    >>> close_enough_words(0.6, 2)
    'About 6 pots in 10 come out close enough (within 2).'
    """
    pots = pots_words(chance).replace("less than", "fewer than")
    comes = "comes" if " pot in" in pots else "come"
    return f"{pots[0].upper()}{pots[1:]} {comes} out close enough (within {tolerance:g})."


def expect_words(lab: Any, asked: Any) -> str:
    """The colour a bath is expected to give beside the one asked for.

    >>> expect_words([45, 23, 17], [45, 25, 16])
    'Expect red-brown, a touch yellower than asked.'
    """
    ways = difference_words(lab, asked)
    colour = colour_words(lab)
    if ways.startswith("no difference"):
        return f"Expect {colour}, as asked."
    first, _, last = ways.rpartition(", ")
    return f"Expect {colour}, {f'{first} and {last}' if first else last} than asked."


# How much more or less than before, as a dyer says it: up to which share of it, in words. Common
# practice, no source.
_SHARES = (
    (0.29, "a quarter of the"), (0.4, "a third of the"), (0.58, "half the"),
    (0.7, "a third less"), (0.78, "a quarter less"), (0.86, "a fifth less"),
    (0.95, "a tenth less"), (1.05, "the same"), (1.15, "a tenth more"), (1.22, "a fifth more"),
    (1.29, "a quarter more"), (1.42, "a third more"), (1.75, "half as much again of the"),
    (2.4, "twice the"), (3.5, "three times the"),
)  # fmt: skip


def share_words(scaled: float, dyestuff: str) -> str:
    """A dyestuff by how many times of what it was: "a third more weld", "half the madder".

    >>> share_words(1.33, "weld"), share_words(0.5, "madder")
    ('a third more weld', 'half the madder')
    """
    for end, words in _SHARES:
        if scaled <= end:
            return f"{words} {dyestuff}"
    return f"{scaled:.0f} times the {dyestuff}"


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
    return waits_for(
        swatch.has_bath,
        {what for _, what in swatch.shown},
        read=bool(swatch.measurements),
        dry=swatch.measured is not None,
    )


def waits_for(has_bath: bool, shown: Collection[str], *, read: bool, dry: bool) -> tuple[str, ...]:
    """The same for what is told of a bath, what photos show, and what was read, wet or dry."""
    seen = "swatch" in shown or read
    waits = []
    if not has_bath:
        if "pot sheet" in shown:
            waits.append("to be typed in")
        elif seen:
            waits.append("to be described")
        else:
            return ("given out",)
    if not seen:
        waits.append("to be photographed")
    elif not dry:
        waits.append("to be measured")
    return tuple(waits)
