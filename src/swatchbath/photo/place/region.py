"""A marked place in a photo, and the colour of what lies there.

The colour of fibre is the mean in linear light over the marked place, strand shadows included,
as an instrument's aperture reads it. Left out are pixels that are not the fibre: specks and
ground of another colour, and sheen (see `texture`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from ...colorimetry.lab import Array
from ...errors import BadValue, PhotoRefused
from ..file.picture import Codes
from ..file.read import Photo
from .texture import Texture, read_texture

# A code value from here on counts as clipped: JPEG ringing and rounding leave a clipped channel
# a step or two under 255. In 16 bits the same share of the way up. Common practice, no source.
_CLIPPED_CODE = 254
_CLIPPED_CODE_DEEP = 254 * 257
# A code value up to here counts as zero, 0.002 of full light: in 8 bits, in 16 with sRGB's curve,
# and in 16 linear ones.
_LOW_CODE, _LOW_CODE_DEEP, _LOW_CODE_LINEAR = 6, 6 * 257, 131
# Fewer pixels than this are too few for a mean and its doubt: 12 x 12. Common practice, no source.
FEWEST_PIXELS = 144
# More than this are thinned out; the mean of so many is known to a thousandth. Our own choice.
_ENOUGH_PIXELS = 20_000


@dataclass(frozen=True)
class Region:
    """A marked place in a photo.

    `Region.ellipse` and `Region.polygon` make other shapes than a square.

    Parameters
    ----------
    x, y : float
        Centre, in pixels of the upright picture.
    half : float
        Half the side of the square, in pixels.
    shape, half_y, angle, points
        Of the other shapes.

    Raises
    ------
    BadValue

    Examples
    --------
    >>> Region(410, 220, 60).half
    60
    """

    x: float
    y: float
    half: float
    shape: str = "square"
    half_y: float | None = None
    angle: float = 0.0
    points: tuple[tuple[float, float], ...] = ()

    def __post_init__(self) -> None:
        numbers = [self.x, self.y, self.half, self.half_y or 1.0, self.angle]
        numbers += [v for p in self.points for v in p]
        if not np.isfinite(np.array(numbers, dtype=float)).all():
            raise BadValue("A marked place needs numbers for x, y and its size.")
        if not (self.half > 0 and (self.half_y is None or self.half_y > 0)):
            raise BadValue(f"The half size of a marked place is {self.half:g}; it must be above 0.")

    @classmethod
    def ellipse(cls, x: float, y: float, rx: float, ry: float, *, angle: float = 0) -> Region:
        """An ellipse of centre x, y and half axes rx, ry, in pixels, turned by `angle` degrees
        clockwise as seen."""
        return cls(x, y, rx, shape="ellipse", half_y=ry, angle=angle)

    @classmethod
    def polygon(cls, points: Sequence[tuple[float, float]]) -> Region:
        """A polygon through at least three points (x, y)."""
        corners = tuple((float(x), float(y)) for x, y in points)
        if len(corners) < 3:
            raise BadValue(f"A polygon needs at least three points; {len(corners)} were given.")
        xs, ys = np.array(corners).T
        half = max(np.ptp(xs), np.ptp(ys)) / 2
        return cls(
            float(xs.min() + xs.max()) / 2,
            float(ys.min() + ys.max()) / 2,
            float(half),
            shape="polygon",
            points=corners,
        )

    def bounds(self) -> tuple[float, float, float, float]:
        """(left, top, right, bottom) in pixel coordinates."""
        if self.shape == "polygon":
            xs, ys = np.array(self.points).T
            return float(xs.min()), float(ys.min()), float(xs.max()), float(ys.max())
        if self.shape == "ellipse":
            c, s = np.cos(np.radians(self.angle)), np.sin(np.radians(self.angle))
            ry = self.half if self.half_y is None else self.half_y
            wide, high = np.hypot(self.half * c, ry * s), np.hypot(self.half * s, ry * c)
            return self.x - wide, self.y - high, self.x + wide, self.y + high
        return self.x - self.half, self.y - self.half, self.x + self.half, self.y + self.half

    def covers(self, x: Array, y: Array) -> NDArray[np.bool_]:
        """Whether points lie inside. x, y : (n,), pixels. Gives (n,) of bool."""
        if self.shape == "square":
            return (np.abs(x - self.x) <= self.half) & (np.abs(y - self.y) <= self.half)
        if self.shape == "ellipse":
            c, s = np.cos(np.radians(self.angle)), np.sin(np.radians(self.angle))
            dx, dy = x - self.x, y - self.y
            ry = self.half if self.half_y is None else self.half_y
            along, across = dx * c + dy * s, dy * c - dx * s
            return np.asarray((along / self.half) ** 2 + (across / ry) ** 2 <= 1)
        inside = np.zeros(np.broadcast(x, y).shape, dtype=bool)
        for (x1, y1), (x2, y2) in zip(self.points, self.points[1:] + self.points[:1], strict=True):
            if y1 == y2:
                continue
            crosses = (y1 > y) != (y2 > y)
            inside ^= crosses & (x < (x2 - x1) * (y - y1) / (y2 - y1) + x1)
        return inside


@dataclass(frozen=True, eq=False)
class RegionReading:
    """What lies at a marked place, in linear sRGB light.

    rgb : (3,) mean. texture : what the texture makes of it (see `texture`).
    pixels : how many were used. clipped : share of pixels with a clipped channel.
    specks : share left out as specks or ground. spread : relative standard deviation of
    brightness over the place. centre : (x, y). low : (3,) bool, channels that mostly read zero.
    """

    rgb: Array
    texture: Texture
    pixels: int
    clipped: float
    specks: float
    spread: float
    centre: tuple[float, float]
    low: Array = field(default_factory=lambda: np.zeros(3, dtype=bool))


def read_region(photo: Photo, region: Region, *, what: str) -> RegionReading:
    """Read the colour at a marked place. `what` names it in messages ("the grey card").

    Raises PhotoRefused when the place lies outside the frame or holds too few pixels.
    """
    width, height = photo.size
    left, top, right, bottom = region.bounds()
    # Half a pixel of slack: (0, 0) is a pixel's centre, so its edge lies at -0.5.
    if left < -0.5 or top < -0.5 or right > width - 0.5 or bottom > height - 0.5:
        raise PhotoRefused(
            f"{what[0].upper() + what[1:]} at ({region.x:g}, {region.y:g}) with half size "
            f"{region.half:g} reaches outside the photo {photo.name}, which is {width} x {height} "
            "pixels. Mark a place inside the picture."
        )
    x0, y0 = max(int(np.ceil(left)), 0), max(int(np.ceil(top)), 0)
    x1, y1 = min(int(np.floor(right)), width - 1), min(int(np.floor(bottom)), height - 1)
    # Of a large place every second (third ...) pixel is read: the mean is known far better anyway.
    step = max(1, int(np.ceil(np.sqrt((x1 - x0 + 1) * (y1 - y0 + 1) / _ENOUGH_PIXELS))))
    codes = photo.picture.window(x0, y0, x1 + 1, y1 + 1, step)
    # A row and a column, spread over the window where they are used.
    xx = np.arange(x0, x1 + 1, step, dtype=float)[None, :]
    yy = np.arange(y0, y1 + 1, step, dtype=float)[:, None]
    # By index: several times as fast as by mask.
    at = np.flatnonzero(np.broadcast_to(region.covers(xx, yy), codes.shape[:2]))
    if len(at) < FEWEST_PIXELS:
        raise PhotoRefused(
            f"{what[0].upper() + what[1:]} at ({region.x:g}, {region.y:g}) covers "
            f"{len(at)} pixels; at least {FEWEST_PIXELS} are needed. Mark a larger "
            "place, or photograph from nearer."
        )
    x, y = (np.broadcast_to(side, codes.shape[:2]).reshape(-1) for side in (xx, yy))
    codes = codes.reshape(-1, 3)
    if len(at) < len(codes):
        x, y, codes = x.take(at), y.take(at), codes.take(at, axis=0)
    # A channel in one piece: each step from here on is several times as fast.
    planes: Codes = codes.T.copy()
    clipped = planes.max(axis=0) >= (_CLIPPED_CODE_DEEP if photo.picture.deep else _CLIPPED_CODE)
    deep = _LOW_CODE_DEEP if photo.kind == "rendered" else _LOW_CODE_LINEAR
    at_zero = planes <= (deep if photo.picture.deep else _LOW_CODE)
    texture = read_texture(photo.light(planes.T), x, y)
    fibre = np.flatnonzero(~texture.odd)
    return RegionReading(
        rgb=texture.area,
        texture=texture,
        pixels=len(fibre),
        clipped=np.count_nonzero(clipped) / len(at),
        specks=1 - len(fibre) / len(at),
        spread=texture.depth,
        centre=(float(x.take(fibre).mean()), float(y.take(fibre).mean())),
        low=np.count_nonzero(at_zero, axis=1) > len(at) / 2,
    )
