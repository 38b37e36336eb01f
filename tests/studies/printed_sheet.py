"""Drawn photos of the printed photo sheet: eight pieces of one fibre, seen from above.

The sheet is printed from its layout and lies flat; the yarns, camera and light are drawn as in
sheet_frames.py. The corner codes, the card, the pieces and the bare paper are found by the finder.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import segno
from sheet_frames import Frame, beside, drawing

from swatchbath.photo.file.read import read_photo
from swatchbath.photo.sheet.detect import find_sheet
from swatchbath.photo.sheet.layout import MODULES, Box, SheetLayout, corner_text, sheet_layout

PLACES, PAPER, SIZE, MARGIN = 8, "A4", (1200, 1600), 0.03
TRUE = (0.0, 0.5, 1.0, 1.5, 2.0, 3.0, 6.0)
INK = 0.035  # reflectance of toner (from memory)


def printed_frame(seed: int, folder: Path, **how: Any) -> Frame | None:
    """The frame of a seed as the finder sees it; None where it does not find all of it."""
    path, lie, labs = draw_printed(seed, folder, **how)
    sheet = find_sheet(read_photo(path))
    if sheet is None or sheet.refusal or sheet.card is None or set(sheet.swatches) != set(lie):
        return None
    paper = [*sheet.card_paper, *(r for both in sheet.paper.values() for r in both)]
    return Frame(
        {lie[n]: r for n, r in sheet.swatches.items()}, sheet.card, paper, labs, path, SIZE
    )


def middles() -> dict[str, tuple[float, float]]:
    """Number of the place -> pixel in its middle, where a finger would point."""
    places = sheet_layout(PLACES, PAPER).swatches
    return {str(p.number): _pixel(*p.read.centre) for p in places}


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
    layout = _print(scene, photo)
    _lie(photo.draw_card, scene, layout.card.frame, 0.47, "grey")
    for here, i in zip(layout.swatches, order, strict=False):
        _lie(photo.draw_swatch, scene, here.frame, 0.42, fibre, kind, colours[i], flat=True)
    raw = scene.raw * photo.field(camera, light, SIZE).astype(np.float32)
    grey = scene.tint(np.full(len(photo.GRID), 0.18)).astype(float)
    mean, bright = raw.mean((0, 1)).astype(float), float(np.percentile(raw[::4, ::4, 1], 95))
    shot = photo.automatics(camera, light, mean, grey, rng, bright=bright)
    path = folder / f"printed_{seed}.jpg"
    draw.save_jpeg(path, photo.develop(raw, camera, shot, rng), make="drawn", model=f"sheet {seed}")
    lie = {str(p.number): names[i] for p, i in zip(layout.swatches, order, strict=False)}
    labs = {n: photo.reflectance_to_lab(r) for n, r in zip(names, colours, strict=True)}
    return path, lie, labs


def _pixel(x: float, y: float) -> tuple[float, float]:
    """Of millimetres on the sheet."""
    layout = sheet_layout(PLACES, PAPER)
    sides = np.array([layout.width, layout.height])
    times = (np.array(SIZE) / sides).min() * (1 - 2 * MARGIN)
    px, py = (np.array(SIZE) - times * sides) / 2 + times * np.array([x, y])
    return float(px), float(py)


def _print(scene: Any, photo: Any) -> SheetLayout:
    """The paper on a table, its codes printed on it."""
    layout = sheet_layout(PLACES, PAPER)
    photo.draw_ground(scene, "oak")
    photo.draw_sheet(scene)
    # Dark where toner lies, drawn finer and averaged, as a lens does.
    dark = np.zeros((scene.h * 4, scene.w * 4), np.float32)
    for corner, box in layout.corners.items():
        side = box.width / MODULES
        code = segno.make_qr(corner_text(PLACES, PAPER, corner), version=1, error="m")
        for j, row in enumerate(code.matrix):
            for i, on in enumerate(row):
                (x0, y0), (x1, y1) = (
                    _pixel(box.x + (i + k) * side, box.y + (j + k) * side) for k in (0, 1)
                )
                if on:
                    dark[round(4 * y0) : round(4 * y1), round(4 * x0) : round(4 * x1)] = 1
    dark = dark.reshape(scene.h, 4, scene.w, 4).mean(axis=(1, 3))[..., None]
    ink = scene.tint(np.full(len(photo.GRID), INK))
    scene.raw = scene.raw * (1 - dark) + ink * dark
    return layout


def _lie(draw: Any, scene: Any, frame: Box, share: float, *what: Any, **how: Any) -> None:
    """Lay a thing in a frame; share of its sides that is half of the thing's."""
    from house_scene import Place

    (x0, y0), (x1, y1) = _pixel(*frame.corners()[0]), _pixel(*frame.corners()[2])
    turn = float(scene.rng.normal(0, 0.01))
    place = Place((x0 + x1) / 2, (y0 + y1) / 2, share * (x1 - x0), share * (y1 - y0), turn)
    draw(scene, place, *what, **how)
