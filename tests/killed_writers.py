"""Two programs write to one library and are killed at random moments; what they reported done is
told. Run as: python killed_writers.py FOLDER SEED KILLS

Forks after everything is imported, so that a kill costs milliseconds and not seconds. One of the
two writers records swatches with photos; so does the other, and it corrects, bins, takes back and
backs up as well. Everything a write did is told in one line once it is done, and never before.
"""

from __future__ import annotations

import json
import os
import random
import signal
import sys
import time
from pathlib import Path

import swatchbath.predict  # noqa: F401  (what an edit would import late, after the fork)
from library_made import IRON, a_photo, filled, reading
from swatchbath.library import Library, back_up

# How long after the start (or in every second turn, after the first report) a kill may come, in
# seconds: so some are hit while opening and most while writing.
LONGEST = 0.1


def write(folder: Path, who: str, seed: int) -> None:
    """Write swatches with a photo each until killed; report each, once it is done."""
    report = os.open(folder.parent / "reported.txt", os.O_WRONLY | os.O_CREAT | os.O_APPEND)

    def done(what: str, **told: object) -> None:
        os.write(report, f"{json.dumps({'did': what} | told)}\n".encode())

    photo = folder.parent / f"{who}.png"
    stick = folder.parent / "stick"
    stick.mkdir(exist_ok=True)
    with Library(folder, create=True) as lib:
        number = 0
        while True:
            number += 1
            a_photo(photo, seed=seed * 1000 + number, size=(120, 90))
            with lib.atomic():
                kept = lib.add_photo(photo)
                key = lib.add_swatch(name=f"{who}-{seed}-{number}", steps=[IRON])
                lib.add_measurement(key, reading(), photo=kept, mark=(1, 2, 3))
            done("record", code=key, photo=kept)
            if who == "a":
                continue
            lib.edit(key, {"modifier_owf": 3.0, "part": f"{seed}-{number}"}, why="for a trial")
            done("edit", code=key, part=f"{seed}-{number}")
            if number % 2:
                lib.put_in_bin(key)
                done("bin", code=key)
                lib.take_out(key)
                done("take out", code=key)
            if number % 3 == 1:
                file = back_up(lib, stick).file
                done("backup", file=file.name)


def start(folder: Path, who: str, seed: int) -> int:
    """The process id of a new writer."""
    child = os.fork()
    if child == 0:
        try:
            write(folder, who, seed)
        finally:
            os._exit(1)
    return child


def size(folder: Path) -> int:
    """How much was reported, in bytes."""
    report = folder.parent / "reported.txt"
    return report.stat().st_size if report.exists() else 0


def main(folder: Path, seed: int, kills: int) -> None:
    """Kill both writers, `kills` times over. Exits 1 if one ended by itself."""
    chance = random.Random(seed)
    with Library(folder, create=True) as lib:
        filled(lib)
        lib.edit("12a", {"part": "b"})
    for turn in range(kills):
        before = size(folder)
        writers = [start(folder, who, seed * 100_000 + turn) for who in "ab"]
        while turn % 2 and size(folder) == before:
            time.sleep(0.001)
        for child in writers:
            time.sleep(chance.uniform(0, LONGEST * (1 + turn % 3)))
            os.kill(child, signal.SIGKILL)
        for child in writers:
            _, status = os.waitpid(child, 0)
            if not os.WIFSIGNALED(status):
                sys.exit(f"A writer ended by itself in turn {turn}.")


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]))
