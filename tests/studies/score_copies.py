"""Prints how copies of real patches are told apart, elsewhere in their photo and in other light.

A strip of the chart's own white patch is set beside a real photo, as paper; copies of one coloured
patch, its grain as photographed, lie on it far from each other, one of them changed by a known
CIEDE2000 of the picture; then all is lit by a gradient. Places by the picture alone, with the
chart's grey as the card, and with six places on the paper as well. What a camera does to a
difference has no part in it: of that chart photos tell (score_doubt.py).

    python tests/studies/score_copies.py FOLDER     (of photos with their patches.csv; 3 minutes)
"""

from __future__ import annotations

import csv
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image, ImageOps
from scipy.optimize import brentq

import swatchbath as sb
from swatchbath.colorimetry import delta_e2000
from swatchbath.colorimetry.lab import linear_srgb_to_xyz, xyz_to_lab

APART = (0.0, 6.0)
SLOPES = (0.0, 0.1, 0.2)  # of ln brightness over the new frame's diagonal
MODES = ("picture", "card", "paper")
WHITE, GREY = 19, 22
SIDE = 3000  # pixels of the longer side at most: larger photos are made smaller first


@dataclass(frozen=True, eq=False)
class Scene:
    """A photo in linear light (h, w, 3) and its patches, number -> (x, y, half)."""

    light: np.ndarray
    patches: dict[int, tuple[float, float, float]]


def scenes(folder: Path) -> Iterator[tuple[str, Scene]]:
    """The JPEGs of a folder, whose grey and white are not clipped."""
    with open(folder / "patches.csv", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    for name in sorted({row["photo"] for row in rows}):
        path = next(p for p in folder.iterdir() if p.stem == Path(name).stem)
        if path.suffix != ".jpg":
            continue
        with Image.open(path) as image:
            picture = ImageOps.exif_transpose(image).convert("RGB")
        times = min(SIDE / max(picture.size), 1.0)
        picture = picture.resize([round(side * times) for side in picture.size])
        mine = [row for row in rows if row["photo"] == name]
        at = {int(r["patch"]): tuple(times * float(r[c]) for c in ("x", "y", "half")) for r in mine}
        scene = Scene(decoded(np.asarray(picture)), at)  # type: ignore[arg-type]
        if cut(scene, WHITE).max() < 1 and at[GREY][2] >= 8:
            yield Path(name).stem, scene


def decoded(code: np.ndarray) -> np.ndarray:
    """Linear light of 8-bit sRGB (IEC 61966-2-1)."""
    v = np.arange(256) / 255
    return np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4)[code]


def encoded(light: np.ndarray) -> np.ndarray:
    """8-bit sRGB codes of linear light."""
    v = np.clip(light, 0, 1)
    code = np.where(v <= 0.0031308, 12.92 * v, 1.055 * np.maximum(v, 1e-9) ** (1 / 2.4) - 0.055)
    return np.round(255 * code).astype(np.uint8)


def cut(scene: Scene, patch: int) -> np.ndarray:
    """The pixels of a patch, (2h, 2h, 3)."""
    x, y, half = (round(v) for v in scene.patches[patch])
    return scene.light[y - half : y + half, x - half : x + half]


def tiled(piece: np.ndarray, height: int, width: int) -> np.ndarray:
    """A piece in mirrored repeats, at its own grain."""
    rows, cols = (
        np.arange(n) % (2 * m) for n, m in zip((height, width), piece.shape, strict=False)
    )
    rows = np.minimum(rows, 2 * piece.shape[0] - 1 - rows)
    cols = np.minimum(cols, 2 * piece.shape[1] - 1 - cols)
    return piece[rows][:, cols]


def changed(piece: np.ndarray, by: float, rng: np.random.Generator) -> np.ndarray:
    """The same patch with its channels brighter or darker, its mean `by` CIEDE2000 away."""
    if by <= 0:
        return piece
    own = piece.mean(axis=(0, 1))
    while True:
        way = rng.normal(0, 1, 3)

        def missing(share: float, way: np.ndarray = way) -> float:
            labs = (xyz_to_lab(linear_srgb_to_xyz(v)) for v in (own, own * np.exp(share * way)))
            return float(delta_e2000(*labs)) - by

        if missing(1.0) > 0:
            return piece * np.exp(brentq(missing, 0.0, 1.0) * way)


def pair_of(
    scene: Scene, patch: int, by: float, slope: float, rng: np.random.Generator, file: Path
) -> dict[str, Any]:
    """Write a frame with two copies of a patch in it; where they, card and paper are."""
    h, w, _ = scene.light.shape
    half = max(round(scene.patches[patch][2]), 24)
    wide = max(w // 3, 8 * half)
    light = np.concatenate([scene.light, tiled(cut(scene, WHITE), h, wide)], axis=1)
    spots = [(w + wide // 3, h // 5), (w + 2 * wide // 3, 4 * h // 5)]
    piece = cut(scene, patch)
    for (x, y), one in zip(spots, (piece, changed(piece, by, rng)), strict=True):
        light[y - half : y + half, x - half : x + half] = tiled(one, 2 * half, 2 * half)
    angle = rng.uniform(0, 2 * np.pi)
    x, y = np.meshgrid(np.arange(w + wide) - w, np.arange(h) - h / 2)
    along = (x * np.cos(angle) + y * np.sin(angle)) / np.hypot(h, w + wide)
    light = light * np.exp(slope * along)[..., None]
    # Not brighter than the picture holds.
    light = light / max(float(light[:, w:].max()), 1.0)
    Image.fromarray(encoded(light)).save(file, quality=92)
    bare = [(0.12, 0.05), (0.7, 0.2), (0.12, 0.45), (0.85, 0.5), (0.2, 0.85), (0.9, 0.93)]
    paper = [sb.Region(w + a * wide, b * h, max(half // 2, 10)) for a, b in bare]
    pieces = [sb.Region(x, y, 0.8 * half) for x, y in spots]
    x, y, own = scene.patches[GREY]
    return {"pieces": pieces, "paper": paper, "card": sb.Region(x, y, 0.8 * own)}


def interval_of(file: Path, at: dict[str, Any], mode: str) -> tuple[float, float] | None:
    """The interval of the pair; None where it is refused."""
    how: dict[str, dict[str, Any]] = {"picture": {"pictured": True}, "card": {"card": at["card"]}}
    how["paper"] = {"card": at["card"], "paper": at["paper"]}
    try:
        shot = sb.measure(file, swatches=dict(zip("ab", at["pieces"], strict=True)), **how[mode])
    except sb.PhotoRefused:
        return None
    return sb.compare(shot["a"], shot["b"]).interval if len(shot) == 2 else None


def main() -> None:
    rng = np.random.default_rng(7320)
    found: dict[tuple[str, float, float], list[tuple[float, float]]] = {}
    refused = 0
    with tempfile.TemporaryDirectory() as folder:
        for name, scene in scenes(Path(sys.argv[1])):
            for patch in rng.permutation(np.arange(1, 19))[:6]:
                for slope in SLOPES:
                    for by in APART:
                        file = Path(folder) / f"{name}.jpg"
                        at = pair_of(scene, int(patch), by, slope, rng, file)
                        for mode in MODES:
                            got = interval_of(file, at, mode)
                            refused += got is None
                            if got is not None:
                                found.setdefault((mode, slope, by), []).append(got)
    print(f"{refused} refused")
    for (mode, slope, by), rows in sorted(found.items()):
        low, high = np.array(rows).T
        held = np.mean((low <= by) & (by <= high))
        print(
            f"{mode:8s} light {slope:.0%} apart {by:g}: match {np.mean(high <= 2):.2f}, no match "
            f"{np.mean(low > 2):.2f}, holds {held:.2f} of {len(rows)}"
        )


if __name__ == "__main__":
    main()
