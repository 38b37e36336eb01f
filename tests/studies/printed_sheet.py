"""Drawn photos of the printed photo sheet: eight pieces of one fibre, seen from above.

The sheet is printed from its layout and lies flat; the yarns, camera and light are drawn as in
sheet_frames.py. So the corner codes, the card's place and the bare paper are found by the finder.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
import segno
from sheet_frames import beside, drawing

from swatchbath.photo.sheet.layout import MODULES, corner_text, sheet_layout

PLACES, PAPER, SIZE, MARGIN = 8, "A4", (1200, 1600), 0.03
TRUE = (0.0, 0.5, 1.0, 1.5, 2.0, 3.0, 6.0)
INK = 0.035  # reflectance of toner (from memory)


def draw_printed(
    seed: int, folder: Path, *, true: Sequence[float] = TRUE, uneven_by: float | None = None
) -> tuple[Path, dict[str, str], dict[str, np.ndarray]]:
    """Draw the photo of a seed: its file; number of the place -> name ("standard", or the true
    difference, with a letter where it is there again); name -> true Lab."""
    draw = drawing()
    import house_photo as photo

    rng = np.random.default_rng(np.random.SeedSequence([7319, seed]))
    camera, light = draw.random_camera(rng), draw.random_light(rng)
    camera = photo.replace(camera, space="sRGB")
    if uneven_by is not None:
        light = photo.uneven(light, uneven_by, rng.uniform(0, 2 * np.pi), SIZE)
    ((_, fibre, kind, first),) = draw.fresh_pots(rng, draw.House(700_000 + seed), 1)
    names = ["standard"]
    for i, t in enumerate(true):
        again = list(true)[:i].count(t)
        names.append(f"{t:g}{chr(96 + again) if again else ''}")
    colours = [beside(first, by, rng) for by in (0.0, *true)]
    order = rng.permutation(len(names))
    scene = photo.Scene(camera, light, SIZE, rng)
    layout, at = _print(scene, photo)
    place = layout.card.frame
    _lie(photo.draw_card, scene, at, place, 0.47, "grey")
    for here, i in zip(layout.swatches, order, strict=False):
        _lie(photo.draw_swatch, scene, at, here.frame, 0.42, fibre, kind, colours[i], flat=True)
    raw = scene.raw * photo.field(camera, light, SIZE).astype(np.float32)
    grey = scene.tint(np.full(len(photo.GRID), 0.18)).astype(float)
    mean, bright = raw.mean((0, 1)).astype(float), float(np.percentile(raw[::4, ::4, 1], 95))
    shot = photo.automatics(camera, light, mean, grey, rng, bright=bright)
    path = folder / f"printed_{seed}.jpg"
    draw.save_jpeg(path, photo.develop(raw, camera, shot, rng), make="drawn", model=f"sheet {seed}")
    lie = {str(p.number): names[i] for p, i in zip(layout.swatches, order, strict=False)}
    labs = {n: photo.reflectance_to_lab(r) for n, r in zip(names, colours, strict=True)}
    return path, lie, labs


def _print(scene, photo):
    """The paper on a table, its codes printed: the layout, and a function from mm to pixels."""
    layout = sheet_layout(PLACES, PAPER)
    photo.draw_ground(scene, "oak")
    photo.draw_sheet(scene)
    times = min(SIZE[0] / layout.width, SIZE[1] / layout.height) * (1 - 2 * MARGIN)
    away = (np.array(SIZE) - times * np.array([layout.width, layout.height])) / 2

    def at(x, y):
        return tuple(np.array([x, y]) * times + away)

    # Dark where toner lies, drawn finer and averaged, as a lens does.
    dark = np.zeros((scene.h * 4, scene.w * 4), np.float32)
    for corner, box in layout.corners.items():
        side = box.width / MODULES
        code = segno.make_qr(corner_text(PLACES, PAPER, corner), version=1, error="m")
        for j, row in enumerate(code.matrix):
            for i, on in enumerate(row):
                (x0, y0), (x1, y1) = (
                    at(box.x + (i + k) * side, box.y + (j + k) * side) for k in (0, 1)
                )
                if on:
                    dark[round(4 * y0) : round(4 * y1), round(4 * x0) : round(4 * x1)] = 1
    dark = dark.reshape(scene.h, 4, scene.w, 4).mean(axis=(1, 3))[..., None]
    ink = scene.tint(np.full(len(photo.GRID), INK))
    scene.raw = scene.raw * (1 - dark) + ink * dark
    return layout, at


def _lie(draw, scene, at, frame, share, *what, **how):
    """Lay a thing in a frame; share of its sides that is half of the thing's."""
    from house_scene import Place

    (x0, y0), (x1, y1) = at(frame.x, frame.y), at(frame.x + frame.width, frame.y + frame.height)
    turn = float(scene.rng.normal(0, 0.01))
    place = Place((x0 + x1) / 2, (y0 + y1) / 2, share * (x1 - x0), share * (y1 - y0), turn)
    draw(scene, place, *what, **how)
