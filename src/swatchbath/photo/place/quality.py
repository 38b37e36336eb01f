"""How good a whole photo is for colour, before anything is marked in it.

The photo is looked at through a thinned overview and a few windows at full size. Limits marked
"look" were set by looking at 30 real photos of cards and charts and at drawn ones, none refused
there that a person would use.
"""

from __future__ import annotations

import numpy as np

from ...colorimetry.lab import Array
from ...colorimetry.measurement import Check, Level
from ..file.read import Photo

# Pixels of the overview, along its longer side: enough for shares of the frame.
_OVERVIEW = 400
# Windows at full size for sharpness, on a grid of so many a side, of so many pixels.
_GRID, _WINDOW = 5, 96
# Share of the frame that is clipped: white paper around the swatches may be, most of it may not.
_CLIPPED = (0.25, 0.6)  # look
# The brightest twentieth of the frame, in linear light: a frame without anything brighter than this
# is too dark for a card of 18 % (0.08, see `checks`) and a lighter ground to lie in it.
_BRIGHTEST = (0.15, 0.03)  # look
# Sharpness: difference over 2 pixels of the sharpest edges, over the same edges' full height. A
# blur of 3 pixels (sd) gives 0.25, of 8 about 0.12 (one real and one drawn photo). Colours of broad
# swatches stand a blur; their edges do not, so a photo is never refused for it.
_SHARP = 0.12
# The longer side from which a swatch has pixels enough (the frame's tenth is then 60).
_SMALL, _TOO_SMALL = 600, 200


def check_photo(photo: Photo) -> tuple[Check, ...]:
    """Judge a photo as a whole: its size, brightness, clipping, sharpness and colour space."""
    step = max(1, max(photo.size) // _OVERVIEW)
    codes = photo.picture.window(0, 0, *photo.size, step)
    light = photo.light(codes)
    rendered = photo.kind == "rendered"
    clipped = float((codes >= np.iinfo(codes.dtype).max - 1).any(axis=-1).mean())
    brightest = float(np.quantile(light @ np.array([0.2126, 0.7152, 0.0722]), 0.95))
    wide, high = photo.size
    found = [
        _judged(
            "size",
            _above(max(wide, high), (_SMALL, _TOO_SMALL)),
            f"The photo has {wide} x {high} pixels",
            ", few for a swatch in it",
            "Photograph from nearer, or send the photo in full size.",
        ),
        _judged(
            "brightness",
            _above(brightest, _BRIGHTEST if rendered else (_BRIGHTEST[0] / 4, _BRIGHTEST[1] / 4)),
            f"Its lightest parts are at {brightest:.0%} of full light",
            ", so the photo is too dark",
            "Photograph in more light, or raise the exposure (tap on the grey card).",
        ),
        _judged(
            "clipping",
            _below(clipped, _CLIPPED),
            f"{clipped:.0%} of the frame is clipped",
            ", so the photo is too bright",
            "Lower the exposure until the white parts keep some drawing.",
        ),
    ]
    sharp = sharpness(photo)
    if sharp is not None:
        found.append(
            _judged(
                "sharpness",
                "fine" if sharp >= _SHARP else "doubtful",
                f"Its sharpest edges reach {sharp:.0%} of their height within two pixels",
                ", so the photo is blurred or shaken",
                "Rest the phone on something, tap to focus on the swatches, and wipe the lens.",
            )
        )
    return tuple(found)


def sharpness(photo: Photo) -> float | None:
    """How steep the sharpest edges are: 0 to 1, or None in a photo without any edge."""
    wide, high = photo.size
    size = min(_WINDOW, wide, high)
    steep = []
    for y in np.linspace(0, high - size, _GRID).astype(int):
        for x in np.linspace(0, wide - size, _GRID).astype(int):
            light = photo.light(photo.picture.window(x, y, x + size, y + size))
            grey = np.sqrt(np.clip(light.mean(axis=-1), 0, 1))  # near how an eye sees the steps
            steep += [found for g in (grey, grey.T) if (found := _edge(g)) is not None]
    return float(np.quantile(steep, 0.9)) if steep else None


def _edge(grey: Array) -> float | None:
    """Of the highest edges along the rows of a window, the share climbed in 2 of 24 pixels."""
    near, far = 1, 12
    if grey.shape[1] <= 4 * far:
        return None
    height = np.abs(grey[:, 2 * far :] - grey[:, : -2 * far])
    middle = grey[:, far - near : grey.shape[1] - far + near]
    step = np.abs(middle[:, 2 * near :] - middle[:, : -2 * near])
    high = height >= max(float(np.quantile(height, 0.98)), 0.1)
    if not high.any():
        return None
    return float(np.quantile(np.minimum(step[high] / height[high], 1), 0.9))


def _above(value: float, limits: tuple[float, float]) -> Level:
    return "fine" if value >= limits[0] else "doubtful" if value >= limits[1] else "refused"


def _below(value: float, limits: tuple[float, float]) -> Level:
    return "fine" if value <= limits[0] else "doubtful" if value <= limits[1] else "refused"


def _judged(name: str, level: Level, fact: str, fault: str, remedy: str) -> Check:
    if level == "fine":
        return Check(name, level, f"{fact}.")
    return Check(name, level, f"{fact}{fault}.", remedy)
