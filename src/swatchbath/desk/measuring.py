"""Photo to colours, with the places typed or listed in a table of marks."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ..colorimetry.covariance import give_or_take
from ..colorimetry.hue import colour_words
from ..colorimetry.measured import Measurement
from ..errors import BadTable, BadValue, NotFound, PhotoRefused
from ..library import as_lab, read_table
from ..photo import Card, Region, Shot
from ..photo import measure as measure_photo
from .typed import parse_lab, parse_mark
from .wording import screen

# Kinds of place in a table of marks.
KINDS = ("card", "white", "grey", "black", "swatch")
Progress = Callable[[int, int, str], None]


@dataclass(frozen=True)
class Marks:
    """Places in one photo: the card (or white, grey and black) and the swatches by name."""

    cards: Mapping[str, Region]
    swatches: Mapping[str, Region]

    def card(self, card_labs: Mapping[str, Any] | None) -> Card | list[Card] | None:
        """What `measure` takes: one card, or the three greys where their colours are known."""
        labs = card_labs or {}
        three = ("white", "card", "black")
        lab_of = {"white": labs.get("white"), "card": labs.get("grey"), "black": labs.get("black")}
        if all(k in self.cards for k in three) and all(lab_of[k] is not None for k in three):
            return [Card(self.cards[k], lab=lab_of[k]) for k in three]
        if "card" in self.cards:
            return Card(self.cards["card"], lab=lab_of["card"])
        return None


def measure(
    photo: str | Path,
    *,
    card: Region | None,
    swatches: Mapping[str, Region],
    card_lab: Any = None,
    encoding: str | None = None,
) -> Shot:
    """Measure swatches in a photo against one grey card; the desk's twin of `swatchbath.measure`.

    card_lab : the card's own Lab, else it is taken as an 18 % grey with the doubt of one.
    """
    if not swatches:
        raise BadValue("No swatch is marked. Mark at least one place with a swatch.")
    given = None if card is None else Card(card, lab=card_lab)
    return measure_photo(photo, card=given, swatches=swatches, encoding=encoding)


def measure_typed(
    photo: str,
    *,
    card: str | None = None,
    card_lab: str | None = None,
    swatches: Iterable[str] = (),
    marks: str | None = None,
    encoding: str | None = None,
) -> dict[str, Any]:
    """`measure` with places as typed (NAME=x,y,half), or from a table of marks; plain values."""
    lab = None if card_lab is None else parse_lab(card_lab)
    if marks:
        places = read_marks(marks)
        name = Path(photo).name
        if name not in places:
            raise BadValue(f"{Path(marks).name} has no row for the photo {name}.")
        labs = None if lab is None else {"grey": lab}
        shot = measure_photo(
            photo,
            card=places[name].card(labs),
            swatches=places[name].swatches,
            encoding=encoding,
        )
    else:
        named: dict[str, Region] = {}
        for number, item in enumerate(swatches, start=1):
            called, sign, place = item.rpartition("=")
            called = called if sign else str(number)
            if called in named:
                raise BadValue(f"Two swatches are called {called}; give each a name of its own.")
            named[called] = parse_mark(place, what=f"swatch {called}")
        region = None if card is None else parse_mark(card, what="the card")
        shot = measure(photo, card=region, swatches=named, card_lab=lab, encoding=encoding)
    return {
        "photo": Path(photo).name,
        "swatches": [measured_as_dict(n, shot[n]) for n in shot],
        "refused": dict(shot.refused),
        "notes": list(shot.notes),
        "checks": [
            {"name": c.name, "level": c.level, "sentence": c.sentence, "remedy": c.remedy}
            for c in shot.checks
        ],
    }


def measured_as_dict(name: str, reading: Measurement) -> dict[str, Any]:
    """One reading as plain values for JSON, with what a screen needs to show it."""
    return {
        "name": name,
        "lab": reading.lab.tolist(),
        "give_or_take": give_or_take(reading.lab, reading.covariance),
        "covariance": reading.covariance.tolist(),
        "repeatability": reading.repeatability.tolist(),
        "trueness": reading.trueness.tolist(),
        "rung": reading.rung,
        "light": reading.light,
        "observer": reading.observer,
        "words": colour_words(reading.lab),
        "checks": [
            {"name": c.name, "level": c.level, "sentence": c.sentence, "remedy": c.remedy}
            for c in reading.checks
            if c.level != "fine"
        ],
        "notes": list(reading.notes),
    } | screen(reading.lab)


def read_marks(path: str | Path) -> dict[str, Marks]:
    """Marks by photo, from a table with the columns photo, name, kind, x, y, half."""
    table = read_table(path)
    needed = ("photo", "name", "kind", "x", "y", "half")
    missing = [c for c in needed if c not in table.columns]
    if missing:
        raise BadTable(
            f"{Path(path).name} has no column '{missing[0]}'; a table of marks needs "
            f"{', '.join(needed)}."
        )
    cards: dict[str, dict[str, Region]] = {}
    swatches: dict[str, dict[str, Region]] = {}
    for row, cells in zip(table.index, table.to_dict("records"), strict=True):
        kind, photo, name = cells["kind"].strip(), cells["photo"].strip(), cells["name"].strip()
        if kind not in KINDS:
            raise BadTable(
                f"Row {row}, column kind: '{kind}' is not one of {', '.join(KINDS)}.",
                row=row,
                column="kind",
            )
        x, y, half = (_pixels(cells[c], row, c) for c in ("x", "y", "half"))
        place = Region(x, y, half)
        target = swatches if kind == "swatch" else cards
        key = name if kind == "swatch" else "card" if kind == "grey" else kind
        if key in target.setdefault(photo, {}):
            raise BadTable(f"Row {row}: {photo} already has a place for {key}; keep one.", row=row)
        target[photo][key] = place
    return {p: Marks(cards.get(p, {}), swatches.get(p, {})) for p in {**cards, **swatches}}


def _pixels(text: str, row: int, name: str) -> float:
    try:
        return float(text.replace(",", "."))
    except ValueError as error:
        raise BadTable(
            f"Row {row}, column {name}: '{text}' is not a number of pixels.", row=row, column=name
        ) from error


def read_cards(path: str | Path) -> dict[str, Any]:
    """The cards' own colours, from a table with the columns patch (white, grey, black), L, a, b."""
    table = read_table(path)
    missing = [c for c in ("patch", "L", "a", "b") if c not in table.columns]
    if missing:
        raise BadTable(f"{Path(path).name} has no column '{missing[0]}'.")
    labs = {}
    for row, cells in zip(table.index, table.to_dict("records"), strict=True):
        try:
            labs[cells["patch"].strip()] = as_lab([cells["L"], cells["a"], cells["b"]])
        except BadValue as error:
            raise BadTable(f"Row {row} of {Path(path).name}: {error}", row=row) from error
    return labs


def measure_all(
    folder: Path,
    marks: Mapping[str, Marks],
    photos: Iterable[str],
    *,
    card_labs: Mapping[str, Any] | None = None,
    progress: Progress | None = None,
) -> tuple[dict[str, Shot], dict[str, str]]:
    """Measure every photo; returns the shots and, for photos that cannot be used, why not.

    Raises NotFound when one is not there, BadTable when it has no marks.
    """
    shots: dict[str, Shot] = {}
    refused: dict[str, str] = {}
    names = sorted(set(photos))
    for name in names:
        if name not in marks:
            raise BadTable(f"The photo {name} has no marks; add rows for its card and swatches.")
        if not (folder / name).is_file():
            raise NotFound(
                f"The photo {name} is not in {folder}. Name the folder of the photos with --photos."
            )
    for i, name in enumerate(names):
        if progress:
            progress(i, len(names), f"measuring {name}")
        try:
            shots[name] = measure_photo(
                folder / name, card=marks[name].card(card_labs), swatches=marks[name].swatches
            )
        except PhotoRefused as error:
            refused[name] = str(error)
    if progress:
        progress(len(names), len(names), "measured")
    return shots, refused
