"""Two copies of one colour in one frame under uneven light: what is said of their difference.

Flat frames are drawn: a grey card, two felts of one colour 0.4 of a diagonal apart on white paper,
light that falls off by 0 to 30 % over a diagonal in any direction. Printed for each band: the true
reading's difference, how often the interval holds 0, and the least tolerance that could be called a
match; without and with places marked on the paper.

    python tests/studies/score_evenness.py
"""

from __future__ import annotations

import tempfile
from pathlib import Path

import numpy as np
from PIL import Image

import swatchbath as sb
from swatchbath.colorimetry.lab import lab_to_xyz, srgb_encode, xyz_to_linear_srgb

SIZE = (900, 675)
BANDS = (0.0, 0.05, 0.10, 0.20, 0.30)
COLOURS = ((60, 10, 40), (45, 35, 20), (40, -5, -20), (70, 2, 25), (35, 8, 12), (55, -15, 20))


def frame(strength: float, colour: np.ndarray, rng: np.random.Generator):
    """(picture, places): places of the card, the felts and the paper, in pixels."""
    w, h = SIZE
    diagonal = float(np.hypot(w, h))
    turn, way = rng.uniform(0, 2 * np.pi, 2)
    middle = np.array([w / 2, h / 2])
    apart = 0.2 * diagonal * np.array([np.cos(turn), 0.6 * np.sin(turn)])
    apart *= 0.2 * diagonal / np.linalg.norm(apart)
    apart[1] = np.clip(apart[1], -h / 2 + 60, h / 2 - 60)
    across = np.array([-apart[1], apart[0]]) / np.linalg.norm(apart)
    places = {"card": middle, "a": middle + apart, "b": middle - apart}
    paper = [middle + s * apart + 75 * t * across for s in (-1, 1) for t in (-1, 1)]
    paper = [np.clip(p, 35, [w - 35, h - 35]) for p in paper]
    x, y = np.meshgrid(np.arange(w), np.arange(h))
    picture = np.full((h, w, 3), 0.75)
    for name, (px, py) in places.items():
        rgb = [0.18] * 3 if name == "card" else xyz_to_linear_srgb(lab_to_xyz(colour))
        picture[(np.abs(x - px) < 45) & (np.abs(y - py) < 45)] = rgb
    slope = (x - w / 2) * np.cos(way) + (y - h / 2) * np.sin(way)
    picture = picture * np.exp(strength * slope / diagonal)[..., None]
    picture *= 1 + 0.02 * rng.standard_normal(picture.shape)
    codes = np.rint(srgb_encode(np.clip(picture, 0, 1)) * 255).astype(np.uint8)
    return codes, places, paper


def score(folder: Path, strength: float, frames: int, *, with_paper: bool):
    """(n, 3): difference as read, whether the interval holds 0, least tolerance."""
    rng = np.random.default_rng([7, round(strength * 100)])
    rows = []
    for i in range(frames):
        colour = np.array(COLOURS[i % len(COLOURS)], float)
        codes, places, paper = frame(strength, colour, rng)
        path = folder / "frame.png"
        Image.fromarray(codes).save(path)
        shot = sb.measure(
            path,
            card=sb.Card(sb.Region(*places["card"], 30), lab=(49.5, 0, 0)),
            swatches={n: sb.Region(*places[n], 30) for n in "ab"},
            paper=[sb.Region(*p, 20) for p in paper] if with_paper else (),
        )
        got = sb.compare(shot["a"], shot["b"])
        rows.append((got.delta_e2000, got.interval[0] == 0, got.smallest_tolerance))
    return np.array(rows, float)


def main(frames: int = 24) -> None:
    with tempfile.TemporaryDirectory() as folder:
        for with_paper in (False, True):
            print("with paper" if with_paper else "nothing tells of the light")
            for strength in BANDS:
                differ, held, least = score(Path(folder), strength, frames, with_paper=with_paper).T
                print(
                    f"  uneven by {strength:.0%} a diagonal: differ {np.median(differ):.2f} / "
                    f"{np.percentile(differ, 95):.2f}, interval holds 0 in {held.mean():.2f}, "
                    f"least tolerance {np.median(least):.2f}",
                    flush=True,
                )


if __name__ == "__main__":
    main()
