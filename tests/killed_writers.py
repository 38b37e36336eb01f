"""Two programs write to one library and are killed at random moments; what they reported done is
told. Run as: python killed_writers.py FOLDER SEED KILLS

Forks after everything is imported, so that a kill costs milliseconds and not seconds.
"""

from __future__ import annotations

import os
import random
import signal
import sys
import time
from pathlib import Path

from library_made import IRON, a_photo, filled, reading
from swatchbath.library import Library

# How long after the start (or in every second turn, after the first report) a kill may come, in
# seconds: so some are hit while opening and most while writing.
LONGEST = 0.1


def write(folder: Path, who: str, seed: int) -> None:
    """Write swatches with a photo each until killed; report each, once it is done."""
    report = os.open(folder.parent / "reported.txt", os.O_WRONLY | os.O_CREAT | os.O_APPEND)
    photo = folder.parent / f"{who}.png"
    with Library(folder, create=True) as lib:
        number = 0
        while True:
            number += 1
            a_photo(photo, seed=seed * 1000 + number, size=(120, 90))
            with lib.atomic():
                kept = lib.add_photo(photo)
                key = lib.add_swatch(name=f"{who}-{seed}-{number}", steps=[IRON])
                lib.add_measurement(key, reading(), photo=kept, mark=(1, 2, 3))
            os.write(report, f"{key} {kept}\n".encode())


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
    for turn in range(kills):
        before = size(folder)
        writers = [start(folder, who, seed * 100_000 + turn) for who in "ab"]
        while turn % 2 and size(folder) == before:
            time.sleep(0.001)
        for child in writers:
            time.sleep(chance.uniform(0, LONGEST))
            os.kill(child, signal.SIGKILL)
        for child in writers:
            _, status = os.waitpid(child, 0)
            if not os.WIFSIGNALED(status):
                sys.exit(f"A writer ended by itself in turn {turn}.")


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]))
