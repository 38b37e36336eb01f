"""A camera's profile: what charts photographed earlier told of one camera under one light."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from ...colorimetry.lab import Array
from ...errors import BadValue, PhotoRefused
from ..file.read import Photo
from .anchors import ANCHOR_SD, Anchors

_LAYOUT = 1
# How far the card's cast (natural logarithm of its red and blue over its green) may lie from what
# it was when the profile was made, before the light counts as another. On real photos a profile
# used under another light did nothing or harm. Common practice, no source.
_SAME_LIGHT = 0.12


@dataclass(frozen=True, eq=False)
class CameraProfile:
    """Known colours as one camera read them under one light; made by `profile_camera`.

    Attributes
    ----------
    camera : str or None
        Make and model; None where the photos do not say.
    light : str
        What the person calls it.
    kind : str
        Of the photos (see Photo).
    base_lab, lab : (m, 3)
        CIELAB, D65/2, as read after the base step, and as known.
    photos : tuple of str, m
        Which photo each was read in.
    casts : (p, 2)
        The cards' casts: logarithm of red and blue over green.

    Examples
    --------
    >>> CameraProfile("a phone", "window", "rendered", np.zeros((1, 3)), np.zeros((1, 3)), ("p",),
    ...     np.zeros((1, 2))).light
    'window'
    """

    camera: str | None
    light: str
    kind: str
    base_lab: Array
    lab: Array
    photos: tuple[str, ...]
    casts: Array

    def check_fits(self, photo: Photo, card_rgb: Array) -> None:
        """Raise PhotoRefused, with the reason, for a photo this profile does not belong to.

        photo : opened. card_rgb : (3,), linear light of its grey card.
        """
        if photo.kind != self.kind:
            raise PhotoRefused(
                f"The camera profile is for {self.kind} photos, {photo.name} is {photo.kind}. "
                "Measure it without the profile."
            )
        if photo.camera != self.camera:
            raise PhotoRefused(
                f"The camera profile belongs to {self.camera or 'an unnamed camera'}, but "
                f"{photo.name} is by {photo.camera or 'an unnamed camera'}. Measure it without "
                "the profile."
            )
        off = np.abs(cast(card_rgb) - self.casts).max(axis=1).min()
        if off > _SAME_LIGHT:
            raise PhotoRefused(
                f"The grey card in {photo.name} has another cast than when the camera profile was "
                f"made ({self.light}), so the light is another. Measure it without the profile, "
                "or make one for this light."
            )

    def anchors_with(self, others: Anchors | None) -> Anchors:
        """Its known colours, each the mean of its photos, and those read in the photo itself
        (others)."""
        colours, which = np.unique(self.lab.round(2), axis=0, return_inverse=True)
        which = which.ravel()
        count = np.bincount(which)
        mean = np.stack([np.bincount(which, self.base_lab[:, c]) / count for c in range(3)], axis=1)
        earlier = ("earlier",) * len(colours)
        if others is None:
            return Anchors(mean, colours, photo=earlier)
        here = (None,) * len(others.lab)
        sd = np.concatenate(
            [np.broadcast_to(others.sd, (len(others.lab),)), np.full(len(colours), ANCHOR_SD)]
        )
        return Anchors(
            np.concatenate([others.base_lab, mean]),
            np.concatenate([others.lab, colours]),
            sd=sd,
            photo=(*(others.photo or here), *earlier),
        )

    def to_json(self) -> str:
        """As JSON text."""
        return json.dumps(
            {
                "layout": _LAYOUT,
                "camera": self.camera,
                "light": self.light,
                "kind": self.kind,
                "base_lab": self.base_lab.tolist(),
                "lab": self.lab.tolist(),
                "photos": list(self.photos),
                "casts": self.casts.tolist(),
            },
            indent=1,
        )

    @classmethod
    def from_json(cls, text: str) -> CameraProfile:
        """From `to_json`'s text; BadValue when it is none."""
        try:
            stored: dict[str, Any] = json.loads(text)
            if stored["layout"] != _LAYOUT:
                raise BadValue("This camera profile was written by another version. Make it again.")
            made = cls(
                camera=stored["camera"],
                light=stored["light"],
                kind=stored["kind"],
                base_lab=np.array(stored["base_lab"], dtype=float).reshape(-1, 3),
                lab=np.array(stored["lab"], dtype=float).reshape(-1, 3),
                photos=tuple(stored["photos"]),
                casts=np.array(stored["casts"], dtype=float).reshape(-1, 2),
            )
            made._check()
        except BadValue:
            raise
        # Whatever a damaged or another file may hold in the place of one.
        except (KeyError, TypeError, ValueError, RecursionError, OverflowError) as error:
            raise BadValue("This is no camera profile. Make one from chart photos.") from error
        return made

    def _check(self) -> None:
        """Raise ValueError where its parts do not belong together."""
        words = (
            self.light,
            self.kind,
            *self.photos,
            *(() if self.camera is None else (self.camera,)),
        )
        if not all(isinstance(w, str) for w in words):
            raise ValueError("a name that is no text")
        count = len(self.lab)
        if not count or len(self.base_lab) != count or len(self.photos) != count:
            raise ValueError("rows that do not pair")
        numbers = np.concatenate([self.base_lab.ravel(), self.lab.ravel(), self.casts.ravel()])
        if not len(self.casts) or not np.isfinite(numbers).all() or np.abs(numbers).max() > 1000:
            raise ValueError("a number that no colour has")

    def save(self, path: str | Path) -> None:
        """Write it as JSON. path : of the file."""
        Path(path).write_text(self.to_json(), encoding="utf-8")

    @classmethod
    def load(cls, path: str | Path) -> CameraProfile:
        """Read what `save` wrote. path : of the file. Raises BadValue."""
        try:
            text = Path(path).read_text(encoding="utf-8")
        except OSError as error:
            raise BadValue(
                f"The camera profile {path} cannot be read: {error.strerror}."
            ) from error
        except UnicodeDecodeError as error:
            raise BadValue(
                f"{path} is no camera profile. Make one from chart photos: swatchbath camera."
            ) from error
        return cls.from_json(text)


def cast(card_rgb: Array) -> Array:
    """(2,): logarithm of a card's red and blue over its green."""
    r, g, b = np.maximum(card_rgb, 1e-6)
    return np.log([r / g, b / g])


def joined(parts: Sequence[CameraProfile]) -> CameraProfile:
    """One profile of several of one camera under one light."""
    first = parts[0]
    for other in parts[1:]:
        if (other.camera, other.kind, other.light) != (first.camera, first.kind, first.light):
            raise BadValue(
                "A camera profile is made from photos of one camera under one light; these are "
                f"by {first.camera or 'an unnamed camera'} and {other.camera or 'an unnamed one'}."
            )
    return CameraProfile(
        first.camera,
        first.light,
        first.kind,
        np.concatenate([p.base_lab for p in parts]),
        np.concatenate([p.lab for p in parts]),
        tuple(name for p in parts for name in p.photos),
        np.concatenate([p.casts for p in parts]),
    )
