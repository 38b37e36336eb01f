"""What of known colour lies in the frame: a grey card, or a 24-patch chart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ...colorimetry.lab import (
    WHITE_D50,
    WHITE_D65,
    Array,
    bradford,
    lab_to_xyz,
    numbers_of,
    xyz_to_lab,
)
from ...errors import BadValue, ShapeError
from ..place.region import Region

# An 18 % grey (Y = 0.18, neutral), the usual photographic card. Common practice, no source.
UNNAMED_CARD_LAB = xyz_to_lab(0.18 * WHITE_D65)
# Doubt of a card, as standard deviations of L*, a*, b*. Unnamed: Y between about 0.17 and 0.19,
# and a visible cast at the most. Named: two instruments on one card, and wear. Common practice, no
# source, for both.
UNNAMED_CARD_SD = (1.2, 1.0, 1.0)
NAMED_CARD_SD = (0.3, 0.3, 0.3)
# Of a card that is not there, for which the picture's own exposure and white balance stand, or the
# plain paper in it: exposures differ by 0.3 (sd of the logarithm) between cameras, casts by about
# as much as rooms do; paper is white to a tenth. Common practice, no source.
PICTURED_SD, BY_PAPER_SD = (7.0, 8.0, 8.0), (3.0, 3.0, 4.0)


@dataclass(frozen=True, eq=False, init=False)
class Card:
    """A grey card in the photo.

    Parameters
    ----------
    region : Region
        Where it is.
    lab : (3,), optional
        Its own colour, CIELAB D65/2; without it, an 18 % grey with the doubt of one.

    Raises
    ------
    BadValue, ShapeError

    Examples
    --------
    >>> Card(Region(410, 220, 60), lab=[49.5, 0, 0]).lab.tolist()
    [49.5, 0.0, 0.0]
    """

    region: Region
    lab: Array | None

    def __init__(self, region: Region, *, lab: ArrayLike | None = None) -> None:
        if not isinstance(region, Region):
            raise BadValue(f"The place of a card is {region!r}; give Region(x, y, half).")
        colour = None if lab is None else numbers_of(lab, "A card's colour (L*, a*, b*)")
        if colour is not None:
            if colour.shape != (3,):
                raise ShapeError(f"A card's colour is L*, a*, b*; this has shape {colour.shape}.")
            if not np.isfinite(colour).all() or not 1 <= colour[0] <= 100:
                raise BadValue(
                    f"The card's colour {colour.tolist()} cannot be; give L*, a*, b* as on the "
                    "card, such as 49.5,0,0."
                )
        object.__setattr__(self, "region", region)
        object.__setattr__(self, "lab", colour)


# Lab (D50, 2 degree observer) of the common 24-patch reference chart, rows from the dark skin
# patch to black, as published for charts made before November 2014. Taken from the reference
# values that go with the chart photos of the outside data; a single chart may be off by 1 to 2.
CHART_D50 = np.array(
    [
        [37.986, 13.547, 14.066],  # dark skin
        [65.711, 18.118, 17.82],  # light skin
        [49.927, -4.889, -21.894],  # blue sky
        [43.139, -13.103, 21.912],  # foliage
        [55.112, 8.834, -25.387],  # blue flower
        [70.719, -33.408, -0.187],  # bluish green
        [62.661, 36.055, 57.102],  # orange
        [40.02, 10.402, -45.952],  # purplish blue
        [51.124, 48.228, 16.256],  # moderate red
        [30.325, 22.969, -21.579],  # purple
        [72.532, -23.721, 57.263],  # yellow green
        [71.941, 19.35, 67.864],  # orange yellow
        [28.778, 14.172, -50.286],  # blue
        [55.261, -38.351, 31.378],  # green
        [42.101, 53.368, 28.196],  # red
        [81.733, 4.025, 79.826],  # yellow
        [51.935, 49.975, -14.563],  # magenta
        [51.038, -28.64, -28.626],  # cyan
        [96.539, -0.441, 1.202],  # white 9.5
        [81.257, -0.652, -0.321],  # neutral 8
        [66.766, -0.746, -0.492],  # neutral 6.5
        [50.867, -0.163, -0.26],  # neutral 5
        [35.656, -0.428, -1.224],  # neutral 3.5
        [20.461, -0.084, -0.968],  # black 2
    ]
)


def _to_d65(lab: Array) -> Array:
    return xyz_to_lab(lab_to_xyz(lab, WHITE_D50) @ bradford(WHITE_D50, WHITE_D65).T)


CHART_LAB: Array = _to_d65(CHART_D50)
_COLUMNS, _ROWS = 6, 4
# Half the side of the square read in a patch, as a share of the distance between patch centres:
# well inside the patch's edge. Common practice, no source.
_HALF = 0.22
# The neutral patches, in order of preference as the card: the mid greys first.
NEUTRALS = (22, 21, 23, 20, 24, 19)


@dataclass(frozen=True, eq=False, init=False)
class Chart:
    """A 24-patch chart in the photo.

    Parameters
    ----------
    corners : (4, 2)
        Pixels: centres of patches 1, 6, 24 and 19, in any orientation of the picture.
    lab : (24, 3), optional
        CIELAB, D65/2; without it the published values.
    leave_out : sequence of int
        Patch numbers, 1 to 24, not to use.

    Raises
    ------
    BadValue, ShapeError

    Examples
    --------
    >>> Chart([[0, 0], [50, 0], [50, 30], [0, 30]], leave_out=[3]).leave_out
    frozenset({3})
    """

    corners: Array
    lab: Array
    leave_out: frozenset[int]

    def __init__(
        self,
        corners: ArrayLike,
        *,
        lab: ArrayLike | None = None,
        leave_out: Sequence[int] = (),
    ) -> None:
        places = np.array(corners, dtype=float)
        if places.shape != (4, 2) or not np.isfinite(places).all():
            raise ShapeError(
                "A chart is marked by four points: the centres of patches 1, 6, 24 and 19."
            )
        x, y = places.T
        area = abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2
        along = np.roll(places, -1, axis=0) - places
        ahead = np.roll(along, -1, axis=0)
        turns = along[:, 0] * ahead[:, 1] - along[:, 1] * ahead[:, 0]
        if area >= 100 and not (np.all(turns > 0) or np.all(turns < 0)):
            raise BadValue(
                "The lines through the chart's corners cross; mark the centres of patches 1, 6, 24 "
                "and 19, in that order."
            )
        if area < 100:
            raise BadValue("The four corners of the chart lie on a line; mark its corner patches.")
        values = CHART_LAB if lab is None else np.array(lab, dtype=float)
        if values.shape != (24, 3) or not np.isfinite(values).all():
            raise ShapeError(f"A chart has 24 colours; these have the shape {values.shape}.")
        strange = sorted(set(leave_out) - set(range(1, 25)))
        if strange:
            raise BadValue(f"There is no patch {strange[0]} to leave out; they are 1 to 24.")
        object.__setattr__(self, "corners", places)
        object.__setattr__(self, "lab", values)
        object.__setattr__(self, "leave_out", frozenset(int(p) for p in leave_out))

    @property
    def used(self) -> list[int]:
        """Patch numbers that may be used, 1 to 24."""
        return [p for p in range(1, 25) if p not in self.leave_out]

    @property
    def card_patch(self) -> int:
        """The neutral patch that serves as the card."""
        for patch in NEUTRALS:
            if patch not in self.leave_out:
                return patch
        raise BadValue("All neutral patches of the chart (19 to 24) are left out; keep one.")

    def regions(self) -> dict[int, Region]:
        """Patch number -> the square to read in it, seen in perspective."""
        # Corners in chart units: patches 1, 6, 24, 19.
        flat = np.array([[0, 0], [5, 0], [5, 3], [0, 3]], dtype=float)
        turn = _homography(flat, self.corners)
        found = {}
        for patch in range(1, 25):
            row, column = divmod(patch - 1, _COLUMNS)
            square = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * _HALF + [column, row]
            points = _apply(turn, square)
            found[patch] = Region.polygon([(float(x), float(y)) for x, y in points])
        return found


def _homography(source: Array, target: Array) -> Array:
    """(3, 3) that maps four points (4, 2) onto four others (Hartley and Zisserman 2004, 4.1)."""
    rows = []
    for (x, y), (u, v) in zip(source, target, strict=True):
        rows.append([x, y, 1, 0, 0, 0, -u * x, -u * y, -u])
        rows.append([0, 0, 0, x, y, 1, -v * x, -v * y, -v])
    return np.asarray(np.linalg.svd(np.array(rows))[2][-1].reshape(3, 3))


def _apply(turn: Array, points: Array) -> Array:
    mapped = np.column_stack([points, np.ones(len(points))]) @ turn.T
    return np.asarray(mapped[:, :2] / mapped[:, 2:])
