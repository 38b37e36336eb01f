"""Photo to colours: the one way in.

`measure` reads the places marked in a photo, judges them, corrects them on the highest rung that
what lies in the frame allows, and returns each colour with its doubt.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike

from ..colorimetry.difference import delta_e2000
from ..colorimetry.lab import SRGB_TO_XYZ, Array
from ..colorimetry.measurement import Check, Measurement
from ..errors import BadValue, PhotoRefused
from .correction.anchors import Anchors, Frame, pictured_frame, read_frame, with_known
from .correction.base import base_lab
from .correction.camera_profile import CameraProfile, cast, joined
from .correction.card import Card, Chart
from .correction.censored import censored_loadings, raised
from .correction.corrections import Corrected, correct
from .correction.illumination import Light, light_of, per_brightness
from .correction.origin import sources_of
from .correction.own_frame import check_apart, check_beside
from .correction.trust import wider
from .file.read import Photo, read_photo
from .place.checks import check_card, check_known, check_swatch, check_uneven, sentences, worst
from .place.region import Region, RegionReading, read_region
from .place.texture import lab_covariance, unevenness
from .shot import Shot, in_frame_of

# How much brighter clipped pixels may truly be than they read (natural logarithm): from drawn pale
# fibre under a low lamp, whose clipped fifth hid about 3 CIEDE2000.
_CLIPPED_SD = 0.5
_LIGHT_UNKNOWN = (
    "nothing in the frame tells how even the light is, so the doubt grows with the distance from "
    "the card"
)


def measure(
    path: str | Path | Photo,
    *,
    card: Card | Region | Sequence[Card] | None = None,
    chart: Chart | None = None,
    camera: CameraProfile | None = None,
    known: Mapping[str, ArrayLike] | None = None,
    swatches: Mapping[str, Region],
    beside: Mapping[str, Measurement] | None = None,
    camera_name: str | None = None,
    sitting: str | None = None,
    encoding: str | None = None,
    also: Sequence[Card | Region] = (),
    paper: Sequence[Region] = (),
    flat: str | Path | None = None,
    pictured: bool = False,
) -> Shot:
    """Measure swatches in a photo.

    Parameters
    ----------
    path : path or Photo
        A photo file (see `read_photo`), or a Photo that is open.
    card : Card, Region or three Cards
        The grey card; or white, grey and black, in any order, with their Lab.
    chart : Chart of 24 patches, in the frame
    camera : CameraProfile of this camera under this light
    known : mapping of str to Lab (3,), D65/2, of at least six names in `swatches`
    swatches : mapping of str to Region
    beside : mapping of str to Measurement
        For one to six names in `swatches` that are on record: their colours there. The others are
        then read in that record's frame (see `own_frame`).
    camera_name : str
        What to call a camera that the file does not name; without one an unnamed photo shares
        nothing with another.
    sitting : str
        What to call photos taken at one go, else told by camera, time and the card's cast
        (`origin`).
    encoding : None (by the file's profile, else sRGB) or "linear"
    also, paper, flat
        What tells how even the light is: further cards elsewhere, places on one sheet of plain
        paper under everything, or a photo of a blank sheet in the same place and light.
    pictured : bool
        Whether a photo without a card or chart is read as it shows its colours: only good for the
        differences of like ones in it.

    Returns
    -------
    Shot
        Each colour is CIELAB, D65/2, with repeatability and trueness; one bad swatch is in
        `refused`.

    Raises
    ------
    PhotoRefused, where the photo or card cannot be used (`.checks` says why)

    Examples
    --------
    >>> from swatchbath.sample import sample_folder
    >>> photo, card = sample_folder() / "photos" / "photo_02.jpg", Region(807, 895, 99)
    >>> measure(photo, card=card, swatches={"02c": Region(261, 849, 46)})["02c"].rung
    'card'
    """
    if not isinstance(swatches, Mapping):
        raise BadValue("Swatches go by name, as {'a': Region(x, y, half)}; give such a dict.")
    for name, region in swatches.items():
        if not isinstance(region, Region):
            raise BadValue(f"The place of {name} is {region!r}; give Region(x, y, half).")
    check_beside(beside or {}, swatches)
    check_apart(swatches, beside or ())
    photo = path if isinstance(path, Photo) else read_photo(path, encoding=encoding)
    checks: tuple[Check, ...] = ()
    if pictured and card is None and chart is None:
        frame = pictured_frame(photo, list(swatches.values()), paper)
    else:
        frame = read_frame(photo, card, chart)
        checks = _check_chart(photo, frame) if chart is not None else ()
        checks += check_card(
            frame.card,
            rendered=photo.kind == "rendered",
            card_lab=frame.colour,
            by_chart=chart is not None,
        )
    if worst(checks) == "refused":
        raise PhotoRefused(sentences(checks, "refused"), checks=checks)
    readings, judged, refused = _read_swatches(photo, swatches)
    if known:
        before = len(frame.anchors)
        frame = with_known(frame, known, readings)
        remedy = "See whether the names and colours of the known swatches belong together."
        checks += _checked("known swatches", photo, frame, frame.anchors[before:], remedy)

    light = light_of(
        photo, frame, also=also, paper=paper, flat=flat, places=readings, regions=swatches,
        encoding=encoding,
    )  # fmt: skip
    for name, reading in list(readings.items()):
        of_light = light.checks(name, reading.centre)
        judged[name] += of_light
        if worst(of_light) == "refused":
            refused[name] = sentences(of_light, "refused")
            del readings[name]

    def base(rgb: Array, at: Sequence[tuple[float, float]]) -> Array:
        """Lab (n, 3) after the base step of linear light read at places."""
        return base_lab(
            rgb,
            card_rgb=frame.card.rgb,
            card_lab=frame.colour,
            encoding=photo.kind,
            rgb_to_xyz=SRGB_TO_XYZ,
            light=light.at(at),
        )

    anchors = None
    if frame.anchors:
        seen = base(frame.anchors_rgb, [r.centre for r, _ in frame.anchors])
        anchors = Anchors(seen, frame.anchors_lab)
    rung = frame.rung
    if camera is not None:
        camera.check_fits(photo, frame.card.rgb)
        anchors = camera.anchors_with(anchors)
        rung = "camera" if rung == "card" else rung
    if not readings:
        return Shot({}, refused, checks, photo.id, photo.camera, rung, photo.notes, photo.size)
    here = list(readings.values())
    read = [raised(r.rgb, r.low, frame.card.rgb) for r in here]
    found = correct(
        np.array([*read, *(raised(r.texture.strand, r.low, frame.card.rgb) for r in here)]),
        card_rgb=frame.card.rgb,
        card_lab=frame.card_lab,
        encoding=photo.kind,
        rgb_to_xyz=SRGB_TO_XYZ,
        anchors=anchors,
        sources=sources_of(
            photo, frame.card_id, cast(frame.card.rgb), camera_name=camera_name, sitting=sitting
        ),
        light=light.at([r.centre for r in here * 2]),
        wider=wider(photo, frame.card.rgb, frame.colour),
        card_sd=frame.card_sd,
    )
    measured: dict[str, Measurement] = {}
    uneven: dict[str, float] = {}
    for i, (name, reading) in enumerate(readings.items()):

        def to_lab(rgb: Array, at: tuple[float, float] = reading.centre) -> Array:
            return base(rgb, [at] * len(rgb))

        uneven[name] = unevenness(reading.texture, to_lab)
        judged[name] += (check_uneven(name, uneven[name]),)
        texture = lab_covariance(read[i], reading.texture.repeatability, to_lab)
        unseen = censored_loadings(read[i], reading.low, frame.card.rgb, to_lab)
        measured[name] = _measurement(
            found, i, texture, unseen, light, reading, photo, rung, checks + judged[name]
        )
    shot = Shot(
        measured=measured,
        refused=refused,
        checks=checks,
        photo=photo.id,
        camera=photo.camera,
        rung=rung,
        notes=photo.notes,
        size=photo.size,
        strands=dict(zip(readings, found.lab[len(here) :], strict=True)),
        uneven=uneven,
    )
    return in_frame_of(shot, beside) if beside else shot


def _check_chart(photo: Photo, frame: Frame) -> tuple[Check, ...]:
    """Whether the patches are a chart's, marked the right way round. Raises PhotoRefused."""
    remedy = "Mark the centres of patches 1, 6, 24 and 19 (dark skin, bluish green, black, white)."
    return _checked("chart patches", photo, frame, frame.anchors, remedy)


def _checked(
    what: str,
    photo: Photo,
    frame: Frame,
    anchors: Sequence[tuple[RegionReading, Array]],
    remedy: str,
) -> tuple[Check, ...]:
    """Whether what is of known colour looks like it. Raises PhotoRefused where it does not."""
    if not anchors:  # every patch but the card is left out, or clipped
        return ()
    read = base_lab(
        np.array([r.rgb for r, _ in anchors]),
        card_rgb=frame.card.rgb,
        card_lab=frame.colour,
        encoding=photo.kind,
        rgb_to_xyz=SRGB_TO_XYZ,
    )
    found = check_known(what, delta_e2000(read, np.array([lab for _, lab in anchors])), remedy)
    if found.level == "refused":
        raise PhotoRefused(f"{found.sentence} {found.remedy}", checks=(found,))
    return (found,)


def _read_swatches(
    photo: Photo, swatches: Mapping[str, Region]
) -> tuple[dict[str, RegionReading], dict[str, tuple[Check, ...]], dict[str, str]]:
    readings: dict[str, RegionReading] = {}
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


def _measurement(
    found: Corrected,
    i: int,
    texture: Array,
    unseen: Array,
    light: Light,
    reading: RegionReading,
    photo: Photo,
    rung: str,
    checks: tuple[Check, ...],
) -> Measurement:
    """One reading. texture (3, 3) : its repeatability, in Lab. unseen (3, k) : what it may be off
    by in channels that read zero."""
    shared = {source: loading[i] for source, loading in found.shared.items()}
    # Brightness uneven over the frame moves the swatch along the line to black: dL/dlnY and so on.
    of_light = per_brightness(found.lab[i])[:, None] * light.loadings(reading.centre)
    shared[f"light:{photo.id}"] = of_light
    lost = per_brightness(found.lab[i]) * _CLIPPED_SD * reading.clipped
    notes = photo.notes if light.seen else (*photo.notes, _LIGHT_UNKNOWN)
    return Measurement(
        found.lab[i],
        texture,
        trueness=found.trueness[i]
        + of_light @ of_light.T
        + np.outer(lost, lost)
        + unseen @ unseen.T,
        degrees=found.degrees,
        shared=shared,
        rung=rung,
        photo=photo.id,
        checks=checks,
        notes=notes,
    )


def profile_camera(
    photos: Sequence[tuple[str | Path, Chart]], *, light: str, encoding: str | None = None
) -> CameraProfile:
    """A profile of one camera under one light, from photos of a 24-patch chart.

    Parameters
    ----------
    photos : sequence of (path, Chart)
    light : str, what to call it, such as "north window"
    encoding : None or "linear"
        As in `measure`.

    Returns
    -------
    CameraProfile

    Raises
    ------
    BadValue where the photos are by different cameras, PhotoRefused for a bad one
    """
    if not photos:
        raise BadValue("A camera profile needs at least one photo of a chart.")
    parts = []
    for path, chart in photos:
        photo = read_photo(path, encoding=encoding)
        frame = read_frame(photo, None, chart)
        checks = check_card(
            frame.card,
            rendered=photo.kind == "rendered",
            card_lab=frame.colour,
            by_chart=True,
        )
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
