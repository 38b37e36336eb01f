"""A photo file, opened once: its pixels, how to turn them into linear light, and its origin."""

from __future__ import annotations

import hashlib
import io
import logging
import struct
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import ExifTags, Image

from ...colorimetry.lab import Array, srgb_decode, srgb_encode
from ...errors import BadValue, PhotoRefused
from .formats import (
    PILLOW_FORMATS,
    Opened,
    camera_of,
    check_size,
    decoding,
    gain_map_note,
    kind_of,
    orientation_of,
    taken_of,
)
from .gps import without_gps
from .heic import open_heic
from .icc import (
    CodedSpace,
    Decoder,
    TableDecoder,
    adobe_rgb_decoder,
    as_linear,
    coded_decoder,
    linear_decoder,
    matrix_decoder,
    srgb_decoder,
    table_decoder,
)
from .picture import Codes, Picture
from .raw import open_raw
from .tiff16 import is_deep, is_lzw, open_tiff16

ENCODINGS = (None, "linear")
# What a PNG's gAMA holds for sRGB (PNG third edition, 11.3.2.5).
_GAMMA = 0.45455
# A colour box of numbers stands near the start of an AVIF; further on the bytes are the picture.
_HEAD = 1 << 16


@dataclass(frozen=True, eq=False)
class Photo:
    """An opened photo. Pixel (0, 0) is the centre of the top left pixel of the upright image.

    picture : the decoded pixels, cut into upright windows when wanted; an array (height, width, 3)
    of uint8 or uint16 is taken too. name : the file's name. id : see `photo_id`. camera :
    make and model as the file says, or None.
    kind : "rendered" (the camera gave it a look), "linear" (values proportional to light, in
    known primaries) or "unprofiled" (linear, primaries not known).
    notes : what was assumed. taken : when, by the camera's clock, or None.
    profiled : whether the file says how its colours are coded.
    """

    picture: Picture
    decoder: Decoder | TableDecoder
    name: str
    id: str
    camera: str | None
    kind: str
    notes: tuple[str, ...]
    taken: datetime | None = None
    profiled: bool = False

    def __post_init__(self) -> None:
        if isinstance(self.picture, np.ndarray):
            object.__setattr__(self, "picture", Picture(self.picture))

    @property
    def size(self) -> tuple[int, int]:
        """(width, height) of the upright image."""
        return self.picture.size

    @cached_property
    def pixels(self) -> NDArray[np.uint8]:
        """(height, width, 3): the whole photo in 8-bit codes, for looking, not for measuring.

        It is copied out on first use. A 16-bit linear photo is given sRGB's curve, so that its
        dark parts keep their steps; `light` knows of it.
        """
        codes = self.picture.whole()
        if codes.dtype == np.uint8:
            return codes.view(np.uint8)
        levels = np.arange(65536) / 65535
        if self._curved:
            levels = srgb_encode(levels)
        return np.asarray(np.rint(levels * 255).astype(np.uint8)[codes])

    @property
    def _curved(self) -> bool:
        return self.picture.deep and self.kind != "rendered"

    def light(self, codes: Codes) -> Array:
        """Linear sRGB light (..., 3), unbounded, of codes (..., 3): uint16 from `picture`, uint8
        from `picture` or `pixels`."""
        if codes.dtype == np.uint16:
            return self.decoder(codes / 65535)
        if self._curved:
            return self.decoder(srgb_decode(codes / 255))
        return self.decoder.of_bytes(codes.astype(np.uint8, copy=False))


def read_photo(path: str | Path, *, encoding: str | None = None) -> Photo:
    """Open a photo file: JPEG, PNG, WebP, AVIF, TIFF; by extras HEIC, camera raw, DNG, 16-bit TIFF.

    encoding : None (the embedded profile, else assumed sRGB, and said so) or "linear" (values
    proportional to light; of an embedded profile only the primaries are used). A raw file is
    developed to linear values either way.
    Raises PhotoRefused when the file is missing, damaged, too large, not RGB, or of a kind whose
    extra is not installed.
    """
    if encoding not in ENCODINGS:
        raise BadValue(f"The encoding '{encoding}' is not known; leave it out, or say linear.")
    path = Path(path)
    try:
        data = path.read_bytes()
    except FileNotFoundError as error:
        raise PhotoRefused(
            f"There is no photo at {path}. Check the name and the folder."
        ) from error
    except OSError as error:
        raise PhotoRefused(f"The photo {path} cannot be read: {error.strerror}.") from error
    if not data:
        raise PhotoRefused(f"The photo {path.name} is an empty file. Copy it from the phone again.")
    with _quietly():
        opened = _opened(data, path.name, path.suffix.lower())
        decoder, kind = _decoder(opened, encoding)
    return Photo(
        picture=opened.picture,
        decoder=decoder,
        name=path.name,
        id=photo_id(data),
        camera=opened.camera,
        kind=kind,
        notes=(decoder.note, *opened.notes, *gain_map_note(data)),
        taken=opened.taken,
        profiled=opened.colours is not None,
    )


def photo_id(data: bytes) -> str:
    """SHA-256 of a photo's bytes without where it was taken, as a library keeps them; so a photo
    and its copy there are one. Of a file from which that cannot be removed, of all its bytes."""
    try:
        return hashlib.sha256(without_gps(data)).hexdigest()
    except PhotoRefused:
        return hashlib.sha256(data).hexdigest()


@contextmanager
def _quietly() -> Iterator[None]:
    """Odd metadata and large sizes are dealt with in our own words, not by warnings and logs."""
    logger = logging.getLogger("tifffile")
    before = logger.disabled
    logger.disabled = True
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            yield
    finally:
        logger.disabled = before


def _opened(data: bytes, name: str, ending: str) -> Opened:
    kind = kind_of(data, ending)
    if kind == "heic":
        return open_heic(data, name)
    if kind == "raw":
        return open_raw(data, name)
    Image.init()  # all formats are known to Pillow only after this
    with decoding(name):
        image = Image.open(io.BytesIO(data), formats=PILLOW_FORMATS)
    with image:
        check_size(name, image.size)
        with decoding(name):
            deep, packed = is_deep(image), is_lzw(image)
        if deep and not packed:
            return open_tiff16(data, name, image)
        return _by_pillow(image, data, name, deep)


def _by_pillow(image: Image.Image, data: bytes, name: str, deep: bool) -> Opened:
    if image.mode in _NOT_RGB or image.mode.startswith("I;16"):
        raise PhotoRefused(
            f"{name} is {_NOT_RGB.get(image.mode, 'a grey picture')} ({image.mode}), not a colour "
            "photo in RGB. Use the photo as the camera wrote it."
        )
    notes = []
    with decoding(name):
        several = image.format == "MPO" or getattr(image, "n_frames", 1) > 1
    if several:
        notes.append("holds several pictures; the first was used")
    if image.mode in ("RGBA", "PA", "RGBa") or "transparency" in image.info:
        notes.append("transparency was left out")
    if image.mode in ("P", "PA"):
        notes.append("holds at most 256 colours: less precise")
    if image.format == "PNG" and data[24:25] == b"\x10":
        notes.append("16-bit PNG, read in 8 bits")
    if deep:
        notes.append("16-bit TIFF packed by LZW, read in 8 bits: save it unpacked or with ZIP")
    with decoding(name):
        image.load()  # before EXIF is asked: a TIFF is turned upright while it loads
        exif = image.getexif()
        camera, taken, adobe_rgb = camera_of(exif), taken_of(exif), _is_adobe_rgb(exif)
        picture = Picture(image, orientation_of(exif))
    colours: bytes | CodedSpace | Decoder | None = image.info.get("icc_profile")
    if not colours:
        colours = _coded(data, image.format) or (adobe_rgb_decoder() if adobe_rgb else None)
    if not colours and abs(image.info.get("gamma", _GAMMA) - _GAMMA) > 0.01:
        notes.append("the curve the PNG states (gAMA) was not used")
    return Opened(picture, colours, camera, tuple(notes), taken=taken)


_NOT_RGB = {
    "CMYK": "a print picture",
    "LAB": "a picture in L*a*b*",
    "L": "a grey picture",
    "LA": "a grey picture",
    "1": "a black and white picture",
    "I": "a grey picture",
    "F": "a grey picture",
}


def _coded(data: bytes, form: str | None) -> CodedSpace | None:
    """Colours told by numbers: an AVIF's box colr of kind nclx (ISO/IEC 14496-12, 12.1.5), a
    PNG's chunk cICP (PNG third edition, 11.3.2.6)."""
    word, pattern = {"AVIF": (b"colrnclx", ">HH"), "PNG": (b"\0\0\0\4cICP", ">BB")}.get(
        form or "", (b"", "")
    )
    at = data[:_HEAD].find(word) + len(word) if word in data[:_HEAD] else 0
    if not at or at + struct.calcsize(pattern) > len(data):
        return None
    return CodedSpace(*struct.unpack_from(pattern, data, at))


def _is_adobe_rgb(exif: Image.Exif) -> bool:
    """Cameras set to Adobe RGB often embed no profile but mark their EXIF "R03" (DCF 2.0)."""
    try:
        mark = exif.get_ifd(ExifTags.IFD.Interop).get(1)
    except KeyError:  # Pillow before 13, where EXIF holds no such directory
        return False
    return str(mark).startswith("R03")


def _decoder(opened: Opened, encoding: str | None) -> tuple[Decoder | TableDecoder, str]:
    """How the codes become light, and the photo's kind."""
    colours = opened.colours
    if encoding == "linear" and opened.kind == "rendered" and isinstance(colours, Decoder):
        return as_linear(colours), "linear"
    if isinstance(colours, Decoder | TableDecoder):
        return colours, opened.kind
    profile = colours if isinstance(colours, bytes) else None
    if encoding == "linear":
        return linear_decoder(profile), "linear" if profile else "unprofiled"
    if isinstance(colours, CodedSpace):
        return coded_decoder(colours), opened.kind
    if not profile:
        return srgb_decoder("assumed sRGB: the photo has no colour profile"), opened.kind
    return matrix_decoder(profile) or table_decoder(profile), opened.kind
