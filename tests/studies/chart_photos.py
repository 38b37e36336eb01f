"""The chart readings of tests/reference/chart_readings.csv, ready to fit and to score on."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from swatchbath.colorimetry.lab import (
    SRGB_TO_XYZ,
    WHITE_D50,
    WHITE_D65,
    bradford,
    lab_to_xyz,
    rgb_to_xyz_matrix,
    xyz_to_lab,
)

# ROMM RGB (ISO 22028-2) primaries, white D50; adapted to D65.
PROPHOTO_TO_XYZ = bradford(WHITE_D50, WHITE_D65) @ rgb_to_xyz_matrix(
    [[0.7347, 0.2653], [0.1596, 0.8404], [0.0366, 0.0001]], WHITE_D50
)
CARD = 21  # row of the mid grey patch, number 22
SWATCHES = tuple(range(18))
WHITE_BLACK = (18, 23)
ENCODINGS = {
    "sRGB, decoded": ("rendered", SRGB_TO_XYZ),
    "linear ProPhoto": ("linear", PROPHOTO_TO_XYZ),
    "linear camera RGB": ("unprofiled", SRGB_TO_XYZ),
}


@dataclass(frozen=True, eq=False)
class ChartPhoto:
    """One photo: rgb and lab (D65) are (24, 3); usable (24,) says which patches can be fitted on,
    low (24, 3) which channels read zero, readable (24,) which patches are not refused, accepted
    whether the photo is not; wider as of `trust`."""

    name: str
    camera: str
    family: str
    light: str
    encoding: str
    rgb_to_xyz: np.ndarray
    rgb: np.ndarray
    lab: np.ndarray
    usable: np.ndarray
    gated: bool
    wider: float
    low: np.ndarray
    readable: np.ndarray
    accepted: bool


def family(camera: str) -> str:
    """Camera family: every unknown camera is one, and every webcam."""
    for word in ("unknown", "webcam", "plant booth"):
        if word in camera:
            return word
    return camera


def _wider(card: np.ndarray, light: float, camera: str, encoding: str) -> float:
    cast = float(np.log(card.max() / max(card.min(), 1e-6)))
    if encoding != "rendered":
        return 1.0
    if "webcam" in camera:
        return 2.9
    return 1.8 if cast >= 0.30 or not 0.08 <= light <= 0.40 else 1.0


def d65_from_d50(lab: np.ndarray) -> np.ndarray:
    """Lab of D65 by Bradford in XYZ."""
    return xyz_to_lab(lab_to_xyz(lab, WHITE_D50) @ bradford(WHITE_D50, WHITE_D65).T)


def read_charts(path: Path) -> list[ChartPhoto]:
    """All photos of the file. Gates: a patch is left out when over 2 % of it is clipped, a channel
    is over 0.98 or under 0.002; a rendered photo when its card is (luminance outside 0.05 to 0.45,
    or a cast ln(max / min) over 0.5), or the card itself cannot be read."""
    with path.open(encoding="utf-8", newline="") as stream:
        lines = [line for line in stream if not line.startswith("#")]
    rows: dict[str, list[dict[str, str]]] = {}
    for row in csv.DictReader(lines):
        rows.setdefault(row["photo"], []).append(row)
    photos = []
    for name, patches in rows.items():
        patches.sort(key=lambda row: int(row["patch"]))
        rgb = np.array([[float(row[c]) for c in "RGB"] for row in patches])
        clip = np.array([float(row["clip"]) for row in patches])
        encoding, matrix = ENCODINGS[patches[0]["encoding"]]
        usable = (clip < 0.02) & (rgb.max(axis=1) < 0.98) & (rgb.min(axis=1) > 0.002)
        card = rgb[CARD]
        light = float(card @ [0.2126, 0.7152, 0.0722])
        even = 0.05 <= light <= 0.45 and np.log(card.max() / card.min()) <= 0.5
        photos.append(
            ChartPhoto(
                name=name,
                camera=patches[0]["camera"].replace(" (resized)", ""),
                family=family(patches[0]["camera"]),
                light=patches[0]["light"],
                encoding=encoding,
                rgb_to_xyz=matrix,
                rgb=rgb,
                lab=d65_from_d50(np.array([[float(row[c]) for c in "Lab"] for row in patches])),
                usable=usable,
                low=rgb <= 0.002,
                readable=(clip < 0.02) & (rgb.max(axis=1) < 0.98) & ~(rgb <= 0.002).all(axis=1),
                accepted=bool(
                    clip[CARD] < 0.1
                    and (
                        encoding != "rendered"
                        or (0.02 <= light <= 0.45 and card.max() / card.min() <= 2.5)
                    )
                ),
                wider=_wider(card, light, patches[0]["camera"], encoding),
                gated=bool(usable[CARD] and (even or encoding != "rendered")),
            )
        )
    return photos
