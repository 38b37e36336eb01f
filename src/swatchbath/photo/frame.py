"""What of known colour lies in one photo's frame, read: the card, and anchors beside it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ..colorimetry.lab import Array, numbers_of
from ..errors import BadValue, PhotoRefused
from .card import Card, Chart
from .read import Photo
from .region import Reading, Region, read_region
from .rungs import UNNAMED_CARD_LAB

__all__ = ["FEWEST_KNOWN", "Frame", "read_frame", "with_known"]

# Anchors with more of their pixels clipped than this are not used. Error 6 below, 8 and more above
# (see checks).
_ANCHOR_CLIPPED = 0.02
# Fewest swatches of known colour for the `known` rung: below, a fit on them did harm (trials on
# real charts).
FEWEST_KNOWN = 6


@dataclass(frozen=True, eq=False)
class Frame:
    """What of known colour is in the frame: the card, and anchors besides (m, 3)."""

    card: Reading
    card_lab: Array | None
    rung: str
    anchors_rgb: Array
    anchors_lab: Array

    @property
    def colour(self) -> Array:
        """(3,): the card's Lab, or an 18 % grey's."""
        return UNNAMED_CARD_LAB if self.card_lab is None else self.card_lab

    @property
    def card_id(self) -> str:
        """One card is taken to be the same in all photos: unnamed, or by its own colour."""
        return "unnamed" if self.card_lab is None else ",".join(f"{v:.2f}" for v in self.card_lab)


def read_frame(
    photo: Photo, card: Card | Region | Sequence[Card] | None, chart: Chart | None
) -> Frame:
    """Read what of known colour is marked; a card is needed, or a chart with a neutral patch.

    Raises PhotoRefused where there is neither, BadValue for what is no Card.
    """
    if not (card is None or isinstance(card, Card | Region | Sequence)) or isinstance(card, str):
        raise BadValue(f"The card is {card!r}; give Card(Region(x, y, half)), or three of them.")
    anchors_rgb: list[Array] = []
    anchors_lab: list[Array] = []
    rung, reading, lab = "card", None, None
    if isinstance(card, Region):
        card = Card(card)
    if isinstance(card, Card):
        reading, lab = read_region(photo, card.region, what="the grey card"), card.lab
    elif card is not None:
        white, grey, black = _three(list(card))
        reading, lab, rung = (
            read_region(photo, grey.region, what="the grey card"),
            grey.lab,
            "greys",
        )
        for other, what in ((white, "the white card"), (black, "the black card")):
            seen = read_region(photo, other.region, what=what)
            if seen.clipped <= _ANCHOR_CLIPPED and other.lab is not None:
                anchors_rgb.append(seen.rgb)
                anchors_lab.append(other.lab)
    if chart is not None:
        patches = {
            number: read_region(photo, region, what=f"chart patch {number}")
            for number, region in chart.regions().items()
            if number in chart.used
        }
        rung = "chart"
        taken = 0
        if reading is None:
            taken = chart.card_patch
            reading, lab = patches[taken], chart.lab[taken - 1]
        for number, patch in patches.items():
            if number != taken and patch.clipped <= _ANCHOR_CLIPPED:
                anchors_rgb.append(patch.rgb)
                anchors_lab.append(chart.lab[number - 1])
    if reading is None:
        raise PhotoRefused(
            f"No grey card is marked in {photo.name}, so its colours cannot be told. Mark the "
            "card, or photograph again with a grey card beside the swatches."
        )
    return Frame(
        reading,
        lab,
        rung,
        np.array(anchors_rgb).reshape(-1, 3),
        np.array(anchors_lab).reshape(-1, 3),
    )


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
    frame: Frame, known: Mapping[str, ArrayLike], readings: Mapping[str, Reading]
) -> Frame:
    usable = [name for name in known if name in readings]
    if len(usable) < FEWEST_KNOWN:
        raise BadValue(
            f"{len(usable)} of the swatches of known colour could be read; at least "
            f"{FEWEST_KNOWN} are needed, or they do more harm than good. Mark more of them."
        )
    labs = np.array([numbers_of(known[name], f"The colour of {name}") for name in usable])
    if labs.shape != (len(usable), 3) or not np.isfinite(labs).all():
        raise BadValue("Each swatch of known colour needs three numbers, L*, a*, b*.")
    rgb = np.array([readings[name].rgb for name in usable])
    return Frame(
        frame.card,
        frame.card_lab,
        "chart" if frame.rung == "chart" else "known",
        np.concatenate([frame.anchors_rgb, rgb]),
        np.concatenate([frame.anchors_lab, labs]),
    )
