"""Which camera a photo counts as: as its file says, as she calls it, or the library's unnamed."""

from __future__ import annotations

import secrets
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Literal

from ...library import Library
from ...photo import Photo

How = Literal["file", "named", "as last time", "unnamed"]


@dataclass(frozen=True)
class WhoseCamera:
    """The camera of one photo. photo : its file's name. called : what the camera is called, or None
    where it shares nothing with any other. how : who says so. typed : a name that was typed, and is
    not used where the file names the camera. offered : of a photo by an unnamed camera, the one
    camera that is named on record, if there is one alone."""

    photo: str
    called: str | None
    how: How
    typed: str | None = None
    offered: str | None = None

    @property
    def name(self) -> str | None:
        """What `swatchbath.measure` takes as the camera's name."""
        return None if self.how == "file" else self.called

    @property
    def kept(self) -> str | None:
        """The name to keep with the photo: hers."""
        return self.called if self.how in ("named", "as last time") else None

    @property
    def remembered(self) -> str | None:
        """The name to offer next time, where one was typed."""
        return self.called if self.how == "named" and self.typed else None

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {"name": self.called, "how": self.how}


def whose_camera(
    photo: Photo, typed: str | None, library: Library | None, *, unnamed: str | None = None
) -> WhoseCamera:
    """Which camera a photo counts as.

    typed : what she calls it. library : what it is kept in or compared with. unnamed : what the
    unnamed camera is called where there is no library yet, and None for no library at all.
    """
    typed = " ".join((typed or "").split()) or None
    if photo.camera is not None:
        return WhoseCamera(photo.name, photo.camera, "file", typed)
    if library is None:
        if typed:
            return WhoseCamera(photo.name, typed, "named", typed)
        return WhoseCamera(photo.name, unnamed, "unnamed")
    if typed:
        return WhoseCamera(photo.name, spelt(typed, library), "named", typed)
    if library.has_photo(photo.id):
        before = library.photo_on_record(photo.id)
        if before.camera_name:
            return WhoseCamera(photo.name, before.camera_name, "named")
        if library.readings_from(photo.id):
            return _unnamed(photo, library)
    if library.last_camera_name:
        return WhoseCamera(photo.name, library.last_camera_name, "as last time")
    return _unnamed(photo, library)


def _unnamed(photo: Photo, library: Library) -> WhoseCamera:
    named = library.camera_names()
    offered = named[0] if len(named) == 1 else None
    return WhoseCamera(photo.name, library.unnamed_camera, "unnamed", offered=offered)


def spelt(typed: str, library: Library) -> str:
    """A camera's name without odd blanks, and as it is spelt on record, by a file or by her."""
    typed = " ".join(typed.split())
    known = {name.casefold(): name for name in library.camera_names()}
    return known.get(typed.casefold(), typed)


def new_unnamed_camera() -> str:
    """What a library that is about to be made will call its unnamed camera."""
    return f"unnamed ({secrets.token_hex(2)})"


def camera_words(cameras: Iterable[WhoseCamera], *, library: bool = True) -> list[str]:
    """What to say of photos that do not name their camera, once for all that are alike.

    library : whether they are kept or compared with others.
    """
    groups: dict[tuple[str, str | None], list[WhoseCamera]] = {}
    for camera in cameras:
        groups.setdefault((camera.how, camera.called), []).append(camera)
    return [
        words
        for (how, called), alike in groups.items()
        if (words := _words(how, called, alike, library))
    ]


def _words(how: str, called: str | None, alike: list[WhoseCamera], library: bool) -> str:
    one = len(alike) == 1
    who = alike[0].photo if one else f"{len(alike)} photos"
    say, counts, it = ("does", "counts", "it") if one else ("do", "count", "them")
    they = "it" if one else "they"
    if how == "file":
        if not any(c.typed for c in alike):
            return ""
        says, was = ("says itself", "it was") if one else ("say themselves", "they were")
        return f"{who} {says} that {was} taken by {called}; the name given was not used."
    silent = f"{who} {say} not say which camera took {it}"
    if how == "as last time":
        return (
            f"{silent}; {they} {counts} as '{called}', as last time. If another camera did, name "
            'it: --camera-name "her phone".'
        )
    if how == "named":
        return f"{silent}; {they} {counts} as '{called}'."
    called = alike[0].offered or "my phone"
    name_it = f'--camera-name "{called}"'
    if not library:
        return (
            f"{silent}, so nothing that other photos tell of that camera is used. Name it: "
            f"{name_it}."
        )
    how_to = f"If {called} took {it}, say so" if alike[0].offered else "Name it"
    return (
        f"{silent}; {they} {counts} as taken by the one camera of this library that has no name. "
        f"{how_to}: {name_it}, or later: swatchbath edit --unnamed {name_it}."
    )
