"""The real fibre of swatches on record, cut out of the photos they were read from."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from threading import Lock

from ...errors import BadValue, NotFound, PhotoRefused
from ...library import Library
from ...photo import Region, read_photo
from ...photo.file.read import Photo
from ...photo.place.preview import crop, preview


@dataclass(frozen=True)
class FibrePlace:
    """Where a swatch is seen: the photo's id (the hash of its content), and x, y, half in it."""

    photo: str
    mark: tuple[float, float, float]


def fibre_places(library: Library, codes: Iterable[str]) -> dict[str, FibrePlace]:
    """Where each swatch (by code) is seen: of its latest dry reading whose photo and place are
    known; those without one are left out."""
    return {code: FibrePlace(*place) for code, place in library.latest_places(codes).items()}


def seen_in(library: Library, code: str) -> list[dict[str, str]]:
    """The photos of a swatch (by code), read or only seen, oldest first: id, photo (the file's
    name) and shows ("swatch" or "pot sheet")."""
    return [
        {"id": digest, "photo": name, "shows": what}
        for digest, name, what in library.photos_of(code)
    ]


def fibre_picture(
    library: Library, photo: str, mark: Sequence[float], *, longest: int = 480
) -> bytes:
    """A JPEG (upright, sRGB, without metadata) of a place in a photo on record.

    photo : its id. mark : x, y, half in its pixels. Raises NotFound or PhotoRefused where the
    photo is not there or cannot be read, BadValue for a place that is none.
    """
    if len(mark) != 3:
        raise BadValue("A place in a photo is x, y and half, three numbers.")
    x, y, half = mark
    return crop(decoded(library.photo(photo)), Region(x, y, half), longest=longest)


def photo_picture(library: Library, photo: str, *, longest: int = 1200) -> bytes:
    """A JPEG (upright, sRGB, without metadata) of a whole photo on record, by its id."""
    return preview(decoded(library.photo(photo)), {}, longest=longest)


def fibre_crops(library: Library, swatches: Iterable[str]) -> dict[str, bytes]:
    """A small JPEG of each swatch (by code) from its latest dry reading whose photo and place are
    known; those without one are left out."""
    out: dict[str, bytes] = {}
    places = fibre_places(library, swatches)
    for code, place in sorted(places.items(), key=lambda found: found[1].photo):
        try:
            out[code] = fibre_picture(library, place.photo, place.mark, longest=160)
        except (PhotoRefused, NotFound):
            continue  # missing or altered: verify tells of it, and the patch is shown all the same
    return out


_lock = Lock()


def decoded(path: Path) -> Photo:
    """A photo by its file. Many places of one are asked for at once, and it is decoded once."""
    with _lock:
        return _decode(path, path.stat().st_mtime_ns if path.is_file() else 0)


# Two: a photo of twelve million pixels takes 36 MB.
@lru_cache(maxsize=2)
def _decode(path: Path, changed: int) -> Photo:
    photo = read_photo(path)
    photo.pixels  # noqa: B018  decoded here, under the lock
    return photo
