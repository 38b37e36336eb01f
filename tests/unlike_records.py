"""Invented libraries unlike the sample, each made the way a dyer could have made it."""

import numpy as np

import swatchbath as sb
from swatchbath import desk

# Plants and the colour each gives on wool, alum: invented.
PLANTS = {
    "weld": (80, -6, 60), "madder": (48, 42, 28), "walnut hull": (38, 10, 18),
    "onion skin": (62, 22, 52), "birch leaf": (76, -2, 38), "alder bark": (55, 14, 24),
}  # fmt: skip


def colour(plant, amount, iron, rng):
    """What such a bath gives: deeper with more of the plant, darker and greyer with iron."""
    lab = np.array(PLANTS[plant], dtype=float)
    lab += np.array([-6.0, 2.0, 4.0]) * np.log(amount / 50)
    if iron:
        lab = lab * [0.7, 0.4, 0.5]
    return np.clip(lab + rng.normal(0, 1, 3), [5, -60, -60], [95, 60, 90])


def baths(n, seed=0, plants=None):
    """n baths, a dict of cells each, and their colours."""
    rng = np.random.default_rng(seed)
    names = list(plants or PLANTS)
    rows, labs = [], []
    for i in range(n):
        plant, iron = names[i % len(names)], bool(rng.random() < 0.3)
        amount = float(rng.choice([25, 50, 100]))
        row = {"fibre": str(rng.choice(["wool", "wool", "cotton"])), "dyestuff": plant}
        row |= {"dye_owf": f"{amount:g}", "mordant": "alum", "mordant_owf": "12"}
        if iron:
            row |= {"modifier": "iron", "modifier_owf": "2"}
        rows.append(row)
        labs.append(colour(plant, amount, iron, rng))
    return rows, np.array(labs)


def by_table(folder, rows, labs, name):
    """Recorded from a CSV, read by an instrument afterwards."""
    columns = list(dict.fromkeys(c for row in rows for c in row))
    lines = [",".join(["name", *columns])]
    lines += [
        ",".join([f"{name}{i}", *(str(row.get(c, "")) for c in columns)])
        for i, row in enumerate(rows)
    ]
    table = folder.parent / f"{name}.csv"
    table.write_text("\n".join(lines) + "\n", encoding="utf-8")
    desk.record_table(folder, table)
    read = folder.parent / f"{name}-read.csv"
    read.write_text(
        "swatch,L,a,b\n"
        + "".join(f"{name}{i},{x[0]:.1f},{x[1]:.1f},{x[2]:.1f}\n" for i, x in enumerate(labs)),
        encoding="utf-8",
    )
    desk.record_readings(folder, read)


def by_photos(folder, rows, labs, name, *, a_photo=None, camera=None):
    """Recorded one by one with what photos told: `a_photo` says which photo a row is in; without a
    camera's name (no EXIF) its lasting error is shared by nothing but the photo."""
    rng = np.random.default_rng(1)
    for i, (row, lab) in enumerate(zip(rows, labs, strict=True)):
        photo = a_photo(i, row) if a_photo else f"photo {i // 6}"
        shared = {f"photo:{photo}": 2.0 * np.eye(3)}
        if camera:
            shared[f"camera:{camera}"] = 2.0 * np.eye(3)
        read = lab + np.random.default_rng(abs(hash_of(photo))).normal(0, 2, 3)
        reading = sb.Measurement(
            read + rng.normal(0, 0.4, 3), 0.3 * np.eye(3), rung="card", photo=photo, shared=shared
        )
        desk.record(folder, row, name=f"{name}{i}", reading=reading)


def hash_of(text):
    """A number for a text, the same each time."""
    return sum(ord(c) * 31**k for k, c in enumerate(text)) % 2**31


EVERY_COLUMN = {
    "fibre": "wool", "fibre_form": "superwash", "base_L": "86", "base_a": "0", "base_b": "9",
    "fibre_g": "10", "pot_g": "120", "pot_position": "bottom", "scour": "soda ash",
    "dyestuff": "weld", "dyestuff_form": "dried", "dyestuff_lot": "W25", "dye_owf": "60",
    "dyestuff_2": "madder", "dyestuff_lot_2": "M25", "dye_owf_2": "20", "dye_2_how": "together",
    "tannin": "oak gall", "tannin_owf": "8", "mordant": "alum", "mordant_owf": "12",
    "mordant_C": "80", "mordant_minutes": "60", "mordant_assist": "cream of tartar",
    "mordant_assist_owf": "6", "assist": "chalk", "assist_owf": "2", "pH": "6.5",
    "pH_read": "strip", "temperature_C": "80", "minutes": "60", "liquor_ratio": "30",
    "bath_number": "1", "pH_end": "6", "stock_days": "3", "modifier": "iron",
    "modifier_owf": "2", "modifier_lot": "J2", "modifier_pH": "5.5", "modifier_minutes": "10",
    "wash_pH": "7", "water": "rain", "vessel": "stainless steel", "session": "2026-05-01",
}  # fmt: skip


def _every_column(folder):
    rng = np.random.default_rng(2)
    rows, labs = [], []
    for i in range(9):
        amount, iron = float(rng.choice([30, 60, 100])), i % 3 == 0
        row = EVERY_COLUMN | {"dye_owf": f"{amount:g}", "pH": f"{rng.choice([5, 6, 7, 8])}"}
        row |= {"temperature_C": f"{rng.choice([60, 70, 80])}"}
        row |= {"modifier": "iron" if iron else "vinegar", "lot": f"E{i}"}
        if not iron:
            row |= {"modifier_owf": "", "modifier_lot": "", "modifier_pH": "4"}
        rows.append({k: v for k, v in row.items() if v != ""})
        labs.append(colour("weld", amount, iron, rng))
    by_table(folder, rows[:5], labs[:5], "t")
    by_photos(folder, [{k: v for k, v in r.items() if k != "lot"} for r in rows[5:]], labs[5:], "p")
    lines = (
        "scour: soda ash 5 %, 90 C, 1 h",
        "tannin: oak gall 8 %, 50 C, 1 h",
        "mordant: alum 12 % + cream of tartar 6 %, 80 C, 1 h",
        "dye: 60 % dried weld (W25) + 20 % madder (M25), chalk 2 %, pH 6.5 strip, end pH 6, "
        "80 C, 1 h, 1:30, rain water, in stainless steel",
        "wash: pH 7",
    )
    done = desk.pot(
        folder, lines, fibres=["superwash wool 10 g", "silk 10 g"],
        after=["none", "iron 2 %, jar J2, 10 min", "vinegar to pH 4, 10 min"], day="2026-05-01",
    )  # fmt: skip
    _read(folder, done.codes, [colour("weld", 60, i % 3 == 1, rng) for i in range(6)])


def _read(folder, codes, labs):
    read = folder.parent / "pots-read.csv"
    read.write_text(
        "swatch,L,a,b\n"
        + "".join(
            f"{c},{x[0]:.1f},{x[1]:.1f},{x[2]:.1f}\n" for c, x in zip(codes, labs, strict=True)
        ),
        encoding="utf-8",
    )
    desk.record_readings(folder, read)


def _vats(folder):
    for dips in (1, 2, 3, 4, 5):
        done = desk.pot(
            folder, (f"vat: indigo, fructose, lime, {dips} dips of 10 min, 45 C",),
            fibres=["wool 10 g", "linen 10 g"],
        )  # fmt: skip
        blue = [[70 - 9 * dips, -4, -12 - 4 * dips], [72 - 8 * dips, -3, -10 - 4 * dips]]
        _read(folder, done.codes, np.array(blue, dtype=float))
    by_table(folder, *baths(14, seed=4), "w")


def _borrowed(folder):
    of = folder.parent / "lender"
    by_table(of, *baths(20, seed=5), "b")
    with sb.Library(of) as lib:
        desk.export(lib, folder.parent / "lent")
    desk.take(folder, folder.parent / "lent")


MADE = {
    "empty": lambda f: sb.Library(f, create=True).close(),
    "one": lambda f: by_table(f, *baths(1), "w"),
    "twelve": lambda f: by_table(f, *baths(12), "w"),
    "thirty-four on six photos without a camera's name": lambda f: by_photos(
        f, *baths(34, seed=1), "w"
    ),
    "one dyestuff a photo": lambda f: by_photos(
        f, *baths(30, seed=2), "w", a_photo=lambda i, row: row["dyestuff"], camera="c"
    ),
    "hardly anything told": lambda f: by_table(
        f, [{k: r[k] for k in ("fibre", "dyestuff")} for r in baths(18)[0]], baths(18)[1], "w"
    ),
    "one plant": lambda f: by_table(f, *baths(15, plants=["weld"]), "w"),
    "every column": _every_column,
    "vats": _vats,
    "borrowed": _borrowed,
}


def made(kind, folder):
    """A library of a kind, in a folder; returns the folder."""
    MADE[kind](folder)
    return folder
