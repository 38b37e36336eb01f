"""Whose errors a photo's are: its camera's, its sitting's, its own, its card's."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from ...colorimetry.lab import Array
from ...errors import BadValue
from ..file.read import Photo
from .error_model import ErrorModel

# Share of a photo's part that the photos of one sitting have in common: camera and light. One chart
# photographed again by one phone in one light differs by 1.8 / 4.3 where in another it does by
# 3.6 / 7.0; with this share the interval of the first holds 0 in 0.98 of 312 patches
# (tests/studies/score_doubt.py).
SITTING_SHARE = 0.8
# Photos by one camera taken within the hour, whose cards' casts agree within 5 %, are of one
# sitting. Two grids of cells, each twice as wide and one offset by half, stand for that: near
# photos lie in one cell of both and share all of the sitting's part, farther ones in one cell of
# one and share half, those two hours or 20 % apart nothing. So it does not matter in which order
# photos are read, and what many of them share is a covariance.
_HOURS, _CAST = 2.0, 0.2
_EPOCH = datetime(2000, 1, 1)


# Loadings (n, 3, K) on the unknowns of each named source: camera, photo, sittings, card.
Loadings = dict[str, Array]


@dataclass(frozen=True)
class Sources:
    """What a photo's errors belong to: its camera (with rendering and light), itself, its card, and
    the sittings it is of, which share SITTING_SHARE of the photo's part evenly."""

    camera: str
    photo: str
    card: str
    sittings: tuple[str, ...] = ()

    @property
    def of_photo(self) -> str:
        """The photo's source."""
        return f"photo:{self.photo}"

    def loadings(self, model: ErrorModel, shape: Array, of_card: Array) -> Loadings:
        """By source, of features (n, 3, K) and of the card's own error (n, 3, 3)."""
        shared = SITTING_SHARE / len(self.sittings) if self.sittings else 0.0
        of_photo = shape * model.photo_sd
        alone = np.sqrt(1 - shared * len(self.sittings))
        return {
            f"camera:{self.camera}": shape * model.camera_sd,
            self.of_photo: of_photo * alone,
            f"card:{self.card}": of_card,
        } | {f"sitting:{s}": of_photo * np.sqrt(shared) for s in self.sittings}


def sources_of(
    photo: Photo, card_id: str, cast: Array, *, camera_name: str | None, sitting: str | None
) -> Sources:
    """The sources of a photo's errors.

    cast (2,) : logarithm of the card's red and blue over its green. camera_name : what to call a
    camera that the file does not name; without one an unnamed photo shares its camera with none.
    sitting : what to call the photos taken at one go, else told by camera, time and cast.
    Raises BadValue for a name that is none.
    """
    for what, name in (("camera's name", camera_name), ("sitting", sitting)):
        if name is not None and (not isinstance(name, str) or not name.strip()):
            raise BadValue(f"The {what} is {name!r}; give a few words, or leave it out.")
    called = photo.camera or camera_name
    camera = called or f"unknown ({photo.id[:16]})"
    sittings: Sequence[str] = ()
    if sitting is not None:
        sittings = (f"{camera}: {sitting.strip()}",)
    elif called and photo.taken is not None:
        sittings = [f"{camera}: {cell}" for cell in _cells(photo.taken, cast)]
    return Sources(camera, photo.id, card_id, tuple(sittings))


def _cells(taken: datetime, cast: Array) -> list[str]:
    """The cell of each grid that a time and a cast lie in."""
    at = np.array([(taken - _EPOCH).total_seconds() / 3600 / _HOURS, *(cast / _CAST)])
    # A quarter: a cast near 0, the usual one, is then in the middle of a cell or half way.
    return [
        ",".join(str(int(c)) for c in np.floor(at + [half, half + 0.25, half + 0.25])) + name
        for half, name in ((0.0, "a"), (0.5, "b"))
    ]
