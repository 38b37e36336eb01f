"""Time and memory, as ratios against a reference run side by side. Prints a table; asserts nothing.

.venv/bin/python tests/benchmarks/run.py
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
from PIL import Image

HERE = Path(__file__).parent
SAMPLE = HERE.parents[1] / "sample_swatches"


def best(function, repeats=5):
    """Shortest of several runs, seconds."""
    times = []
    for _ in range(repeats):
        began = time.perf_counter()
        function()
        times.append(time.perf_counter() - began)
    return min(times)


def peak(code):
    """Peak memory of a fresh process, MB (Linux: the parent's size does not count, as it would in
    getrusage)."""
    tail = (
        "\nimport re\ntext = open('/proc/self/status').read()\n"
        "print(int(re.search(r'VmHWM:\\s+(\\d+)', text)[1]) / 1024)"
    )
    run = subprocess.run([sys.executable, "-c", code + tail], capture_output=True, text=True)
    return float(run.stdout.split()[-1])


def measuring(folder):
    """Four swatches on a 12-megapixel JPEG against a plain decode of it."""
    import swatchbath as sb

    path = folder / "large.jpg"
    with Image.open(SAMPLE / "photos" / "photo_01.jpg") as image:
        image.resize((4000, 3000)).save(path, quality=90)
    card = "sb.Region(2010, 2260, 240)"
    places = "{n: sb.Region(x, 620, 140) for n, x in zip('abcd', (670, 2025, 3355, 700))}"

    def decode():
        with Image.open(path) as image:
            np.asarray(image.convert("RGB"))

    def load():
        with Image.open(path) as image:
            image.load()

    def measure():
        sb.measure(path, card=eval(card, {"sb": sb}), swatches=eval(places, {"sb": sb}))

    measure()
    plain, bare, ours = best(decode), best(load), best(measure)
    head = f"import PIL.Image\nimport swatchbath as sb\nsb.measure\np = {str(path)!r}\n"
    idle = peak(head)
    with_us = peak(head + f"sb.measure(p, card={card}, swatches={places})") - idle
    decoded = 4000 * 3000 * 3 / 2**20
    yield "measure 4 swatches, 12 MP JPEG", ours, ours / plain, "plain decode to an array"
    yield "the same", ours, ours / bare, "plain decode, left inside Pillow"
    print(f"  memory above idle {with_us:.0f} MB, {with_us / decoded:.1f} x the decoded photo")


def answering(folder):
    """The sample house recorded, learned from and asked."""
    import swatchbath as sb
    from swatchbath import desk

    began = time.perf_counter()
    lib = sb.Library(folder / "library", create=True)
    desk.record_sample(lib)
    record = time.perf_counter() - began

    def decode_all():
        for path in (SAMPLE / "photos").glob("*.jpg"):
            with Image.open(path) as image:
                np.asarray(image.convert("RGB"))

    decode = best(decode_all, 2)
    yield "record 72 swatches, 18 photos", record, record / decode, "decoding the photos"
    learnt = desk.learn(lib)
    fit = best(lambda: desk.learn(lib), 2)
    conditions, measured, _ = lib.table()
    labs = np.array([m.lab for m in measured])
    from sklearn.gaussian_process import GaussianProcessRegressor

    plain = best(lambda: GaussianProcessRegressor().fit(labs, labs), 3)
    yield "learn with lots left out", fit, fit / plain, "one plain GP fit"
    ask = best(lambda: learnt.model.suggest([48, 38, 30], tolerance=3), 3)
    guess = best(lambda: learnt.model.predict(conditions), 3)
    yield "suggest", ask, ask / guess, "predicting 83 baths"
    lib.close()


def main():
    with tempfile.TemporaryDirectory() as name:
        print(f"{'what':34}{'seconds':>9}{'ratio':>8}  against")
        for part in (measuring, answering):
            for what, seconds, ratio, against in part(Path(name)):
                print(f"{what:34}{seconds:9.2f}{ratio:8.1f}  {against}")


if __name__ == "__main__":
    main()
