"""From a touch on the card or on a swatch to the place to read, where no sheet lies in the photo.

The touched thing is grown outwards in a small copy of the photo for as long as the colour stays
like that under the finger; of all sizes it could have, the smallest with a sharp edge all round
is taken. A square (or for the card its own rectangle) well inside of it is what is read.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from ...colorimetry.lab import Array, linear_srgb_to_xyz, xyz_to_lab
from ...errors import PhotoRefused
from ..file.read import Photo
from .region import FEWEST_PIXELS, Region

Mask = NDArray[np.bool_]

# Long side of the small copy: strands of yarn blur into one colour and it takes a fraction of a
# second.
_SMALL = 480
# Median filter over this many small pixels a side: takes out strand shadows, flecks and sheen.
_SMOOTH = 7
# Pixels of the small copy around the touch whose middle colour is "the colour under the finger".
_FINGER = 5
# Lightness counts for less than colour: a skein's round back is darker, its ground seldom of
# the same colour.
_WEIGHTS = np.array([0.6, 1.0, 1.0])
# Colour distances (of the weighted kind) at which the thing could end.
_REACHES = np.geomspace(2.5, 45, 30)
# Share of the photo that one thing may take: a swatch or card fills neither all of it nor a speck.
_LARGEST, _SMALLEST = 0.45, 0.0008
# The edge's step in the weighted colour distance per small pixel, at the lower quartile around it,
# under which there is no clear edge: from trying on the sample.
_EDGE = 0.9
# No step of colour within the square comes near the edge's: else it is one lobe of a skein, or two
# things joined. Without it 5 of 83 swatches of the sample were read off one lobe.
_ONE_THING = 0.5
# The place to read reaches this far from the middle to the edge of the thing.
_SHRINK = 0.8
# The square's middle lies within this many of its half sides of the touch.
_LEAP = 1.5
# A hole of up to this share of the thing is filled.
_HOLE = 0.03
# A card fills its rectangle, and its long side is no more than this many short ones.
_CARD_FILLS, _CARD_LONG = 0.88, 2.6
# Evenness and neutrality as the checks of a card refuse them (photo/place/checks.py).
_CARD_UNEVEN, _CARD_CAST = 0.07, 0.50


@dataclass(frozen=True, eq=False)
class _Small:
    """A small copy: Lab (h, w, 3) as it comes, smoothed and weighted; steps of colour (h, w);
    scale : photo pixels to one small pixel across and down."""

    light: Array
    colour: Array
    steps: Array
    scale: tuple[float, float]


def grow_swatch(photo: Photo, x: float, y: float) -> Region:
    """The place to read on the swatch that lies at (x, y), a square inside its fibre.

    Raises PhotoRefused when the point is outside the photo or the thing there has no clear edge.
    """
    what = "the swatch"
    small = _small(photo)
    for edge, body in _grown(photo, small, x, y, what):
        square = _square_in(small, body, x, y)
        if square is None:
            continue
        within = small.steps[_covered(square, small)]
        if within.size and np.quantile(within, 0.98) <= _ONE_THING * edge:
            return _checked_size(photo, square, x, y, what)
    raise _refused(photo, x, y, what, "it has no clear edge against what lies around it")


def grow_card(photo: Photo, x: float, y: float) -> Region:
    """The place to read on the grey card that lies at (x, y), a rectangle inside it.

    Raises PhotoRefused when the point is outside the photo, or the thing there has no clear
    edge, or is not an even, near-neutral rectangle.
    """
    what = "the grey card"
    small = _small(photo)
    why = ""
    for _, body in _grown(photo, small, x, y, what):
        inner, trouble = _card_in(small, body)
        if inner is not None:
            return _checked_size(photo, _to_photo(inner, small.scale), x, y, what)
        why = why or trouble
    raise _refused(photo, x, y, what, why)


def _card_in(small: _Small, body: Mask) -> tuple[Array | None, str]:
    """The rectangle (4, 2) to read if this body can be a card, else why it cannot."""
    corners, fills, long = _rectangle(body)
    if fills < _CARD_FILLS or long > _CARD_LONG:
        return None, "what lies there is not a rectangle"
    inner = _shrunk_to_fit(corners, body)
    if inner is None:
        return None, "what lies there is too ragged for a card"
    light = small.light[_inside(inner, body.shape)]
    mean = np.maximum(light.mean(axis=0), 1e-6)
    if np.log(mean.max() / mean.min()) > _CARD_CAST:
        return None, "what lies there is coloured, not grey"
    green = light[:, 1]
    if green.std() / max(float(green.mean()), 1e-6) > _CARD_UNEVEN:
        return None, "what lies there is not even"
    return inner, ""


def _refused(photo: Photo, x: float, y: float, what: str, why: str) -> PhotoRefused:
    return PhotoRefused(
        f"No place for {what} was found at ({x:g}, {y:g}) in {photo.name}: {why}. Touch the middle "
        f"of it, or mark a square on it yourself."
    )


@lru_cache(maxsize=1)
def _small(photo: Photo) -> _Small:
    """Kept for the next touch on the same photo."""
    from scipy import ndimage

    width, height = photo.size
    factor = max(max(width, height) / _SMALL, 1.0)
    size = (max(round(width / factor), 1), max(round(height / factor), 1))
    codes = np.asarray(Image.fromarray(photo.pixels).resize(size, Image.Resampling.BOX))
    light = photo.light(codes)
    lab = xyz_to_lab(linear_srgb_to_xyz(light)) * _WEIGHTS
    colour = np.stack([ndimage.median_filter(lab[..., i], _SMOOTH) for i in range(3)], axis=-1)
    steps = np.zeros(colour.shape[:2])
    for channel in range(3):
        steps += ndimage.gaussian_gradient_magnitude(colour[..., channel], 1.0) ** 2
    return _Small(light, colour, np.sqrt(steps), (width / size[0], height / size[1]))


def _grown(photo: Photo, small: _Small, x: float, y: float, what: str) -> list[tuple[float, Mask]]:
    """(sharpness of its edge, what the touched thing could be), the smallest first, with small
    holes filled; at least one."""
    from scipy import ndimage

    width, height = photo.size
    if not (0 <= x <= width - 1 and 0 <= y <= height - 1):
        raise PhotoRefused(
            f"The point ({x:g}, {y:g}) for {what} lies outside the photo {photo.name}, which is "
            f"{width} x {height} pixels. Touch a place inside the picture."
        )
    row, col = _pixel(small, x, y)
    near = small.colour[
        max(row - _FINGER, 0) : row + _FINGER + 1, max(col - _FINGER, 0) : col + _FINGER + 1
    ].reshape(-1, 3)
    distance = np.sqrt(((small.colour - np.median(near, axis=0)) ** 2).sum(axis=-1))
    tried, before = [], 0
    for reach in _REACHES:
        labels, _ = ndimage.label(distance <= max(reach, distance[row, col] + 1e-9))
        body = labels == labels[row, col]
        area = int(body.sum())
        if area > _LARGEST * body.size:
            break
        # A step that adds hardly anything has the same edge.
        if area < max(1.01 * before, _SMALLEST * body.size):
            continue
        before = area
        body = _filled(body)
        rim = body & ~ndimage.binary_erosion(body, border_value=1)
        if rim.any():
            # The edge's lower quartile: one soft or leaking side in four is allowed.
            tried.append((float(np.quantile(small.steps[rim], 0.25)), body))
    if not tried:
        raise _refused(photo, x, y, what, "its colour runs into what lies around it")
    clear = [(edge, body) for edge, body in tried if edge >= _EDGE]
    if not clear:
        raise _refused(photo, x, y, what, "it has no clear edge against what lies around it")
    return clear


def _window(body: Mask, margin: int) -> tuple[slice, slice]:
    rows, cols = np.flatnonzero(body.any(axis=1)), np.flatnonzero(body.any(axis=0))
    return (
        slice(max(int(rows[0]) - margin, 0), int(rows[-1]) + margin + 1),
        slice(max(int(cols[0]) - margin, 0), int(cols[-1]) + margin + 1),
    )


def _filled(body: Mask) -> Mask:
    """The body with its small holes filled (flecks, glints); a frame round other things stays
    a frame."""
    from scipy import ndimage

    window = _window(body, 1)
    part = body[window]
    labels, count = ndimage.label(ndimage.binary_fill_holes(part) & ~part)
    out = body.copy()
    if count:
        sizes = np.bincount(labels.ravel())
        small = np.flatnonzero(sizes <= _HOLE * body.sum())
        out[window] |= np.isin(labels, small[small > 0])
    return out


def _square_in(small: _Small, body: Mask, x: float, y: float) -> Region | None:
    """The largest upright square inside the body that lies by the touch, shrunk."""
    from scipy import ndimage

    row, col = _pixel(small, x, y)
    depth = ndimage.distance_transform_cdt(np.pad(body, 1), metric="chessboard")[1:-1, 1:-1]
    rows, cols = np.indices(body.shape)
    leap = np.maximum(abs(rows - row), abs(cols - col))
    depth = np.where(leap <= _LEAP * depth, depth, 0)
    if not depth.any():
        return None
    # Of several equally deep places the one in the middle of them.
    deepest = np.argwhere(depth == depth.max())
    row, col = deepest[np.abs(deepest - deepest.mean(axis=0)).sum(axis=1).argmin()]
    half = _SHRINK * (depth[row, col] - 0.5) * min(small.scale)
    centre_x = (col + 0.5) * small.scale[0] - 0.5
    centre_y = (row + 0.5) * small.scale[1] - 0.5
    return Region(float(centre_x), float(centre_y), float(half))


def _covered(square: Region, small: _Small) -> Mask:
    """The small pixels under a place in the photo."""
    rows, cols = np.indices(small.steps.shape).astype(float)
    x, y = (cols + 0.5) * small.scale[0] - 0.5, (rows + 0.5) * small.scale[1] - 0.5
    return square.covers(x, y)


def _pixel(small: _Small, x: float, y: float) -> tuple[int, int]:
    """(row, col) of the small pixel that holds a place in the photo."""
    rows, cols = small.colour.shape[:2]
    return (
        min(int((y + 0.5) / small.scale[1]), rows - 1),
        min(int((x + 0.5) / small.scale[0]), cols - 1),
    )


def _checked_size(photo: Photo, region: Region, x: float, y: float, what: str) -> Region:
    left, top, right, bottom = region.bounds()
    if (right - left) * (bottom - top) < 2 * FEWEST_PIXELS:
        raise _refused(photo, x, y, what, "it is too small to be read; photograph from nearer")
    return region


def _rectangle(body: Mask) -> tuple[Array, float, float]:
    """The smallest turned rectangle round a body: corners (4, 2) as (x, y), the share of it that
    the body fills, long side over short."""
    points = np.argwhere(body)[:, ::-1].astype(float)
    best = None
    for degrees in range(0, 90, 2):
        c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
        turned = points @ np.array([[c, -s], [s, c]])
        # Single pixels that stick out do not set the size.
        low, high = np.quantile(turned, 0.004, axis=0), np.quantile(turned, 0.996, axis=0)
        sides = high - low + 1
        if best is None or sides.prod() < best[0]:
            box = np.array([low, [high[0], low[1]], high, [low[0], high[1]]])
            best = (sides.prod(), box @ np.array([[c, s], [-s, c]]), sides)
    assert best is not None
    area, corners, sides = best
    return corners, float(len(points) / area), float(sides.max() / sides.min())


def _inside(corners: Array, shape: tuple[int, ...]) -> Mask:
    region = Region.polygon([(x, y) for x, y in corners.tolist()])
    yy, xx = np.mgrid[: shape[0], : shape[1]].astype(float)
    return region.covers(xx, yy)


def _shrunk_to_fit(corners: Array, body: Mask) -> Array | None:
    """The rectangle drawn in about its middle until it lies inside the body; None when it is
    then less than half as long."""
    from scipy import ndimage

    safe = ndimage.binary_erosion(body, iterations=2)
    middle = corners.mean(axis=0)
    for share in np.arange(_SHRINK, 0.45, -0.05):
        inner = middle + share * (corners - middle)
        mask = _inside(inner, body.shape)
        if mask.any() and safe[mask].all():
            return np.asarray(inner)
    return None


def _to_photo(corners: Array, scale: tuple[float, float]) -> Region:
    points = (corners + 0.5) * scale - 0.5
    return Region.polygon([(x, y) for x, y in points.tolist()])
