"""Textures of yarn and cloth: strand shadow, twist, weave, fuzz and sheen.

Each texture gets local pixel coordinates (along, across), half sizes, the fibre, the drawing unit
and a random stream, and returns the signed distance to its edge (negative inside, in pixels) and
(shade, sheen, uneven), all (h, w). Their scale is free: the swatch is normalised afterwards.
"""

import numpy as np
from scipy import ndimage

# Yarn thickness in pixels at a long side of 1600; fuzz and sheen by fibre. By eye.
_YARN = {
    "wool": {"pitch": 15.0, "fuzz": 0.11, "sheen": 0.000, "dark": 0.36},
    "silk": {"pitch": 9.0, "fuzz": 0.05, "sheen": 0.055, "dark": 0.46},
    "cotton": {"pitch": 11.0, "fuzz": 0.07, "sheen": 0.002, "dark": 0.42},
}
_CLOTH = {
    "wool": {"pitch": 8.0, "relief": 0.20, "fuzz": 0.09, "sheen": 0.0},
    "silk": {"pitch": 4.6, "relief": 0.10, "fuzz": 0.03, "sheen": 0.050},
    "cotton": {"pitch": 7.0, "relief": 0.17, "fuzz": 0.04, "sheen": 0.0},
}

HANK_BODY = 0.50  # half thickness of a hank, as a share of the half height it is given


def smooth_noise(rng, shape, scale):
    """(h, w) noise of unit spread, smooth over about `scale` (down, across) pixels.

    Coarse noise is made small and enlarged: quick for scales of many pixels.
    """
    steps = [max(int(s / 2), 1) for s in scale]
    small = [n // k + 4 for n, k in zip(shape, steps, strict=True)]
    noise = rng.standard_normal(small, dtype=np.float32)
    noise = ndimage.gaussian_filter(noise, [s / k for s, k in zip(scale, steps, strict=True)])
    noise /= max(float(noise.std()), 1e-6)
    if steps != [1, 1]:
        rows = np.linspace(1, small[0] - 2, shape[0], dtype=np.float32)
        cols = np.linspace(1, small[1] - 2, shape[1], dtype=np.float32)
        at, left = rows.astype(int), None
        part = (rows - at)[:, None]
        noise = noise[at] * (1 - part) + noise[at + 1] * part
        left = cols.astype(int)
        part = (cols - left)[None, :]
        return noise[:, left] * (1 - part) + noise[:, left + 1] * part
    return noise[: shape[0], : shape[1]]


def _strand(position, dark):
    """Shade over a round strand, position 0 to 1 across it: dark hollows, a lit shoulder."""
    height = np.sqrt(np.maximum(1 - (2 * position - 1) ** 2, 0))
    lit = height * 0.92 + 0.22 * (0.5 - position)
    return dark + (1 - dark) * np.clip(lit, 0, None) ** 0.8


def _plied(along, position, index, pitch, phase):
    """Slanting plies on a strand: a shallow dark line once a turn, in [-1, 1]."""
    turn = along / (2.1 * pitch) + 0.8 * position + phase[index % len(phase)]
    return np.abs(2 * (turn % 1) - 1) * 2 - 1


def wound(along, across, half_w, half_h, fibre, unit, rng):
    """Yarn wound round a card: parallel strands along, each plied, a little irregular."""
    own = _YARN[fibre]
    pitch = own["pitch"] * unit
    wave = smooth_noise(rng, along.shape, (30 * unit, 90 * unit))
    line = (across + 0.10 * pitch * wave + 0.03 * along) / pitch
    # Strands are not equally thick: bend the count slowly.
    bend = np.cumsum(rng.normal(0, 0.06, 400))
    line = line + np.interp(line, np.arange(400) - 200, bend - bend.mean())
    index = np.floor(line).astype(int)
    position = line - index
    phase, bright = rng.random(97), rng.normal(0, 0.045, 89)
    shade = _strand(position, own["dark"])
    shade = shade * (1 + 0.13 * _plied(along, position, index, pitch, phase))
    shade = shade * (1 + bright[index % 89])
    shade = shade * (1 + own["fuzz"] * _fuzz(rng, along.shape, unit))
    # The edges of the card turn the yarn away from the light.
    shade = shade * (1 - 0.55 * np.clip(np.abs(along) / half_w - 0.86, 0, 1) / 0.14)
    shade = shade * (1 + 0.05 * along / half_w)
    round_end = 0.35 * pitch * np.sqrt(np.maximum(1 - (2 * position - 1) ** 2, 0))
    reach = half_w - 0.5 * pitch + 0.16 * pitch * rng.normal(0, 1, 83)[index % 83]
    edge = np.maximum(np.abs(along) - reach - round_end, np.abs(across) - half_h)
    sheen = own["sheen"] * _band(along / half_w, rng) * np.clip(shade, 0, 1.2) ** 3
    return edge, (np.maximum(shade, 0.03), sheen, _uneven(rng, along.shape, unit))


def hank(along, across, half_w, half_h, fibre, unit, rng):
    """A twisted mini-skein: two bundles of strands laid round each other, a loop at each end."""
    own = _YARN[fibre]
    pitch = 0.72 * own["pitch"] * unit
    body = HANK_BODY * half_h
    # The two bundles show as slanting lobes, S-shaped because they pass round the back.
    side = np.clip(across / body, -1.15, 1.15)
    lobe = 1.55 * body
    ply = (along + 0.95 * body * np.sin(1.25 * side)) / lobe + 0.5
    ply = ply + 0.04 * smooth_noise(rng, along.shape, (60 * unit, 60 * unit))
    index = np.floor(ply).astype(int)
    inside = ply - index
    round_ply = np.sqrt(np.maximum(1 - (2 * inside - 1) ** 2, 0))
    # Strands follow the bundle; a little loose.
    line = inside * lobe * 0.72 / pitch + 0.5 * side * (inside - 0.5)
    line = line + 0.30 * smooth_noise(rng, along.shape, (14 * unit, 40 * unit))
    count = np.floor(line).astype(int)
    position = line - count
    strand = count + 41 * index
    phase, bright = rng.random(97), rng.normal(0, 0.06, 89)
    shade = _strand(position, own["dark"] + 0.05)
    shade = shade * (1 + 0.12 * _plied(across, position, strand, pitch, phase))
    shade = shade * (0.30 + 0.70 * round_ply**0.9) * (1 + bright[strand % 89])
    shade = shade * (1 + own["fuzz"] * _fuzz(rng, along.shape, unit))
    # The body narrows softly to a loop at each end, whose eye is left open.
    loop = 0.36 * body
    left = np.clip((half_w - loop - np.abs(along)) / (1.0 * body), 0, 1)
    swell = left * left * (3 - 2 * left)
    outline = body * (0.30 + 0.70 * swell**0.6) * (1 + 0.10 * (round_ply - 0.75))
    outline = outline + 0.7 * unit * _fuzz(rng, along.shape, unit)
    from_end = np.abs(along) - half_w + loop
    ring = np.hypot(0.8 * from_end, across) - loop
    trunk = np.maximum(np.abs(across) - outline, from_end)
    eye = 0.34 * loop - np.hypot(0.7 * (from_end - 0.1 * loop), across)
    edge = np.maximum(np.minimum(trunk, ring), eye)
    shade = shade * (1 - 0.30 * np.clip(1 + from_end / (0.8 * body), 0, 1))
    # Round the loop the strands run in circles.
    circle = np.hypot(0.8 * from_end, across) / (0.8 * pitch) + 0.3
    looped = 0.75 * _strand(circle % 1, own["dark"]) * (1 + 0.8 * own["fuzz"] * bright[strand % 89])
    shade = np.where(from_end > -0.35 * loop, looped, shade)
    rim = np.clip(np.abs(across) / np.maximum(outline, 1), 0, 1)
    shade = shade * np.clip(1.05 - 0.62 * rim**3.2 - 0.12 * side, 0.18, None)
    sheen = own["sheen"] * round_ply**4 * np.clip(shade, 0, 1.2) ** 2 * np.exp(-4 * side**2)
    return edge, (np.maximum(shade, 0.03), sheen, _uneven(rng, along.shape, unit))


def cloth(along, across, half_w, half_h, fibre, unit, rng):
    """A cut of cloth: plain weave (wool: twill), slubs, soft folds, pinked or frayed edge."""
    own = _CLOTH[fibre]
    pitch = max(own["pitch"] * unit, 3.0)
    sway = smooth_noise(rng, along.shape, (70 * unit, 70 * unit)) * 2.0 * unit
    a, b = (along + sway) / pitch, (across - 0.7 * sway) / pitch
    if fibre == "wool":
        weave = np.sin(2 * np.pi * (a + b) / 2) * 0.8 + 0.3 * np.sin(np.pi * a) * np.sin(np.pi * b)
    else:
        # Where the warp lies on top its round back shows, else the weft's.
        top = 0.5 + 0.5 * np.tanh(3 * np.sin(np.pi * a) * np.sin(np.pi * b))
        warp_back, weft_back = np.abs(np.sin(np.pi * a)), np.abs(np.sin(np.pi * b))
        weave = 2 * (top * warp_back**0.7 + (1 - top) * weft_back**0.7) - 1.4
    warp, weft = rng.normal(0, 1, 211), rng.normal(0, 1, 199)
    slub = warp[np.floor(a).astype(int) % 211] + weft[np.floor(b).astype(int) % 199]
    shade = 1 + own["relief"] * weave + 0.030 * slub
    shade = shade * (1 + own["fuzz"] * _fuzz(rng, along.shape, unit))
    fold = smooth_noise(rng, along.shape, (60 * unit, 110 * unit))
    shade = shade * (1 + 0.035 * fold)
    sheen = own["sheen"] * np.clip(0.35 + 0.65 * _band(along / half_w + 0.25 * fold, rng), 0, 2)
    sheen = sheen * np.clip(shade, 0, 1.3) ** 2
    edge = cloth_edge(along, across, half_w, half_h, unit, rng)
    return edge, (np.maximum(shade, 0.05), sheen, _uneven(rng, along.shape, unit))


def cloth_edge(along, across, half_w, half_h, unit, rng):
    """Signed distance to a cut edge, zigzag from pinking shears or slightly frayed."""
    plain = np.maximum(np.abs(along) - half_w, np.abs(across) - half_h)
    if rng.random() < 0.6:
        tooth = 13 * unit
        run = np.where(np.abs(along) - half_w > np.abs(across) - half_h, across, along)
        return plain + 0.5 * tooth * (1 - np.abs(2 * ((run / tooth) % 1) - 1))
    return plain + 1.2 * unit * smooth_noise(rng, along.shape, (1.2 * unit, 1.2 * unit))


def _fuzz(rng, shape, unit):
    """Fine fibre noise, unit spread."""
    fine = smooth_noise(rng, shape, (0.7 * unit, 2.2 * unit))
    return 0.75 * fine + 0.65 * smooth_noise(rng, shape, (2.5 * unit, 2.5 * unit))


def _band(where, rng):
    """One or two soft bands of sheen across -1 to 1."""
    centre = rng.uniform(-0.5, 0.5)
    bands = np.exp(-(((where - centre) / 0.28) ** 2))
    return bands + 0.5 * np.exp(-(((where - centre - 0.75) / 0.22) ** 2))


def _uneven(rng, shape, unit):
    """Slow unevenness of dyeing, unit spread."""
    return smooth_noise(rng, shape, (45 * unit, 70 * unit))


TEXTURES = {"wound": wound, "hank": hank, "cloth": cloth}
