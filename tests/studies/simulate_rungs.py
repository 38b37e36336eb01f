"""The rungs on simulated photos, through spectra: prints three tables for the guide (Markdown).

Run: python tests/studies/simulate_rungs.py          (about a minute)

Swatches are the 99 colour evaluation samples of CIE 224:2017, true at D65/2. Each is read by a
camera (two measured sensitivity sets and three made from each) under a light, beside a 24-patch
chart; the mid grey patch is the card. The maker's matrix was fitted under D65 on 190 other
reflectances. A photo is off by an exposure and a cast (sd 0.1 and 0.05), each patch by uneven light
(1.5 %) and noise (0.5 %). "Rendered" adds a phone-like look: more saturation, a toe and a shoulder,
another for each camera. The chart's values are those of its spectra, exactly.

The floor: Gaussian process regression from the linear readings to the true Lab on the other 98
swatches under the same light, its constants chosen on the very errors it is judged by. No method
that has three numbers and knows less than that can be expected to pass it.
"""

from __future__ import annotations

import csv
import os
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

os.environ.setdefault("OMP_NUM_THREADS", "1")

import colour
import numpy as np
from spectra import NM, ces, chart, lab_of, light, observer_under, patches190

from swatchbath.colorimetry import delta_e2000
from swatchbath.colorimetry.lab import SRGB_TO_XYZ, XYZ_TO_SRGB
from swatchbath.photo.correction.anchors import ANCHOR_SD, Anchors
from swatchbath.photo.correction.base import base_lab
from swatchbath.photo.correction.corrections import correct
from swatchbath.photo.correction.origin import Sources

LIGHTS = ("D65", "D50", "A", "FL2", "FL11", "LED-B3")
DAYLIGHT = ("D65", "D50")
LOOKS = ("linear", "rendered")
RUNGS = ("as decoded", "card", "greys", "chart", "chart+")
CARD, WHITE_BLACK = 21, [18, 23]  # rows of the chart
# Left out: a sensor of three layers, unlike any phone's. Alone it reads, card and linear, 3.5 / 8.1
# under D65 (floor 2.2 / 6.1).
LAYERED = "Merill"
KNOWN = 12  # swatches of known colour that `chart+` has besides the chart
HUES = ((0, 90), (90, 180), (180, 270), (270, 360))
GREYISH = 10.0  # C* under which a hue says little
EXPOSURE_SD, CAST_SD, UNEVEN_SD, NOISE_SD = 0.1, 0.05, 0.015, 0.005
# The gates of a readable patch: see chart_photos.read_charts.
TOO_LIGHT, TOO_DARK = 0.98, 0.002
REGION_90 = 6.2514  # 90 % point of chi-square with 3 degrees of freedom (scipy.stats.chi2)
_SHIPPED = Path(colour.__file__).parent / "characterisation/datasets/rawtoaces"


@dataclass(frozen=True, eq=False)
class Camera:
    """Sensitivities (81, 3), the maker's matrix (3, 3) to linear sRGB, and the look's numbers."""

    name: str
    sensitivity: np.ndarray
    matrix: np.ndarray
    contrast: float
    shoulder: float
    saturation: float


@dataclass(frozen=True, eq=False)
class Scores:
    """Of one camera, light, look and rung, over the swatches that could be read.

    rows, error (dE00), inside (in its 90 % region) : (n,).
    """

    camera: str
    light: str
    look: str
    rung: str
    rows: np.ndarray
    error: np.ndarray
    inside: np.ndarray


def measured_sensitivities() -> dict[str, np.ndarray]:
    found = {}
    for name, sds in colour.characterisation.MSDS_CAMERA_SENSITIVITIES.items():
        if LAYERED in name:
            continue
        found[name] = np.array(
            [np.interp(NM, sds.wavelengths, c, left=0, right=0) for c in sds.values.T]
        ).T
    file = next(_SHIPPED.glob("*Sensitivities.csv"))
    with file.open(encoding="utf-8") as stream:
        table = np.array([[float(c) for c in row] for row in list(csv.reader(stream))[1:]])
    found[file.stem] = np.array([np.interp(NM, table[:, 0], c) for c in table[:, 1:].T]).T
    return found


def cameras(per_measured: int = 3, seed: int = 0) -> list[Camera]:
    """The measured ones, and as many made from each: channels moved (sd 4 nm), widened (8 %)."""
    rng = np.random.default_rng(seed)
    made = []
    for name, measured in measured_sensitivities().items():
        for i in range(per_measured + 1):
            s = measured
            if i:
                centre = (NM[:, None] * s).sum(axis=0) / s.sum(axis=0)
                moved, wide = rng.normal(0, 4, 3), np.exp(rng.normal(0, 0.08, 3))
                s = np.stack(
                    [
                        np.interp(centre[c] + (NM - centre[c] - moved[c]) / wide[c], NM, s[:, c])
                        for c in range(3)
                    ],
                    axis=1,
                )
            made.append(
                Camera(
                    f"{name} {i}",
                    s,
                    makers_matrix(s),
                    rng.uniform(1.1, 1.4),
                    rng.uniform(0.8, 1.6),
                    rng.uniform(1.05, 1.25),
                )  # fmt: skip
            )
    return made


def makers_matrix(sensitivity: np.ndarray) -> np.ndarray:
    """(3, 3) from balanced camera RGB to linear sRGB under D65, white kept, on 190 reflectances."""
    raw = balanced(patches190(), sensitivity, "D65")
    wanted = patches190() @ observer_under("D65", "2") @ XYZ_TO_SRGB.T
    weight = 1 / np.maximum(wanted.mean(axis=1), 0.02)[:, None]
    # White is weighed so heavily that it is kept to within rounding.
    x, y = np.vstack([raw * weight, np.full((1, 3), 1e4)]), np.full((1, 3), 1e4)
    return np.linalg.lstsq(x, np.vstack([wanted * weight, y]), rcond=None)[0].T


def balanced(reflectances: np.ndarray, sensitivity: np.ndarray, name: str) -> np.ndarray:
    """Camera RGB (n, 3) under a light, a perfect diffuser at (1, 1, 1)."""
    power = sensitivity * light(name)[:, None]
    return reflectances @ power / power.sum(axis=0)


def photograph(
    reflectances: np.ndarray, camera: Camera, name: str, rng: np.random.Generator
) -> dict[str, np.ndarray]:
    """Look -> linear sRGB (n, 3) of all patches in one photo."""
    n = len(reflectances)
    raw = balanced(reflectances, camera.sensitivity, name)
    raw = raw * np.exp(rng.normal(0, UNEVEN_SD, (n, 1)) + rng.normal(0, NOISE_SD, (n, 3)))
    raw = raw * np.exp(rng.normal(0, EXPOSURE_SD) + rng.normal(0, CAST_SD, 3))
    linear = raw @ camera.matrix.T
    grey = linear @ SRGB_TO_XYZ[1]
    vivid = grey[:, None] + camera.saturation * (linear - grey[:, None])
    # A toe, then a shoulder: white comes out at 0.93 and an 18 % grey at about 0.16 to 0.2.
    toed = np.maximum(vivid, 0) ** camera.contrast
    bent = 0.93 * (1 - np.exp(-camera.shoulder * toed)) / (1 - np.exp(-camera.shoulder))
    return {"linear": linear, "rendered": np.minimum(bent, 1)}


def score(
    camera: Camera, name: str, swatches: np.ndarray, rungs: Sequence[str], seed: int
) -> list[Scores]:
    """All rungs on one photo of the swatches beside the chart, and the floor."""
    rng = np.random.default_rng(seed)
    n = len(swatches)
    everything = np.vstack([swatches, chart()])
    true = lab_of(everything)
    known_rows = rng.permutation(n)
    done = []
    for look, rgb in photograph(everything, camera, name, rng).items():
        usable = (rgb.max(axis=1) < TOO_LIGHT) & (rgb.min(axis=1) > TOO_DARK)
        if look == "linear":
            # Developed without clipping: only what is beyond the sensor's white is lost.
            usable = rgb.max(axis=1) < 1.2
        frame = {
            "card_rgb": rgb[n + CARD], "card_lab": true[n + CARD], "encoding": look,
            "rgb_to_xyz": SRGB_TO_XYZ,
        }  # fmt: skip
        base = base_lab(rgb, **frame)
        rows = np.flatnonzero(usable[:n])
        patches = [n + p for p in range(24) if p != CARD and usable[n + p]]

        def add(rung: str, rows: np.ndarray, lab: np.ndarray, inside: np.ndarray) -> None:
            error = delta_e2000(lab, true[rows])
            done.append(Scores(camera.name, name, look, rung, rows, error, inside))  # noqa: B023

        for rung in rungs:
            if rung == "as decoded":
                plain = frame | {"card_rgb": np.full(3, 0.18), "card_lab": [49.496, 0, 0]}
                lab = base_lab(rgb[rows], **plain | {"encoding": "linear"})
                add(rung, rows, lab, np.zeros(len(rows), dtype=bool))
                continue
            for judged, known in _folds(rung, rows, patches, known_rows, n):
                anchors = Anchors(base[known], true[known], ANCHOR_SD) if known else None
                got = correct(rgb[judged], anchors=anchors, sources=Sources("c", "p", "k"), **frame)
                off = true[judged] - got.lab
                far = np.einsum("ni,nij,nj->n", off, np.linalg.inv(got.trueness), off)
                add(rung, judged, got.lab, far < REGION_90)
        if look == "linear":
            found = floor(base[:n], true[:n])
            add("floor", np.arange(n), found, np.zeros(n, dtype=bool))
    return done


def _folds(
    rung: str, rows: np.ndarray, patches: list[int], known_rows: np.ndarray, n: int
) -> Iterable[tuple[np.ndarray, list[int]]]:
    """(swatches to judge, what is known) for each time the rung is applied."""
    if rung == "card":
        yield rows, []
    elif rung == "greys":
        yield rows, [p for p in patches if p - n in WHITE_BLACK]
    elif rung == "chart":
        yield rows, patches
    else:  # chart+: every swatch is judged once, by a dozen that do not hold it
        order = [r for r in known_rows if r in set(rows.tolist())]
        for half in (0, 1):
            yield np.array(sorted(order[half::2])), [*patches, *order[1 - half :: 2][:KNOWN]]


def floor(read: np.ndarray, true: np.ndarray) -> np.ndarray:
    """Lab (n, 3) of each swatch as foretold from the n - 1 others (Rasmussen and Williams 2006,
    5.12, for leaving one out; from memory), with the kernel constants that do best."""
    x = (read - [50, 0, 0]) / 50
    line = np.column_stack([np.ones(len(x)), x])
    apart = ((read[:, None] - read[None]) ** 2).sum(axis=-1)
    best, least = read, np.inf
    for length in (15, 25, 40, 60):
        for size in (1, 3, 8):
            for noise in (0.3, 0.7, 1.5):
                k = 400 * line @ line.T + size**2 * np.exp(-apart / (2 * length**2))
                inverse = np.linalg.inv(k + noise**2 * np.eye(len(x)))
                lab = true - (inverse @ (true - read)) / np.diag(inverse)[:, None]
                error = float(delta_e2000(lab, true).mean())
                if error < least:
                    best, least = lab, error
    return best


def simulate(
    of: Sequence[Camera], lights: Sequence[str] = LIGHTS, rungs: Sequence[str] = RUNGS,
    swatches: np.ndarray | None = None,
) -> list[Scores]:  # fmt: skip
    """Scores of every camera under every light; the same numbers each time."""
    swatches = ces() if swatches is None else swatches
    done = []
    for i, camera in enumerate(of):
        for j, name in enumerate(lights):
            done += score(camera, name, swatches, rungs, 100 * i + j)
    return done


def pooled(
    scores: Sequence[Scores], rung: str, look: str, lights: Sequence[str], of: np.ndarray | None
) -> tuple[np.ndarray, np.ndarray]:
    """Errors and insides of all cameras under these lights; `of` (n,): which swatches."""
    mine = [s for s in scores if (s.rung, s.look) == (rung, look) and s.light in lights]
    keep = [np.ones(len(s.rows), dtype=bool) if of is None else of[s.rows] for s in mine]
    return (
        np.concatenate([s.error[k] for s, k in zip(mine, keep, strict=True)]),
        np.concatenate([s.inside[k] for s, k in zip(mine, keep, strict=True)]),
    )


def says(error: np.ndarray) -> str:
    return f"{np.median(error):.1f} / {np.percentile(error, 95):.1f}" if len(error) else "-"


def table(heading: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    lines = [heading, ["---"] * len(heading), *rows]
    return "\n".join("| " + " | ".join(line) + " |" for line in lines)


def by_light(scores: Sequence[Scores], lights: Sequence[str]) -> str:
    rows = []
    for look in LOOKS:
        for rung in RUNGS:
            cells = [says(pooled(scores, rung, look, [n], None)[0]) for n in lights]
            rows.append([f"{rung}, {look}", *cells])
    rows.append(["floor", *(says(pooled(scores, "floor", "linear", [n], None)[0]) for n in lights)])
    return table(["rung", *lights], rows)


def by_hue(scores: Sequence[Scores]) -> str:
    true = lab_of(ces())
    chroma, hue = (
        np.hypot(true[:, 1], true[:, 2]),
        np.degrees(np.arctan2(true[:, 2], true[:, 1])) % 360,
    )
    parts = [(chroma >= GREYISH) & (hue >= low) & (hue < high) for low, high in HUES]
    parts.append(chroma < GREYISH)
    names = [f"{low}-{high} ({p.sum()})" for (low, high), p in zip(HUES, parts, strict=False)]
    rows = []
    lamps = [n for n in LIGHTS if n not in DAYLIGHT]
    for group, lights in (("daylight", DAYLIGHT), ("lamps", lamps)):
        for rung, look in (
            ("card", "linear"), ("card", "rendered"), ("chart", "linear"), ("chart", "rendered"),
            ("floor", "linear"),
        ):  # fmt: skip
            cells = [says(pooled(scores, rung, look, lights, p)[0]) for p in parts]
            rows.append([group, rung if rung == "floor" else f"{rung}, {look}", *cells])
    return table(["light", "rung", *names, f"C* under {GREYISH:.0f} ({parts[-1].sum()})"], rows)


def regions(scores: Sequence[Scores]) -> str:
    rows = []
    for look in LOOKS:
        for rung in RUNGS[1:]:
            held = [pooled(scores, rung, look, [n], None)[1].mean() for n in LIGHTS]
            rows.append([f"{rung}, {look}", *(f"{h:.2f}" for h in held)])
    return table(["rung", *LIGHTS], rows)


def main() -> None:
    of = cameras()
    scores = simulate(of)
    read = {
        look: sum(len(s.rows) for s in scores if (s.rung, s.look) == ("card", look))
        / (len(of) * len(LIGHTS) * len(ces()))
        for look in LOOKS
    }
    print(
        f"{len(of)} cameras; swatches that could be read:", {k: f"{v:.0%}" for k, v in read.items()}
    )
    print("\nCIEDE2000, median / 95th percentile\n\n" + by_light(scores, LIGHTS))
    print("\nBy hue angle (number of swatches)\n\n" + by_hue(scores))
    print("\nShare of true colours that the stated 90 % regions hold\n\n" + regions(scores))


if __name__ == "__main__":
    main()
