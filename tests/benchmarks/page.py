"""How long the page takes with many swatches, and what memory it needs. Prints seconds and MB;
asserts nothing. The budget is 0.5 s for the box's first page and a search by colour at 10,000
swatches, and 700 MB.

.venv/bin/python tests/benchmarks/page.py [SWATCHES]      (10000 when left out)
"""

from __future__ import annotations

import resource
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
sys.path.insert(0, str(Path(__file__).parents[1]))

from library import filled  # noqa: E402
from page_made import Browser  # noqa: E402
from swatchbath.library import Library  # noqa: E402


def main(swatches: int) -> None:
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch) / "house"
        with Library(folder, create=True) as lib:
            filled(lib, swatches, Path(scratch) / "photo.png")
            code = lib.codes()[swatches // 2]
        browser = Browser(folder)
        print(f"{swatches} swatches; first look, then the middle of five")
        for path in ("/", "/box", "/box?by=lot", "/box?by=plant&fibre=wool", "/box?words=weld+iron",
                     f"/box/like/{code}?way=lighter", f"/swatch/{code}", "/keep"):  # fmt: skip
            times = []
            for _ in range(6):
                began = time.perf_counter()
                assert browser.get(path).status_code == 200
                times.append(time.perf_counter() - began)
            print(f"{path:34} {times[0]:6.2f} {sorted(times[1:])[2]:6.2f}")
    print(f"memory at most {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")


if __name__ == "__main__":
    main(int((sys.argv[1:] or ["10000"])[0]))
