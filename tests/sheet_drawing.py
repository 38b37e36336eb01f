"""Drawn photos of the photo sheet, with known truth: its layout as a picture, then a camera.

The sheet is drawn from the layout's millimetres, not from the finder's code; swatches and the card
are cut out of the sample's drawn photos. The camera is a pinhole at arm's length, which may look
from the side; the paper may be curled; light falls off to one side.
"""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

import numpy as np
import segno
from PIL import Image, ImageDraw, ImageFont, ImageOps
from scipy import ndimage

from swatchbath.photo.file.read import read_photo
from swatchbath.photo.sheet import layout as sl

SAMPLE = Path(__file__).resolve().parent.parent / "sample_swatches"
SCALE = 6  # pixels a millimetre of the drawn sheet
WHITE, INK = 0.84, 0.035  # reflectances of copy paper and toner (from memory)


def decode(code):
    """Linear light of 8-bit sRGB codes (IEC 61966-2-1)."""
    v = np.asarray(code, float) / 255
    return np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4)


def encode(light):
    """8-bit sRGB codes of linear light."""
    v = np.clip(light, 0, 1)
    code = np.where(v <= 0.0031308, 12.92 * v, 1.055 * np.maximum(v, 1e-9) ** (1 / 2.4) - 0.055)
    return np.round(255 * code).astype(np.uint8)


CODES = encode(np.arange(4096) / 4095)


@cache
def cuttings(kind):
    """Squares of fibre (or of the card) cut from the sample's photos, in linear light; each photo
    as bright as puts its card at 0.13, for on a sheet all lie in one light. Brighter, the sample's
    vivid yellows would be clipped; much darker, eight bits would not hold a linear card."""
    with open(SAMPLE / "marks.csv", encoding="utf-8") as file:
        marks = list(csv.DictReader(file))
    cards = {row["photo"]: row for row in marks if row["kind"] == "card"}
    out = []
    for row in [row for row in marks if row["kind"] == kind][:: 1 if kind == "card" else 3]:
        with Image.open(SAMPLE / "photos" / row["photo"]) as image:
            picture = np.asarray(ImageOps.exif_transpose(image).convert("RGB"))
        card, own = (_square(picture, r) for r in (cards[row["photo"]], row))
        out.append(np.minimum(own * 0.13 / card[..., 1].mean(), 1.0))
    return out


def _square(picture, row):
    """Linear light of a marked square."""
    x, y, half = (int(row[c]) for c in ("x", "y", "half"))
    return decode(picture[y - half : y + half + 1, x - half : x + half + 1])


def draw_sheet(places, paper, *, codes=(), filled=None, card=True, colours=None, rng):
    """The laid-out sheet in linear light, (h, w, 3) at SCALE pixels a millimetre.

    filled : numbers of the places with a swatch on them (default all). colours : {number: linear
    RGB (3,)} for a felt of one colour there instead of a cutting; number 0 is the card.
    """
    layout = sl.sheet_layout(places, paper)
    size = (round(layout.width * SCALE), round(layout.height * SCALE))
    page = Image.new("L", size, 255)
    pen = ImageDraw.Draw(page)

    def at(*values):
        return [v * SCALE for v in values]

    def code(box, text):
        made = segno.make_qr(text, version=1, error="m")
        side = box.width / sl.MODULES
        for j, row in enumerate(made.matrix):
            for i, dark in enumerate(row):
                if dark:
                    x, y = box.x + i * side, box.y + j * side
                    pen.rectangle(at(x, y, x + side, y + side), fill=0)

    for corner, box in layout.corners.items():
        code(box, sl.corner_text(places, paper, corner))
    for index, place in enumerate((layout.card, *layout.swatches)):
        frame, (cx, cy) = place.frame, place.read.centre
        for x in np.arange(frame.x, frame.x + frame.width, 4.3):
            for y in (frame.y, frame.y + frame.height):
                pen.line(at(x, y, x + 2.6, y), fill=0, width=4)
        for y in np.arange(frame.y, frame.y + frame.height, 4.3):
            for x in (frame.x, frame.x + frame.width):
                pen.line(at(x, y, x, y + 2.6), fill=0, width=4)
        for w, h in ((sl.CROSS, sl.CROSS_WIDTH), (sl.CROSS_WIDTH, sl.CROSS)):
            pen.rectangle(at(cx - w / 2, cy - h / 2, cx + w / 2, cy + h / 2), fill=0)
        if index and index <= len(codes):
            code(place.code, sl.swatch_text(codes[index - 1]))
            pen.text(
                at(place.code.x + 18, place.code.y + 4), codes[index - 1], fill=0,
                font=ImageFont.load_default(5 * SCALE),
            )  # fmt: skip
            if index <= layout.own:
                pen.text(
                    at(place.code.x, place.code.y + 15), "07, weld on silk\ndeep yellow", fill=0,
                    font=ImageFont.load_default(3 * SCALE),
                )  # fmt: skip
    light = INK + (WHITE - INK) * (np.asarray(page, float) / 255)[..., None] * np.ones(3)
    for place in layout.swatches:
        if filled is None or place.number in filled:
            _lay(light, place, _cuttings_for(place, colours, rng), rng, rng.uniform(0.72, 0.95))
    if card:
        _lay(light, layout.card, _cuttings_for(layout.card, colours, rng), rng, 0.95)
    return layout, light


def _cuttings_for(place, colours, rng):
    if colours and place.number in colours:
        grain = np.exp(rng.normal(0, 0.04, (60, 60, 1)))
        return [np.asarray(colours[place.number]) * grain]
    return cuttings("swatch" if place.number else "card")


def _lay(light, place, kinds, rng, share):
    """Lay a cutting in a frame, a little off its middle."""
    cutting = kinds[int(rng.integers(len(kinds)))]
    w, h = (round(share * side * SCALE) for side in (place.frame.width, place.frame.height))
    rows = np.arange(h) % (2 * len(cutting))
    cols = np.arange(w) % (2 * cutting.shape[1])
    # Mirrored repeats, at the cutting's own grain.
    rows = np.minimum(rows, 2 * len(cutting) - 1 - rows)
    cols = np.minimum(cols, 2 * cutting.shape[1] - 1 - cols)
    cx, cy = (v * SCALE for v in place.frame.centre)
    x = round(cx - w / 2 + rng.uniform(-1, 1) * SCALE)
    y = round(cy - h / 2 + rng.uniform(-1, 1) * SCALE)
    light[y : y + h, x : x + w] = cutting[rows][:, cols]


@dataclass
class Camera:
    """Where the camera looks from. tilt, turn in degrees (tilt away from straight above, about an
    axis at `toward` degrees); fill : share of the picture the sheet takes; curl in mm; lens : the
    bend at the edge of the picture (phones correct theirs to under one per cent, from memory)."""

    size: tuple[int, int] = (1600, 1200)
    tilt: float = 0.0
    toward: float = 0.0
    turn: float = 0.0
    fill: float = 0.9
    shift: tuple[float, float] = (0.0, 0.0)
    curl: float = 0.0
    lens: float = -0.006
    dim: float = 1.0
    blur: float = 0.6
    noise: float = 0.006
    uneven: float = 0.1
    quality: int = 88
    linear: bool = False  # codes proportional to light, instead of sRGB's
    hide: tuple[str, ...] = field(default=())


def projector(layout, camera):
    """A function from sheet millimetres (n, 2) and heights (n,) to pixels (n, 2)."""
    width, height = camera.size
    away = 1.6 * layout.height  # arm's length: about 45 cm
    turn, tilt, toward = np.radians([camera.turn, camera.tilt, camera.toward])

    def about_z(angle):
        c, s = np.cos(angle), np.sin(angle)
        return np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])

    c, s = np.cos(tilt), np.sin(tilt)
    lean = np.array([[1, 0, 0], [0, c, -s], [0, s, c]])
    rotation = about_z(toward) @ lean @ about_z(-toward) @ about_z(turn)
    # The whole turned sheet fits into `fill` of the picture.
    c, s = abs(np.cos(turn)), abs(np.sin(turn))
    wide, high = c * layout.width + s * layout.height, s * layout.width + c * layout.height
    focal = camera.fill * min(width / wide, height / high) * away

    def project(mm, z=0.0):
        mm = np.asarray(mm, float)
        flat = mm - np.array([layout.width, layout.height]) / 2
        points = np.concatenate([flat, -np.broadcast_to(z, flat.shape[:-1])[..., None]], -1)
        seen = points @ rotation.T
        depth = away + seen[..., 2]
        centre = np.array([width / 2 - 0.5, height / 2 - 0.5]) + np.array(camera.shift)
        return focal * seen[..., :2] / depth[..., None] + centre

    return project


def heights(layout, camera, mm):
    """Height of the curled paper above the table, in mm: an arch across its length."""
    u = np.clip(np.asarray(mm)[..., 1] / layout.height, 0, 1)
    return camera.curl * np.sin(np.pi * u)


def take(layout, light, camera, rng, folder, name="sheet.jpg"):
    """Photograph the sheet: (Photo, truth); `truth` gives the true pixels of sheet mm."""
    project = projector(layout, camera)
    width, height = camera.size
    middle = np.array([width - 1, height - 1]) / 2

    def bent(pixels, strength):
        """A lens's barrel or cushion, to first order in the squared distance from the middle."""
        off = (pixels - middle) / middle.max()
        return middle + (pixels - middle) * (1 + strength * (off**2).sum(-1, keepdims=True))

    def truth(points):
        return bent(project(points, heights(layout, camera, points)), camera.lens)

    around = np.array(
        [[0, 0], [layout.width, 0], [layout.width, layout.height], [0, layout.height]]
    )
    back = _homography(project(around), around)
    # Where each pixel looks, worked out on every eighth and filled in between: all is smooth.
    coarse = np.stack(
        np.meshgrid(np.linspace(0, width - 1, width // 8), np.linspace(0, height - 1, height // 8)),
        -1,
    )
    straight = bent(coarse, -camera.lens)
    for _ in range(3):
        straight = straight + coarse - bent(straight, camera.lens)
    mm = _apply(back, straight)
    for _ in range(3 if camera.curl else 0):
        mm = _apply(back, straight - project(mm, heights(layout, camera, mm)) + project(mm))
    x, y = (_resized(mm[..., i], camera.size) for i in (0, 1))
    where = [y * SCALE - 0.5, x * SCALE - 0.5]
    seen = light.astype(np.float32)
    for corner in camera.hide:
        box = layout.corners[corner]
        top, left = int((box.y - 3) * SCALE), int((box.x - 3) * SCALE)
        seen[top : top + 22 * SCALE, left : left + 22 * SCALE] = (0.45, 0.28, 0.2)  # a thumb
    # The optics and the sensor average over a pixel: the finer drawing is smoothed first.
    grain = SCALE * float(
        np.abs(np.diff(x[height // 2])).mean() + np.abs(np.diff(y[height // 2])).mean()
    )
    seen = ndimage.gaussian_filter(seen, (0.4 * grain, 0.4 * grain, 0), truncate=2.5)
    inside = (x >= 0) & (y >= 0) & (x <= layout.width) & (y <= layout.height)
    grainy = rng.standard_normal((height, width // 16), dtype=np.float32)
    table = 0.2 + 0.06 * _resized(grainy, camera.size)
    fall = np.exp(
        camera.uneven * np.linspace(-0.5, 0.5, width, dtype=np.float32)[None, :]
        + camera.uneven / 2 * np.linspace(-0.5, 0.5, height, dtype=np.float32)[:, None]
    )
    picture = np.empty((height, width, 3), np.uint8)
    for i, tone in enumerate((1.2, 0.9, 0.6)):
        own = ndimage.map_coordinates(seen[..., i], where, order=1, mode="nearest")
        own = np.where(inside, own, tone * table) * fall * camera.dim
        own = ndimage.gaussian_filter(own, camera.blur, truncate=3)
        noise = rng.standard_normal(own.shape, dtype=np.float32)
        own += camera.noise * noise * np.sqrt(np.maximum(own, 0) + 0.02)
        if camera.linear:
            picture[..., i] = np.clip(np.rint(own * 255), 0, 255)
        else:
            picture[..., i] = CODES[np.clip(own * 4095, 0, 4095).astype(np.int16)]
    held = io.BytesIO()
    Image.fromarray(picture).save(held, "JPEG", quality=camera.quality)
    path = Path(folder) / name
    path.write_bytes(held.getvalue())
    return read_photo(path), truth


def _resized(values, size):
    """Values on a coarse grid whose ends are the picture's, linearly in between."""
    width, height = size
    rows = np.linspace(0, values.shape[0] - 1, height, dtype=np.float32)
    cols = np.linspace(0, values.shape[1] - 1, width, dtype=np.float32)
    left = np.minimum(cols.astype(int), values.shape[1] - 2)
    top = np.minimum(rows.astype(int), values.shape[0] - 2)
    values = np.asarray(values, np.float32)
    across = values[:, left] * (1 - cols + left) + values[:, left + 1] * (cols - left)
    down = (rows - top)[:, None]
    return across[top] * (1 - down) + across[top + 1] * down


def _homography(source, target):
    """The exact 3 x 3 from four points to four points."""
    rows = []
    for (x, y), (u, v) in zip(source, target, strict=True):
        rows.append([x, y, 1, 0, 0, 0, -u * x, -u * y])
        rows.append([0, 0, 0, x, y, 1, -v * x, -v * y])
    eight = np.linalg.solve(np.array(rows), np.asarray(target).ravel())
    return np.append(eight, 1).reshape(3, 3)


def _apply(matrix, points):
    out = np.concatenate([points, np.ones((*points.shape[:-1], 1))], -1) @ matrix.T
    return out[..., :2] / out[..., 2:]


def millimetres(truth, layout, pixels):
    """Sheet millimetres (n, 2) of pixels, by Newton's steps on the true projection."""
    pixels = np.asarray(pixels, float)
    mm = np.full(pixels.shape, [layout.width / 2, layout.height / 2])
    for _ in range(12):
        here = truth(mm)
        across = (truth(mm + [0.01, 0]) - here) / 0.01
        down = (truth(mm + [0, 0.01]) - here) / 0.01
        step = np.linalg.solve(np.stack([across, down], -1), (pixels - here)[..., None])[..., 0]
        mm = mm + step
    return mm
