"""The photos of a library: originals below photos/, each under the hash of its content."""

from __future__ import annotations

import hashlib
import io
import os
import re
import sqlite3
import tempfile
import warnings
from dataclasses import dataclass
from pathlib import Path

from PIL import Image

from ...characters import shown
from ...errors import BadValue, NotFound, PhotoRefused
from ...photo.file.formats import DECODER_ERRORS, KINDS, PILLOW_FORMATS, kind_of
from ...photo.file.gps import without_gps

FOLDER = "photos"
# Photos that are being marked and not on record yet.
DRAFTS = "drafts"
# A file that is being written; one that is still there afterwards was left by a kill.
_PART = ".part-"


@dataclass(frozen=True)
class KeptPhoto:
    """A photo's bytes as they are kept, their hash (its id) and the name of its file."""

    data: bytes
    digest: str
    called: str
    file: str


def read(path: str | Path) -> KeptPhoto:
    """A photo ready to be kept. Raises NotFound, or PhotoRefused when the file is no photo."""
    if not isinstance(path, str | os.PathLike):
        raise BadValue(f"{path!r} is no photo's path; give the path as text.")
    path = Path(path)
    try:
        data = path.read_bytes()
    except OSError as error:
        raise NotFound(f"The photo {path} cannot be read: {error.strerror}.") from error
    if not _is_photo(data, path.suffix.lower()):
        raise PhotoRefused(
            f"{path.name} is not a photo that can be kept: it is empty, damaged or of another "
            f"kind. Use {KINDS}."
        )
    kept = to_keep(data)
    digest = hashlib.sha256(kept).hexdigest()
    called = shown(path.name)  # a file's name may hold anything at all
    return KeptPhoto(kept, digest, called, file_of(digest, called))


def file_of(digest: object, called: object) -> str:
    """Where a photo lies below the library's folder: made of the hash of its content (its id) and
    the ending of a file name. Nothing else of a row is believed, which may be another's."""
    if not re.fullmatch(r"[0-9a-f]{64}", str(digest)):
        return f"{FOLDER}/no photo has such a name"
    ending = re.search(r"\.\w{1,16}\Z", str(called))
    return f"{FOLDER}/{digest}{ending[0].lower() if ending else ''}"


def to_keep(data: bytes) -> bytes:
    """The bytes of a photo as the library keeps them: the one place they pass before hashing."""
    return without_gps(data)


def _is_photo(data: bytes, ending: str) -> bool:
    """Whether a file is of a kind that can be measured, as its first bytes say."""
    Image.init()  # all formats are known to Pillow only after this
    try:
        if kind_of(data, ending) != "picture":
            return True
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # odd metadata and large sizes do no harm here
            with Image.open(io.BytesIO(data), formats=PILLOW_FORMATS):
                return True
    except DECODER_ERRORS:
        return False
    except Image.DecompressionBombError:
        return False


def write(folder: Path, photo: KeptPhoto) -> bool:
    """Write a photo so that it is there whole or not at all, also after a power cut.

    Returns whether it is new: the same content is kept once.
    """
    path = folder / photo.file
    there = path.is_file()
    if there and path.read_bytes() == photo.data:
        return False
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=_PART)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(photo.data)
            file.flush()
            os.fsync(file.fileno())
        os.replace(name, path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    sync_folder(path.parent)
    return not there


def is_whole(path: Path, digest: str) -> bool:
    """Whether a kept file is there and is what was put in."""
    try:
        with open(path, "rb") as content:
            return hashlib.file_digest(content, "sha256").hexdigest() == digest
    except OSError:
        return False


def sync_folder(folder: Path) -> None:
    """Make a file's new name last through a power cut, where folders can be synced."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def parts(folder: Path) -> list[Path]:
    """Files that a killed program left half-written. Nobody else may be writing meanwhile."""
    return sorted((folder / FOLDER).glob(f"{_PART}*"))


def orphans(folder: Path, db: sqlite3.Connection) -> list[Path]:
    """Files below photos/ that no record names: a kill between file and record leaves them."""
    if not (folder / FOLDER).is_dir():
        return []
    known = {file_of(row["id"], row["file"]) for row in db.execute("SELECT id, file FROM photo")}
    return [
        path
        for path in sorted((folder / FOLDER).iterdir())
        if f"{FOLDER}/{path.name}" not in known and not path.name.startswith(_PART)
    ]
