"""The table under the camera: skeins, cloth, card and tags, drawn in raw light.

Every material is a reflectance; its raw light (3 channels) is computed once and textured by
multipliers per pixel, so that a photo costs no more than a few arrays. A swatch's texture is
normalised: over its marked square the mean raw light is exactly that of its true reflectance
(strand shadows and sheen included), which is what an instrument's aperture would read.
"""

from dataclasses import dataclass, replace

import numpy as np
from house_camera import raw_of
from house_spectra import GRID
from house_texture import HANK_BODY, TEXTURES, smooth_noise
from PIL import Image, ImageDraw, ImageFont
from scipy import ndimage


def _ramp(low, high, middle=560.0, width=70.0):
    """(81,) reflectance rising from low to high through `middle` nm."""
    return low + (high - low) / (1 + np.exp(-(GRID - middle) / width))


# The card set of the house: grey of 18 per cent, not quite neutral, with white and black.
CARDS = {
    "white": 0.885 - 0.020 * np.exp(-(GRID - 400.0) / 60.0),
    "grey": 0.1795 + 0.0040 * (GRID - 560.0) / 180.0 - 0.003 * np.exp(-(((GRID - 500) / 60) ** 2)),
    "black": 0.0340 + 0.0012 * (GRID - 560.0) / 180.0,
}
PAPER = _ramp(0.60, 0.82, 450, 40)
SHEET = 0.84 - 0.06 * np.exp(-(GRID - 400.0) / 45.0)  # plain white drawing paper, no brightener
PENCIL = np.full(len(GRID), 0.07)
BOARD = _ramp(0.26, 0.56, 560, 60)  # the card that yarn is wound on
STRING = _ramp(0.45, 0.66, 520, 60)
GROUNDS = {
    "oak": (_ramp(0.16, 0.46, 590, 55), _ramp(0.08, 0.28, 600, 60)),
    "linen": (_ramp(0.36, 0.45, 540, 70), _ramp(0.22, 0.28, 540, 70)),
    "painted board": (_ramp(0.46, 0.50, 520, 80), _ramp(0.42, 0.46, 520, 80)),
}


@dataclass(frozen=True)
class Place:
    """Where one thing lies: centre and half sizes in pixels, turn in radians."""

    x: float
    y: float
    half_w: float
    half_h: float
    turn: float


class Scene:
    """Raw light of the table seen by one camera under one light; white is 1."""

    def __init__(self, camera, light, size, rng):
        self.camera, self.light, self.rng = camera, light, rng
        self.w, self.h = size
        self.unit = max(size) / 1600.0  # drawn sizes are for a long side of 1600 pixels
        self.raw = np.zeros((self.h, self.w, 3), np.float32)
        self.taken = np.zeros((self.h, self.w), bool)  # where something lies, or its shadow falls
        # The card lies a little towards or away from the light (a few per cent of brightness).
        self.tilt = float(np.exp(rng.normal(0, 0.025)))

    def tint(self, reflectance):
        return raw_of(reflectance, self.camera, self.light).astype(np.float32)

    def window(self, place, margin):
        """Slices of the picture that hold a place, and local (along, across) coordinates there."""
        c, s = np.cos(place.turn), np.sin(place.turn)
        reach_x = abs(c) * place.half_w + abs(s) * place.half_h + margin
        reach_y = abs(s) * place.half_w + abs(c) * place.half_h + margin
        x0, x1 = max(int(place.x - reach_x), 0), min(int(place.x + reach_x) + 2, self.w)
        y0, y1 = max(int(place.y - reach_y), 0), min(int(place.y + reach_y) + 2, self.h)
        dx = np.arange(x0, x1)[None, :] - place.x
        dy = np.arange(y0, y1)[:, None] - place.y
        return (slice(y0, y1), slice(x0, x1)), c * dx + s * dy, -s * dx + c * dy

    def lay(self, window, alpha, content, *, shadow=0.5, height=6.0):
        """Put content (h, w, 3) over the window where alpha is 1, with a soft shadow beside it."""
        part = self.raw[window]
        if shadow:
            lift = max(height * self.unit, 1.0)
            cast = ndimage.gaussian_filter(alpha, lift)
            cast = ndimage.shift(cast, (0.9 * lift, 0.7 * lift), order=1)
            tight = ndimage.gaussian_filter(alpha, 0.35 * lift)
            dimmed = shadow * (0.6 * cast + 0.4 * tight)
            self.taken[window] |= dimmed > 0.005
            part = part * (1 - dimmed)[..., None]
        self.taken[window] |= alpha > 0.005
        a = alpha[..., None].astype(np.float32)
        self.raw[window] = part * (1 - a) + np.asarray(content, np.float32) * a


def soft(distance):
    """1 inside (distance < 0), 0 outside, one pixel wide in between."""
    return np.clip(0.5 - distance, 0, 1)


def draw_ground(scene, kind):
    """Fill the picture with wood, linen or a painted board."""
    light, dark = (scene.tint(r) for r in GROUNDS[kind])
    h, w, rng, u = scene.h, scene.w, scene.rng, scene.unit
    if kind == "oak":
        plank = 330 * u
        y = np.arange(h)[:, None] + smooth_noise(rng, (h, w), (40 * u, 400 * u)) * 14 * u
        which = np.floor((y + plank / 3) / plank).astype(int) % 7
        tone = rng.uniform(0.2, 0.55, 7)[which]
        streak = smooth_noise(rng, (h, w), (1.6 * u, 160 * u)) * 0.16
        ring = 0.10 * np.sin(y / (9 * u) + 3 * smooth_noise(rng, (h, w), (60 * u, 500 * u)))
        pores = np.maximum(smooth_noise(rng, (h, w), (0.8 * u, 16 * u)) - 1.3, 0) * 0.5
        seam = np.abs((y + plank / 3) % plank - plank / 2) > plank / 2 - 1.4 * u
        mix = np.clip(tone + streak + ring + pores + 0.8 * seam, 0, 1.15)[..., None]
        scene.raw[:] = light * (1 - mix) + dark * mix
    elif kind == "linen":
        pitch = 5.2 * u
        x = np.arange(w)[None, :] + smooth_noise(rng, (h, w), (90 * u, 25 * u)) * 1.2 * u
        y = np.arange(h)[:, None] + smooth_noise(rng, (h, w), (25 * u, 90 * u)) * 1.2 * u
        weave = np.sin(np.pi * x / pitch) * np.sin(np.pi * y / pitch)
        threads = smooth_noise(rng, (h, w), (60 * u, 1.6 * u)) + smooth_noise(
            rng, (h, w), (1.6 * u, 60 * u)
        )
        mix = np.clip(0.45 + 0.22 * weave + 0.16 * threads, 0, 1)[..., None]
        scene.raw[:] = light * (1 - mix) + dark * mix
    else:
        mottle = smooth_noise(rng, (h, w), (60 * u, 60 * u)) * 0.3 + 0.4 * smooth_noise(
            rng, (h, w), (1.2 * u, 1.2 * u)
        )
        mix = np.clip(0.5 + mottle, 0, 1)[..., None]
        scene.raw[:] = light * (1 - mix) + dark * mix
    scene.raw *= (1 + 0.02 * smooth_noise(rng, (h, w), (200 * u, 200 * u)))[..., None]


def draw_sheet(scene):
    """Spread a sheet of plain white paper over the table, the table showing at its edges."""
    rng, u = scene.rng, scene.unit
    half_w, half_h = (n / 2 - rng.uniform(8, 26) * u for n in (scene.w, scene.h))
    place = Place(scene.w / 2, scene.h / 2, half_w, half_h, rng.normal(0, 0.008))
    window, along, across = scene.window(place, 16 * u)
    edge = np.maximum(np.abs(along) - half_w, np.abs(across) - half_h)
    grain = smooth_noise(rng, along.shape, (1.0 * u, 1.0 * u))
    cockle = smooth_noise(rng, along.shape, (180 * u, 180 * u))
    content = scene.tint(SHEET) * (1 + 0.008 * grain + 0.004 * cockle)[..., None]
    scene.lay(window, soft(edge), content, shadow=0.4, height=2)
    bare = np.zeros_like(scene.taken)
    bare[window] = edge < -4 * u
    scene.taken = ~bare


def bare_places(scene, count):
    """Up to `count` marks (x, y, half) of what lies bare, one in each part of the frame at most."""
    u = scene.unit
    away = ndimage.distance_transform_edt(~np.pad(scene.taken, 1, constant_values=True))
    away = away[1:-1, 1:-1] - 4 * u
    found = []
    for rows in np.array_split(np.arange(scene.h), 3):
        for cols in np.array_split(np.arange(scene.w), 3):
            part = away[rows[0] : rows[-1] + 1, cols[0] : cols[-1] + 1]
            down, right = np.unravel_index(int(part.argmax()), part.shape)
            half = int(min(part.max() / np.sqrt(2), 36 * u))
            if half >= 11 * u:
                found.append((int(cols[0] + right), int(rows[0] + down), half))
    # The furthest out tell most of the light.
    found.sort(key=lambda m: -np.hypot(m[0] - scene.w / 2, m[1] - scene.h / 2))
    kept = []
    for mark in found:
        if all(np.hypot(mark[0] - m[0], mark[1] - m[1]) > 120 * u for m in kept):
            kept.append(mark)
    return sorted(kept[:count], key=lambda m: (m[1], m[0]))


def textured(colour, texture, square, depth=0.0):
    """(h, w, 3) raw light of a swatch, its mean over `square` exactly `colour` (3,).

    texture: (shade, sheen, uneven), each (h, w): shade 0 to about 1.3 is the light that reaches a
    fibre; deep in the yarn it has passed other dyed fibres, so it comes back more saturated;
    sheen is white light added; uneven shifts the depth of dyeing.
    """
    shade, sheen, uneven = texture
    colour = np.asarray(colour, np.float64)
    body = np.empty((*shade.shape, 3))
    # The mean sheen is taken out of the body: it is part of what the aperture reads.
    glint = min(float(sheen[square].mean()), 0.45 * colour.min()) / max(
        float(sheen[square].mean()), 1e-9
    )
    sheen = sheen * glint
    for channel in range(3):
        own = max(colour[channel] - float(sheen[square].mean()), 1e-4)
        light = shade / (1 - 0.75 * own * (1 - np.minimum(shade, 1.0)))
        light = light * np.clip(own, 0.02, 1) ** (depth * uneven)
        body[..., channel] = own * light / light[square].mean() + sheen
    return body


def square_of(window, x, y, half):
    """Boolean mask, in a window, of pixels within `half` of (x, y)."""
    rows = np.arange(window[0].start, window[0].stop)
    cols = np.arange(window[1].start, window[1].stop)
    return (np.abs(rows - y) <= half)[:, None] & (np.abs(cols - x) <= half)[None, :]


def draw_swatch(scene, place, fibre, kind, reflectance, *, is_wet=False, flat=False):
    """Lay one swatch; return its mark (x, y, half) in whole pixels, and its lower reach.

    Yarn is wound on a card or, unless it is to lie flat, a hank.
    """
    u, rng = scene.unit, scene.rng
    colour = scene.tint(reflectance)
    yarn = "wound" if flat else str(rng.choice(["wound", "hank"]))
    style = {"cloth": "cloth", "yarn": yarn}[kind]
    if style == "hank":
        place = replace(place, half_w=1.16 * place.half_w)
    window, along, across = scene.window(place, 14 * u)
    hw, hh = place.half_w, place.half_h
    x, y = round(place.x), round(place.y)
    turned = abs(np.cos(place.turn)) + abs(np.sin(place.turn))
    if style == "wound":
        half = int(0.58 * min(0.82 * hh, hw) / turned)
        board = np.maximum(np.abs(along) - 0.86 * hw, np.abs(across) - hh)
        paper = scene.tint(BOARD) * (
            1 + 0.02 * smooth_noise(rng, along.shape, (2 * u, 2 * u))[..., None]
        )
        scene.lay(window, soft(board), paper, height=4)
        hh = 0.82 * hh
    elif style == "hank":
        half = int(0.60 * HANK_BODY * hh / turned)
    else:
        half = int(0.62 * min(hw, hh) / turned)
    square = square_of(window, x, y, half)
    edge, texture = TEXTURES[style](along, across, hw, hh, fibre, u, rng)
    if is_wet:
        # Water evens the hollows out and adds glints.
        shade, sheen, uneven = texture
        glints = np.maximum(smooth_noise(rng, shade.shape, (3 * u, 5 * u)) - 1.1, 0)
        texture = (0.5 + 0.5 * shade, sheen + 0.05 * glints, uneven)
    content = textured(colour, texture, square, depth=0.02)
    scene.lay(window, soft(edge), content, height=9 if kind == "yarn" else 3.5)
    return (x, y, half), (HANK_BODY if style == "hank" else 1.0) * place.half_h


def draw_card(scene, place, kind):
    """Lay the grey card, or one patch of the strip of three; return its mark."""
    window, along, across = scene.window(place, 16 * scene.unit)
    edge = np.maximum(np.abs(along) - place.half_w, np.abs(across) - place.half_h)
    fine = smooth_noise(scene.rng, along.shape, (0.8 * scene.unit, 0.8 * scene.unit))
    content = scene.tint(CARDS[kind]) * (1 + 0.006 * fine[..., None])
    x, y = round(place.x), round(place.y)
    half = int(0.66 * min(place.half_w, place.half_h))
    scene.lay(window, soft(edge), content * scene.tilt, shadow=0.45, height=3)
    return x, y, half


def draw_strip(scene, place):
    """Three greys on one dark strip: white, grey, black; returns {kind: mark}."""
    window, along, across = scene.window(place, 16 * scene.unit)
    edge = np.maximum(np.abs(along) - place.half_w, np.abs(across) - place.half_h)
    holder = np.broadcast_to(scene.tint(np.full(len(GRID), 0.075)), (*edge.shape, 3))
    scene.lay(window, soft(edge), holder)
    marks, long = {}, place.half_h >= place.half_w
    step = 2 * max(place.half_w, place.half_h) / 3
    size = 0.80 * min(place.half_w, place.half_h, step / 2)
    for index, kind in enumerate(("white", "grey", "black")):
        off = (index - 1) * step
        along_x, along_y = (0.0, off) if long else (off, 0.0)
        c, s = np.cos(place.turn), np.sin(place.turn)
        cx, cy = place.x + c * along_x - s * along_y, place.y + s * along_x + c * along_y
        marks[kind] = draw_card(scene, Place(cx, cy, size, size, place.turn), kind)
    return marks


def draw_tags(scene, tags):
    """Paper tags with a pencilled name: tags are (text, place, knot), all laid at once."""
    zoom, u = 2, scene.unit
    paper = Image.new("L", (scene.w * zoom, scene.h * zoom), 0)
    pencil, string = paper.copy(), paper.copy()
    for text, place, knot in tags:
        w, h = int(2 * place.half_w * zoom), int(2 * place.half_h * zoom)
        cut = 0.28 * h
        shape = Image.new("L", (w, h), 0)
        outline = [(cut, 0), (w - 1, 0), (w - 1, h - 1), (cut, h - 1), (0, h - cut), (0, cut)]
        ImageDraw.Draw(shape).polygon(outline, fill=255)
        hole = (0.30 * h, 0.5 * h, 0.07 * h)
        ImageDraw.Draw(shape).ellipse(
            (hole[0] - hole[2], hole[1] - hole[2], hole[0] + hole[2], hole[1] + hole[2]), fill=0
        )
        words = Image.new("L", (w, h), 0)
        font = ImageFont.load_default(int(0.66 * h))
        ImageDraw.Draw(words).text((0.56 * w, 0.48 * h), text, 245, font=font, anchor="mm")
        degrees = -np.degrees(place.turn)
        for target, layer in ((paper, shape), (pencil, words)):
            turned = layer.rotate(degrees, Image.Resampling.BICUBIC, expand=True)
            corner = (
                int(place.x * zoom - turned.width / 2),
                int(place.y * zoom - turned.height / 2),
            )
            target.paste(255, corner, turned)
        c, s = np.cos(place.turn), np.sin(place.turn)
        from_hole = hole[0] / zoom - place.half_w
        start = (zoom * (place.x + c * from_hole), zoom * (place.y + s * from_hole))
        ImageDraw.Draw(string).line(
            [start, (zoom * knot[0], zoom * knot[1])], fill=235, width=max(int(2.6 * u * zoom), 1)
        )
    whole = (slice(0, scene.h), slice(0, scene.w))
    grain = smooth_noise(scene.rng, (scene.h, scene.w), (1.2 * u, 1.2 * u))[..., None]
    for layer, reflectance, shadow in (
        (paper, PAPER, 0.4), (pencil, PENCIL, 0.0), (string, STRING, 0.3),
    ):  # fmt: skip
        layer = layer.resize((scene.w, scene.h), Image.Resampling.BOX)
        alpha = np.asarray(layer, np.float32) / 255
        if layer is not paper and reflectance is PENCIL:
            alpha = alpha * np.clip(0.80 + 0.18 * grain[..., 0], 0, 1)
        content = scene.tint(reflectance) * (1 + 0.015 * grain)
        scene.lay(whole, alpha, content, shadow=shadow, height=2.5)
