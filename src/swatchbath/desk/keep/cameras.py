"""The camera of photos on record named, of which their files do not tell."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from ...errors import BadValue, NotFound
from ...library import Library
from ...library.rows.photos import PhotoOnRecord
from ..photo.measure import Progress
from ..photo.whose_camera import spelt
from .reread import RereadAnswer, reread

_SHOWN = 10


@dataclass(frozen=True)
class CameraAnswer:
    """What was done. called : the camera's name; None: unnamed again. photos : their file names.
    readings : how many count under it now. anew : what came of readings that had to be made anew,
    because they were read beside swatches of other photos too."""

    called: str | None
    photos: tuple[str, ...]
    readings: int
    anew: RereadAnswer = RereadAnswer()

    @property
    def sentences(self) -> list[str]:
        """What was done, one sentence each."""
        shown = ", ".join(self.photos[:_SHOWN])
        more = len(self.photos) - _SHOWN
        names = f"{shown} and {more} more" if more > 0 else shown
        whose = "reading counts" if self.readings == 1 else "readings count"
        camera = f"taken by '{self.called}'" if self.called else "taken by the unnamed camera"
        return [
            f"{names}: {camera}.",
            f"{self.readings} {whose} under it now. swatchbath undo takes it back.",
            *self.anew.sentences,
        ]

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "camera_name": self.called,
            "photos": list(self.photos),
            "readings": self.readings,
            "anew": self.anew.as_dict(),
        }


def name_camera(
    library: Library,
    name: str | None,
    photos: Iterable[str] = (),
    *,
    unnamed: bool = False,
    why: str = "",
    progress: Progress | None = None,
) -> CameraAnswer:
    """Say what the camera is called that took photos on record, whose files do not tell.

    name : what she calls it; None or empty: the unnamed one. photos : by file name, or by the start
    of their id. unnamed : all photos whose camera has no name yet. Their readings count under that
    camera from now on; one undo takes it back. Raises BadValue, NotFound.
    """
    called = name.strip() if name and name.strip() else None
    on_record = library.photos()
    chosen = [p for text in photos for p in _named(on_record, text)]
    if unnamed and chosen:
        raise BadValue("--photo and --unnamed were both given; leave one of them out.")
    if unnamed:
        if called is None:
            raise BadValue('Say what the camera is called: --camera-name "my phone".')
        chosen = [p for p in on_record if p.camera is None and p.camera_name is None]
        if not chosen:
            raise NotFound("Every photo on record says which camera took it, or was named already.")
    if not chosen:
        raise BadValue("No photo is named. Name photos with --photo, or say --unnamed.")
    called = called and spelt(called, library)
    ids = list(dict.fromkeys(p.id for p in chosen))
    with library.atomic():
        mixed = library.call_camera(ids, called, why=why)
        anew = reread(library, only=mixed, why=why, progress=progress) if mixed else RereadAnswer()
        if called is not None:
            library.keep_camera_name(called)
    count = sum(len(library.readings_from(digest)) for digest in ids)
    return CameraAnswer(called, tuple(dict.fromkeys(p.name for p in chosen)), count, anew)


def _named(photos: Iterable[PhotoOnRecord], text: str) -> list[PhotoOnRecord]:
    """The photo a file name or the start of an id means. Raises NotFound, BadValue."""
    typed = text.strip()
    photos = list(photos)
    found = [p for p in photos if p.name == typed]
    if not found and len(typed) >= 6:
        found = [p for p in photos if p.id.startswith(typed.lower())]
    if not found:
        raise NotFound(f"There is no photo {typed} on record. Name it as its file was called.")
    if len(found) > 1:
        ids = ", ".join(p.id[:8] for p in found)
        raise BadValue(
            f"{len(found)} photos on record are called {typed}. Name the one you mean by the start "
            f"of its id: {ids}."
        )
    return found
