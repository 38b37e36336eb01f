"""How long a library takes to open, to find in, to add to and to keep, as it grows. Prints a table
in seconds; asserts nothing. The budget is 0.2 s to open, find and add at 10,000 swatches.

.venv/bin/python tests/benchmarks/library.py [SWATCHES ...]      (1000 10000 100000 when left out)
"""

from __future__ import annotations

import random
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from library_made import a_photo  # noqa: E402
from swatchbath.bath.steps import steps_of  # noqa: E402
from swatchbath.colorimetry import Measurement  # noqa: E402
from swatchbath.desk.keep.edit import edit  # noqa: E402
from swatchbath.library import Library, back_up, restore, verify  # noqa: E402

BUDGET = 0.2
DYES = ("weld", "madder", "lac", "indigo", "onion skin", "walnut", "tansy", "dyer's broom")
AFTER = ("iron", "vinegar", "ash lye", "none")


def a_swatch(chance: random.Random, number: int) -> dict[str, object]:
    """A made-up swatch with a bath of usual columns."""
    bath = {
        "mordant": "alum",
        "mordant_owf": chance.choice((10.0, 12.0, 15.0)),
        "dyestuff": chance.choice(DYES),
        "dye_owf": float(chance.randrange(20, 110, 5)),
        "pH": float(chance.randrange(4, 10)),
        "temperature_C": 60.0,
        "minutes": 60.0,
        "modifier": chance.choice(AFTER),
    }
    return {
        "name": f"piece {number}",
        "lot": str(number // 4),
        "steps": steps_of(bath),
        "fibre": {"fibre": chance.choice(("wool", "silk", "linen")), "fibre_g": 10.0},
    }


def filled(lib: Library, swatches: int, photo: Path) -> None:
    """Fill a library, a thousand swatches a write, one photo to ten swatches."""
    chance = random.Random(1)
    shared = {"camera:x": np.ones((3, 12)), "card": np.ones((3, 3))}
    doubt = np.eye(3) * 4.0
    number = len(lib)
    while number < swatches:
        with lib.atomic():
            for _ in range(min(1000, swatches - number)):
                if number % 10 == 0:
                    kept = lib.add_photo(a_photo(photo, seed=number, size=(24, 18)))
                told = a_swatch(chance, number)
                lib.add_lot([], name=str(told["lot"]), session=f"day {number // 40}")
                key = lib.add_swatch(**told)  # type: ignore[arg-type]
                lab = [chance.uniform(20, 85), chance.uniform(-20, 45), chance.uniform(0, 70)]
                read = Measurement(lab, doubt, rung="card", shared=shared)
                lib.add_measurement(key, read, photo=kept, mark=(1, 2, 3))
                number += 1


def middle(act: object, repeats: int = 5) -> float:
    """The middle of several runs, seconds."""
    times = []
    for _ in range(repeats):
        began = time.perf_counter()
        act()  # type: ignore[operator]
        times.append(time.perf_counter() - began)
    return sorted(times)[repeats // 2]


def once(act: object) -> float:
    """One run, seconds."""
    return middle(act, 1)


def figures(folder: Path, swatches: int) -> dict[str, float]:
    """Seconds for each use of a library of so many swatches."""
    photo = folder.parent / "photo.png"
    out = {}
    with Library(folder, create=True) as lib:
        out["fill (all)"] = once(lambda: filled(lib, swatches, photo))

    def opened() -> None:
        with Library(folder) as lib:
            len(lib)

    out["open *"] = middle(opened)
    counter = iter(range(10**9))
    with Library(folder) as lib:
        some = lib.codes()[len(lib) // 2]

        def added() -> None:
            told = a_swatch(random.Random(2), next(counter))
            with lib.atomic():
                key = lib.add_swatch(**(told | {"name": f"new {next(counter)}", "lot": None}))
                lib.add_measurement(key, Measurement([60, 5, 50]))

        out["find a first colour *"] = once(lambda: lib.find(lab=[48, 38, 30]))
        out["find a colour *"] = middle(lambda: lib.find(lab=[48, 38, 30]))  # 0.05 at 100,000
        out["find words *"] = middle(lambda: lib.find(text="madder iron silk"))
        out["find both *"] = middle(lambda: lib.find(lab=[48, 38, 30], text="madder silk"))
        out["find words nobody said *"] = middle(lambda: lib.find(text="purple socks"))
        out["newest *"] = middle(lib.find)
        out["show one *"] = middle(lambda: (lib.swatch(some), lib.history(some)))
        out["add one *"] = middle(added)
        values = iter(range(10**9))
        out["correct one *"] = middle(lambda: edit(lib, some, [f"pH={next(values) % 9 + 3}"]))
        out["undo *"] = middle(lib.undo)
        out["bin and out"] = middle(lambda: (lib.put_in_bin(some), lib.take_out(some)))
        out["table"] = once(lib.table)
        out["backup"] = once(lambda: back_up(lib, folder.parent))
    out["verify"] = once(lambda: verify(folder))
    file = next(folder.parent.glob("*.zip"))
    out["restore"] = once(lambda: restore(file, folder.parent / "again"))
    return out


def main() -> None:
    sizes = [int(word) for word in sys.argv[1:]] or [1_000, 10_000, 100_000]
    found = []
    for swatches in sizes:
        with tempfile.TemporaryDirectory() as name:
            found.append(figures(Path(name) / "house", swatches))
        print(f"  {swatches} done", file=sys.stderr)
    head = "".join(f"{n:>12,}" for n in sizes)
    print(f"{'seconds':28}{head}{'x per x10':>12}")
    for what in found[0]:
        cells = [f[what] for f in found]
        growth = (cells[-1] / cells[0]) ** (1 / max(np.log10(sizes[-1] / sizes[0]), 1))
        row = "".join(f"{c:12.4f}" for c in cells)
        print(f"{what:28}{row}{growth if len(sizes) > 1 else 1:12.1f}")
    print(f"* within {BUDGET} s at 10,000 swatches is the budget")


if __name__ == "__main__":
    main()
