"""A photo file, opened once: upright pixels, how to turn them into linear light, and its origin."""

from __future__ import annotations

import hashlib
import io
import struct
import warnings
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import ExifTags, Image, ImageCms, ImageOps, UnidentifiedImageError

from ..colorimetry.lab import Array
from ..errors import BadValue, PhotoRefused
from .profile import Decoder, linear_decoder, matrix_decoder, srgb_decoder

# Formats taken (Pillow's names). MPO, a JPEG with further pictures behind the first, is opened as
# JPEG.
_FORMATS = ("JPEG", "PNG", "TIFF", "WEBP", "AVIF")
# Largest photo opened, in pixels: above any phone's, below what would fill a small computer's
# memory (300 MB as 8-bit RGB). Common practice, no source.
_MOST_PIXELS = 100_000_000
# What Pillow's decoders raise on damaged files (seen by truncating and flipping bytes).
_DECODER_ERRORS = (
    UnidentifiedImageError,
    OSError,
    SyntaxError,
    ValueError,
    OverflowError,
    RuntimeError,
    struct.error,
    IndexError,
    KeyError,
    TypeError,
)
ENCODINGS = (None, "linear")


@dataclass(frozen=True, eq=False)
class Photo:
    """An opened photo. Pixel (0, 0) is the centre of the top left pixel of the upright image.

    pixels : (height, width, 3), 8-bit code values, upright. name : the file's name.
    id : SHA-256 of the file. camera : make and model as the file says, or None.
    kind : "rendered" (the camera gave it a look), "linear" (values proportional to light, in
    known primaries) or "unprofiled" (linear, primaries not known).
    notes : what was assumed.
    """

    pixels: NDArray[np.uint8]
    decoder: Decoder
    name: str
    id: str
    camera: str | None
    kind: str
    notes: tuple[str, ...]

    @property
    def size(self) -> tuple[int, int]:
        """(width, height) of the upright image."""
        return self.pixels.shape[1], self.pixels.shape[0]

    def light(self, codes: NDArray[np.uint8]) -> Array:
        """Linear sRGB light (..., 3) of code values (..., 3); unbounded."""
        return self.decoder(codes.astype(np.float64) / 255)


def read_photo(path: str | Path, *, encoding: str | None = None) -> Photo:
    """Open a photo file: JPEG, PNG, WebP, AVIF or 8-bit TIFF.

    encoding : None (the embedded profile, else assumed sRGB, and said so) or "linear" (values
    proportional to light; of an embedded profile only the primaries are used).
    Raises PhotoRefused when the file is missing, damaged, too large or not RGB.
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
    Image.init()  # all formats are known to Pillow only after this
    try:
        with warnings.catch_warnings():
            # Odd metadata and large sizes are dealt with below, in our own words.
            warnings.simplefilter("ignore")
            with Image.open(io.BytesIO(data), formats=_FORMATS) as image:
                return _opened(image, path.name, hashlib.sha256(data).hexdigest(), encoding)
    except _DECODER_ERRORS as error:
        if isinstance(error, PhotoRefused):
            raise
        raise PhotoRefused(
            f"{path.name} cannot be opened as a photo: it is damaged or of another kind. Use a "
            "JPEG, PNG, WebP, AVIF or 8-bit TIFF, and copy it again if it should be one."
        ) from error
    except Image.DecompressionBombError as error:
        raise PhotoRefused(_too_large(path.name, None)) from error


def _opened(image: Image.Image, name: str, digest: str, encoding: str | None) -> Photo:
    if image.width * image.height > _MOST_PIXELS:
        raise PhotoRefused(_too_large(name, image.size))
    notes: list[str] = []
    if image.format == "MPO":
        notes.append("holds several pictures; the first was used")
    exif = image.getexif()
    camera = " ".join(
        str(exif.get(tag, "")).strip("\x00 ") for tag in (ExifTags.Base.Make, ExifTags.Base.Model)
    ).strip()
    profile = image.info.get("icc_profile")
    if image.mode in ("CMYK", "YCCK", "L", "LA", "1", "LAB", "I", "F", "I;16", "I;16B", "I;16L"):
        kind = (
            "grey" if image.mode in ("L", "LA", "1", "I", "F") or "I;16" in image.mode else "print"
        )
        raise PhotoRefused(
            f"{name} is a {kind} picture ({image.mode}), not a colour photo in RGB. Use the photo "
            "as the camera wrote it."
        )
    upright = ImageOps.exif_transpose(image)
    if upright.mode in ("RGBA", "PA", "RGBa") or "transparency" in upright.info:
        notes.append("transparency was left out")
    rgb = upright.convert("RGB")

    decoder: Decoder | None
    kind = "rendered"
    if encoding == "linear":
        decoder = linear_decoder(profile)
        kind = "linear" if profile else "unprofiled"
    elif not profile:
        decoder = srgb_decoder("assumed sRGB: the photo has no colour profile")
    else:
        decoder = matrix_decoder(profile)
        if decoder is None:
            rgb, decoder = _through_tables(rgb, profile, name)
    pixels = np.asarray(rgb)
    return Photo(
        pixels=pixels,
        decoder=decoder,
        name=name,
        id=digest,
        camera=camera or None,
        kind=kind,
        notes=(decoder.note, *notes),
    )


def _through_tables(rgb: Image.Image, profile: bytes, name: str) -> tuple[Image.Image, Decoder]:
    """A profile built on tables: Pillow's colour engine to 8-bit sRGB."""
    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        shown = ImageCms.profileToProfile(
            rgb, source, ImageCms.createProfile("sRGB"), outputMode="RGB"
        )
    except (ImageCms.PyCMSError, OSError) as error:
        raise PhotoRefused(
            f"The colour profile inside {name} cannot be used. Export the photo again as an "
            "ordinary JPEG."
        ) from error
    if shown is None:
        raise PhotoRefused(f"The colour profile inside {name} cannot be used.")
    return shown, srgb_decoder("profile built on tables, read in 8 bits: less precise")


def _too_large(name: str, size: tuple[int, int] | None) -> str:
    stated = f" ({size[0]} x {size[1]} pixels)" if size else ""
    return (
        f"{name} is too large{stated}: at most {_MOST_PIXELS // 1_000_000} megapixels are opened. "
        "Make a smaller copy."
    )
