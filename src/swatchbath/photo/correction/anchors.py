"""What of known colour lies in one photo's frame, read: the card, and anchors beside it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from ...colorimetry.lab import Array, numbers_of
from ...errors import BadValue, PhotoRefused, ShapeError
from ..file.read import Photo
from ..place.region import Region, RegionReading, read_region
from .card import (
    BY_PAPER_SD,
    NAMED_CARD_SD,
    PICTURED_SD,
    UNNAMED_CARD_LAB,
    UNNAMED_CARD_SD,
    Card,
    Chart,
)

# Doubt of an anchor: a chart's published value and its own unevenness (about 0.7 belongs to the
# reference itself), per axis.
ANCHOR_SD = 0.7
# Anchors with more of their pixels clipped than this are not used. Error 6 below, 8 and more above
# (see checks).
_ANCHOR_CLIPPED = 0.02
# Fewest swatches of known colour for the `known` rung: below, a fit on them did harm (trials on
# real charts).
FEWEST_KNOWN = 6


@dataclass(frozen=True, eq=False)
class Anchors:
    """Colours of known Lab that were read, in this photo or (see `photo`) in earlier ones.

    base_lab (m, 3): Lab after the base step; lab (m, 3): what they are known to be; sd: doubt of
    `lab` per axis, one number or (m,); photo: name of the photo each was read in, None = this one.
    """

    base_lab: Array
    lab: Array
    sd: float | Array = ANCHOR_SD
    photo: tuple[str | None, ...] | None = None

    def __post_init__(self) -> None:
        if self.base_lab.shape != self.lab.shape or self.lab.ndim != 2 or self.lab.shape[1] != 3:
            raise ShapeError(
                f"The known colours have the shapes {self.base_lab.shape} and {self.lab.shape}; "
                "give as many readings as known Lab values."
            )


@dataclass(frozen=True, eq=False)
class Frame:
    """What of known colour is in the frame: the card and its place, and anchors besides, each a
    reading with its Lab (3,). pictured : what stands for a card where there is none: "" (there is
    one), "picture" or "paper", with the photo's id in `photo`."""

    card: RegionReading
    region: Region
    card_lab: Array | None
    rung: str
    anchors: tuple[tuple[RegionReading, Array], ...] = ()
    pictured: str = ""
    photo: str = ""

    @property
    def anchors_rgb(self) -> Array:
        """(m, 3): the anchors in linear light."""
        return np.array([r.rgb for r, _ in self.anchors]).reshape(-1, 3)

    @property
    def anchors_lab(self) -> Array:
        """(m, 3): what the anchors are known to be."""
        return np.array([lab for _, lab in self.anchors]).reshape(-1, 3)

    @property
    def colour(self) -> Array:
        """(3,): the card's Lab, or an 18 % grey's."""
        return UNNAMED_CARD_LAB if self.card_lab is None else self.card_lab

    @property
    def card_id(self) -> str:
        """One card is taken to be the same in all photos: unnamed, or by its own colour."""
        if self.pictured:
            return f"pictured {self.photo}"
        return "unnamed" if self.card_lab is None else ",".join(f"{v:.2f}" for v in self.card_lab)

    @property
    def card_sd(self) -> tuple[float, float, float]:
        """Doubt of the card's Lab, per axis."""
        if self.pictured:
            return BY_PAPER_SD if self.pictured == "paper" else PICTURED_SD
        return UNNAMED_CARD_SD if self.card_lab is None else NAMED_CARD_SD


# Linear light of an 18 % grey where a picture is exposed as meters do, and of plain paper (from
# memory: office paper 0.80 to 0.88).
_GREY_LIGHT, _PAPER_LIGHT = 0.18, 0.84


def pictured_frame(photo: Photo, places: Sequence[Region], paper: Sequence[Region]) -> Frame:
    """A frame without a card: a grey midway between the places, as bright and as neutral as the
    picture takes for grey, or as the mean of the places on paper says.

    Differences of like colours in one photo hardly depend on the card. Raises PhotoRefused.
    """
    here = [read_region(photo, place, what="a place") for place in places]
    by = [read_region(photo, place, what="the paper") for place in paper]
    light = np.full(3, _GREY_LIGHT)
    if by:
        light = np.mean([r.rgb for r in by], axis=0) * _GREY_LIGHT / _PAPER_LIGHT
    middle = np.mean([r.centre for r in here], axis=0)
    card = replace(
        here[0], rgb=light, clipped=0.0, centre=(float(middle[0]), float(middle[1])),
        low=np.zeros(3, dtype=bool),
    )  # fmt: skip
    by_what = "paper" if by else "picture"
    return Frame(card, places[0], None, "pictured", pictured=by_what, photo=photo.id)


def read_frame(
    photo: Photo, card: Card | Region | Sequence[Card] | None, chart: Chart | None
) -> Frame:
    """Read what of known colour is marked; a card is needed, or a chart with a neutral patch.

    Raises PhotoRefused where there is neither, BadValue for what is no Card.
    """
    if not (card is None or isinstance(card, Card | Region | Sequence)) or isinstance(card, str):
        raise BadValue(f"The card is {card!r}; give Card(Region(x, y, half)), or three of them.")
    anchors: list[tuple[RegionReading, Array]] = []
    rung, reading, lab, region = "card", None, None, None
    if isinstance(card, Region):
        card = Card(card)
    if isinstance(card, Card):
        region, lab = card.region, card.lab
        reading = read_region(photo, region, what="the grey card")
    elif card is not None:
        white, grey, black = _three(list(card))
        region, lab, rung = grey.region, grey.lab, "greys"
        reading = read_region(photo, region, what="the grey card")
        seen_light = {}
        for other, what in ((white, "the white card"), (black, "the black card")):
            seen = read_region(photo, other.region, what=what)
            seen_light[what] = float(seen.rgb.mean())
            if seen.clipped <= _ANCHOR_CLIPPED and other.lab is not None:
                anchors.append((seen, other.lab))
        if not seen_light["the white card"] > reading.rgb.mean() > seen_light["the black card"]:
            raise PhotoRefused(
                f"In {photo.name} the white card does not read lighter than the grey one, and that "
                "lighter than the black. Exchange their places, or mark them again."
            )
    if chart is not None:
        regions = {n: r for n, r in chart.regions().items() if n in chart.used}
        patches = {n: read_region(photo, r, what=f"chart patch {n}") for n, r in regions.items()}
        rung = "chart"
        taken = 0
        if reading is None:
            taken = chart.card_patch
            reading, region, lab = patches[taken], regions[taken], chart.lab[taken - 1]
        for number, patch in patches.items():
            if number != taken and patch.clipped <= _ANCHOR_CLIPPED and not patch.low.any():
                anchors.append((patch, chart.lab[number - 1]))
    if reading is None or region is None:
        raise PhotoRefused(
            f"No grey card is marked in {photo.name}, so its colours cannot be told. Mark the "
            "card, or photograph again with a grey card beside the swatches."
        )
    return Frame(reading, region, lab, rung, tuple(anchors))


def _three(cards: list[Card]) -> tuple[Card, Card, Card]:
    if not all(isinstance(c, Card) for c in cards):
        raise BadValue(f"Three greys are three Cards, each with its own L*, a*, b*; not {cards!r}.")
    if len(cards) != 3 or any(c.lab is None for c in cards):
        raise BadValue(
            f"Three greys are a white, a grey and a black card, each with its own L*, a*, b*; "
            f"{len(cards)} cards were given, {sum(c.lab is None for c in cards)} without."
        )
    black, grey, white = sorted(cards, key=lambda c: float(c.lab[0]) if c.lab is not None else 0.0)
    return white, grey, black


def with_known(
    frame: Frame, known: Mapping[str, ArrayLike], readings: Mapping[str, RegionReading]
) -> Frame:
    """The frame with swatches of known Lab as anchors too. Raises BadValue for too few."""
    usable = [name for name in known if name in readings]
    if len(usable) < FEWEST_KNOWN:
        raise BadValue(
            f"{len(usable)} of the swatches of known colour could be read; at least "
            f"{FEWEST_KNOWN} are needed, or they do more harm than good. Mark more of them."
        )
    labs = np.array([numbers_of(known[name], f"The colour of {name}") for name in usable])
    if labs.shape != (len(usable), 3) or not np.isfinite(labs).all():
        raise BadValue("Each swatch of known colour needs three numbers, L*, a*, b*.")
    rung = "chart" if frame.rung == "chart" else "known"
    more = tuple((readings[name], lab) for name, lab in zip(usable, labs, strict=True))
    return replace(frame, rung=rung, anchors=frame.anchors + more)
