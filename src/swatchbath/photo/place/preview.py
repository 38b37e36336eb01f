"""A small picture of a photo with the marked places drawn on it, for the eye to confirm."""

from __future__ import annotations

import io
from collections.abc import Mapping

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from ...colorimetry.lab import Array, srgb_encode
from ...errors import BadValue
from ..file.read import Photo
from .region import Region

# Widths of the double outline in pixels: black outside, white inside, seen on any colour.
_OUTER, _INNER = 5, 2
_LETTERS = 15
# Written into the file, by which a later preview knows that it may replace this one.
COMMENT = b"swatchbath: the places that were read"
# Points along a drawn ellipse.
_AROUND = 72


def preview(photo: Photo, regions: Mapping[str, Region], *, longest: int = 900) -> bytes:
    """A JPEG (sRGB, without EXIF) of the photo with each place outlined and named.

    longest : the long side in pixels, at most; a smaller photo is not enlarged.
    """
    if longest < 64:
        raise BadValue(f"A preview of {longest} pixels is too small to see; ask for 64 or more.")
    width, height = photo.size
    scale = min(longest / max(width, height), 1.0)
    size = (max(round(width * scale), 1), max(round(height * scale), 1))
    small = np.asarray(Image.fromarray(photo.pixels).resize(size, Image.Resampling.BOX))
    shown = np.clip(np.rint(srgb_encode(photo.light(small)) * 255), 0, 255).astype(np.uint8)
    picture = Image.fromarray(shown)
    pen = ImageDraw.Draw(picture)
    font = ImageFont.load_default(_LETTERS)
    ratio = np.array([size[0] / width, size[1] / height])
    for name, region in regions.items():
        corners = (outline(region) + 0.5) * ratio - 0.5
        closed = [tuple(point) for point in np.vstack([corners, corners[:2]]).tolist()]
        pen.line(closed, fill="black", width=_OUTER, joint="curve")
        pen.line(closed, fill="white", width=_INNER, joint="curve")
        _label(pen, name, corners, size, font)
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=88, comment=COMMENT)
    return out.getvalue()


def crop(photo: Photo, region: Region, *, longest: int = 160) -> bytes:
    """A JPEG (sRGB, without EXIF) of a marked place alone, as the photo shows it."""
    points = outline(region)
    width, height = photo.size
    left, top = np.clip(np.floor(points.min(axis=0)), 0, [width - 1, height - 1]).astype(int)
    right, bottom = np.clip(np.ceil(points.max(axis=0)) + 1, 1, [width, height]).astype(int)
    part = Image.fromarray(photo.pixels[top:bottom, left:right])
    part.thumbnail((longest, longest), Image.Resampling.BOX)
    shown = np.clip(np.rint(srgb_encode(photo.light(np.asarray(part))) * 255), 0, 255)
    out = io.BytesIO()
    Image.fromarray(shown.astype(np.uint8)).save(out, "JPEG", quality=80)
    return out.getvalue()


def outline(region: Region) -> Array:
    """(n, 2) points round a marked place, in pixels of the photo."""
    if region.shape == "polygon":
        return np.array(region.points)
    if region.shape == "ellipse":
        turn = np.radians(region.angle)
        around = np.linspace(0, 2 * np.pi, _AROUND, endpoint=False)
        ry = region.half if region.half_y is None else region.half_y
        along, across = region.half * np.cos(around), ry * np.sin(around)
        x = region.x + along * np.cos(turn) - across * np.sin(turn)
        y = region.y + along * np.sin(turn) + across * np.cos(turn)
        return np.stack([x, y], axis=-1)
    left, top, right, bottom = region.bounds()
    return np.array([[left, top], [right, top], [right, bottom], [left, bottom]])


def _label(
    pen: ImageDraw.ImageDraw,
    name: str,
    corners: Array,
    size: tuple[int, int],
    font: ImageFont.FreeTypeFont | ImageFont.ImageFont,
) -> None:
    """The name on its own paper, above the place, or inside it at the picture's edge."""
    left, top, right, bottom = font.getbbox(name)
    wide, high = right - left + 8, bottom - top + 8
    x = float(np.clip(corners[:, 0].min(), 0, max(size[0] - wide, 0)))
    above = float(corners[:, 1].min()) - high - _OUTER
    y = above if above >= 0 else float(max(corners[:, 1].min() + _OUTER, 0))
    pen.rectangle([x, y, x + wide, y + high], fill="white", outline="black", width=2)
    pen.text((x + 4 - left, y + 4 - top), name, fill="black", font=font)
