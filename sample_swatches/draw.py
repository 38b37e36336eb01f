"""Draw the whole sample again: python sample_swatches/draw.py

Writes photos/, baths.csv, marks.csv, shade.csv and cards.csv here, and sample_truth.csv and
sample_shade.csv in tests/reference. The same files come out each time (JPEG bytes may differ with
another Pillow). About two minutes.
Also the door through which tests reach the drawing: House, draw_photo, fresh_photo, save_jpeg ...
"""

import csv
import sys
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np

HERE = Path(__file__).resolve().parent
if str(HERE) not in sys.path:  # the drawing is a folder of scripts, not a package
    sys.path.insert(0, str(HERE))

from dyehouse import House, wet  # noqa: E402
from house_camera import Light, random_camera, random_light, uneven  # noqa: E402
from house_chart import chart_check, chart_errors, describe_check  # noqa: E402
from house_file import save_jpeg  # noqa: E402
from house_photo import (  # noqa: E402
    card_labs,
    draw_photo,
    faded,
    fresh_photo,
    fresh_pots,
    set_table,
)
from house_records import COLUMNS, STRAY, TYPED, as_typed, swatches  # noqa: E402
from house_spectra import daylight, light_spectrum, reflectance_to_lab  # noqa: E402

__all__ = [
    "House",
    "card_labs",
    "chart_check",
    "chart_errors",
    "describe_check",
    "draw_photo",
    "faded",
    "fresh_photo",
    "fresh_pots",
    "random_camera",
    "random_light",
    "reflectance_to_lab",
    "save_jpeg",
    "set_table",
    "uneven",
]

REFERENCE = HERE.parent / "tests" / "reference"
LIMIT = 420_000  # bytes a photo, so that the folder stays under 8 MB
WET = "11a"  # photographed wet as well as dry

# The cameras, both invented: maker and model as EXIF says them, the space they write, and which of
# the cameras that the stream gives it is. `hers` has taken most photos; the other is borrowed. Of
# sixteen, hers was chosen to be wrong on a chart by about as much as the middle one of real phones,
# the other by somewhat more.
CAMERAS = {"hers": ("Hallowick", "H3", "sRGB", 15), "borrowed": ("Ostrelle", "Duo 5", "P3", 9)}
SENT = (1280, 960)  # a photo that came through a messenger: smaller, without EXIF or profile
SENT_QUALITY = 78

# One sitting for each dye day: hour and minute on the day after, and the light, kelvin or a name.
SITTINGS = [
    ("11:05", 5600), ("10:40", 6100), ("12:10", 6500), ("11:30", 5200), ("19:20", "LED-B3"),
    ("10:15", 5900), ("13:45", 6800), ("11:50", 5400), ("12:30", 5800),
]  # fmt: skip
# Two photos a sitting: camera, sent through a messenger, cards, ground, portrait, orientation tag.
PHOTOS = [
    ("hers", False, "grey", "oak", False, 1),
    ("hers", False, "grey", "oak", False, 1),
    ("hers", False, "grey", "paper", True, 6),
    ("hers", False, "grey", "paper", False, 1),
    ("hers", False, "three", "paper", False, 1),
    ("hers", True, "grey", "paper", False, 1),
    ("hers", False, "three", "paper", False, 1),
    ("hers", False, "grey", "paper", False, 1),
    ("hers", False, "grey", "paper", True, 8),
    ("hers", False, "grey", "paper", False, 1),
    ("borrowed", False, "grey", "linen", False, 1),
    ("borrowed", False, "grey", "linen", False, 1),
    ("hers", False, "grey", "paper", False, 1),
    ("hers", False, "three", "paper", False, 1),
    ("hers", False, "grey", "paper", False, 3),
    ("borrowed", False, "grey", "paper", False, 1),
    ("hers", False, "grey", "paper", False, 1),
    ("hers", True, "grey", "paper", False, 1),
]

# A customer's scrap of linen, dyed elsewhere by no one knows what, beside three of her own.
SHADE_PHOTO, SHADE_TAKEN, SHADE_LIGHT = "shade_01.jpg", "2026:04:25 11:20:00", 6000
BESIDE = ("11a", "20a", "23a")

MARK_COLUMNS = ["photo", "name", "kind", "x", "y", "half"]
NOTE = "drawn by sample_swatches/draw.py; CIELAB D65, 2 degree observer"


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


def photo_file(index):
    """Name of the file of one of PHOTOS."""
    return f"photo_{index + 1:02d}.jpg"


def spread_over_photos(dyed):
    """[(name, state), ...] of each photo: a dye day's swatches in two photos, its lots crossed.

    Ten swatches of earlier days lie in once more, 20a beside 21a which repeats it, and one again
    while wet.
    """
    rng, days = stream(3), sorted({row["session"] for _, row, *_ in dyed.values()})
    table = [[] for _ in PHOTOS]
    for day, session in enumerate(days):
        mine = [name for name, (_, row, *_) in dyed.items() if row["session"] == session]
        mine.sort(
            key=lambda name: (name[-1], name)
        )  # all a, then all b: a photo holds several lots
        cut = (len(mine) + 1) // 2
        for name in mine[:cut]:
            table[2 * day].append((name, "dry"))
        for name in mine[cut:]:
            table[2 * day + 1].append((name, "dry"))
    # Where the fewest lie there is room for one of an earlier day.
    roomy = sorted(range(2, len(PHOTOS)), key=lambda p: (len(table[p]), p))[:11]
    for photo in sorted(roomy[:10]):
        earlier = [n for p in range(2 * (photo // 2)) for n, _ in table[p] if n != WET]
        name = str(rng.choice(sorted(set(earlier))))
        table[photo].append(("20a" if ("21a", "dry") in table[photo] else name, "dry"))
    table[roomy[10]].append((WET, "wet"))
    return table


def cameras():
    """The two cameras of the sample; hers is set a third of a stop up, as one does for paper."""
    out = {
        name: replace(random_camera(stream(4, which), f"{make} {model}"), space=space)
        for name, (make, model, space, which) in CAMERAS.items()
    }
    own = out["hers"]
    return out | {"hers": replace(own, exposure=own.exposure + np.log(2) / 3)}


def sitting_light(kind, rng):
    """The light of one sitting: daylight of `kind` kelvin or a named LED, uneven like any other."""
    spectrum = light_spectrum(kind) if isinstance(kind, str) else daylight(kind)
    return replace(random_light(rng), name=str(kind), spectrum=spectrum)


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


def wanted_scrap():
    """(81,) reflectance of the customer's scrap: another house's madder on linen."""
    bath = {
        "fibre": "cotton", "dyestuff": "madder", "dye_owf": 90, "mordant": "alum",
        "mordant_owf": 15, "tannin": "gallnut", "tannin_owf": 8, "pH": 6.5, "temperature_C": 68,
        "minutes": 90,
    }  # fmt: skip
    return House(90_041).reflectance(bath)


def draw_sitting_photo(index, camera, light, things):
    """Draw one of PHOTOS and write it: (its marks, its size in bytes)."""
    name, sent, cards, ground, portrait, turn = PHOTOS[index]
    size = SENT if sent else (1200, 1600) if portrait else (1600, 1200)
    array, marks = draw_photo(
        things, camera, light, stream(5, index), size, cards=cards, ground=ground
    )
    path = HERE / "photos" / photo_file(index)
    if sent:
        held = save_jpeg(path, array, quality=SENT_QUALITY, profile=False, exif=False)
    else:
        make, model, space, _ = CAMERAS[name]
        held = save_jpeg(
            path, array, limit=LIMIT, space=space, orientation=turn, make=make, model=model,
            taken=taken_at(index),
        )  # fmt: skip
    return marks, held


def taken_at(index):
    """EXIF's text of when one of PHOTOS was taken: the day after the dye day, two minutes apart."""
    sessions = sorted({row["session"] for _, _, row in swatches()})
    begun = datetime.fromisoformat(f"{sessions[index // 2]} {SITTINGS[index // 2][0]}")
    return f"{begun + timedelta(days=1, minutes=2 * (index % 2)):%Y:%m:%d %H:%M:%S}"


def main():
    """Draw everything and say how strong the drawn cameras' departures are."""
    house, taken_by = House(0), cameras()
    dyed = dyed_swatches(house)
    table = spread_over_photos(dyed)
    (HERE / "photos").mkdir(exist_ok=True)

    def thing(name, state="dry"):
        return name, dyed[name][1]["fibre"], dyed[name][0], dyed[name][2], state

    baths, marks, total = [], [], 0
    for index, lies in enumerate(table):
        camera, file = PHOTOS[index][0], photo_file(index)
        light = sitting_light(SITTINGS[index // 2][1], stream(8, index // 2))
        things = [thing(*one) for one in lies]
        found, held = draw_sitting_photo(index, taken_by[camera], light, things)
        total += held
        marks += [{"photo": file, **mark} for mark in found]
        for name, state in lies:
            baths.append({"photo": file, "name": name, "state": state} | as_typed(dyed[name][1]))
        print(f"{file}: {camera} camera, {light.name}, {len(things)} swatches")
    write_rows(HERE / "baths.csv", ["photo", "name", "state", *COLUMNS], baths)
    write_rows(HERE / "marks.csv", MARK_COLUMNS, marks)
    total += draw_shade(taken_by["hers"], [thing(name) for name in BESIDE])
    cards_rows = [
        {"patch": kind} | dict(zip(("L", "a", "b"), np.round(lab, 2), strict=True))
        for kind, lab in card_labs().items()
    ]
    write_rows(HERE / "cards.csv", ["patch", "L", "a", "b"], cards_rows)
    columns = ["name", "lot", "kind", "L", "a", "b", "recipe_L", "recipe_a", "recipe_b"]
    columns += ["wet_L", "wet_a", "wet_b", "slip_column", "typed", "true_value", "note"]
    write_rows(REFERENCE / "sample_truth.csv", columns, truth_rows(dyed), NOTE)
    print(f"{len(dyed)} swatches, {len(baths)} rows, {total / 1e6:.1f} MB of photos")
    print("drawn cameras, " + describe_check(chart_check()))
    for index, (name, camera) in enumerate(taken_by.items()):
        rng = stream(6, index)
        sun = [Light("daylight", daylight(k)) for k in (5000, 5600, 6500)]
        errors = [chart_errors(replace(camera, space="sRGB"), light, rng)["dE"] for light in sun]
        print(f"{name}: {np.nanmedian(errors):.1f}, {np.nanpercentile(errors, 95):.1f}")


def draw_shade(camera, own):
    """The photo of the wanted scrap touching three of her own swatches; its size in bytes."""
    scrap = ("scrap", "cotton", "cloth", wanted_scrap())
    array, found = draw_photo(
        [scrap, *own], camera, sitting_light(SHADE_LIGHT, stream(8, 99)), stream(5, 99),
        ground="paper", layout="touching",
    )  # fmt: skip
    make, model, space, _ = CAMERAS["hers"]
    held = save_jpeg(
        HERE / "photos" / SHADE_PHOTO, array, limit=LIMIT, space=space, make=make, model=model,
        taken=SHADE_TAKEN,
    )  # fmt: skip
    rows = [{"photo": SHADE_PHOTO, **mark} for mark in found]
    for row in rows:
        if row["name"] in BESIDE:
            row["kind"] = "beside"
    write_rows(HERE / "shade.csv", MARK_COLUMNS, rows)
    lab = np.round(reflectance_to_lab(scrap[3]), 3)
    line = {"name": "scrap"} | dict(zip("Lab", lab, strict=True))
    write_rows(REFERENCE / "sample_shade.csv", ["name", "L", "a", "b"], [line], NOTE)
    return held


if __name__ == "__main__":
    main()
