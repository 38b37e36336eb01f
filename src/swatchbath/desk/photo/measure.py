"""Photo to colours, with the places typed or listed in a table of marks."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ...colorimetry.covariance import give_or_take
from ...colorimetry.measurement import Measurement
from ...colorimetry.words import colour_words
from ...errors import BadTable, BadValue, NotFound, PhotoRefused
from ...library import read_table
from ...photo import Card, Photo, Region, Shot, read_photo
from ...photo import measure as measure_photo
from ...photo.place.preview import outline
from ..text.parse import parse_lab
from ..text.wording import screen
from .beside import NOTHING_BESIDE, Beside, read_labs
from .places import Places, preview_path, typed_places, write_preview

# Kinds of place in a table of marks.
KINDS = ("card", "white", "grey", "black", "swatch", "paper")
Progress = Callable[[int, int, str], None]


@dataclass(frozen=True)
class Marks:
    """Places in one photo: the card (or white, grey and black), the swatches by name, and where
    the plain sheet under them lies bare."""

    cards: Mapping[str, Region]
    swatches: Mapping[str, Region]
    paper: Sequence[Region] = ()

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
    photo: str | Path | Photo,
    *,
    card: Region | None,
    swatches: Mapping[str, Region],
    card_lab: Any = None,
    encoding: str | None = None,
    paper: Sequence[Region] = (),
    beside: Beside = NOTHING_BESIDE,
) -> Shot:
    """Measure swatches in a photo against a grey card; the desk's twin of `swatchbath.measure`.

    card_lab : the card's own Lab, else it is taken as an 18 % grey with the doubt of one. paper :
    places on the sheet under them. beside : what else of known colour or light is there.
    """
    if not swatches:
        raise BadValue("No swatch is marked. Mark at least one place with a swatch.")
    given = beside.read(card, card_lab)
    given["paper"] = [*given["paper"], *paper]
    return measure_photo(photo, swatches=swatches, encoding=encoding, **given)


def measure_typed(
    photo: str,
    *,
    card: str | None = None,
    card_lab: str | None = None,
    swatches: Iterable[str] = (),
    marks: str | None = None,
    encoding: str | None = None,
    preview: str | None = None,
    beside: Beside = NOTHING_BESIDE,
) -> dict[str, Any]:
    """`measure` with places as typed, or from a table of marks; plain values.

    card, swatches : x,y,half (a mark) or x,y (a touch, grown to the thing's edge), the swatches'
    as NAME=...; what is not given is looked for on the photo sheet. marks : a table instead.
    preview : where the picture of places that were found is written, else beside the photo.
    beside : what else of known colour or light is there.
    """
    swatches = list(swatches)
    lab = None if card_lab is None else parse_lab(card_lab)
    drawn = None
    if marks:
        _refuse_both(card, swatches, preview)
        name = Path(photo).name
        table = read_marks(marks)
        if name not in table:
            raise BadValue(f"{Path(marks).name} has no row for the photo {name}.")
        places = Places(table[name].cards.get("card"), table[name].swatches)
        shot = measure(
            photo, card=places.card, swatches=places.swatches, card_lab=lab, encoding=encoding,
            paper=table[name].paper, beside=beside,
        )  # fmt: skip
    else:
        opened = read_photo(photo, encoding=encoding)
        places = typed_places(opened, card, swatches, card_needed=not beside.has_card)
        if places.found:
            drawn = preview_path(photo, preview)
        elif preview:
            raise BadValue(
                "Every place was marked with its size, so there is none to confirm. Leave "
                "--preview out, or give the places as x,y."
            )
        shot = measure(
            opened,
            card=places.card,
            swatches=places.swatches,
            card_lab=lab,
            encoding=encoding,
            paper=places.paper,
            beside=beside,
        )
        if drawn is not None:
            write_preview(opened, places, drawn)
    if not len(shot):
        raise PhotoRefused(" ".join(shot.refused.values()), checks=shot.checks)
    return {
        "photo": Path(photo).name,
        "found": list(places.found),
        "preview": None if drawn is None else str(drawn),
        "places": {n: _as_points(r) for n, r in places.all().items()} if places.found else {},
        "rung": shot.rung,
        "swatches": [
            measured_as_dict(n, shot[n])
            | {"strand": shot.strands[n].tolist(), "uneven": shot.uneven[n]}
            for n in shot
        ],
        "refused": dict(shot.refused),
        "notes": [*places.notes, *shot.notes],
        "checks": [dict(vars(c)) for c in shot.checks],
    }


def _refuse_both(card: str | None, swatches: list[str], preview: str | None) -> None:
    given = {"--card": card, "--swatch": swatches, "--preview": preview}
    for option in [o for o, value in given.items() if value]:
        raise BadValue(f"{option} and --marks were both given; leave one of them out.")


def _as_points(region: Region) -> list[list[float]]:
    """The corners of a place, in pixels of the upright picture."""
    return [[round(float(v), 1) for v in point] for point in outline(region)]


def measured_as_dict(name: str, reading: Measurement) -> dict[str, Any]:
    """One reading as plain values for JSON, with what a screen needs to show it."""
    return {
        "name": name,
        "lab": reading.lab.tolist(),
        "give_or_take": give_or_take(reading.lab, reading.covariance, reading.degrees),
        "covariance": reading.covariance.tolist(),
        "repeatability": reading.repeatability.tolist(),
        "trueness": reading.trueness.tolist(),
        "rung": reading.rung,
        "light": reading.light,
        "observer": reading.observer,
        "words": colour_words(reading.lab),
        "checks": [dict(vars(c)) for c in reading.checks if c.level != "fine"],
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
    papers: dict[str, dict[str, Region]] = {}
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
        target = {"swatch": swatches, "paper": papers}.get(kind, cards)
        key = name if kind in ("swatch", "paper") else "card" if kind == "grey" else kind
        if key in target.setdefault(photo, {}):
            raise BadTable(f"Row {row}: {photo} already has a place for {key}; keep one.", row=row)
        target[photo][key] = place
    return {
        p: Marks(cards.get(p, {}), swatches.get(p, {}), tuple(papers.get(p, {}).values()))
        for p in {**cards, **swatches, **papers}
    }


def _pixels(text: str, row: int, name: str) -> float:
    try:
        return float(text.replace(",", "."))
    except ValueError as error:
        raise BadTable(
            f"Row {row}, column {name}: '{text}' is not a number of pixels.", row=row, column=name
        ) from error


def read_cards(path: str | Path) -> dict[str, Any]:
    """The cards' own colours, from a table with the columns patch (white, grey, black), L, a, b."""
    return read_labs(path, "patch")


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
                folder / name,
                card=marks[name].card(card_labs),
                swatches=marks[name].swatches,
                paper=marks[name].paper,
            )
        except PhotoRefused as error:
            refused[name] = str(error)
    if progress:
        progress(len(names), len(names), "measured")
    return shots, refused
