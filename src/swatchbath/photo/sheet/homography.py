"""A flat sheet seen by a camera: the 3 x 3 that takes millimetres to pixels, and sampling by it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ...colorimetry.lab import Array


def homography(source: Array, target: Array) -> Array:
    """The 3 x 3 matrix that takes points (n, 2) to points (n, 2), n >= 4, by least squares.

    Direct linear transform on points moved to their mean and scaled to a mean distance of
    sqrt(2); without that it is ill-conditioned in pixels (Hartley, "In defense of the eight-point
    algorithm", IEEE PAMI 19(6), 1997; from memory).
    """
    to_source, from_source = _normal(source)
    to_target, from_target = _normal(target)
    rows = []
    for (x, y), (u, v) in zip(from_source, from_target, strict=True):
        rows.append([x, y, 1, 0, 0, 0, -u * x, -u * y, -u])
        rows.append([0, 0, 0, x, y, 1, -v * x, -v * y, -v])
    _, _, vectors = np.linalg.svd(np.array(rows))
    matrix = np.linalg.solve(to_target, vectors[-1].reshape(3, 3)) @ to_source
    return np.asarray(matrix / matrix[2, 2])


def _normal(points: Array) -> tuple[Array, Array]:
    middle = points.mean(axis=0)
    scale = np.sqrt(2) / np.hypot(*(points - middle).T).mean()
    matrix = np.array([[scale, 0, -scale * middle[0]], [0, scale, -scale * middle[1]], [0, 0, 1]])
    return matrix, (points - middle) * scale


def inverse(matrix: Array) -> Array:
    """The homography that goes back."""
    return np.asarray(np.linalg.inv(matrix), dtype=np.float64)


def project(matrix: Array, points: Array) -> Array:
    """Points (..., 2) taken through a homography."""
    x, y = points[..., 0], points[..., 1]
    # Written out: a stacked product with so small a matrix takes several times as long.
    across, down, depth = (row[0] * x + row[1] * y + row[2] for row in matrix)
    return np.stack([across / depth, down / depth], axis=-1)


def sample(grey: NDArray[np.uint8], points: Array) -> Array:
    """Values (...) of a picture (h, w) at pixel positions (..., 2) as (x, y), bilinear; NaN
    outside."""
    height, width = grey.shape
    x, y = points[..., 0], points[..., 1]
    inside = (x >= 0) & (y >= 0) & (x <= width - 1) & (y <= height - 1)
    left = np.clip(np.floor(np.where(inside, x, 0)).astype(int), 0, max(width - 2, 0))
    top = np.clip(np.floor(np.where(inside, y, 0)).astype(int), 0, max(height - 2, 0))
    fx, fy = x - left, y - top
    upper = grey[top, left] * (1 - fx) + grey[top, left + 1] * fx
    lower = grey[top + 1, left] * (1 - fx) + grey[top + 1, left + 1] * fx
    return np.where(inside, upper * (1 - fy) + lower * fy, np.nan)
