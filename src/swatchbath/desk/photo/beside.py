"""What else of known colour, or of known light, lies in a photo, as a person types it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from ...errors import BadTable, BadValue
from ...library import as_lab, read_table
from ...photo import CameraProfile, Card, Chart, Region
from ...photo.correction.chart_values import read_chart_lab
from ..text.parse import parse_mark


@dataclass(frozen=True)
class Beside:
    """What lies beside the grey card, as typed; nothing of it is needed.

    white, black : x,y,half,L,a,b, with which the grey card makes three greys. chart : x,y of the
    centres of patches 1, 6, 24 and 19; chart_lab : a file of its own values. known : a table with
    the columns name, L, a, b of swatches of known colour. camera : a profile's file. further :
    further cards, x,y,half or with L,a,b; paper : x,y,half on one plain sheet; blank : the photo of
    a blank sheet in the same place and light.
    """

    white: str | None = None
    black: str | None = None
    chart: str | None = None
    chart_lab: str | None = None
    known: str | None = None
    camera: str | None = None
    further: tuple[str, ...] = ()
    paper: tuple[str, ...] = ()
    blank: str | None = None

    @property
    def has_card(self) -> bool:
        """Whether a chart is there, whose greys serve as the card."""
        return self.chart is not None

    def read(self, card: Region | None, card_lab: Any) -> dict[str, Any]:
        """The keywords of `swatchbath.measure`, but for path and swatches. Raises BadValue."""
        given: dict[str, Any] = {"card": None if card is None else Card(card, lab=card_lab)}
        if (self.white is None) != (self.black is None):
            raise BadValue("Three greys need a white and a black card both; give the other too.")
        if self.white is not None and self.black is not None:
            if card is None or card_lab is None:
                raise BadValue(
                    "Three greys need the grey card's place and its own colour too; give --card "
                    "and --card-lab."
                )
            given["card"] = [
                _card(self.white, "the white card", coloured=True),
                Card(card, lab=card_lab),
                _card(self.black, "the black card", coloured=True),
            ]
        if self.chart_lab is not None and self.chart is None:
            raise BadValue("The chart's colours are given, and not where it is; add --chart.")
        if self.chart is not None:
            labs = None if self.chart_lab is None else read_chart_lab(self.chart_lab)
            given["chart"] = Chart(parse_corners(self.chart), lab=labs)
        if self.known is not None:
            given["known"] = read_labs(
                self.known, "name", "; a table of known swatches needs name, L, a, b."
            )
        if self.camera is not None:
            given["camera"] = CameraProfile.load(self.camera)
        given["also"] = [_card(text, "a further card") for text in self.further]
        given["paper"] = [parse_mark(text, what="the paper") for text in self.paper]
        given["flat"] = self.blank
        return given


NOTHING_BESIDE = Beside()


def _card(text: str, what: str, *, coloured: bool = False) -> Card:
    parts = [p for p in re.split(r"[,;\s]+", text.strip()) if p]
    if len(parts) not in ((6,) if coloured else (3, 6)):
        shape = "x,y,half,L,a,b" if coloured else "x,y,half, or x,y,half,L,a,b"
        raise BadValue(f"{what[0].upper() + what[1:]} is '{text}'; give {shape}.")
    lab = as_lab(parts[3:]) if len(parts) == 6 else None
    return Card(parse_mark(",".join(parts[:3]), what=what), lab=lab)


def parse_corners(text: str) -> list[list[float]]:
    parts = [p for p in re.split(r"[,;\s]+", text.strip()) if p]
    try:
        numbers = [float(p) for p in parts]
    except ValueError:
        numbers = []
    if len(numbers) != 8:
        raise BadValue(
            f"The chart's corners are '{text}'; give x,y of the centres of patches 1, 6, 24 and "
            "19, eight numbers in all."
        )
    return np.array(numbers).reshape(4, 2).tolist()


def read_labs(path: str | Path, name: str, ending: str = ".") -> dict[str, Any]:
    """Colours by name, from a table with the columns `name`, L, a, b. ending : of what is said
    where one is missing."""
    table = read_table(path)
    missing = [c for c in (name, "L", "a", "b") if c not in table.columns]
    if missing:
        raise BadTable(f"{Path(path).name} has no column '{missing[0]}'{ending}")
    labs = {}
    for row, cells in zip(table.index, table.to_dict("records"), strict=True):
        try:
            labs[cells[name].strip()] = as_lab([cells["L"], cells["a"], cells["b"]])
        except BadValue as error:
            raise BadTable(f"Row {row} of {Path(path).name}: {error}", row=row) from error
    return labs
