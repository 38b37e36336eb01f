"""Drawn textures of fibre with known truth: yarn wound side by side, plain-weave cloth, fleece.

A texture is a height field of round strands. It is lit by a lamp (Lambert's cosine law, cast
shadows by marching towards the lamp) and a sky (the share of it seen over the horizon), and its
strands light each other: in a cleft, light is reflected twice, so shadows are more saturated.
Light is relative to a flat white card under the same lamp and sky.

Truth. `truth` is what an instrument with a ring of light at 45 degrees, seen from above (45:0
annular, CIE 15), and the photo's own share of sky would read: the mean over lamps all round and
over four swatches 24 strands wide. The truth of `strand` is the reflectance of the fibre itself,
which is what the top of a strand, lying flat, sends back.

The drawing shares nothing with the reading; `study` and below read what was drawn.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from functools import cache

import numpy as np
from scipy import ndimage

from swatchbath.colorimetry import delta_e2000, linear_srgb_to_xyz, xyz_to_lab
from swatchbath.photo.place.texture import read_texture, unevenness

KINDS = ("yarn", "cloth", "fleece")
# Reflectances in linear sRGB, our own.
COLOURS = {
    "pale yellow": (0.72, 0.62, 0.30),
    "deep red": (0.30, 0.030, 0.035),
    "near-black": (0.025, 0.022, 0.028),
}
SKY = 0.35  # share of the card's light that comes from the sky
_FINEST = 14  # a strand is drawn with at least so many samples, then made smaller


@dataclass(frozen=True)
class Texture:
    """height, open (share of the sky seen): (n, n) with a margin. samples: per strand.
    pixels: per strand, in the photo. size: of the photo."""

    height: np.ndarray
    open: np.ndarray
    samples: int
    pixels: float
    size: int


def texture(kind, pixels, *, seed=0, size=140):
    """The geometry of a swatch whose strands are `pixels` wide."""
    rng = np.random.default_rng([KINDS.index(kind), int(pixels * 10), seed])
    samples = max(_FINEST, round(pixels))
    n = int(np.ceil((size / pixels + 4) * samples))
    yy, xx = np.mgrid[0:n, 0:n] / samples  # in strands
    turn = rng.uniform(0, np.pi)
    c, s = np.cos(turn), np.sin(turn)
    along, across = xx * c + yy * s + 50, yy * c - xx * s + 50
    height = {"yarn": _yarn, "cloth": _cloth, "fleece": _fleece}[kind](along, across, rng)
    return Texture(height, _openness(height, samples), samples, pixels, size)


def _round(d, radius=0.5):
    return np.sqrt(np.maximum(radius**2 - d**2, 0))


def _yarn(along, across, rng):
    wander = ndimage.gaussian_filter1d(rng.normal(size=4000), 25) * 0.6
    across = across + np.interp(along, np.arange(4000) / 8, wander)
    row = np.floor(across)
    d = across - row - 0.5
    shift = rng.uniform(0, 1, 4000)[row.astype(int) % 4000]
    # Two plies: the twist runs over the strand at a slant.
    ply = np.abs(np.sin(np.pi * (along / 1.5 + d + shift)))
    return _round(d, 0.52) * (0.82 + 0.18 * np.sqrt(ply)) + 0.1 * shift


def _cloth(along, across, rng):
    def threads(u, v):
        row = np.floor(u).astype(int)
        wave = 0.25 * np.cos(np.pi * (v - 0.5)) * np.where(row % 2, 1, -1)
        rise = rng.uniform(-0.05, 0.05, 4000)[row % 4000]
        d = u - np.floor(u) - 0.5
        return np.where(np.abs(d) < 0.48, _round(d, 0.48) + wave + rise, -0.3)

    return np.maximum(threads(across, along), threads(along, across + 1))


def _fleece(along, across, rng):
    height = np.zeros_like(along)
    n = along.shape[0]
    per_strand = 1 / np.hypot(along[0, 1] - along[0, 0], across[0, 1] - across[0, 0])
    for _ in range(int(0.6 * (n / per_strand + 8) ** 2)):
        # The hair bends about a point; only the square it can reach is drawn.
        x0, y0 = rng.uniform(-4, n / per_strand + 4, 2)
        left, top = (max(int((v - 5) * per_strand), 0) for v in (x0, y0))
        right, bottom = (max(int((v + 5) * per_strand), 0) for v in (x0, y0))
        box = slice(top, bottom), slice(left, right)
        part = height[box]
        yy, xx = np.mgrid[top : top + part.shape[0], left : left + part.shape[1]] / per_strand
        a = rng.uniform(0, 2 * np.pi)
        u = (xx - x0) * np.cos(a) + (yy - y0) * np.sin(a)
        v = (yy - y0) * np.cos(a) - (xx - x0) * np.sin(a)
        d = v - rng.normal(0, 0.06) * u**2 - 0.4 * np.sin(u / 2 + rng.uniform(0, 6))
        radius = rng.uniform(0.3, 0.6)
        hair = rng.uniform(0, 1.5) + _round(d, radius)
        height[box] = np.where((np.abs(d) < radius) & (np.abs(u) < 4), np.maximum(part, hair), part)
    return height


def _moved(field, dx, dy):
    return ndimage.shift(field, (-dy, -dx), order=1, mode="nearest")


def _openness(height, samples):
    """Share of a flat surface's sky: 1 - mean over directions of sin^2 of the horizon's height."""
    blocked = np.zeros_like(height)
    for azimuth in np.arange(8) * np.pi / 4:
        slope = np.zeros_like(height)
        for step in (0.1, 0.2, 0.35, 0.55, 0.8, 1.2, 1.8):
            dx, dy = np.cos(azimuth) * step * samples, np.sin(azimuth) * step * samples
            slope = np.maximum(slope, (_moved(height, dx, dy) - height) / step)
        blocked += slope**2 / (1 + slope**2)
    return 1 - blocked / 8


def _lamp(t, azimuth, elevation):
    """Light of the lamp on every point, the flat card's being 1. Angles in degrees."""
    az, el = np.radians([azimuth, elevation])
    ux, uy = np.cos(az), np.sin(az)
    gy, gx = np.gradient(t.height * t.samples)
    up = (np.sin(el) - np.cos(el) * (gx * ux + gy * uy)) / np.sqrt(1 + gx**2 + gy**2)
    lit = np.ones_like(t.height)
    reach = np.ptp(t.height) / np.tan(el)
    for step in np.linspace(0.05, reach, 20):
        above = _moved(t.height, ux * step * t.samples, uy * step * t.samples)
        over = above - (t.height + step * np.tan(el))
        lit = np.minimum(lit, np.clip(1 - over / 0.05, 0, 1))  # a lamp has a soft edge
    return np.maximum(up, 0) * lit / np.sin(el)


def light_on(t, *, azimuth=0.0, elevation=45.0):
    """(n, n): light that falls on every point, from lamp and sky."""
    return (1 - SKY) * _lamp(t, azimuth, elevation) + SKY * t.open


def sent_back(t, falls, reflectance):
    """(n, n, 3): what is seen from above, with the light that strands give each other.
    reflectance : (3,) or (n, n, 3)."""
    rho = np.broadcast_to(np.asarray(reflectance, float), (*falls.shape, 3))
    near = ndimage.gaussian_filter(falls * t.open, 0.25 * t.samples)[..., None]
    shut = 1 - t.open[..., None]
    return rho * (falls[..., None] + shut * rho * near / (1 - rho * shut))


def sheen(t, *, azimuth=0.0, elevation=45.0, strength=0.3):
    """(n, n, 1): white gloss, about the direction midway between lamp and eye."""
    az, el = np.radians([azimuth, elevation])
    half = np.array([np.cos(el) * np.cos(az), np.cos(el) * np.sin(az), np.sin(el) + 1])
    half /= np.linalg.norm(half)
    gy, gx = np.gradient(t.height * t.samples)
    facing = (half[2] - gx * half[0] - gy * half[1]) / np.sqrt(1 + gx**2 + gy**2)
    return strength * (np.maximum(facing, 0) ** 40)[..., None]


def photo(t, seen, *, rng=None):
    """(size, size, 3) linear light as an 8-bit sRGB photo holds it: blurred by the lens, with
    noise when `rng` is given, clipped and rounded."""
    picture = small(t, seen)
    if rng is not None:
        picture = picture + rng.normal(size=picture.shape) * np.sqrt(
            0.001**2 + 0.0004 * np.maximum(picture, 0)
        )
    v = np.clip(picture, 0, 1)
    code = np.where(v <= 0.0031308, 12.92 * v, 1.055 * np.maximum(v, 1e-9) ** (1 / 2.4) - 0.055)
    v = np.round(255 * code) / 255
    return np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4)


def small(t, seen):
    """Samples to the photo's pixels, the margin cut off. Lens and sensor blur by 0.6 pixel."""
    per_pixel = t.samples / t.pixels
    blurred = ndimage.gaussian_filter(seen, (0.6 * per_pixel, 0.6 * per_pixel, 0))
    at = (2 * t.pixels + np.arange(t.size)) * per_pixel
    grid = np.meshgrid(at, at, indexing="ij")
    return np.stack(
        [ndimage.map_coordinates(c, grid, order=1) for c in np.moveaxis(blurred, -1, 0)], axis=-1
    )


@cache
def _round_about(kind):
    """Wide swatches and the light on them, from 8 sides in all."""
    wide = [texture(kind, _FINEST, seed=900 + i, size=24 * _FINEST) for i in range(2)]
    return [
        (t, light_on(t, azimuth=90.0 * side + 45.0 * i))
        for i, t in enumerate(wide)
        for side in range(4)
    ]


@cache
def truth(kind, reflectance):
    """(3,): what an instrument reads. Geometry is the same at every scale, so the truth is too."""
    inner = slice(2 * _FINEST, -2 * _FINEST)
    seen = [sent_back(t, falls, reflectance) for t, falls in _round_about(kind)]
    return np.mean([s[inner, inner] for s in seen], axis=(0, 1, 2))


def dyed_unevenly(t, reflectance, amount, *, seed=0):
    """(n, n, 3): reflectance where the dye's strength wanders by the relative sd `amount`.

    Strength acts on K/S (Kubelka and Munk 1931); the field is smooth over a third of the photo.
    """
    rng = np.random.default_rng([77, seed])
    n = t.height.shape[0]
    field = ndimage.gaussian_filter(
        rng.normal(size=(n, n)), t.size / 6 * t.samples / t.pixels, mode="wrap"
    )
    field = (field - field.mean()) / field.std()
    rho = np.asarray(reflectance, float)
    k = (1 - rho) ** 2 / (2 * rho) * np.exp(amount * field)[..., None]
    return 1 + k - np.sqrt(k**2 + 2 * k)


def study(kinds=KINDS, scales=(3, 6, 12, 25, 60), seeds=3, lamps=6, elevation=45.0):
    """Rows of (kind, pixels, seed, lamp, colour, Texture read, error of area divided by truth)."""
    for kind, pixels, seed in itertools.product(kinds, scales, range(seeds)):
        t = texture(kind, pixels, seed=seed, size=96 if pixels < 6 else 140)
        for lamp in np.arange(lamps) * 360 / lamps + 20 * seed:
            falls = light_on(t, azimuth=lamp, elevation=elevation)
            for name, colour in COLOURS.items():
                seen = photo(t, sent_back(t, falls, colour), rng=np.random.default_rng(seed))
                found = read(seen)
                yield kind, pixels, seed, lamp, name, found, found.area / truth(kind, colour) - 1


def read(picture):
    """The Texture of a whole picture (h, w, 3)."""
    y, x = np.indices(picture.shape[:2]).reshape(2, -1).astype(float)
    return read_texture(picture.reshape(-1, 3), x, y)


def to_lab(light):
    return xyz_to_lab(linear_srgb_to_xyz(light))


def held(rows):
    """Share of 90 % regions of `area` that hold the truth (chi-squared, 3 degrees: 6.251)."""
    return np.mean([e @ np.linalg.solve(f.repeatability, e) <= 6.251 for *_, f, e in rows])


def main():
    """Print the figures that the constants of swatchbath.photo.place.texture come from."""
    for elevation, lamps in ((45.0, 6), (30.0, 2), (60.0, 2)):
        print(f"Lamp at {elevation:g} degrees")
        all_held = []
        rows = list(study(lamps=lamps, elevation=elevation))
        for (kind, pixels), group in itertools.groupby(rows, key=lambda row: row[:2]):
            group = list(group)
            error = [
                float(delta_e2000(to_lab(f.area), to_lab(truth(kind, COLOURS[c]))))
                for *_, c, f, _ in group
            ]
            strand = [np.log(f.strand / COLOURS[c]).mean() for *_, c, f, _ in group]
            uneven = [unevenness(f, to_lab) for *_, f, _ in group]
            # How a lamp from another side moves the mean, as a share of the pixels' variance.
            moved = {}
            for _, _, seed, _, colour, f, e in group:
                moved.setdefault((seed, colour), []).append((e.mean(), f.depth**2))
            share = np.mean([np.var(np.array(m)[:, 0], ddof=1) for m in moved.values()])
            share /= np.mean([depth for m in moved.values() for _, depth in m])
            all_held.append(held(group))
            print(
                f"{kind:6s} {pixels:3d} px: area {np.median(error):.2f}/"
                f"{np.percentile(error, 95):.2f}, ln strand {np.mean(strand):+.3f} sd "
                f"{np.std(strand):.3f}, 90 % held {all_held[-1]:.2f}, lamp share {share:.5f}, "
                f"uneven 95 % {np.percentile(uneven, 95):.2f}, "
                f"over 0 {np.mean(np.array(uneven) > 0):.2f}"
            )
        print(f"90 % regions held, mean over kinds and scales: {np.mean(all_held):.3f}")


if __name__ == "__main__":
    main()
