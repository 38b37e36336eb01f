"""How much larger a frame's errors are than usual, by its card and by what kind of file it is."""

from __future__ import annotations

import numpy as np

from ...colorimetry.lab import Array, lab_to_xyz, xyz_to_linear_srgb
from ..file.read import Photo

# Factors on all that is stated, by tests/studies/score_doubt.py: where the card's cast (natural
# logarithm of its strongest over its weakest channel) or its luminance are out of these; and of
# small pictures that name no camera and hold no profile, as from a webcam.
_CAST, _LUMINANCE, _ODD_CARD = 0.30, (0.08, 0.40), 1.8
_SMALL_PIXELS, _SMALL_PICTURE = 500_000, 2.9


def wider(photo: Photo, card_rgb: Array, card_lab: Array) -> float:
    """The factor for a photo. card_rgb (3,) : the card as read; card_lab (3,) its own colour.

    Linear files, which no camera gave a look, are as true by a dark card as by another.
    """
    if photo.kind != "rendered":
        return 1.0
    width, height = photo.size
    if width * height < _SMALL_PIXELS and photo.camera is None and not photo.profiled:
        return _SMALL_PICTURE
    grey = xyz_to_linear_srgb(lab_to_xyz(card_lab))
    ratios = np.maximum(card_rgb, 1e-6) / grey
    level = float(np.mean(card_rgb) / np.mean(grey)) * 0.18
    odd = np.log(ratios.max() / ratios.min()) >= _CAST
    return _ODD_CARD if odd or not _LUMINANCE[0] <= level <= _LUMINANCE[1] else 1.0
