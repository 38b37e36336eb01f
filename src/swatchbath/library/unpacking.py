"""What may be unpacked: limits for an archive that somebody else may have made, seen before and
while it is read. Backups and workbooks are such archives.
"""

from __future__ import annotations

import struct
import zipfile
import zlib
from collections.abc import Iterator
from typing import IO

_BLOCK = 1 << 20
# How many times its packed size a member may have where it is not small. Text and databases are
# packed to a tenth or so, and a file made to fill a disk to a thousandth. Common practice, no
# source.
_RATIO, _SMALL = 200, 20_000_000
# What the reader of archives raises on a file that is damaged: its own errors, those of the
# decompressor, and what a wrong bit makes of a length, a name, a flag for a password or a method.
SPOILED = (
    zipfile.BadZipFile,
    zlib.error,
    struct.error,
    EOFError,
    RuntimeError,
    ValueError,
    OverflowError,
    LookupError,
)
_KINDS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)


def why_not(archive: zipfile.ZipFile, size: int, *, members: int, total: int) -> str | None:
    """Why an archive is not to be unpacked, in a few words; None where it may be.

    size : of the archive's file in bytes. members : how many there may be. total : how many bytes
    they may have, all unpacked together.
    """
    held = archive.infolist()
    if len(held) > members:
        return f"it holds {len(held)} files, more than the {members} it may"
    if len({m.filename for m in held}) != len(held):
        return "it holds two files of one name"
    if any(m.compress_type not in _KINDS for m in held):
        return "it is packed in a way that is not used here"
    # Members that lie over one another count one content many times.
    if sum(m.compress_size for m in held) > size:
        return "its files lie over one another"
    if any(m.file_size > _SMALL and m.file_size > _RATIO * m.compress_size for m in held):
        return "unpacked, it would be hundreds of times as large as it is"
    unpacked = sum(m.file_size for m in held)
    if unpacked > total:
        return f"unpacked, it would fill {unpacked / 1e6:.0f} MB"
    return None


def blocks(archive: zipfile.ZipFile, name: str) -> Iterator[bytes]:
    """A member's content, block by block; zipfile.BadZipFile where it is longer than it says."""
    left = archive.getinfo(name).file_size
    content: IO[bytes]
    with archive.open(name) as content:
        while block := content.read(_BLOCK):
            left -= len(block)
            if left < 0:
                raise zipfile.BadZipFile("longer than it says")
            yield block
