"""One drawn photo: lay things on the table, light it, and let a camera take it."""

import math
from dataclasses import replace

import colour
import numpy as np
from dyehouse import FIBRES, House, wet
from house_camera import automatics, develop, field, random_camera, random_light, uneven
from house_scene import (
    CARDS,
    GROUNDS,
    Place,
    Scene,
    bare_places,
    draw_card,
    draw_ground,
    draw_sheet,
    draw_strip,
    draw_swatch,
    draw_tags,
)
from house_spectra import GRID, reflectance_to_lab
from scipy.optimize import brentq

PAPER_MARKS = 6  # bare places of the sheet that are marked, at most
MODIFIERS = ("none", "iron", "vinegar", "ash lye")


def card_labs():
    """{white, grey, black: (3,) CIELAB D65, 2 degree} of the house's own card set."""
    return {kind: reflectance_to_lab(values) for kind, values in CARDS.items()}


def _cells(count, size):
    """Columns and rows of a grid for `count` things whose cells are about square."""
    w, h = size
    best = min(
        range(1, count + 1),
        key=lambda c: (
            abs(math.log((w / c) / (h / math.ceil(count / c)) * 1.1))
            + 0.25 * (c * math.ceil(count / c) - count)
        ),
    )
    return best, math.ceil(count / best)


def _apart(count, size, rng):
    """Cells of a grid, (x, y, w, h, tag's side) each: the card's, and the things' in order."""
    w, h = size
    cols, rows = _cells(count + 1, size)
    cw, ch = w / cols, h / rows
    spots = [(i, j) for j in range(rows) for i in range(cols)]
    # The card likes the middle of the table, but is not always put there.
    spots.sort(
        key=lambda s: abs(s[0] - (cols - 1) / 2) + abs(s[1] - (rows - 1) / 2) + 1.6 * rng.random()
    )
    card, *others = spots[: count + 1]
    return [
        ((i + 0.5) * cw, (j + 0.5) * ch, cw, ch, 1)
        for i, j in [card, *sorted(others, key=lambda s: s[::-1])]
    ]


def _touching(count, size):
    """The same with the things edge to edge in one row, or two from four on; the card beside."""
    w, h = size
    rows = 1 if count < 4 else 2
    cols = math.ceil(count / rows)
    cw, ch = min(0.68 * w / cols, 0.26 * w), 0.36 * h
    left, cells = 0.27 * w + (0.70 * w - cols * cw) / 2, [(0.14 * w, 0.5 * h, 0.25 * w, 0.5 * h, 1)]
    for index in range(count):
        row, col = divmod(index, cols)
        down = (row - (rows - 1) / 2) * 0.72 * ch
        side = 1 if row == rows - 1 else -1
        cells.append((left + (col + 0.5) * cw, 0.5 * h + down, cw, ch, side))
    return cells


def set_table(
    swatches, camera, light, rng, size=(1600, 1200), *, cards="grey", ground=None, layout="apart"
):  # fmt: skip
    """Draw the table in raw light: (Scene, marks). `draw_photo` explains the arguments."""
    scene, u = Scene(camera, light, size, rng), max(size) / 1600
    draw_ground(scene, "oak" if ground == "paper" else ground or str(rng.choice(list(GROUNDS))))
    if ground == "paper":
        draw_sheet(scene)
    together = layout == "touching"
    cells = _touching(len(swatches), size) if together else _apart(len(swatches), size, rng)
    marks = _lay_cards(scene, cells[0], cards)
    tags = []
    for (x, y, cw, ch, side), swatch in zip(cells[1:], swatches, strict=True):
        name, fibre, kind, reflectance = swatch[:4]
        state = swatch[4] if len(swatch) > 4 else "dry"
        scale = rng.uniform(0.88, 1.04)
        if together:
            wide, high, x_at, y_at = 0.50 * cw, 0.36 * ch, x, y
        else:
            wide = {"yarn": 0.37, "cloth": 0.33}[kind] * cw * scale
            high = min({"yarn": 0.28, "cloth": 0.30}[kind] * ch * scale, 1.0 * wide)
            wide = min(wide, 1.6 * high)
            x_at = x + rng.normal(0, 0.018) * cw
            y_at = y + (rng.normal(0, 0.012) - 0.08) * ch
        lies = Place(x_at, y_at, wide, high, rng.normal(0, 0.03 if together else 0.06))
        colour = wet(reflectance) if state == "wet" else reflectance
        (mx, my, half), reach = draw_swatch(
            scene, lies, fibre, kind, colour, is_wet=state == "wet", flat=together
        )
        marks.append({"name": name, "kind": "swatch", "x": mx, "y": my, "half": half})
        right = rng.uniform(-0.12, 0.20) * cw
        down = side * min(reach + 46 * u, (0.60 if together else 0.53) * ch - 24 * u)
        tag = Place(lies.x + right, lies.y + down, 52 * u, 24 * u, rng.normal(0, 0.12))
        tags.append((name, tag, (lies.x + 0.3 * right, lies.y + side * 0.88 * reach)))
    draw_tags(scene, tags)
    if ground == "paper":
        for index, (x, y, half) in enumerate(bare_places(scene, PAPER_MARKS), start=1):
            marks.append({"name": f"paper {index}", "kind": "paper", "x": x, "y": y, "half": half})
    return scene, marks


def _lay_cards(scene, cell, cards):
    """Lay the grey card, or the strip of three, in its cell; return the marks."""
    x, y, cw, ch, _ = cell
    rng, u = scene.rng, scene.unit
    x, y = x + rng.normal(0, 0.018) * cw, y + rng.normal(0, 0.012) * ch
    side = min(0.31 * cw, 0.31 * ch, 150 * u)
    if cards != "three":
        place = Place(x, y, side, side * rng.uniform(0.95, 1.05), rng.normal(0, 0.05))
        x, y, half = draw_card(scene, place, "grey")
        return [{"name": "card", "kind": "card", "x": x, "y": y, "half": half}]
    tall, marks = min(0.42 * ch, 3.0 * side), []
    place = Place(x, y, tall / 2.6, tall, rng.normal(0, 0.03))
    for kind, (x, y, half) in draw_strip(scene, place).items():
        name = "card" if kind == "grey" else kind
        marks.append({"name": name, "kind": name, "x": x, "y": y, "half": half})
    return marks


def draw_photo(
    swatches, camera, light, rng, size=(1600, 1200), *, cards="grey", ground=None, layout="apart"
):  # fmt: skip
    """Photograph swatches on a table: (uint8 array (h, w, 3), marks).

    swatches: list of (name, fibre, kind, reflectance (81,)[, state]); fibre wool, silk or cotton;
    kind "yarn" or "cloth"; state "dry" or "wet" (the reflectance is always the dry one).
    camera, light: as from `random_camera` and `random_light`. size: (width, height) in pixels.
    cards: "grey", or "three" for white, grey and black on one strip. ground: a key of GROUNDS, or
    "paper" for a sheet of plain white paper on oak. layout: "apart", or "touching" for things edge
    to edge with the card beside them.
    marks: list of {name, kind, x, y, half}; kind is card, swatch, white and black beside the card,
    or paper for bare places of the sheet; x, y the centre in pixels, pixel (0, 0) being the centre
    of the top left one.
    The array is encoded with the sRGB curve in camera.space. Noise comes before the mosaic.
    """
    scene, marks = set_table(
        swatches, camera, light, rng, size, cards=cards, ground=ground, layout=layout
    )
    raw = scene.raw * field(camera, light, size).astype(np.float32)
    grey = scene.tint(np.full(len(GRID), 0.18)).astype(float)
    mean, bright = raw.mean((0, 1)).astype(float), float(np.percentile(raw[::4, ::4, 1], 95))
    shot = automatics(camera, light, mean, grey, rng, bright=bright)
    return develop(raw, camera, shot, rng), marks


def random_conditions(rng, house):
    """One plausible bath of the house as a dict of condition columns."""
    fibre = str(rng.choice(FIBRES, p=[0.5, 0.25, 0.25]))
    dyestuff = str(rng.choice(list(house.dyestuff), p=[0.35, 0.42, 0.23]))
    cool, hot = (45, 70) if dyestuff == "madder" else (50, 80 if fibre == "silk" else 90)
    row = {
        "fibre": fibre, "dyestuff": dyestuff,
        "dyestuff_lot": str(rng.choice(list(house.lots[dyestuff]))),
        "dye_owf": float(np.exp(rng.uniform(np.log(20), np.log(130)))),
        "mordant": "alum" if rng.random() < 0.82 else "none", "mordant_owf": 12.0,
        "pH": float(rng.uniform(4.2, 8.0)), "temperature_C": float(rng.uniform(cool, hot)),
        "minutes": float(rng.choice([30, 45, 60, 90])),
        "modifier": str(rng.choice(MODIFIERS, p=[0.5, 0.25, 0.1, 0.15])),
        "modifier_minutes": 10.0,
    }  # fmt: skip
    if fibre == "cotton" and row["mordant"] == "alum":
        row |= {"tannin": "gallnut", "tannin_owf": 8.0}
    if row["modifier"] == "iron":
        row["modifier_owf"] = float(rng.uniform(0.5, 4.0 if fibre == "wool" else 2.0))
    if row["modifier"] == "ash lye" and fibre == "silk":
        row["modifier"] = "none"
    return row


def fresh_pots(rng, house, n):
    """n pots of a house dyed to plausible baths: [(name, fibre, kind, reflectance)]."""
    pots = []
    for index in range(n):
        row = random_conditions(rng, house)
        reflectance = house.reflectance(row, house.pot(rng))
        name = f"{index + 1}{'abc'[int(rng.integers(3))]}"
        pots.append((name, row["fibre"], str(rng.choice(["yarn", "cloth"])), reflectance))
    return pots


def faded(reflectance, by):
    """(81,) the same fibre after light took some of its dye: `by` CIEDE2000 away.

    What it absorbs beyond pale fibre (K/S of 0.02) shrinks alike at all wavelengths; real fading is
    seldom so even. ValueError where not enough dye is there to fade so far.
    """
    r = np.clip(np.asarray(reflectance, float), 1e-3, 0.999)
    absorbed, bare, own = (1 - r) ** 2 / (2 * r), 0.02, reflectance_to_lab(reflectance)

    def left(share):
        k = bare + share * np.maximum(absorbed - bare, 0)
        return 1 + k - np.sqrt(k * k + 2 * k)

    def missing(share):
        return colour.delta_E(own, reflectance_to_lab(left(share)), method="CIE 2000") - by

    if by <= 0:
        return np.array(reflectance, float)
    if missing(0.0) < 0:
        raise ValueError(f"this swatch is too pale to fade by {by}")
    return left(brentq(missing, 0.0, 1.0))


def fresh_photo(
    seed, n=6, size=(800, 600), *, cards="grey", camera=None, light=None, pots=None, uneven_by=None,
    ground=None, layout="apart",
):  # fmt: skip
    """A photo of its own house, camera and light: (array, marks, {name: true Lab}).

    The array is sRGB. The n swatches are pots dyed to plausible baths, with pot spread; the Lab
    (D65, 2 degree) is of the pot as it came out, averaged in linear light over the fibre, strand
    shadows included. Nothing is shared with the sample but the kind of physics: the seeds run in
    a stream of their own. The card is the house's grey card (`card_labs`), tilted a little.

    camera, light: given, instead of those of the seed: several photos by one camera, or in one
    light (one sitting). pots: list of (name, fibre, kind, reflectance) instead of n fresh ones, as
    from `fresh_pots`; one may be `faded`. uneven_by: how much the light changes over a diagonal, as
    0.1, in a direction of the seed's, instead of what the light brings. ground, layout: as in
    `draw_photo`; with the ground "paper" bare places of the sheet are among the marks.
    """
    rng = np.random.default_rng(np.random.SeedSequence([7305, int(seed)]))
    house = House(100_000 + int(seed))
    own_camera, own_light = replace(random_camera(rng), space="sRGB"), random_light(rng)
    camera, light = camera or own_camera, light or own_light
    pots = fresh_pots(rng, house, n) if pots is None else pots
    if uneven_by is not None:
        light = uneven(light, uneven_by, rng.uniform(0, 2 * np.pi), size)
    array, marks = draw_photo(
        pots, camera, light, rng, size, cards=cards, ground=ground, layout=layout
    )
    return array, marks, {name: reflectance_to_lab(r) for name, _, _, r in pots}
