"""Readings made anew from their kept photos: by a newer version, or because more is known."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from ...colorimetry.measurement import Measurement
from ...errors import SwatchbathError
from ...library import Library
from ...library.rows.photos import PhotoOnRecord, PhotoReading
from ...photo import Region, read_photo
from ..photo.beside import OwnSwatch
from ..photo.kept_frame import frame_from_values
from ..photo.measure import Progress
from ..photo.measured import measure_in
from .older_frame import is_at, older_frame

_NEWER = "read anew by a newer version"


@dataclass(frozen=True)
class RereadAnswer:
    """What came of reading photos anew. made : how many readings, of how many photos. kept : photo
    -> why its readings, or some of them, stay as they were. layout : of the version that wrote
    them, where the library was brought up to date by it."""

    made: int = 0
    photos: int = 0
    kept: Mapping[str, str] = field(default_factory=dict)
    left: int = 0
    layout: int | None = None

    @property
    def sentences(self) -> list[str]:
        """What was done, one sentence each."""
        out = []
        if self.made:
            out.append(
                f"{_many(self.made, 'reading')} from {_many(self.photos, 'photo')} "
                f"{'was' if self.made == 1 else 'were'} made anew. The old ones are kept; "
                "swatchbath undo brings them back."
            )
        if self.left:
            out.append(
                f"{_many(self.left, 'reading')} from {_many(len(self.kept), 'photo')} could not be "
                f"made anew and {'stays as it is' if self.left == 1 else 'stay as they are'}:"
            )
            out += [f"{name}: {why}" for name, why in self.kept.items()]
        return out

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "made": self.made,
            "photos": self.photos,
            "left": self.left,
            "kept": dict(self.kept),
            "layout": self.layout,
        }


def reread(
    library: Library,
    *,
    only: Collection[str] | None = None,
    why: str = _NEWER,
    progress: Progress | None = None,
) -> RereadAnswer:
    """Make readings anew from the photos that are kept, with all that lies in them.

    only : ids of the readings to make anew; None: all. All are made first and written together, as
    one change; the old ones stay in the history. A reading that cannot be made anew is kept.
    """
    layout = library.to_read
    made: dict[str, Measurement] = {}
    kept: dict[str, str] = {}
    count = left = 0
    wanted = [(p, _wanted(library, p, only)) for p in library.photos()]
    wanted = [(p, readings) for p, readings in wanted if readings]
    for i, (photo, readings) in enumerate(wanted):
        if progress:
            progress(i, len(wanted), f"reading {photo.name} anew")
        new: dict[str, Measurement] = {}
        try:
            new, reasons = _anew(library, photo, readings, made)
        except SwatchbathError as error:
            reasons = [str(error)]
        made |= new
        count += bool(new)
        left += len(readings) - len(new)
        if reasons:
            name = photo.name if photo.name not in kept else f"{photo.name} ({photo.id[:8]})"
            kept[name] = " ".join(dict.fromkeys(reasons))
    with library.atomic():
        library.read_anew(made, why=why, whole=only is None)
    if progress:
        progress(len(wanted), len(wanted), "read anew")
    return RereadAnswer(len(made), count, kept, left, layout)


def bring_up_to_date(library: Library, *, progress: Progress | None = None) -> RereadAnswer | None:
    """Make the readings of a library anew that an earlier version wrote, once, where it can be
    written; None where there is nothing to do."""
    if library.to_read is None or not library.writable:
        return None
    return reread(library, progress=progress)


def _wanted(
    library: Library, photo: PhotoOnRecord, only: Collection[str] | None
) -> list[PhotoReading]:
    readings = library.readings_from(photo.id)
    if only is None or any(r.id in only for r in readings):
        return readings if only is None else [r for r in readings if r.id in only]
    return []


def _anew(
    library: Library,
    photo: PhotoOnRecord,
    readings: Sequence[PhotoReading],
    made: Mapping[str, Measurement],
) -> tuple[dict[str, Measurement], list[str]]:
    """The readings of one photo by their ids, and why others are missing. made : those of other
    photos that were made anew before.

    Raises one of our errors where none of them can be made.
    """
    known, places, beside = frame_from_values(photo.frame, library)
    opened = read_photo(library.photo(photo.id), encoding=known.encoding)
    older = known.card is None and known.chart is None
    if older:
        known, found = older_frame(opened, readings)
        places = dict(places) | found
    labels: dict[str, PhotoReading] = {}
    regions: dict[str, Region] = {}
    reasons = []
    for reading in readings:
        label = reading.swatch if reading.swatch not in labels else f"{reading.swatch} again"
        place = _place(reading, places)
        if place is None:
            reasons.append(f"Where {reading.swatch} lies in it is not on record.")
            continue
        labels[label], regions[label] = reading, place
    own = dict(_own(library, photo.id, readings[0], beside, places, made))
    for name in known.known:
        if name in places and name not in regions and name not in own:
            regions[name] = places[name]
    done = measure_in(
        opened, regions, known, library=library, own=own,
        camera_name=photo.camera_name, sitting=photo.sitting,
    )  # fmt: skip
    out = {}
    for label, reading in labels.items():
        if label in done.shot.refused:
            reasons.append(done.shot.refused[label])
        else:
            out[reading.id] = done.shot[label]
    return out, reasons


def _place(reading: PhotoReading, places: Mapping[str, Region]) -> Region | None:
    """Where a swatch lies: as it was kept, unless this reading was of another place on it."""
    kept = places.get(reading.swatch)
    if reading.mark is None or (kept is not None and is_at(kept, reading.mark)):
        return kept
    return Region(*reading.mark)


def _own(
    library: Library,
    photo: str,
    first: PhotoReading,
    beside: Sequence[str],
    places: Mapping[str, Region],
    made: Mapping[str, Measurement],
) -> Iterator[tuple[str, OwnSwatch]]:
    """The swatches that lay beside, with the colours they had on record by then."""
    for code in beside:
        before = library.reading_before(code, first.id, photo)
        if before is None or code not in places:
            continue
        colour = made.get(before.id, before.measured)
        if colour is not None:
            yield code, OwnSwatch(code, places[code], colour)


def _many(count: int, what: str) -> str:
    return f"{count} {what}{'' if count == 1 else 's'}"
