"""How evenly a frame is lit, its fall-off: from nothing at all, further cards, paper, a blank.

The logarithm of the brightness over the frame, relative to the card's place, is a tilted plane with
a gentle bend: weights with known standard deviations on a few fixed features of the place. What is
seen of it moves the weights (linear regression with a prior; Rasmussen and Williams 2006, chapter
2, from memory); what is not seen stays as doubt, shared by all that lies in the photo.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from ...colorimetry.lab import SRGB_TO_XYZ, Array, lab_to_xyz
from ...colorimetry.measurement import Check, Level
from ...errors import BadValue
from ..file.read import Photo, read_photo
from ..place.region import Region, RegionReading, read_region
from .anchors import Frame
from .base import base_lab
from .card import UNNAMED_CARD_LAB, Card

# The plane's standard deviation over one frame diagonal, in each direction. Light beside a chart
# was 0.80 to 0.94 of that at the chart over about half a frame (81 colours photographed by four
# phones).
_TILT_SD = 0.2
# The same of ordinary light: where nothing in the frame tells of it, and until what is seen says
# that it is less even. The interval of two copies 0.4 of a diagonal apart then holds 0 at any
# unevenness from 0 to 30 %, and a match can be told at a tolerance of about 2, where the wider one
# needs 3 (tests/studies/score_beside.py).
_ORDINARY_TILT_SD = 0.1
# The bend's standard deviation, its length in frame diagonals, and how many waves make it; our own
# choice: lenses and windows bend light gently.
_BENT_SD, _BENT_LENGTH, _WAVES = 0.03, 0.4, 8
# Of one reading: how a card lies, its gloss, texture. The
# light may shift between a photo and that of the blank sheet. Common practice, no source.
_CARD_SD, _PAPER_SD, _FLAT_SD = 0.02, 0.02, 0.015
# How white paper is beside the card is not known (natural logarithm).
_PAPER_UNKNOWN = 1.0
# A card lighter or darker than the grey card also answers to the camera's tone curve, whose
# exponent has this standard deviation (`tone` in typical_camera.json).
_TONE_SD = 0.12
# (fine up to, doubtful up to) as a share: what is corrected is fine up to 5 %; two fifths
# more or less is no place for a swatch. The first from chart photos, the second our own choice.
_UNEVEN = (0.05, 0.4)
# (fine up to, doubtful up to) of the light's colour over the frame, in units of a*, b*: a cast of 4
# is plainly seen on grey. Our own choice.
_TINT = (4.0, 10.0)
_FREQUENCIES = np.random.default_rng(0).standard_normal((_WAVES, 2)) / _BENT_LENGTH


@dataclass(frozen=True, eq=False)
class Light:
    """What is known of the light. weights (K,) and their doubt's root (K, K), on `_features`;
    card, size : the card's place and the frame in pixels; seen : what told of it, or "".
    tone_sd : doubt of the tone curve through which it was seen. tint : greatest difference, in
    units of a*, b*, of what should be of one colour."""

    weights: Array
    root: Array
    card: tuple[float, float]
    size: tuple[int, int]
    seen: str
    tone_sd: float
    tint: float

    def at(self, places: Sequence[tuple[float, float]]) -> Array:
        """(n,): brightness at places (x, y) relative to the card's."""
        return np.asarray(np.exp(_features(self._apart(places)) @ self.weights))

    def loadings(self, place: tuple[float, float]) -> Array:
        """(K + 1,): loadings of ln(brightness) at a place on the light's unknowns; the last is the
        tone curve's, which stretches all that was seen."""
        of_light = _features(self._apart([place]))[0] @ self.root
        return np.append(of_light, self.tone_sd * np.log(self.at([place])[0]))

    def _apart(self, places: Sequence[tuple[float, float]]) -> Array:
        return _apart(places, self.card, self.size)

    def checks(self, name: str, place: tuple[float, float]) -> tuple[Check, ...]:
        """How uneven the light is between card and swatch, and whether it is of one colour; none
        where nothing tells."""
        return (self._even(name, place), self._one_colour()) if self.seen else ()

    def _one_colour(self) -> Check:
        fine, doubtful = _TINT
        level: Level = "fine" if self.tint <= fine else "doubtful"
        if self.tint > doubtful:
            level = "refused"
        sentence = f"By {self.seen} the light differs by {self.tint:.0f} in colour over the frame"
        if level == "fine":
            return Check("one light", level, f"{sentence}.")
        remedy = "Photograph by one light only: lamps off by day, or curtains closed by night."
        return Check("one light", level, f"{sentence}, as by window and lamp together.", remedy)

    def _even(self, name: str, place: tuple[float, float]) -> Check:
        share = float(self.at([place])[0]) - 1
        fine, doubtful = _UNEVEN
        level: Level = "fine" if abs(share) <= fine else "doubtful"
        if abs(share) > doubtful:
            level = "refused"
        way = "more" if share > 0 else "less"
        sentence = (
            f"Swatch {name}: by {self.seen} it lies in {abs(share):.0%} {way} light than the card"
        )
        if level == "fine":
            return Check("even light", level, f"{sentence}, which is allowed for.")
        remedy = "Photograph in open shade or by a large window, with the card beside the swatch."
        if level == "doubtful":
            return Check(
                "even light", level, f"{sentence}, which is allowed for as far as it goes.", remedy
            )
        return Check("even light", level, f"{sentence}, too much to allow for.", remedy)


def light_of(
    photo: Photo,
    frame: Frame,
    *,
    also: Sequence[Card | Region] = (),
    paper: Sequence[Region] = (),
    flat: str | Path | None = None,
    places: Mapping[str, RegionReading],
    regions: Mapping[str, Region],
    encoding: str | None = None,
) -> Light:
    """What the frame tells of its light.

    also : further cards of known colour elsewhere in it. paper : places on one plain sheet that
    lies under everything. flat : a photo of a blank sheet in the same place and light. places,
    regions : the swatches as read and as marked. Raises BadValue or PhotoRefused.
    """
    tone_sd = _TONE_SD if photo.kind == "rendered" else 0.0
    at: list[tuple[float, float]] = []
    found: list[float] = []
    sd: list[float] = []
    is_paper: list[float] = []
    seen_by = []
    tints: dict[str, list[Array]] = {"cards": [np.zeros(2)], "paper": [], "sheet": [np.zeros(2)]}

    def add(
        reading: RegionReading, value: float, uncertainty: float, *, of_paper: bool = False
    ) -> None:
        at.append(reading.centre)
        found.append(value)
        sd.append(uncertainty)
        is_paper.append(_PAPER_UNKNOWN if of_paper else 0.0)

    of_card, _ = _seen(photo, frame.card.rgb, frame.card.rgb, frame.colour)
    for i, one in enumerate(_cards(also), start=1):
        reading = read_region(photo, one.region, what=f"further card {i}")
        known = UNNAMED_CARD_LAB if one.lab is None else one.lab
        gap = float(np.log(lab_to_xyz(known)[1]) - of_card)
        read, lab = _seen(photo, reading.rgb, frame.card.rgb, frame.colour)
        tints["cards"].append((lab - known)[1:])
        add(reading, read - of_card - gap, float(np.hypot(_CARD_SD, tone_sd * gap)))
        seen_by = ["the further cards" if len(also) > 1 else "the further card"]
    for i, place in enumerate(paper, start=1):
        reading = read_region(photo, place, what=f"paper {i}")
        read, lab = _seen(photo, reading.rgb, frame.card.rgb, frame.colour)
        tints["paper"].append(lab[1:])
        add(reading, read - of_card, _PAPER_SD, of_paper=True)
    if paper:
        if len(paper) < 2:
            raise BadValue("One place on paper tells nothing of the light; mark two or more.")
        seen_by.append("the paper")
    if flat is not None:
        sheet = read_photo(flat, encoding=encoding)
        if sheet.size != photo.size:
            raise BadValue(
                f"The photo of the blank sheet is {sheet.size[0]} x {sheet.size[1]} pixels and the "
                f"swatches' {photo.size[0]} x {photo.size[1]}; take both from one place."
            )
        card = read_region(sheet, frame.region, what="the blank sheet where the card lay")
        same, _ = _seen(sheet, card.rgb, card.rgb, UNNAMED_CARD_LAB)
        for name in places:
            reading = read_region(sheet, regions[name], what=f"the blank sheet where {name} lay")
            read, lab = _seen(sheet, reading.rgb, card.rgb, UNNAMED_CARD_LAB)
            tints["sheet"].append(lab[1:])
            add(reading, read - same, _FLAT_SD)
        seen_by.append("the blank sheet")
    x = _features(_apart(at, frame.card.centre, photo.size)) if at else np.zeros((0, _width()))
    # Paper has a brightness of its own, one more unknown, that is let go of in the end.
    x = np.column_stack([x, is_paper])
    sure = (x / np.square(sd)[:, None]).T

    def told(tilt_sd: float) -> tuple[Array, Array]:
        before = np.ones(_width() + 1)
        before[:2] = (_TILT_SD / tilt_sd) ** 2
        covariance = np.asarray(np.linalg.inv(np.diag(before) + sure @ x), dtype=float)
        return covariance, np.asarray(covariance @ (sure @ np.array(found)), dtype=float)

    covariance, weights = told(_ORDINARY_TILT_SD)
    if np.hypot(*weights[:2]) * _TILT_SD > _ORDINARY_TILT_SD:
        covariance, weights = told(_TILT_SD)
    values, vectors = np.linalg.eigh(covariance[:-1, :-1])
    root = vectors * np.sqrt(np.maximum(values, 0))
    tint = max(_widest(seen) for seen in tints.values())
    return Light(
        weights[:-1], root, frame.card.centre, photo.size, " and ".join(seen_by), tone_sd, tint
    )


def per_brightness(lab: Array) -> Array:
    """(3,): change of Lab for a change of ln(brightness): X, Y, Z all scale alike (ISO/CIE
    11664-4, cube-root part; the straight part is within a swatch's gate of darkness)."""
    L, a, b = lab
    return np.array([(L + 16) / 3, a / 3, b / 3])


def _cards(also: Sequence[Card | Region]) -> list[Card]:
    if isinstance(also, Card | Region):
        also = [also]
    return [one if isinstance(one, Card) else Card(one) for one in also]


def _seen(photo: Photo, rgb: Array, card_rgb: Array, card_lab: Array) -> tuple[float, Array]:
    """ln Y of the scene and Lab (3,), the card at its own; tone is undone as in the base step."""
    lab = base_lab(
        rgb[None], card_rgb=card_rgb, card_lab=card_lab, encoding=photo.kind, rgb_to_xyz=SRGB_TO_XYZ
    )[0]
    return float(np.log(max(lab_to_xyz(lab)[1], 1e-6))), lab


def _widest(points: Sequence[Array]) -> float:
    """The greatest distance between two of the points (2,)."""
    return max((float(np.linalg.norm(p - q)) for p in points for q in points), default=0.0)


def _apart(
    places: Sequence[tuple[float, float]], card: tuple[float, float], size: tuple[int, int]
) -> Array:
    """(n, 2): from the card, in frame diagonals."""
    return np.asarray((np.array(places, dtype=float) - card) / np.hypot(*size))


def _features(apart: Array) -> Array:
    """(n, K): features of places, zero at the card, scaled to weights of standard deviation 1."""
    waves = apart @ _FREQUENCIES.T
    bend = np.concatenate([np.cos(waves) - 1, np.sin(waves)], axis=1) / np.sqrt(_WAVES)
    return np.concatenate([_TILT_SD * apart, _BENT_SD * bend], axis=1)


def _width() -> int:
    return 2 + 2 * _WAVES
