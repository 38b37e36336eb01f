"""The real fibre of swatches on record, cut out of the photos they were read from."""

from __future__ import annotations

from collections.abc import Iterable

from ...errors import NotFound, PhotoRefused
from ...library import Library
from ...photo import Region, read_photo
from ...photo.place.preview import crop


def fibre_crops(library: Library, swatches: Iterable[str]) -> dict[str, bytes]:
    """A small JPEG of each swatch (by code) from its latest dry reading whose photo and place are
    known; those without one are left out."""
    wanted: dict[str, list[tuple[str, Region]]] = {}
    for code in swatches:
        dry = [m for state, _, m in library.swatch(code).measurements if state != "wet" and m.photo]
        for reading in reversed(dry):
            assert reading.photo is not None
            of = [r for r in library.readings_from(reading.photo) if r.swatch == code and r.mark]
            if of and (mark := of[-1].mark) is not None:
                wanted.setdefault(reading.photo, []).append((code, Region(*mark)))
                break
    out: dict[str, bytes] = {}
    for digest, places in wanted.items():
        try:
            photo = read_photo(library.photo(digest))
        except (PhotoRefused, NotFound):
            continue  # missing or altered: verify tells of it, and the patch is shown all the same
        out |= {code: crop(photo, place) for code, place in places}
    return out
