"""Draw the whole sample again: python sample_swatches/draw.py

Writes photos/, baths.csv, marks.csv and cards.csv here, and tests/reference/sample_truth.csv. The
same files come out each time (JPEG bytes may differ with another Pillow). About two minutes.
Also the door through which tests reach the drawing: House, draw_photo, fresh_photo, save_jpeg ...
"""

import csv
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np

HERE = Path(__file__).resolve().parent
if str(HERE) not in sys.path:  # the drawing is a folder of scripts, not a package
    sys.path.insert(0, str(HERE))

from dyehouse import House, wet  # noqa: E402
from house_camera import (  # noqa: E402
    Light,
    random_camera,
    random_light,
)
from house_chart import chart_check, chart_errors, describe_check  # noqa: E402
from house_file import save_jpeg  # noqa: E402
from house_photo import card_labs, draw_photo, fresh_photo, set_table  # noqa: E402
from house_records import COLUMNS, STRAY, TYPED, as_typed, swatches  # noqa: E402
from house_spectra import daylight, light_spectrum, reflectance_to_lab  # noqa: E402

__all__ = [
    "House",
    "card_labs",
    "chart_check",
    "chart_errors",
    "describe_check",
    "draw_photo",
    "fresh_photo",
    "random_camera",
    "random_light",
    "save_jpeg",
    "set_table",
]

TRUTH = HERE.parent / "tests" / "reference" / "sample_truth.csv"
LIMIT = 420_000  # bytes a photo, so that the folder stays under 8 MB
WET = "11a"  # photographed wet as well as dry

# Photo, camera, light, cards, ground, portrait, orientation tag, profile embedded.
PHOTOS = [
    ("photo_01", "A", 5600, "grey", "oak", False, 1, True),
    ("photo_02", "A", 5600, "grey", "oak", False, 1, True),
    ("photo_03", "A", 6100, "grey", "oak", True, 6, True),
    ("photo_04", "B", 6500, "grey", "linen", False, 1, False),
    ("photo_05", "B", 6500, "three", "linen", False, 1, False),
    ("photo_06", "A", 5200, "grey", "oak", False, 1, True),
    ("photo_07", "C", 5000, "three", "painted board", False, 1, True),
    ("photo_08", "C", 5000, "grey", "painted board", False, 1, True),
    ("photo_09", "B", 7000, "grey", "linen", True, 8, False),
    ("photo_10", "A", 5900, "three", "oak", False, 1, True),
    ("photo_11", "D", 5400, "grey", "linen", False, 1, True),
    ("photo_12", "D", 5800, "grey", "linen", False, 1, True),
    ("photo_13", "A", "LED-B3", "grey", "painted board", False, 1, True),
    ("photo_14", "B", 6300, "grey", "oak", False, 1, False),
    ("photo_15", "C", 5300, "grey", "painted board", False, 3, True),
    ("photo_16", "A", 6800, "grey", "linen", False, 1, True),
    ("photo_17", "E", 5500, "grey", "oak", False, 1, False),
    ("photo_18", "A", 5700, "three", "oak", False, 1, True),
]


def stream(*key):
    """A random stream of the sample's own; fresh photos use another."""
    return np.random.default_rng(np.random.SeedSequence([7301, *key]))


def dyed_swatches(house):
    """{name: (kind, conditions, reflectance, clean reflectance of the recipe)}."""
    out, pots = {}, {}
    for index, (name, kind, row) in enumerate(swatches()):
        lot = row["lot"]
        if lot not in pots:
            pots[lot] = house.pot(stream(1, int(lot)))
            for cause, by in STRAY.get(lot, {}).items():
                pots[lot][cause] += by
        # Parts of a lot share their pot and differ a little by place in it and after-bath.
        own = house.pot(stream(2, index), size=0.35)
        pot = {cause: pots[lot][cause] + own[cause] for cause in own}
        out[name] = (kind, row, house.reflectance(row, pot), house.reflectance(row))
    return out


def spread_over_photos(names):
    """{photo: [(name, state), ...]}: lots and photos crossed, some swatches photographed twice."""
    rng, photos = stream(3), [p[0] for p in PHOTOS]
    table = {p: [] for p in photos}
    order = [names[i::3] for i in range(3)]  # every third swatch: a photo holds several lots
    mixed = [name for part in order for name in part]
    swap = rng.permutation(len(mixed))[: len(mixed) // 3]
    moved = [mixed[i] for i in swap[rng.permutation(len(swap))]]
    for i, name in zip(swap, moved, strict=True):
        mixed[i] = name
    for i, name in enumerate(mixed):
        table[photos[i * len(photos) // len(mixed)]].append((name, "dry"))
    again = [str(n) for n in rng.permutation([n for n in names if n != WET])[:10]]
    turn = list(rng.permutation(photos))
    for name in again:
        while (name, "dry") in table[turn[0]]:
            turn.append(turn.pop(0))
        table[turn.pop(0)].append((name, "dry"))
    home = next(p for p in photos if (WET, "dry") in table[p])
    other = min((p for p in photos if p != home), key=lambda p: (len(table[p]), p))
    table[other].append((WET, "wet"))
    return table


def cameras():
    """The five cameras of the sample; D writes the wider P3 space."""
    out = {}
    for index, name in enumerate("ABCDE"):
        camera = random_camera(stream(4, index), f"drawn camera {name}")
        out[name] = replace(camera, space="P3" if name == "D" else "sRGB")
    return out


def sample_light(kind, rng):
    """The light of one photo: daylight of `kind` kelvin, or a named LED; uneven like any other."""
    uneven = random_light(rng)
    spectrum = light_spectrum(kind) if isinstance(kind, str) else daylight(kind)
    return Light(str(kind), spectrum, uneven.slope, uneven.tint)


def write_rows(path, columns, rows, note=None):
    """Write a CSV; None becomes an empty cell."""
    with open(path, "w", newline="", encoding="utf-8") as file:
        if note:
            file.write(f"# {note}\n")
        writer = csv.DictWriter(file, columns, lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


def truth_rows(dyed):
    """Rows of sample_truth.csv, one a swatch."""
    rows = []
    for name, (kind, row, reflectance, clean) in dyed.items():
        lab, recipe = reflectance_to_lab(reflectance), reflectance_to_lab(clean)
        line = {"name": name, "lot": row["lot"], "kind": kind}
        line |= dict(zip(("L", "a", "b"), np.round(lab, 3), strict=True))
        line |= dict(zip(("recipe_L", "recipe_a", "recipe_b"), np.round(recipe, 3), strict=True))
        if name == WET:
            soaked = np.round(reflectance_to_lab(wet(reflectance)), 3)
            line |= dict(zip(("wet_L", "wet_a", "wet_b"), soaked, strict=True))
        for (lot, column), typed in TYPED.items():
            if lot == row["lot"]:
                line |= {"slip_column": column, "typed": typed, "true_value": row[column]}
                line["note"] = f"typing slip: {column} {typed} for {row[column]}"
        if row["lot"] in STRAY:
            line["note"] = "repeats lot 20; the pot came out different"
        rows.append(line)
    return rows


def main():
    """Draw everything and say how strong the drawn cameras' departures are."""
    house, taken_by = House(0), cameras()
    dyed = dyed_swatches(house)
    table = spread_over_photos(list(dyed))
    (HERE / "photos").mkdir(exist_ok=True)
    baths, marks, total = [], [], 0
    for index, (photo, camera, kind, cards, ground, portrait, turn, tagged) in enumerate(PHOTOS):
        rng = stream(5, index)
        things = [
            (name, dyed[name][1]["fibre"], dyed[name][0], dyed[name][2], state)
            for name, state in table[photo]
        ]
        size = (1200, 1600) if portrait else (1600, 1200)
        light, by = sample_light(kind, rng), taken_by[camera]
        array, found = draw_photo(things, by, light, rng, size, cards=cards, ground=ground)
        file = f"{photo}.jpg"
        taken = f"2026:04:{12 + index // 3:02d} 11:{index:02d}:00"
        total += save_jpeg(
            HERE / "photos" / file, array, limit=LIMIT, space=by.space, profile=tagged,
            orientation=turn, model=by.name, taken=taken,
        )  # fmt: skip
        marks += [{"photo": file, **mark} for mark in found]
        for name, state in table[photo]:
            baths.append({"photo": file, "name": name, "state": state} | as_typed(dyed[name][1]))
        print(f"{file}: camera {camera}, {light.name}, {len(things)} swatches")
    write_rows(HERE / "baths.csv", ["photo", "name", "state", *COLUMNS], baths)
    write_rows(HERE / "marks.csv", ["photo", "name", "kind", "x", "y", "half"], marks)
    cards_rows = [
        {"patch": kind} | dict(zip(("L", "a", "b"), np.round(lab, 2), strict=True))
        for kind, lab in card_labs().items()
    ]
    write_rows(HERE / "cards.csv", ["patch", "L", "a", "b"], cards_rows)
    columns = ["name", "lot", "kind", "L", "a", "b", "recipe_L", "recipe_a", "recipe_b"]
    columns += ["wet_L", "wet_a", "wet_b", "slip_column", "typed", "true_value", "note"]
    note = "drawn by sample_swatches/draw.py; CIELAB D65, 2 degree observer"
    write_rows(TRUTH, columns, truth_rows(dyed), note)
    print(f"{len(dyed)} swatches, {len(baths)} rows, {total / 1e6:.1f} MB of photos")
    print("drawn cameras, " + describe_check(chart_check()))
    for name, camera in taken_by.items():
        rng = stream(6, ord(name))
        sun = [Light("daylight", daylight(k)) for k in (5000, 5600, 6500)]
        errors = [chart_errors(replace(camera, space="sRGB"), light, rng)["dE"] for light in sun]
        print(f"camera {name}: {np.nanmedian(errors):.1f}, {np.nanpercentile(errors, 95):.1f}")


if __name__ == "__main__":
    main()
