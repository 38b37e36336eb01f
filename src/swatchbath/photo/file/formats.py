"""What kind of file a photo is, told from its bytes, and what can be said before decoding it."""

from __future__ import annotations

import struct
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime

from PIL import ExifTags, Image

from ...errors import PhotoRefused, SwatchbathError
from .icc import CodedSpace, Decoder, TableDecoder
from .picture import Picture
from .tiff import first_words

# Formats that Pillow opens, by its names. MPO, a JPEG with further pictures behind the first, is
# opened as JPEG.
PILLOW_FORMATS = ("JPEG", "PNG", "TIFF", "WEBP", "AVIF")
# Largest photo opened, in pixels: above any phone's, below what would fill a small computer's
# memory (400 MB as Pillow holds it). Common practice, no source.
MOST_PIXELS = 100_000_000
# What decoders raise on damaged files, seen by truncating and flipping bytes of every format, or
# may by their own account: memory that a wrong size asks for, bytes that do not fit a struct.
DECODER_ERRORS: tuple[type[Exception], ...] = (
    OSError,
    SyntaxError,
    ValueError,
    RuntimeError,
    EOFError,
    IndexError,
    TypeError,
    MemoryError,
    struct.error,
)
KINDS = "a JPEG, PNG, WebP, AVIF, TIFF, HEIC, DNG or camera raw file"
# Brands of an ISO media file (ISO/IEC 23008-12 annex B; crx: seen in raw files).
_HEIC_BRANDS = {b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1"}
# First bytes of raw files that are not TIFF (as raw readers tell them; from memory).
_RAW_STARTS = (b"FUJIFILMCCD-RAW", b"IIRO", b"IIRS", b"MMOR", b"IIU\0", b"FOVb", b"\0MRM")
_TIFF_STARTS = (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+")
# Raw files that are TIFF outside; only a TIFF with such a name, or with DNG's version tag, is
# taken for raw, because its first picture is often a plain thumbnail.
_DNG_VERSION = 50706
_RAW_ENDINGS = (
    *(".3fr", ".arw", ".cr2", ".cr3", ".dcr", ".dng", ".erf", ".iiq", ".kdc", ".mef", ".mos"),
    *(".mrw", ".nef", ".nrw", ".orf", ".pef", ".raf", ".raw", ".rw2", ".rwl", ".sr2", ".srf"),
    *(".srw", ".x3f"),
)
# Words that stand in a file with a gain map: Adobe's and Google's XMP, ISO 21496-1, Apple's.
_GAIN_MAPS = (
    b"http://ns.adobe.com/hdr-gain-map/",
    b"urn:iso:std:iso:ts:21496:-1",
    b"urn:com:apple:photo:2020:aux:hdrgainmap",
)


@dataclass(frozen=True, eq=False)
class Opened:
    """What a reader hands over: pixels, what the file says of its colours, and of itself.

    colours : an ICC profile, numbers for primaries and curve, a decoder, or None where nothing
    is said. kind : as of Photo. taken : when, by the camera's clock, or None.
    """

    picture: Picture
    colours: bytes | CodedSpace | Decoder | TableDecoder | None
    camera: str | None
    notes: tuple[str, ...] = ()
    kind: str = "rendered"
    taken: datetime | None = None


def kind_of(data: bytes, ending: str) -> str:
    """The reader a file goes to: "raw", "heic" or "picture" (Pillow's, or 16-bit TIFF)."""
    if data[4:8] == b"ftyp":
        if data[8:12] == b"crx ":
            return "raw"
        brands = {data[8:12], *(data[i : i + 4] for i in range(16, _box_end(data), 4))}
        # An AVIF may name the general brands too.
        heic = brands & _HEIC_BRANDS and not brands & {b"avif", b"avis"}
        return "heic" if heic else "picture"
    if data.startswith(_RAW_STARTS) or (data[:4] in _TIFF_STARTS and ending in _RAW_ENDINGS):
        return "raw"
    return "raw" if _DNG_VERSION in first_words(data) else "picture"


def _box_end(data: bytes) -> int:
    return min(int.from_bytes(data[:4], "big"), 128, len(data))


def gain_map_note(data: bytes) -> tuple[str, ...]:
    """A note where the file holds an HDR gain map, which is not applied."""
    if any(word in data for word in _GAIN_MAPS):
        return ("holds an HDR gain map; the base picture was used, without the map",)
    return ()


@contextmanager
def decoding(name: str) -> Iterator[None]:
    """Around a decoder's calls alone: what it raises on a damaged file becomes PhotoRefused."""
    try:
        yield
    except SwatchbathError:
        raise
    except DECODER_ERRORS as error:
        raise PhotoRefused(damaged(name)) from error
    except Image.DecompressionBombError as error:
        raise PhotoRefused(too_large(name, None)) from error


def check_size(name: str, size: tuple[int, int]) -> None:
    """Raises PhotoRefused when a picture has more pixels than are opened."""
    if size[0] * size[1] > MOST_PIXELS:
        raise PhotoRefused(too_large(name, size))


def too_large(name: str, size: tuple[int, int] | None) -> str:
    """The sentence for a photo with too many pixels."""
    stated = f" ({size[0]} x {size[1]} pixels)" if size else ""
    return (
        f"{name} is too large{stated}: at most {MOST_PIXELS // 1_000_000} megapixels are opened. "
        "Make a smaller copy."
    )


def damaged(name: str) -> str:
    """The sentence for a file that no decoder takes."""
    return (
        f"{name} cannot be opened as a photo: it is damaged or of another kind. Use {KINDS}, and "
        "copy it again if it should be one."
    )


def missing(name: str, what: str, extra: str) -> str:
    """The sentence for a kind of file whose extra is not installed."""
    return (
        f"{name} is {what}, which needs an optional part that is not installed. Install it with: "
        f"pip install 'swatchbath[{extra}]'"
    )


def camera_of(exif: Image.Exif) -> str | None:
    """Make and model as EXIF says (tags 271 and 272)."""
    return joined_name(str(exif.get(tag, "")) for tag in (271, 272))


def joined_name(words: Iterable[str]) -> str | None:
    """A camera's make and model as one text; None where both are empty."""
    return " ".join(w for w in (word.strip("\x00 ") for word in words) if w) or None


def taken_of(exif: Image.Exif) -> datetime | None:
    """When the photo was taken, by the camera's clock, as EXIF says (tag 36867, else 306)."""
    try:
        inside = exif.get_ifd(ExifTags.IFD.Exif)
    except KeyError:  # an older Pillow, where EXIF holds no such directory
        inside = {}
    return time_of(inside.get(36867) or exif.get(306))


def time_of(text: object) -> datetime | None:
    """EXIF's way of writing a time, "2026:05:03 14:02:11"; None for what is none."""
    try:
        return datetime.strptime(str(text).strip("\x00 ")[:19], "%Y:%m:%d %H:%M:%S")
    except ValueError:
        return None


def orientation_of(exif: Image.Exif) -> int:
    """EXIF's orientation, 1 where it says nothing that can be."""
    turn = exif.get(274, 1)
    return turn if isinstance(turn, int) and 1 <= turn <= 8 else 1
