"""What a swatch's texture does to its colour: the mean, the strands, the doubt, uneven dyeing.

The pixels of one marked place are read in linear light. `area` is their mean, strand shadows
included, as an instrument's aperture reads it. `strand` is the colour of the fibre where it lies
flat in the light. How far `area` would move with another place or a lamp from another side, and
how far the dye itself is uneven, both come from waves over the place: texture makes waves of every
length, uneven dyeing only long ones.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...colorimetry.difference import delta_e2000
from ...colorimetry.lab import Array

# Pixels whose colour (not brightness) lies further from the middle of the place than this many
# robust standard deviations are specks or ground. At 5 a normal spread loses 1 in 1.7 million.
# The same number of upper spreads over the middle brightness is lint or a glint.
_SPECK_SDS = 5.0
# Least robust standard deviation of colour, as a share of the brightness. Our own choice.
_LEAST_SD = 2e-3
# Least upper spread, as a share of the middle brightness, so that a smooth thing's light end stays:
# a surface that turns to the lamp gains less than half in brightness at 45 degrees. Our own choice.
_LEAST_UPPER = 0.1
# The part of the pixels, ranked by brightness, whose mean is the strand colour: the lit half
# without what faces the lamp or shines. Of seven such parts it came nearest to the fibre's own
# reflectance on drawn yarn, cloth and fleece under lamps at 30, 45 and 60 degrees.
_STRAND = (0.5, 0.8)
# The place is cut into this many cells a side: waves of 1 to 7 halves over the place.
_GRID = 8
# Waves of up to _LONG halves over the place may be uneven dyeing; those of _SHORT are texture.
# Between them lie waves that blotches of dye still make. Chosen on drawn textures.
_LONG, _SHORT = 2, (4, 5)
# Over the cells of a place: a plane, cosine waves along a side (orthonormal: the discrete cosine
# transform, type II), and which pairs of waves, down and across, are long and short.
_AT = (np.arange(_GRID) + 0.5) / _GRID - 0.5
_PLANE = np.column_stack([np.ones(_GRID**2), np.repeat(_AT, _GRID), np.tile(_AT, _GRID)])
_HALVES = np.arange(_GRID)
_WAVE = np.cos(np.pi * _HALVES[:, None] * (_AT + 0.5)) * np.where(_HALVES, 2, 1)[:, None] ** 0.5
_WAVE /= _GRID
_NUMBER = np.maximum(_HALVES[:, None], _HALVES)
_IS_LONG = (_NUMBER >= 1) & (_NUMBER <= _LONG)
_IS_SHORT = (_NUMBER >= _SHORT[0]) & (_NUMBER <= _SHORT[1])
# Share of the pixels' variance by which a lamp from another side moves the mean: the mean over
# drawn yarn of 3 to 60 pixels a strand, all of whose strands lie one way (fitted by
# `python tests/texture_drawing.py`; cloth and fleece of fine strands: a third of it and less).
_LAMP_SHARE = 0.001
# Share of what is uneven that the mean over a place is off by, as variance, in place of all: long
# waves are no scatter, and a place moved by a tenth keeps its mean. Our own choice: of some fifteen
# places on drawn frames (tests/studies/sheet_frames.py, seeds 0 to 69) judged by eye, the mean was
# off by about an eighth, and twice that is stated; not fitted.
_UNEVEN_SHARE = 0.25
# A wave weaker than this is not told from rounding. Our own choice.
_NOISE = 3e-5
# Long waves count as uneven dyeing when their power is over so many times that of the short ones:
# 95 in 100 drawn, evenly dyed textures stay below (same script).
_UNEVEN_GATE = 6.0


@dataclass(frozen=True, eq=False)
class Texture:
    """A place's colour and what its texture makes of it, in linear light.

    area, strand : (3,). repeatability : (3, 3) covariance of `area` divided by `area`: what
    another place, or a lamp from another side, would change. uneven : (3, 3) covariance over the
    place of colour divided by `area`, beyond texture and a slope of light; zero where dyed evenly.
    depth : relative standard deviation of brightness. odd : (n,) pixels left out.
    """

    area: Array
    strand: Array
    repeatability: Array
    uneven: Array
    depth: float
    odd: NDArray[np.bool_]


def read_texture(light: Array, x: Array, y: Array) -> Texture:
    """Read the pixels of one marked place.

    light : (n, 3) linear light of all pixels inside it, n at least 1, clipped ones too: clipped
    sheen is odd and goes out, but where a pale fibre turns to the lamp its clipped light is nearer
    the truth than none (pale yellow cloth drawn under a low lamp, a fifth clipped: off by 3.1
    CIEDE2000 with it, 4.1 without). x, y : (n,) where the pixels lie, in pixels.
    Colours may be raw or corrected: `repeatability` and `uneven` are relative, so that a gain per
    channel changes neither.
    """
    values = np.ascontiguousarray(light.T)
    brightness = values[0] + values[1] + values[2]
    odd = _odd(values, brightness)
    if odd.any():
        fibre = np.flatnonzero(~odd)
        values, brightness = values.take(fibre, axis=1), brightness.take(fibre)
        x, y = x.take(fibre), y.take(fibre)
    area = values.mean(axis=1)
    low, high = _ranked(brightness, *_STRAND)
    lit = ((brightness >= low) & (brightness <= high)).astype(float)
    relative = values - area[:, None]
    relative /= _unit(area)[:, None]
    long, short = _waves(relative, x, y)
    shading = relative @ relative.T / len(x)
    uneven = _beyond_texture(long, short)
    noise = (long.T @ long - (1 - _UNEVEN_SHARE) * uneven) / len(long)
    return Texture(
        area=area,
        strand=values @ lit / lit.sum(),
        repeatability=noise + _LAMP_SHARE * shading,
        uneven=uneven,
        depth=float(brightness.std() / max(float(brightness.mean()), 1e-6)),
        odd=odd,
    )


def _unit(area: Array) -> Array:
    """(3,): what `relative` is relative to. A channel near or under zero (a colour outside sRGB)
    is held at a hundredth of the strongest one."""
    return np.maximum(area, max(0.01 * float(area.max()), 1e-6))


def _odd(values: Array, total: Array) -> NDArray[np.bool_]:
    """Which of the pixels (3, n) are not the fibre: specks, stray hairs, ground, lint, glints.

    total (n,) : the sum of each one's channels.
    A pixel is odd when its colour, apart from brightness, is far from the middle one, or when it
    is far brighter than the rest. Darkness is never odd, so that strand shadows stay in the mean.
    A pixel's colour is compared with the middle one scaled to its own brightness, relative to the
    mean brightness: dark pixels, whose ratios are noise, are not thrown out.
    """
    # 84 %: one standard deviation up in a normal spread.
    scale, upper = (max(float(v), 1e-6) for v in _ranked(total, 0.5, 0.84))
    (middle,) = _ranked(values, 0.5)
    middle = middle / max(float(middle.sum()), 1e-6)
    # In place: a new array for each step costs more than the step.
    off = middle[:, None] * total
    np.subtract(values, off, out=off)
    off /= scale
    off -= _ranked(off, 0.5)[0][:, None]
    np.abs(off, out=off)
    # 1.4826: a normal spread's standard deviation over its median absolute deviation.
    sd = np.maximum(1.4826 * _ranked(off, 0.5)[0], _LEAST_SD)
    far = off > _SPECK_SDS * sd[:, None]
    bright = total > scale + _SPECK_SDS * max(upper - scale, _LEAST_UPPER * scale)
    return np.asarray(far[0] | far[1] | far[2] | bright)


def _ranked(values: Array, *shares: float) -> list[Array]:
    """The values that these shares of all, along the last axis, lie under."""
    ranks = [int(share * (values.shape[-1] - 1)) for share in shares]
    sorted_there = np.partition(values, ranks, axis=-1)
    return [sorted_there[..., rank] for rank in ranks]


def _waves(relative: Array, x: Array, y: Array) -> tuple[Array, Array]:
    """(m, 3), (k, 3): strengths of the long and the short waves over the place, a slope of light
    taken out. Of noise, each has the variance of the mean; their squares add up to the variance
    over the place."""
    label = _cell(y) * _GRID + _cell(x)
    counts = np.bincount(label, minlength=_GRID**2)
    sums = np.stack([np.bincount(label, c, minlength=_GRID**2) for c in relative], axis=-1)
    # A cell with few pixels (a corner of an ellipse) says nothing.
    full = counts >= counts.max() / 3
    # In logarithms, so that a strand's shadow does not make a difference of dye smaller.
    cells = np.zeros((_GRID**2, 3))
    cells[full] = np.log(np.maximum(1 + sums[full] / counts[full][:, None], 0.05))
    # A slope of light is the same in all channels.
    slope = np.linalg.lstsq(_PLANE[full], cells[full].mean(axis=1), rcond=None)[0]
    cells[full] -= (_PLANE[full] @ slope)[:, None]
    down = (_WAVE @ cells.reshape(_GRID, -1)).reshape(_GRID, _GRID, 3)
    waves = _WAVE @ down
    return waves[_IS_LONG], waves[_IS_SHORT]


def _cell(position: Array) -> NDArray[np.intp]:
    left = position.min()
    width = max(float(position.max() - left), 1e-9) * (1 + 1e-9)
    scaled = position - left
    scaled /= width
    scaled *= _GRID
    return np.asarray(scaled.astype(np.intp))


def _beyond_texture(long: Array, short: Array) -> Array:
    """(3, 3): the power of the long waves (m, 3) beyond what the short ones (k, 3) lead to expect.

    Both are looked at along the axes in which the short waves are equally strong, so that a
    spread of hue, which texture does not make, is seen under deep strand shadows.
    """
    axes = np.linalg.cholesky(short.T @ short / len(short) + _NOISE**2 * np.eye(3))
    even = np.linalg.solve(axes, long.T)
    ratio, turn = np.linalg.eigh(even @ even.T / len(long))
    beyond = axes @ turn * np.sqrt(len(long) * np.where(ratio > _UNEVEN_GATE, ratio - 1, 0))
    return np.asarray(beyond @ beyond.T)


def lab_covariance(area: Array, relative: Array, to_lab: Callable[[Array], Array]) -> Array:
    """(3, 3) covariance in Lab of a relative one (3, 3) in linear light about `area` (3,).

    to_lab : linear light (m, 3) -> Lab (m, 3), the photo's own correction.
    """
    step = 0.01 * _unit(area) * np.eye(3)
    up, down = np.split(to_lab(np.concatenate([area + step, area - step])), 2)
    slope = (up - down).T / 0.02
    return np.asarray(slope @ relative @ slope.T)


def unevenness(texture: Texture, to_lab: Callable[[Array], Array]) -> float:
    """How uneven the dyeing is: standard deviation of the colour over the place, beyond texture,
    in CIEDE2000. to_lab : linear light (m, 3) -> Lab (m, 3), the photo's own correction."""
    variance, axes = np.linalg.eigh(texture.uneven)
    sides = np.sqrt(np.maximum(variance, 0))[:, None] * axes.T
    # From one side to the other is two standard deviations; light does not fall under zero.
    sides = np.clip(sides, -0.9, 0.9) * _unit(texture.area)
    one, other = np.split(to_lab(np.concatenate([texture.area + sides, texture.area - sides])), 2)
    gap = delta_e2000(one, other) / 2
    return float(np.sqrt(np.sum(gap**2)))
