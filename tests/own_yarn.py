"""A small library read by one camera, and a photo by another of the sheet with its own yarn."""

from __future__ import annotations

import numpy as np

import sheet_drawing as drawn
import swatchbath as sb
from swatchbath.desk.photo.own_pieces import own_pieces
from swatchbath.photo.file.read import read_photo
from swatchbath.photo.sheet import layout as sl
from swatchbath.photo.sheet.detect import find_sheet

GREY = (0.18, 0.18, 0.18)
CAMERA = drawn.Camera(size=(900, 1200), uneven=0.0, lens=0.0)


def other_look(light):
    """What another camera makes of it: duller, redder, its tones steeper."""
    dull = 0.85 * light + 0.15 * light.mean(axis=-1, keepdims=True)
    return dull ** np.array([1.06, 1.1, 1.12]) * np.array([1.1, 1.05, 1.0])


def colours_of_yarn(seed=0):
    """Linear RGB of plant-dyed yarn: twelve (12, 3), warm with one in four blue, and three (3, 3)
    that lie among them."""
    rng = np.random.default_rng(seed)
    light = rng.uniform([0.9, 0.4, 0.15], [1.4, 1.0, 0.8], (12, 3))
    light *= rng.uniform(0.08, 0.4, (12, 1))
    light[::4] = light[::4, ::-1]
    return light, 0.75 * light[[1, 5, 9]] + 0.25 * light[[6, 7, 10]]


def sheet_photo(folder, name, colours, *, places=8, codes=(), look=None, seed=0):
    """A photo of the sheet with these colours on it: {number of the place: linear RGB}."""
    rng = np.random.default_rng(seed)
    layout, light = drawn.draw_sheet(
        places, "A4", codes=codes, filled=list(colours), colours={0: GREY} | colours, rng=rng
    )
    drawn.take(layout, light if look is None else look(light), CAMERA, rng, folder, name)
    return folder / name


def read_by_record(folder, colours):
    """Measurements of colours as the record's camera reads them, eight to a photo."""
    out = []
    for i in range(0, len(colours), 8):
        some = dict(enumerate(colours[i : i + 8], start=1))
        photo = read_photo(sheet_photo(folder, f"record_{i}.jpg", some, seed=i))
        sheet = find_sheet(photo)
        shot = sb.measure(photo, card=sheet.card, swatches=sheet.swatches, camera_name="hers")
        out += [shot[str(n)] for n in some]
    return out


def library_of(folder, readings):
    """A library in `folder` with a swatch for each reading; their codes."""
    with sb.Library(folder, create=True) as lib:
        codes = []
        for i, reading in enumerate(readings):
            fibre = {"fibre": ("wool", "silk")[i % 2]}
            codes.append(lib.add_swatch(name=f"{i + 1:02}x", fibre=fibre))
            lib.add_measurement(codes[-1], reading)
    return codes


def own_photo(folder, library, codes, colours, on):
    """A photo by another camera of the library's own sheet, with `on` (place: RGB) on it."""
    six = [piece.code for piece in own_pieces(library)[0]]
    laid = {i + 1: colours[codes.index(code)] for i, code in enumerate(six)}
    return six, sheet_photo(
        folder, "own.jpg", laid | on, places=sl.OWN_SHEET, codes=six, look=other_look, seed=99
    )
