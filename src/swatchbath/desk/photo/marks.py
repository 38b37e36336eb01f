"""Tables of places in photos: cards, swatches, and whatever else of known colour lies there."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from ...errors import BadTable, BadValue
from ...library import as_lab, read_table
from ...photo import Card, Region
from .in_frame import NOTHING_MORE, InFrame, KnownInFrame, read_labs

# Corners of a chart, in the order in which they are marked.
_CORNERS = ("patch 1", "patch 6", "patch 24", "patch 19")
# Kinds of place in a table of marks.
KINDS = ("card", "white", "grey", "black", "swatch", "paper", "further", "beside", *_CORNERS)
_NEEDED = ("photo", "name", "kind", "x", "y", "half")
# Of these there is one in a photo; of the others as many as have names of their own.
_ONCE = {"card": "card", "grey": "card", "white": "white", "black": "black"}


@dataclass(frozen=True)
class Marks:
    """Places in one photo: the card (or white, grey and black), the swatches by name, where the
    plain sheet under them lies bare, further cards, swatches on record that lie beside by code or
    name, and the corners of a chart. labs : the cards' own colours where the table tells them."""

    cards: Mapping[str, Region]
    swatches: Mapping[str, Region]
    paper: Sequence[Region] = ()
    further: Sequence[Card] = ()
    beside: Mapping[str, Region] = field(default_factory=dict)
    chart: Sequence[tuple[float, float]] = ()
    labs: Mapping[str, Any] = field(default_factory=dict)

    def known(
        self, in_frame: InFrame = NOTHING_MORE, card_labs: Mapping[str, Any] | None = None
    ) -> KnownInFrame:
        """What of known colour lies there: as marked, and as typed for the photo.

        card_labs : the cards' own colours (white, grey, black), where the table tells none.
        """
        labs = {"card": (card_labs or {}).get("grey")} | dict(card_labs or {}) | dict(self.labs)
        known = in_frame.read(
            self.cards.get("card"), labs["card"], paper=self.paper, corners=self.chart
        )
        three = ("white", "card", "black")
        if all(k in self.cards and labs.get(k) is not None for k in three):
            white, black = (Card(self.cards[k], lab=labs[k]) for k in ("white", "black"))
            known = replace(known, white=white, black=black)
        return replace(known, further=[*known.further, *self.further])


def read_marks(path: str | Path) -> dict[str, Marks]:
    """Marks by photo, from a table with the columns photo, name, kind, x, y, half, and where a
    card's own colour is known, L, a, b."""
    table = read_table(path)
    called = Path(path).name
    missing = [c for c in _NEEDED if c not in table.columns]
    if missing:
        raise BadTable(
            f"{called} has no column '{missing[0]}'; a table of marks needs {', '.join(_NEEDED)}."
        )
    found: dict[str, _Found] = {}
    for row, there in zip(table.index.tolist(), table.to_dict("records"), strict=True):
        cells = {str(name): str(value) for name, value in there.items()}
        kind = cells["kind"].strip()
        if kind not in KINDS:
            raise BadTable(
                f"Row {row}, column kind: '{kind}' is not one of {', '.join(KINDS)}.",
                row=row,
                column="kind",
            )
        photo = cells["photo"].strip()
        found.setdefault(photo, _Found(photo)).add(row, kind, cells, called)
    return {photo: one.marks(called) for photo, one in found.items()}


class _Found:
    """The places of one photo, as they are read."""

    def __init__(self, photo: str) -> None:
        self.photo = photo
        self.places: dict[str, dict[str, Region]] = {}
        self.labs: dict[str, Any] = {}
        self.further: dict[str, Card] = {}

    def add(self, row: int, kind: str, cells: Mapping[str, str], called: str) -> None:
        corner = kind in _CORNERS
        x, y = (_pixels(cells[c], row, c, called) for c in ("x", "y"))
        half = 1.0 if corner else _pixels(cells["half"], row, "half", called)
        place = Region(x, y, half)
        group = "cards" if kind in _ONCE else "corners" if corner else kind
        key = _ONCE.get(kind, kind if corner else cells["name"].strip())
        if key in self.places.setdefault(group, {}):
            what = key or f"{kind} without a name"
            raise BadTable(
                f"Row {row}: {self.photo} already has a place for {what}; keep one.", row=row
            )
        if kind == "beside" and not key:
            raise BadTable(
                f"Row {row}, column name: a swatch that lies beside is named by its code or name.",
                row=row,
                column="name",
            )
        self.places[group][key] = place
        lab = _lab(cells, row, called)
        if kind == "further":
            self.further[key] = Card(place, lab=lab)
        elif lab is not None and kind in _ONCE:
            self.labs[key] = lab

    def marks(self, called: str) -> Marks:
        corners = self.places.get("corners", {})
        if corners and len(corners) < len(_CORNERS):
            absent = next(c for c in _CORNERS if c not in corners)
            raise BadTable(
                f"{called} marks a chart in {self.photo} and not its {absent}; mark the centres of "
                f"{', '.join(_CORNERS)}."
            )
        if twice := sorted(self.places.get("swatch", {}).keys() & self.places.get("beside", {})):
            raise BadTable(
                f"{called} marks {twice[0]} in {self.photo} as a swatch to be read and as one that "
                "lies beside; keep one."
            )
        return Marks(
            self.places.get("cards", {}),
            self.places.get("swatch", {}),
            tuple(self.places.get("paper", {}).values()),
            tuple(self.further.values()),
            self.places.get("beside", {}),
            [(corners[c].x, corners[c].y) for c in _CORNERS if c in corners],
            self.labs,
        )


def _pixels(text: str, row: int, name: str, called: str) -> float:
    try:
        value = float(text.strip().replace(",", "."))
        Region(*((value, 0.0, 1.0) if name != "half" else (0.0, 0.0, value)))
    except ValueError as error:
        size = ", above 0" if name == "half" else ""
        raise BadTable(
            f"Row {row} of {called}, column {name}: '{text.strip()}' is no number of pixels{size}. "
            "Mend the cell.",
            row=row,
            column=name,
        ) from error
    return value


def _lab(cells: Mapping[str, str], row: int, called: str) -> Any:
    """A colour told in the row, or None."""
    values = [cells.get(axis, "").strip() for axis in "Lab"]
    if not any(values):
        return None
    try:
        return as_lab([v.replace(",", ".") for v in values])
    except BadValue as error:
        raise BadTable(f"Row {row} of {called}: {error}", row=row) from error


def read_cards(path: str | Path) -> dict[str, Any]:
    """The cards' own colours, from a table with the columns patch (white, grey, black), L, a, b."""
    return read_labs(path, "patch")
