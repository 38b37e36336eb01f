"""Colour profiles: code values to linear sRGB light, in floats and without clipping.

Matrix/TRC profiles (what cameras and phones write) are read here; a profile built on look-up
tables goes through Pillow's colour engine in 8 bits and is marked less precise. Source of the
layout and the formulae: ICC.1:2022 (tags rXYZ, gXYZ, bXYZ, rTRC, gTRC, bTRC; types XYZ, curv and
para; 8.3 and annex F).
"""

from __future__ import annotations

import io
import struct
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageCms

from ...colorimetry.lab import (
    WHITE_D50,
    WHITE_D65,
    XYZ_TO_SRGB,
    Array,
    bradford,
    lab_to_xyz,
    rgb_to_xyz_matrix,
    srgb_decode,
)
from ...errors import PhotoRefused

# Parametric curve types 0 to 4: how many numbers each holds (ICC.1:2022 table 68).
_PARAMETERS = {0: 1, 1: 3, 2: 4, 3: 5, 4: 7}
_TABLE_LIMIT = 65536


@dataclass(frozen=True)
class Decoder:
    """How code values (0 to 1) become linear sRGB light. `note` says where it came from."""

    curves: tuple[Callable[[Array], Array], ...]
    matrix: Array
    note: str

    def __call__(self, code: Array) -> Array:
        """Linear sRGB (..., 3), unbounded, of code values (..., 3) from 0 to 1."""
        linear = np.stack([c(code[..., i]) for i, c in enumerate(self.curves)], axis=-1)
        return np.asarray(linear @ self.matrix.T)

    def of_bytes(self, codes: NDArray[np.uint8]) -> Array:
        """The same of 8-bit codes (..., 3), by a table of the 256 values: the curves are slow."""
        # A channel after the other in memory, which is how they are looked up and used.
        linear = np.stack([self._table[i].take(codes[..., i]) for i in range(3)])
        light = self.matrix @ linear.reshape(3, -1)
        return np.moveaxis(light.reshape(linear.shape), 0, -1)

    @cached_property
    def _table(self) -> list[Array]:
        grid = np.arange(256) / 255
        return [np.asarray(c(grid), float) for c in self.curves]


@dataclass(frozen=True)
class TableDecoder:
    """The decoder of a profile built on tables: Pillow's colour engine to 8-bit Lab (D50)."""

    transform: ImageCms.ImageCmsTransform
    note: str

    def __call__(self, code: Array) -> Array:
        """Linear sRGB (..., 3) of code values (..., 3) from 0 to 1, rounded to 8 bits."""
        return self.of_bytes(np.rint(np.clip(code, 0, 1) * 255).astype(np.uint8))

    def of_bytes(self, codes: NDArray[np.uint8]) -> Array:
        """Linear sRGB (..., 3) of 8-bit codes (..., 3)."""
        picture = Image.fromarray(np.ascontiguousarray(codes).reshape(1, -1, 3))
        read = ImageCms.applyTransform(picture, self.transform)
        if read is None:
            raise PhotoRefused(_UNUSABLE)
        eight = np.asarray(read).reshape(codes.shape)
        # Pillow's Lab: L* from 0 to 255, a* and b* as bytes with a sign.
        lab = np.concatenate([eight[..., :1] * (100 / 255), eight[..., 1:].view(np.int8)], axis=-1)
        to_srgb = XYZ_TO_SRGB @ bradford(WHITE_D50, WHITE_D65)
        return np.asarray(lab_to_xyz(lab, WHITE_D50) @ to_srgb.T)


_UNUSABLE = (
    "The colour profile inside the photo cannot be used. Export the photo again as an ordinary "
    "JPEG."
)


@dataclass(frozen=True)
class CodedSpace:
    """Colours told by numbers, as AVIF and HEIC may (ITU-T H.273 tables 2 and 3)."""

    primaries: int
    transfer: int


# xy of red, green, blue; all with D65 (ITU-T H.273 table 2: BT.709, BT.2020, P3-D65).
_CODED_PRIMARIES = {
    1: ("BT.709", [[0.640, 0.330], [0.300, 0.600], [0.150, 0.060]]),
    9: ("BT.2020", [[0.708, 0.292], [0.170, 0.797], [0.131, 0.046]]),
    12: ("Display P3", [[0.680, 0.320], [0.265, 0.690], [0.150, 0.060]]),
}
# Curves read as sRGB's (ITU-T H.273 table 3): 13 is sRGB; a still photo that says BT.709, BT.601
# or BT.2020 (1, 6, 14, 15) was rendered for screens all the same; 2 is "not stated".
_CODED_SRGB_CURVES = (1, 2, 6, 13, 14, 15)
_CODED_LINEAR = 8


def coded_decoder(space: CodedSpace) -> Decoder:
    """The decoder of a colour space told by numbers. Raises PhotoRefused for an HDR curve."""
    if space.primaries == 2:
        return srgb_decoder("assumed sRGB: the photo has no colour profile")
    if space.primaries not in _CODED_PRIMARIES or space.transfer not in (
        *_CODED_SRGB_CURVES,
        _CODED_LINEAR,
    ):
        raise PhotoRefused(
            f"The photo's colours are coded for HDR or video (primaries {space.primaries}, curve "
            f"{space.transfer}), which is not read. Photograph with HDR off, or export an "
            "ordinary JPEG."
        )
    name, primaries = _CODED_PRIMARIES[space.primaries]
    matrix = XYZ_TO_SRGB @ rgb_to_xyz_matrix(primaries, WHITE_D65)
    curve: Callable[[Array], Array] = np.asarray if space.transfer == _CODED_LINEAR else srgb_decode
    return Decoder((curve,) * 3, matrix, f"colours coded as {name}")


def table_decoder(profile: bytes) -> TableDecoder:
    """The decoder of an RGB profile built on tables. Raises PhotoRefused for a damaged one."""
    try:
        transform = ImageCms.buildTransform(
            ImageCms.ImageCmsProfile(io.BytesIO(profile)),
            ImageCms.createProfile("LAB"),
            "RGB",
            "LAB",
            renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC,
        )
    except (ImageCms.PyCMSError, OSError) as error:
        raise PhotoRefused(_UNUSABLE) from error
    return TableDecoder(transform, "profile built on tables, read in 8 bits: less precise")


def srgb_decoder(note: str) -> Decoder:
    """The sRGB curve and nothing else."""
    return Decoder((srgb_decode,) * 3, np.eye(3), note)


def adobe_rgb_decoder() -> Decoder:
    """Adobe RGB (1998): its primaries, D65, and the exponent 563/256 (version 2005-05, 4.3)."""
    primaries = [[0.64, 0.33], [0.21, 0.71], [0.15, 0.06]]
    matrix = XYZ_TO_SRGB @ rgb_to_xyz_matrix(primaries, WHITE_D65)

    def curve(v: Array) -> Array:
        return np.asarray(np.maximum(v, 0) ** (563 / 256))

    return Decoder((curve,) * 3, matrix, "Adobe RGB, as the photo's EXIF says")


def as_linear(stated: Decoder) -> Decoder:
    """A decoder's primaries for values that are proportional to light already."""
    same: Callable[[Array], Array] = np.asarray
    return Decoder((same,) * 3, stated.matrix, f"linear, as said; {stated.note}")


def linear_decoder(profile: bytes | None) -> Decoder:
    """Code values already proportional to light, in a profile's primaries or unknown ones."""
    same: Callable[[Array], Array] = np.asarray
    if not profile:
        return Decoder((same, same, same), np.eye(3), "linear, as said; primaries not known")
    stated = matrix_decoder(profile)
    if stated is None:
        raise PhotoRefused(
            "The linear photo's colour profile is built on tables, so its primaries are not "
            "known. Export it with a matrix profile, or without one."
        )
    return as_linear(stated)


def matrix_decoder(profile: bytes) -> Decoder | None:
    """The decoder of a matrix/TRC RGB profile; None when the profile is built on tables.

    Raises PhotoRefused for a profile that is damaged or not for RGB.
    """
    try:
        return _parse(profile)
    except (struct.error, IndexError, ValueError, KeyError) as error:
        if isinstance(error, PhotoRefused):
            raise
        raise PhotoRefused(
            "The colour profile inside the photo is damaged, so its colours cannot be read. "
            "Export the photo again from the phone or camera as an ordinary JPEG."
        ) from error


def _parse(profile: bytes) -> Decoder | None:
    if len(profile) < 132 or profile[36:40] != b"acsp":
        raise ValueError("no profile signature")
    space = profile[16:20].decode("ascii", "replace").strip()
    if space != "RGB":
        raise PhotoRefused(
            f"The photo's colour profile is for {space}, not for RGB. Export the photo as an "
            "ordinary RGB JPEG or PNG."
        )
    (count,) = struct.unpack(">I", profile[128:132])
    if count > 1000:
        raise ValueError("too many tags")
    tags: dict[bytes, bytes] = {}
    for i in range(count):
        name, offset, size = struct.unpack(">4sII", profile[132 + 12 * i : 144 + 12 * i])
        if offset + size > len(profile):
            raise ValueError("a tag lies outside the profile")
        tags[name] = profile[offset : offset + size]
    if b"A2B0" in tags or not {b"rXYZ", b"gXYZ", b"bXYZ", b"rTRC", b"gTRC", b"bTRC"} <= set(tags):
        return None
    columns = np.array([_xyz(tags[k]) for k in (b"rXYZ", b"gXYZ", b"bXYZ")]).T
    if abs(np.linalg.det(columns)) < 1e-6:
        raise ValueError("the primaries do not span a space")
    # Some old profiles hold a D65 white here, a third off in Z; further off is damage.
    whiteness = columns.sum(axis=1) / WHITE_D50
    if not (0.6 < whiteness.min() and whiteness.max() < 1.6):
        raise ValueError("the primaries do not make a white")
    # The connection space's white is D50; the colours are wanted as linear sRGB, whose white is
    # D65. Scaling to D50 exactly takes out the tags' rounding to 1/65536, so that equal codes
    # are neutral.
    columns = columns * (WHITE_D50 / columns.sum(axis=1))[:, None]
    matrix = XYZ_TO_SRGB @ bradford(WHITE_D50, WHITE_D65) @ columns
    curves = tuple(_curve(tags[k]) for k in (b"rTRC", b"gTRC", b"bTRC"))
    ends = np.array([[float(c(np.array([v]))[0]) for v in (0.0, 1.0)] for c in curves])
    if not (np.abs(ends[:, 0]).max() < 0.2 and np.abs(ends[:, 1] - 1).max() < 0.2):
        raise ValueError("a curve does not lead from black to white")
    return Decoder(curves, matrix, f"profile '{_description(tags)}'")


def _xyz(tag: bytes) -> list[float]:
    if tag[:4] != b"XYZ ":
        raise ValueError("not an XYZ tag")
    return [v / 65536 for v in struct.unpack(">3i", tag[8:20])]


def _curve(tag: bytes) -> Callable[[Array], Array]:
    if tag[:4] == b"curv":
        (n,) = struct.unpack(">I", tag[8:12])
        if n > _TABLE_LIMIT:
            raise ValueError("the curve is too long")
        if n == 0:
            return np.asarray
        values: NDArray[np.float64] = np.array(struct.unpack(f">{n}H", tag[12 : 12 + 2 * n]), float)
        if n == 1:
            gamma = _sane(values[0] / 256)
            return lambda v: np.asarray(np.maximum(v, 0) ** gamma)
        grid = np.linspace(0, 1, n)
        return lambda v: np.interp(v, grid, values / 65535)
    if tag[:4] == b"para":
        (kind,) = struct.unpack(">H", tag[8:10])
        p = [
            v / 65536
            for v in struct.unpack(f">{_PARAMETERS[kind]}i", tag[12 : 12 + 4 * _PARAMETERS[kind]])
        ]
        _sane(p[0])
        if kind in (1, 2) and abs(p[1]) < 1e-4:
            raise ValueError("the curve's scale cannot be zero")
        return lambda v: _parametric(kind, p, v)
    raise ValueError("unknown curve type")


def _sane(gamma: float) -> float:
    """A curve's exponent, refused beyond what any display or camera has (1 to 3)."""
    if not 0.1 <= gamma <= 10:
        raise ValueError("the curve's exponent cannot be")
    return gamma


def _parametric(kind: int, p: list[float], v: Array) -> Array:
    g = p[0]
    if kind == 0:
        return np.asarray(np.maximum(v, 0) ** g)
    a, b = p[1], p[2]
    power = np.maximum(a * v + b, 0) ** g
    if kind == 1:
        return np.where(v >= -b / a, power, 0.0)
    if kind == 2:
        return np.where(v >= -b / a, power + p[3], p[3])
    c, d = p[3], p[4]
    if kind == 3:
        return np.where(v >= d, power, c * v)
    return np.where(v >= d, power + p[5], c * v + p[6])


def _description(tags: dict[bytes, bytes]) -> str:
    tag = tags.get(b"desc", b"")
    if tag[:4] == b"desc" and len(tag) > 12:
        (n,) = struct.unpack(">I", tag[8:12])
        return tag[12 : 12 + max(n - 1, 0)].decode("ascii", "replace")[:60]
    if tag[:4] == b"mluc" and len(tag) >= 28:
        length, offset = struct.unpack(">II", tag[20:28])
        return tag[offset : offset + length].decode("utf-16-be", "replace")[:60]
    return "without a name"
