"""Small printed marks on the photo sheet: finder squares placed exactly, crosses left uncovered."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ...colorimetry.lab import Array
from .homography import project, sample
from .layout import CROSS, CROSS_WIDTH, Place
from .qr import Grey

# A finder square is compared on a grid of this many points a module, over 9 modules (its 7 and
# the white around), moved by up to this many modules each way.
_POINTS = 5
_REACH = 1.2
# Below this correlation it is hidden or not there.
_SURE = 0.6
# The cross counts as bare when its lines are this much darker than the paper around it and that
# paper is this even (standard deviation over mean, of code values). Drawn photos of bare crosses
# stay well inside both.
_CROSS_DARK = 0.70
_CROSS_EVEN = 0.12


def _finder() -> Array:
    """(9, 9) of a finder square and the white about it: 1 paper, 0 ink (ISO/IEC 18004)."""
    out = np.ones((9, 9))
    out[1:8, 1:8] = 0
    out[2:7, 2:7] = 1
    out[3:6, 3:6] = 0
    return out


def place_finders(
    grey: Grey, matrix: Array, centres: Array, module: float
) -> tuple[Array, NDArray[np.bool_]]:
    """Where finder squares lie: pixels (n, 2), and whether each was seen (n,).

    centres (n, 2) and module in mm. The picture is laid flat around each by `matrix` and the
    square is moved until it correlates best, to a fraction of a step by a parabola.
    """
    template: Array = np.asarray(np.kron(_finder(), np.ones((_POINTS, _POINTS))), dtype=float)
    # Lens and interpolation soften the edges; the template is softened alike.
    template = _softened(template)
    n, reach = len(template), round(_REACH * _POINTS)
    step = module / _POINTS
    offsets = (np.arange(n + 2 * reach) - (n + 2 * reach - 1) / 2) * step
    flat = np.stack(np.meshgrid(offsets, offsets), axis=-1)
    pattern = (template - template.mean()).ravel()
    pattern /= np.sqrt((pattern**2).sum())
    pixels, sure = np.full(centres.shape, np.nan), np.zeros(len(centres), dtype=bool)
    for index, centre in enumerate(centres):
        patch = sample(grey, project(matrix, centre + flat))
        if np.isnan(patch).any():
            continue
        # The pattern's mean is 0, so a window's own mean does not matter to the product; taking
        # the patch's off keeps the sum of squares exact enough.
        near = np.lib.stride_tricks.sliding_window_view(patch - patch.mean(), (n, n))
        windows = near.reshape(len(near), -1, n * n)
        square = np.einsum("ijk,ijk->ij", windows, windows) - windows.sum(axis=2) ** 2 / n**2
        score = (windows @ pattern) / np.sqrt(np.maximum(square, 1e-6))
        row, col = np.unravel_index(int(score.argmax()), score.shape)
        if score[row, col] < _SURE:
            continue
        down = row + _peak(score[:, col], int(row)) - reach
        across = col + _peak(score[row], int(col)) - reach
        pixels[index] = project(matrix, centre + np.array([across, down]) * step)
        sure[index] = True
    return pixels, sure


def _softened(values: Array) -> Array:
    kernel = np.array([1, 2, 3, 2, 1]) / 9
    for axis in (0, 1):
        padded = np.pad(values, [(2, 2) if a == axis else (0, 0) for a in (0, 1)], mode="edge")
        values = np.apply_along_axis(lambda v: np.convolve(v, kernel, "valid"), axis, padded)
    return values


def _peak(scores: Array, best: int) -> float:
    """How far the top of a parabola through three neighbours lies from the middle one."""
    if not 0 < best < len(scores) - 1:
        return 0.0
    before, here, after = scores[best - 1 : best + 2]
    bend = before - 2 * here + after
    return float(0.5 * (before - after) / bend) if bend < -1e-9 else 0.0


def cross_shows(grey: Grey, matrix: Array, place: Place) -> bool:
    """Whether the cross printed in a place is bare, so that nothing lies there."""
    step = 0.25  # mm: a fifth of the cross's line
    arm = CROSS / 2
    # A sheet that is not flat moves the cross by up to a millimetre or two.
    reach = 8
    offsets = (np.arange(-int(arm / step) - 4 - reach, int(arm / step) + 5 + reach)) * step
    flat = np.stack(np.meshgrid(offsets, offsets), axis=-1)
    patch = sample(grey, project(matrix, np.array(place.read.centre) + flat))
    if np.isnan(patch).any():
        return False
    inner = offsets[reach:-reach]
    x, y = np.abs(np.stack(np.meshgrid(inner, inner)))
    thin, short = CROSS_WIDTH / 4, arm - 1
    lines = ((x <= thin) & (y <= short)) | ((y <= thin) & (x <= short))
    paper = (np.minimum(x, y) >= CROSS_WIDTH + 0.5) & (np.maximum(x, y) <= arm)
    n = len(inner)
    windows = np.lib.stride_tricks.sliding_window_view(patch, (n, n))[::2, ::2]
    dark = windows[..., lines].mean(axis=-1)
    around = windows[..., paper]
    light, uneven = around.mean(axis=-1), around.std(axis=-1)
    return bool(
        ((dark < _CROSS_DARK * light) & (uneven < _CROSS_EVEN * np.maximum(light, 1))).any()
    )
