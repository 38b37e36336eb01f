"""Where a photo was taken, removed from its file without touching a pixel.

Done in place: the directory of coordinates inside EXIF is taken out and overwritten with zeros,
coordinates in XMP with blanks. Nothing moves, so the same few lines serve JPEG, TIFF, DNG and
other raw files, WebP, AVIF and HEIC; only a PNG is put together anew, for its check sums.
Sources: EXIF 2.3 (tag 0x8825), XMP specification part 2 (exif:GPS...), PNG third edition (chunks).
"""

from __future__ import annotations

import re
import struct
import zlib

import numpy as np

from ...errors import PhotoRefused
from .tiff import STARTS, byte_order, directories, directory

_GPS = 0x8825
_BIG_TIFF = (b"II+\0", b"MM\0+")
# A value of the directory longer than this is not overwritten: it may point anywhere in a damaged
# file. The longest that is written, the name of the method, has some tens of bytes.
_LONGEST_VALUE = 4096
# A photo holds a few TIFF starts (its own, thumbnails'); one with so many is made to keep us busy.
_MOST_STARTS = 500
# The letters I and M differ in one bit alone, which is left out here.
_I_OR_M = np.uint8(0xFF ^ ord("I") ^ ord("M"))
_XMP_ENDS = (b"<rdf:RDF", b"</rdf:RDF>")
_XMP_MORE = b"http://ns.adobe.com/xmp/extension/\0"
# An attribute or an element, under whatever prefix.
_XMP_GPS = re.compile(
    rb"""[\w.-]{1,40}:gps[\w.-]{0,60}\s{0,20}=\s{0,20}(?:"[^"<]{0,500}"|'[^'<]{0,500}')"""
    rb"""|<([\w.-]{1,40}:gps[\w.-]{0,60})(?:\s[^<>]{0,500})?(?:/>|>.{0,2000}?</\1\s{0,20}>)""",
    re.DOTALL | re.IGNORECASE,
)
# The place a phone writes into the short film behind a photo (ISO 6709 text).
_FILM = re.compile(rb"\xa9xyz.{4}([+-][0-9.]+[+-][0-9.]+(?:[+-][0-9.]+)?/?)", re.DOTALL)
_PNG = b"\x89PNG\r\n\x1a\n"
_PNG_PIXELS = (b"IDAT", b"fdAT")
_LONGEST_TEXT = 1 << 24


def without_gps(data: bytes) -> bytes:
    """A photo file's bytes without the coordinates of where it was taken.

    Pixels, profile, orientation, camera and dates stay; a file without coordinates comes back
    byte for byte. Names of places typed in words are not coordinates and stay.
    Raises PhotoRefused for a kind of file in which they could stand unseen (BigTIFF).
    """
    if data[:4] in _BIG_TIFF:
        raise PhotoRefused(
            "This photo is a BigTIFF, from which the place where it was taken cannot be removed. "
            "Save it as an ordinary TIFF."
        )
    if data.startswith(_PNG):
        return _png(data)
    out = bytearray(data)
    _clean(out)
    _clean_long_xmp(out)
    return bytes(out) if out != data else data


def _clean(out: bytearray) -> None:
    """Take coordinates out of every EXIF, XMP packet and film in some bytes, in place."""
    # The first bytes of a TIFF are searched for rather than each container read: four bytes may
    # stand by chance among pixels, but not with a directory behind them that names coordinates.
    starts = _starts(out)
    if len(starts) > _MOST_STARTS:
        raise PhotoRefused(
            "This photo's EXIF is in too many pieces to take out where it was taken. Export it "
            "again as an ordinary JPEG."
        )
    for at in starts:
        with memoryview(out) as view:
            _clean_tiff(view[at:], whole=out[max(at - 4, 0) : at])
    begin = out.find(_XMP_ENDS[0])
    while begin >= 0 and (end := out.find(_XMP_ENDS[1], begin)) >= 0:
        out[begin:end] = _blanked(out[begin:end])
        begin = out.find(_XMP_ENDS[0], end)
    for film in list(_FILM.finditer(out)):
        out[film.start(1) : film.end(1)] = re.sub(rb"[0-9]", b"0", film.group(1))


def _starts(out: bytearray) -> list[int]:
    """Where a TIFF may begin. All begin with one of two letters twice, which is quickly seen."""
    letters = np.frombuffer(out, np.uint8)
    first = letters[:-1]
    twice = first == letters[1:]
    twice &= (first & _I_OR_M) == ord("I")
    return [at for at in np.flatnonzero(twice).tolist() if out.startswith(STARTS, at)]


def _clean_tiff(view: memoryview, *, whole: bytes | bytearray) -> None:
    """`whole`: the four bytes before; CMT4 marks a TIFF that is all coordinates (seen in CR3)."""
    order = byte_order(view)
    for at, entries in list(directories(view)):
        if whole == b"CMT4":
            _wipe(view, at, order)
            continue
        for entry in reversed([e for e in entries if e.tag == _GPS]):
            if entry.size == 4:
                _wipe(view, struct.unpack_from(order + "I", view, entry.at)[0], order)
            # The entries behind it, and the pointer to the next directory, move up by one.
            (count,) = struct.unpack_from(order + "H", view, at)
            end = min(at + 2 + 12 * count + 4, len(view))
            rest = bytes(view[entry.place + 12 : end])
            view[entry.place : end] = rest + bytes(end - entry.place - len(rest))
            struct.pack_into(order + "H", view, at, count - 1)


def _wipe(view: memoryview, at: int, order: str) -> None:
    """Overwrite a directory of coordinates, and what it points to, with zeros."""
    entries = directory(view, at, order)
    if entries is None or any(entry.tag > 31 for entry in entries):
        return  # no directory of coordinates (their tags are 0 to 31); the pointer goes anyway
    for entry in entries:
        if entry.size <= _LONGEST_VALUE and entry.at + entry.size <= len(view):
            view[entry.at : entry.at + entry.size] = bytes(entry.size)
    end = at + 2 + 12 * len(entries)
    view[at:end] = bytes(end - at)


def _blanked(text: bytes | bytearray) -> bytes:
    return _XMP_GPS.sub(lambda found: b" " * len(found.group()), text)


def _clean_long_xmp(out: bytearray) -> None:
    """XMP too long for one JPEG segment: its pieces are joined, blanked and put back (XMP part 3,
    1.1.3.1: after the name come 32 bytes of digest, 4 of length, 4 of offset)."""
    pieces, start = [], out.find(_XMP_MORE)
    while start >= 4:
        (length,) = struct.unpack_from(">H", out, start - 2)
        pieces.append((start + len(_XMP_MORE) + 40, start - 2 + length))
        start = out.find(_XMP_MORE, start + 1)
    text = _blanked(b"".join(out[a:b] for a, b in pieces))
    for a, b in pieces:
        b = min(max(a, b), len(out))
        out[a:b], text = text[: b - a], text[b - a :]


def _png(data: bytes) -> bytes:
    parts, at = [_PNG], len(_PNG)
    while at + 12 <= len(data):
        (length,) = struct.unpack_from(">I", data, at)
        if at + 12 + length > len(data):
            break
        kind, body = data[at + 4 : at + 8], data[at + 8 : at + 8 + length]
        chunk = data[at : at + 12 + length]
        at += 12 + length
        if kind not in _PNG_PIXELS:
            if _hides_gps(kind, body):
                continue
            clean = bytearray(body)
            _clean(clean)
            if clean != body:
                check = struct.pack(">I", zlib.crc32(kind + clean))
                chunk = struct.pack(">I", length) + kind + clean + check
        parts.append(chunk)
    rest = bytearray(data[at:])  # of a file cut short, or what was hung on behind
    _clean(rest)
    return b"".join([*parts, rest])


def _hides_gps(kind: bytes, body: bytes) -> bool:
    """Whether a packed text chunk holds coordinates; such a chunk is left out whole, and so is
    EXIF written as text, whose coordinates cannot be told apart."""
    if kind not in (b"zTXt", b"iTXt", b"tEXt"):
        return False
    name, _, rest = body.partition(b"\0")
    if name.lower().startswith((b"raw profile type exif", b"raw profile type app1")):
        return True
    if kind == b"zTXt":
        packed = rest[1:]
    elif kind == b"iTXt" and rest[:1] == b"\1":
        packed = rest[2:].split(b"\0", 2)[-1]
    else:
        return False
    try:
        text = zlib.decompressobj().decompress(packed, _LONGEST_TEXT)
    except zlib.error:
        return False
    return _XMP_GPS.search(text) is not None
