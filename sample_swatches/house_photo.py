"""One drawn photo: lay things on the table, light it, and let a camera take it."""

import math
from dataclasses import replace

import numpy as np
from dyehouse import FIBRES, House, wet
from house_camera import automatics, develop, field, random_camera, random_light
from house_scene import (
    CARDS,
    GROUNDS,
    Place,
    Scene,
    draw_card,
    draw_ground,
    draw_strip,
    draw_swatch,
    draw_tags,
)
from house_spectra import GRID, reflectance_to_lab

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


def set_table(swatches, camera, light, rng, size=(1600, 1200), *, cards="grey", ground=None):
    """Draw the table in raw light: (Scene, marks). `draw_photo` explains the arguments."""
    scene = Scene(camera, light, size, rng)
    draw_ground(scene, ground or str(rng.choice(list(GROUNDS))))
    w, h = size
    cols, rows = _cells(len(swatches) + 1, size)
    cw, ch, u = w / cols, h / rows, scene.unit
    spots = [(i, j) for j in range(rows) for i in range(cols)]
    # The card likes the middle of the table, but is not always put there.
    spots.sort(
        key=lambda s: abs(s[0] - (cols - 1) / 2) + abs(s[1] - (rows - 1) / 2) + 1.6 * rng.random()
    )
    card_spot, others = spots[0], sorted(spots[1 : len(swatches) + 1], key=lambda s: s[::-1])

    def place(spot, half_w, half_h, turn, down=0.0):
        x = (spot[0] + 0.5) * cw + rng.normal(0, 0.018) * cw
        y = (spot[1] + 0.5 + down) * ch + rng.normal(0, 0.012) * ch
        return Place(x, y, half_w, half_h, turn)

    marks = []
    side = min(0.31 * cw, 0.31 * ch, 150 * u)
    if cards == "three":
        tall = min(0.42 * ch, 3.0 * side)
        where = place(card_spot, tall / 2.6, tall, rng.normal(0, 0.03))
        for kind, (x, y, half) in draw_strip(scene, where).items():
            name = "card" if kind == "grey" else kind
            row = "card" if kind == "grey" else kind
            marks.append({"name": name, "kind": row, "x": x, "y": y, "half": half})
    else:
        where = place(card_spot, side, side * rng.uniform(0.95, 1.05), rng.normal(0, 0.05))
        x, y, half = draw_card(scene, where, "grey")
        marks.append({"name": "card", "kind": "card", "x": x, "y": y, "half": half})
    tags = []
    for spot, swatch in zip(others, swatches, strict=True):
        name, fibre, kind, reflectance = swatch[:4]
        state = swatch[4] if len(swatch) > 4 else "dry"
        scale = rng.uniform(0.88, 1.04)
        wide = {"yarn": 0.37, "cloth": 0.33}[kind] * cw * scale
        high = min({"yarn": 0.28, "cloth": 0.30}[kind] * ch * scale, 1.0 * wide)
        lies = place(spot, min(wide, 1.6 * high), high, rng.normal(0, 0.06), down=-0.08)
        colour = wet(reflectance) if state == "wet" else reflectance
        (x, y, half), reach = draw_swatch(scene, lies, fibre, kind, colour, is_wet=state == "wet")
        marks.append({"name": name, "kind": "swatch", "x": x, "y": y, "half": half})
        right = rng.uniform(-0.12, 0.20) * cw
        down = min(reach + 46 * u, 0.45 * ch + 0.08 * ch - 24 * u)
        tag = Place(lies.x + right, lies.y + down, 52 * u, 24 * u, rng.normal(0, 0.12))
        tags.append((name, tag, (lies.x + 0.3 * right, lies.y + 0.88 * reach)))
    draw_tags(scene, tags)
    return scene, marks


def draw_photo(swatches, camera, light, rng, size=(1600, 1200), *, cards="grey", ground=None):
    """Photograph swatches on a table: (uint8 array (h, w, 3), marks).

    swatches: list of (name, fibre, kind, reflectance (81,)[, state]); fibre wool, silk or cotton;
    kind "yarn" or "cloth"; state "dry" or "wet" (the reflectance is always the dry one).
    camera, light: as from `random_camera` and `random_light`. size: (width, height) in pixels.
    cards: "grey", or "three" for white, grey and black on one strip. ground: a key of GROUNDS.
    marks: list of {name, kind, x, y, half}; kind is card, swatch, or white and black beside the
    card; x, y the centre in pixels, pixel (0, 0) being the centre of the top left one.
    The array is encoded with the sRGB curve in camera.space. Noise comes before the mosaic.
    """
    scene, marks = set_table(swatches, camera, light, rng, size, cards=cards, ground=ground)
    raw = scene.raw * field(camera, light, size).astype(np.float32)
    grey = scene.tint(np.full(len(GRID), 0.18)).astype(float)
    shot = automatics(camera, raw.mean((0, 1)).astype(float), grey, rng)
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


def fresh_photo(seed, n=6, size=(800, 600), *, cards="grey"):
    """A photo of its own house, camera and light: (array, marks, {name: true Lab}).

    The array is sRGB. The n swatches are pots dyed to plausible baths, with pot spread; the Lab
    (D65, 2 degree) is of the pot as it came out, averaged in linear light over the fibre, strand
    shadows included. Nothing is shared with the sample but the kind of physics: the seeds run in
    a stream of their own. The card is the house's grey card (`card_labs`), tilted a little.
    """
    rng = np.random.default_rng(np.random.SeedSequence([7305, int(seed)]))
    house = House(100_000 + int(seed))
    camera, light = replace(random_camera(rng), space="sRGB"), random_light(rng)
    swatches, true = [], {}
    for index in range(n):
        row = random_conditions(rng, house)
        reflectance = house.reflectance(row, house.pot(rng))
        name = f"{index + 1}{'abc'[int(rng.integers(3))]}"
        swatches.append((name, row["fibre"], str(rng.choice(["yarn", "cloth"])), reflectance))
        true[name] = reflectance_to_lab(reflectance)
    array, marks = draw_photo(swatches, camera, light, rng, size, cards=cards)
    return array, marks, true
