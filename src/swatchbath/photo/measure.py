"""Photo to colours: the one way in.

`measure` reads the places marked in a photo, judges them, corrects them on the highest rung that
what lies in the frame allows, and returns each colour with its doubt.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike

from ..colorimetry.lab import SRGB_TO_XYZ, Array
from ..colorimetry.measured import Check, Measurement
from ..errors import BadValue, NotFound, PhotoRefused
from .camera import CameraProfile, cast, joined
from .card import Card, Chart
from .checks import check_card, check_swatch, sentences, worst
from .read import Photo, read_photo
from .region import Reading, Region, read_region
from .rungs import UNNAMED_CARD_LAB, Anchors, Corrected, base_lab, correct

# How evenly a frame is lit, where nothing in it tells: standard deviation of the brightness (as a
# natural logarithm) over one frame diagonal, in each direction. Light beside a chart was 0.80 to
# 0.94 of that at the chart over about half a frame (81 colours photographed by four phones).
_UNEVEN_SD = 0.2
# Anchors with more of their pixels clipped than this are not used. Error 6 below, 8 and more above
# (see checks).
_ANCHOR_CLIPPED = 0.02
# Fewest swatches of known colour for the `known` rung: below, a fit on them did harm (trials on
# real charts).
FEWEST_KNOWN = 6


@dataclass(frozen=True, eq=False)
class Shot:
    """What was measured in one photo: a mapping from a swatch's name to its Measurement.

    refused : name -> why a swatch could not be read. checks : of the card. photo : SHA-256 of the
    file. camera : as the file says. rung, notes : how it was done.
    """

    measured: Mapping[str, Measurement]
    refused: Mapping[str, str]
    checks: tuple[Check, ...]
    photo: str
    camera: str | None
    rung: str
    notes: tuple[str, ...]
    size: tuple[int, int]

    def __getitem__(self, name: str) -> Measurement:
        if name in self.refused:
            raise PhotoRefused(self.refused[name])
        if name not in self.measured:
            names = ", ".join(self.measured) or "none"
            raise NotFound(f"No swatch {name} was measured in this photo; there are: {names}.")
        return self.measured[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self.measured)

    def __len__(self) -> int:
        return len(self.measured)

    def __contains__(self, name: object) -> bool:
        return name in self.measured


@dataclass(frozen=True, eq=False)
class _Frame:
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


def measure(
    path: str | Path,
    *,
    card: Card | Region | Sequence[Card] | None = None,
    chart: Chart | None = None,
    camera: CameraProfile | None = None,
    known: Mapping[str, ArrayLike] | None = None,
    swatches: Mapping[str, Region],
    encoding: str | None = None,
) -> Shot:
    """Measure swatches in a photo.

    path : JPEG, PNG, WebP, AVIF or 8-bit TIFF.
    card : the grey card, or three Cards (white, grey, black, any order) with their Lab.
    chart : a 24-patch chart in the frame. camera : a profile of this camera under this light.
    known : name -> Lab (D65/2) for at least six names in `swatches`.
    swatches : name -> Region. encoding : None (profile, else assumed sRGB) or "linear".
    Returns a Shot; each colour is CIELAB, D65/2, with repeatability and trueness.
    Raises PhotoRefused when the photo or card cannot be used (`.checks` says why); one bad
    swatch goes to `Shot.refused`.
    """
    photo = read_photo(path, encoding=encoding)
    frame = _frame(photo, card, chart)
    checks = check_card(frame.card, rendered=photo.kind == "rendered", card_lab=frame.colour)
    if worst(checks) == "refused":
        raise PhotoRefused(sentences(checks, "refused"), checks=checks)
    readings, judged, refused = _read_swatches(photo, swatches)
    if known:
        frame = _with_known(frame, known, readings)

    def base(rgb: Array) -> Array:
        return base_lab(
            rgb,
            card_rgb=frame.card.rgb,
            card_lab=frame.colour,
            encoding=photo.kind,
            rgb_to_xyz=SRGB_TO_XYZ,
        )

    anchors = None
    if len(frame.anchors_rgb):
        anchors = Anchors(base(frame.anchors_rgb), frame.anchors_lab)
    rung, camera_id = frame.rung, photo.camera or f"unknown ({photo.id[:16]})"
    if camera is not None:
        camera.check_fits(photo, frame.card.rgb)
        anchors = camera.anchors_with(anchors)
        rung = "camera" if rung == "card" else rung
    if not readings:
        return Shot({}, refused, checks, photo.id, photo.camera, rung, photo.notes, photo.size)
    found = correct(
        np.array([r.rgb for r in readings.values()]),
        card_rgb=frame.card.rgb,
        card_lab=frame.card_lab,
        encoding=photo.kind,
        rgb_to_xyz=SRGB_TO_XYZ,
        anchors=anchors,
        camera_id=camera_id,
        photo_id=photo.id,
        card_id=_card_id(frame.card_lab),
    )
    measured = {
        name: _measurement(
            found, i, base(reading.cells), frame.card, reading, photo, rung, checks + judged[name]
        )
        for i, (name, reading) in enumerate(readings.items())
    }
    return Shot(
        measured=measured,
        refused=refused,
        checks=checks,
        photo=photo.id,
        camera=photo.camera,
        rung=rung,
        notes=photo.notes,
        size=photo.size,
    )


def _frame(
    photo: Photo, card: Card | Region | Sequence[Card] | None, chart: Chart | None
) -> _Frame:
    """Read what of known colour is marked; a card is needed, or a chart with a neutral patch."""
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
    return _Frame(
        reading,
        lab,
        rung,
        np.array(anchors_rgb).reshape(-1, 3),
        np.array(anchors_lab).reshape(-1, 3),
    )


def _three(cards: list[Card]) -> tuple[Card, Card, Card]:
    if len(cards) != 3 or any(c.lab is None for c in cards):
        raise BadValue(
            f"Three greys are a white, a grey and a black card, each with its own L*, a*, b*; "
            f"{len(cards)} cards were given, {sum(c.lab is None for c in cards)} without."
        )
    black, grey, white = sorted(cards, key=lambda c: float(c.lab[0]) if c.lab is not None else 0.0)
    return white, grey, black


def _read_swatches(
    photo: Photo, swatches: Mapping[str, Region]
) -> tuple[dict[str, Reading], dict[str, tuple[Check, ...]], dict[str, str]]:
    readings: dict[str, Reading] = {}
    judged: dict[str, tuple[Check, ...]] = {}
    refused: dict[str, str] = {}
    for name, region in swatches.items():
        try:
            reading = read_region(photo, region, what=f"swatch {name}")
        except PhotoRefused as error:
            refused[name] = str(error)
            continue
        judged[name] = check_swatch(name, reading)
        if worst(judged[name]) == "refused":
            refused[name] = sentences(judged[name], "refused")
        else:
            readings[name] = reading
    return readings, judged, refused


def _with_known(
    frame: _Frame, known: Mapping[str, ArrayLike], readings: Mapping[str, Reading]
) -> _Frame:
    usable = [name for name in known if name in readings]
    if len(usable) < FEWEST_KNOWN:
        raise BadValue(
            f"{len(usable)} of the swatches of known colour could be read; at least "
            f"{FEWEST_KNOWN} are needed, or they do more harm than good. Mark more of them."
        )
    labs = np.array([np.asarray(known[name], dtype=float) for name in usable])
    if labs.shape != (len(usable), 3) or not np.isfinite(labs).all():
        raise BadValue("Each swatch of known colour needs three numbers, L*, a*, b*.")
    rgb = np.array([readings[name].rgb for name in usable])
    return _Frame(
        frame.card,
        frame.card_lab,
        "chart" if frame.rung == "chart" else "known",
        np.concatenate([frame.anchors_rgb, rgb]),
        np.concatenate([frame.anchors_lab, labs]),
    )


def _card_id(lab: Array | None) -> str:
    """One card is taken to be the same in all photos: unnamed, or by its own colour."""
    return "unnamed" if lab is None else ",".join(f"{v:.2f}" for v in lab)


def _measurement(
    found: Corrected,
    i: int,
    cells: Array,
    card: Reading,
    reading: Reading,
    photo: Photo,
    rung: str,
    checks: tuple[Check, ...],
) -> Measurement:
    # The standard error of the mean over the cells: what another place on the swatch would change.
    repeatability = np.cov(cells.T) / len(cells) if len(cells) > 1 else np.zeros((3, 3))
    shared = {source: loading[i] for source, loading in found.shared.items()}
    # Brightness uneven over the frame moves the swatch along the line to black: dL/dlnY and so on.
    light = _per_brightness(found.lab[i])[:, None] * _apart(reading, card, photo) * _UNEVEN_SD
    shared[f"light:{photo.id}"] = light
    return Measurement(
        found.lab[i],
        repeatability,
        trueness=found.trueness[i] + light @ light.T,
        shared=shared,
        rung=rung,
        photo=photo.id,
        checks=checks,
        notes=photo.notes,
    )


def _apart(reading: Reading, card: Reading, photo: Photo) -> Array:
    """(2,): from the card to the swatch, in frame diagonals."""
    gap = np.array(reading.centre) - np.array(card.centre)
    return np.asarray(gap / np.hypot(*photo.size))


def _per_brightness(lab: Array) -> Array:
    """(3,): change of Lab for a change of ln(brightness): X, Y, Z all scale alike (ISO/CIE
    11664-4, cube-root part; the straight part is within a swatch's gate of darkness)."""
    L, a, b = lab
    return np.array([(L + 16) / 3, a / 3, b / 3])


def profile_camera(
    photos: Sequence[tuple[str | Path, Chart]], *, light: str, encoding: str | None = None
) -> CameraProfile:
    """A profile of one camera under one light, from photos of a 24-patch chart.

    photos : (path, Chart) for each. light : what to call the light, such as "north window".
    Raises BadValue when the photos are by different cameras, PhotoRefused for a bad one.
    """
    if not photos:
        raise BadValue("A camera profile needs at least one photo of a chart.")
    parts = []
    for path, chart in photos:
        photo = read_photo(path, encoding=encoding)
        frame = _frame(photo, None, chart)
        checks = check_card(frame.card, rendered=photo.kind == "rendered", card_lab=frame.colour)
        if worst(checks) == "refused":
            raise PhotoRefused(sentences(checks, "refused"), checks=checks)
        read = base_lab(
            frame.anchors_rgb,
            card_rgb=frame.card.rgb,
            card_lab=frame.colour,
            encoding=photo.kind,
            rgb_to_xyz=SRGB_TO_XYZ,
        )
        parts.append(
            CameraProfile(
                photo.camera,
                light,
                photo.kind,
                read,
                frame.anchors_lab,
                (photo.id,) * len(read),
                cast(frame.card.rgb)[None],
            )
        )
    return joined(parts)
