"""A photo measured with all that lies in it: its colours, whose camera it is, and what to keep."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from ...colorimetry.measurement import Measurement
from ...errors import BadValue
from ...library import Library
from ...photo import Photo, Region, Shot
from ...photo import measure as measure_photo
from ...photo.correction.own_frame import MOST_BESIDE, check_apart
from ...photo.shot import in_frame_of
from .beside import OwnSwatch, beside_words, listed, nearest_own
from .in_frame import KnownInFrame
from .kept_frame import frame_as_values
from .whose_camera import WhoseCamera, whose_camera


@dataclass(frozen=True, eq=False)
class MeasuredPhoto:
    """A photo's colours, and what is kept with it.

    places : of the swatches that were read. own : those on record that lie beside, and alone : what
    the frame shows of every swatch without them. farther : further ones, that were not gone by.
    """

    shot: Shot
    photo: Photo
    camera: WhoseCamera
    known: KnownInFrame
    places: Mapping[str, Region]
    own: Mapping[str, OwnSwatch] = field(default_factory=dict)
    alone: Mapping[str, Measurement] = field(default_factory=dict)
    farther: tuple[str, ...] = ()
    sitting: str | None = None

    @property
    def beside(self) -> list[str]:
        """What is to be said of the swatches on record that it was read beside."""
        notes = self.shot.notes[len(self.photo.notes) :]
        said = beside_words(self.shot, notes, self.alone, self.own)
        if self.farther:
            said.append(
                f"More than {MOST_BESIDE} lie beside: the nearest in colour were gone by, and not "
                f"{listed(self.farther)}."
            )
        return said

    def keep(
        self,
        library: Library,
        path: str | Path,
        codes: Mapping[str, str],
        called: str | None = None,
    ) -> str:
        """Keep the photo with what lies in it; returns its id. codes : name -> code of the swatches
        that are on record now. called : as `Library.add_photo`."""
        blank = None if self.known.blank is None else library.add_photo(self.known.blank)
        named = {codes.get(n, n): place for n, place in self.places.items()}
        named |= {own.code: own.place for own in self.own.values()}
        known = {codes.get(n, n): lab for n, lab in self.known.known.items()}
        frame = frame_as_values(self.known, named, blank=blank, beside=_codes(self.own))
        return keep_photo(
            library, path, self.photo, self.camera, self.sitting,
            frame=frame | ({"known": known} if known else {}), called=called,
        )  # fmt: skip


def keep_photo(
    library: Library,
    path: str | Path,
    photo: Photo,
    camera: WhoseCamera,
    sitting: str | None,
    *,
    frame: Mapping[str, object] | None = None,
    called: str | None = None,
) -> str:
    """Keep a photo with whose it is and when it was taken; returns its id."""
    if camera.remembered is not None:
        library.keep_camera_name(camera.remembered)
    return library.add_photo(
        path,
        camera=photo.camera,
        camera_name=camera.kept,
        sitting=sitting,
        taken=photo.taken,
        frame=frame,
        called=called,
    )


def _codes(own: Mapping[str, OwnSwatch]) -> list[str]:
    return [o.code for o in own.values()]


def measure_in(
    photo: Photo,
    places: Mapping[str, Region],
    known: KnownInFrame,
    *,
    library: Library | None,
    own: Mapping[str, OwnSwatch] | None = None,
    camera_name: str | None = None,
    sitting: str | None = None,
    unnamed: str | None = None,
    pictured: bool = False,
) -> MeasuredPhoto:
    """Measure an open photo for a library, or for none.

    pictured : whether one without a card is read as it shows its colours, for their differences.
    own : swatches on record that lie beside; where they are many, the nearest in colour are gone
    by. camera_name, sitting : as typed. unnamed : see `whose_camera`.
    Raises PhotoRefused, BadValue.
    """
    own = dict(own or {})
    if not places:
        raise BadValue("No swatch is marked. Mark at least one place with a swatch.")
    camera = whose_camera(photo, camera_name, library, unnamed=unnamed)
    how: dict[str, Any] = {"camera_name": camera.name, "sitting": sitting, **known.keywords}
    how["pictured"] = pictured
    every = dict(places) | {n: o.place for n, o in own.items()}
    check_apart(every, own)
    shot = measure_photo(photo, swatches=every, **how)
    alone: Mapping[str, Measurement] = {}
    farther: tuple[str, ...] = ()
    if own:
        alone = shot.measured
        near = nearest_own(own, alone, places)
        farther = tuple(n for n in own if n not in near)
        own = near
        gone_by = replace(
            shot,
            measured={n: m for n, m in alone.items() if n not in farther},
            refused={n: why for n, why in shot.refused.items() if n not in farther},
        )
        shot = in_frame_of(gone_by, {n: o.on_record for n, o in own.items()})
    return MeasuredPhoto(shot, photo, camera, known, dict(places), own, alone, farther, sitting)
