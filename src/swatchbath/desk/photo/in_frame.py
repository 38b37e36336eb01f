"""What of known colour, or of known light, lies in a photo: as a person types it, and as values."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

from ...errors import BadTable, BadValue
from ...library import as_lab, read_table
from ...photo import CameraProfile, Card, Chart, Region
from ...photo.correction.chart_values import read_chart_lab
from ..text.parse import parse_mark

# Options that say where something lies, so that they hold for one photo.
_PLACES = ("white", "black", "chart", "further", "paper", "beside")


@dataclass(frozen=True, eq=False)
class KnownInFrame:
    """What of known colour or light lies in one photo, as values.

    card, white, black : cards. chart : a 24-patch chart. known : name -> Lab of swatches in the
    photo. camera : a profile. further : cards elsewhere. paper : places on one plain sheet. blank :
    the photo of a blank sheet. encoding : as `read_photo` takes it.
    """

    card: Card | None = None
    white: Card | None = None
    black: Card | None = None
    chart: Chart | None = None
    known: Mapping[str, Any] = field(default_factory=dict)
    camera: CameraProfile | None = None
    further: Sequence[Card] = ()
    paper: Sequence[Region] = ()
    blank: str | Path | None = None
    encoding: str | None = None

    @property
    def keywords(self) -> dict[str, Any]:
        """The keywords of `swatchbath.measure` that tell of these."""
        three = [c for c in (self.white, self.card, self.black) if c is not None]
        return {
            "card": three if len(three) == 3 else self.card,
            "chart": self.chart,
            "known": self.known or None,
            "camera": self.camera,
            "also": self.further,
            "paper": self.paper,
            "flat": self.blank,
            "encoding": self.encoding,
        }


@dataclass(frozen=True)
class InFrame:
    """What lies in a photo beside the grey card and the swatches, as typed; nothing of it is
    needed.

    white, black : x,y,half,L,a,b, with which the grey card makes three greys. chart : x,y of the
    centres of patches 1, 6, 24 and 19; chart_lab : a file of its own values. known : a table with
    the columns name, L, a, b of swatches of known colour. camera : a profile's file. further :
    further cards, x,y,half or with L,a,b; paper : x,y,half on one plain sheet; blank : the photo of
    a blank sheet in the same place and light. beside : swatches on record, CODE=x,y or
    CODE=x,y,half, in whose frame the others are read. camera_name : what to call a camera that the
    photo does not name; sitting : what to call the photos taken at one go. linear : whether the
    file's values are proportional to light.
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
    beside: tuple[str, ...] = ()
    camera_name: str | None = None
    sitting: str | None = None
    linear: bool = False

    @property
    def encoding(self) -> str | None:
        """As `read_photo` takes it."""
        return "linear" if self.linear else None

    @property
    def has_card(self) -> bool:
        """Whether a chart is there, whose greys serve as the card."""
        return self.chart is not None

    @property
    def given(self) -> tuple[str, ...]:
        """What was given, by the names of the options."""
        return tuple(f"--{n.replace('_', '-')}" for n, value in vars(self).items() if value)

    @property
    def places(self) -> tuple[str, ...]:
        """Of `given`, what says where something lies, and so holds for one photo."""
        return tuple(o for o in self.given if o.removeprefix("--") in _PLACES)

    def read(
        self,
        card: Region | None = None,
        card_lab: Any = None,
        *,
        paper: Sequence[Region] = (),
        corners: Sequence[Any] = (),
    ) -> KnownInFrame:
        """As values, with the grey card's place and colour. paper : more places on the sheet.
        corners : of a chart that is marked in a table.

        Raises BadValue for what cannot be.
        """
        white = _card(self.white, "the white card", coloured=True)
        black = _card(self.black, "the black card", coloured=True)
        if (white is None) != (black is None):
            raise BadValue("Three greys need a white and a black card both; give the other too.")
        if white is not None and (card is None or card_lab is None):
            raise BadValue(
                "Three greys need the grey card's place and its own colour too; give --card and "
                "--card-lab."
            )
        where = corners if self.chart is None else parse_corners(self.chart)
        if self.chart_lab is not None and not len(where):
            raise BadValue("The chart's colours are given, and not where it is; add --chart.")
        labs = None if self.chart_lab is None else read_chart_lab(self.chart_lab)
        more = [_card(text, "a further card") for text in self.further]
        typed = [parse_mark(text, what="the paper") for text in self.paper]
        return KnownInFrame(
            card=None if card is None else Card(card, lab=card_lab),
            white=white,
            black=black,
            chart=Chart(where, lab=labs) if len(where) else None,
            known={} if self.known is None else read_known(self.known),
            camera=None if self.camera is None else CameraProfile.load(self.camera),
            further=[c for c in more if c is not None],
            paper=[*typed, *paper],
            blank=self.blank,
            encoding=self.encoding,
        )


NOTHING_MORE = InFrame()


def _card(text: str | None, what: str, *, coloured: bool = False) -> Card | None:
    if text is None:
        return None
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


def read_known(path: str | Path) -> dict[str, Any]:
    """Swatches of known colour, from a table with the columns name, L, a, b."""
    return read_labs(path, "name", "; a table of known swatches needs name, L, a, b.")


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
