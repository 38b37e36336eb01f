"""The directories of a TIFF, which EXIF, DNG and most raw files are made of (TIFF 6.0, section 2).

Read without following more than is sane, so that damaged and hostile files end in bounded time.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass

# Bytes of one value of each type, 1 to 13 (TIFF 6.0; 13: TIFF tech note 1).
SIZES = {1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 6: 1, 7: 1, 8: 2, 9: 4, 10: 8, 11: 4, 12: 8, 13: 4}
# First bytes: TIFF itself in both byte orders, and the makers' own versions of it in raw files.
STARTS = (b"II*\0", b"MM\0*", b"IIU\0", b"IIRO", b"IIRS", b"MMOR")
# No directory of a photo has more entries, and no photo more directories. Our own choice.
_MOST_ENTRIES = 400
_MOST_DIRECTORIES = 40
# Tags that point to further directories: SubIFDs and EXIF's own.
_EXIF, _SUB = 0x8769, 330
# Where the pixels stand and how long they are: in strips, in tiles, as a JPEG.
_PIXELS = ((273, 279), (324, 325), (513, 514))
_RAF = b"FUJIFILMCCD-RAW"


@dataclass(frozen=True)
class Entry:
    """A tag of a directory. place : where its 12 bytes stand; at, size : where its value does;
    all counted from the TIFF's first byte."""

    place: int
    tag: int
    kind: int
    at: int
    size: int


def byte_order(data: bytes | bytearray | memoryview) -> str:
    """struct's sign for a TIFF's byte order."""
    return "<" if bytes(data[:2]) == b"II" else ">"


def directory(data: memoryview, at: int, order: str) -> list[Entry] | None:
    """The entries of the directory at `at`, or None where none that can be stands there."""
    if not 8 <= at <= len(data) - 2:
        return None
    (count,) = struct.unpack_from(order + "H", data, at)
    if not 1 <= count <= _MOST_ENTRIES or at + 2 + 12 * count > len(data):
        return None
    entries = []
    for place in range(at + 2, at + 2 + 12 * count, 12):
        tag, kind, number, offset = struct.unpack_from(order + "HHII", data, place)
        if kind not in SIZES:
            return None
        size = SIZES[kind] * number
        entries.append(Entry(place, tag, kind, place + 8 if size <= 4 else offset, size))
    return entries


def directories(data: memoryview) -> Iterator[tuple[int, list[Entry]]]:
    """(place, entries) of each directory of the TIFF that `data` begins with, and of EXIF's."""
    order = byte_order(data)
    if len(data) < 10:
        return
    waiting, seen = [struct.unpack_from(order + "I", data, 4)[0]], set[int]()
    while waiting and len(seen) < _MOST_DIRECTORIES:
        at = waiting.pop(0)
        entries = None if at in seen else directory(data, at, order)
        seen.add(at)
        if entries is None:
            continue
        for entry in entries:
            if entry.tag in (_EXIF, _SUB) and entry.kind in (4, 13) and entry.size <= 4 * 16:
                if entry.at + entry.size <= len(data):
                    waiting += struct.unpack_from(f"{order}{entry.size // 4}I", data, entry.at)
        end = at + 2 + 12 * len(entries)
        if end + 4 <= len(data):
            waiting += struct.unpack_from(order + "I", data, end)
        yield at, entries


def first_words(data: bytes) -> dict[int, str]:
    """Tag -> text of a TIFF's first directory; tags that hold no text come with an empty one."""
    if data[:4] not in STARTS:
        return {}
    for _, entries in directories(memoryview(data)):
        return {
            e.tag: data[e.at : e.at + min(e.size, 200)].split(b"\0")[0].decode("utf-8", "replace")
            if e.kind == 2
            else ""
            for e in entries
        }
    return {}


def cut_short(data: bytes) -> bool:
    """Whether a TIFF, or a raw file built otherwise, ends before the pixels that it names."""
    if data.startswith(_RAF):
        # Place and length of its raw part, and of what stands before (from memory).
        return any(
            sum(struct.unpack_from(">2I", data, at)) > len(data) if len(data) > at + 8 else True
            for at in (84, 92, 100)
        )
    if data[4:8] == b"ftyp":
        return _boxes_end(data) > len(data)
    if data[:4] not in STARTS:
        return False
    view, order = memoryview(data), byte_order(data)
    for _, entries in directories(view):
        tags = {entry.tag: entry for entry in entries}
        for places, lengths in _PIXELS:
            if places in tags and lengths in tags:
                ends = [
                    a + b
                    for a, b in zip(
                        _numbers(view, tags[places], order),
                        _numbers(view, tags[lengths], order),
                        strict=False,
                    )
                ]
                if not ends or max(ends) > len(data):
                    return True
    return False


def _numbers(view: memoryview, entry: Entry, order: str) -> tuple[int, ...]:
    letter = {3: "H", 4: "I", 13: "I"}.get(entry.kind)
    if letter is None or entry.at + entry.size > len(view):
        return ()
    return struct.unpack_from(f"{order}{entry.size // SIZES[entry.kind]}{letter}", view, entry.at)


def _boxes_end(data: bytes) -> int:
    """Where the last box of an ISO media file ends (ISO/IEC 14496-12, 4.2)."""
    at = 0
    while at + 16 <= len(data):
        size = int.from_bytes(data[at : at + 4], "big")
        if size == 1:
            size = int.from_bytes(data[at + 8 : at + 16], "big")
        if size < 8:  # 0: to the end of the file
            return len(data)
        at += size
    return at
