"""Prints whether what is stated of a photo's colours is as wide as the truth, on cameras left out.

    python tests/studies/score_doubt.py

"Fitted" are the readings the typical camera is fitted on, each family judged by the model fitted
without it; "further" those of cameras never fitted on. Errors in CIEDE2000, median / 95th
percentile in a photo; N is what is printed as "give or take", which two true colours in three
should lie within; regions are those that should hold 90 %.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from importlib import resources
from itertools import combinations
from pathlib import Path

import numpy as np
from chart_photos import CARD, WHITE_BLACK, ChartPhoto, read_charts

from swatchbath.colorimetry import delta_e2000
from swatchbath.colorimetry.covariance import give_or_take, region_radius
from swatchbath.colorimetry.interval import difference_interval
from swatchbath.colorimetry.measurement import Measurement, cross_covariance
from swatchbath.match import compare
from swatchbath.photo.correction.anchors import Anchors
from swatchbath.photo.correction.base import base_lab
from swatchbath.photo.correction.censored import censored_loadings, raised
from swatchbath.photo.correction.corrections import correct
from swatchbath.photo.correction.error_model import ErrorModel, model_from
from swatchbath.photo.correction.origin import Sources
from swatchbath.photo.correction.own_frame import OwnPiece, in_record_frame

REFERENCE = Path(__file__).parents[1] / "reference"
REFERENCE_SD = 0.7  # doubt of the chart's published values, per axis
RUNGS = ("card", "greys", "chart")


@dataclass(frozen=True, eq=False)
class Scored:
    """Patches of one photo: error and give or take in CIEDE2000, and whether the region holds."""

    photo: ChartPhoto
    error: np.ndarray
    give_or_take: np.ndarray
    held: np.ndarray


def patches(p: ChartPhoto) -> list[int]:
    return [i for i in range(18) if p.readable[i]]


def readings(
    p: ChartPhoto, rows: list[int], model: ErrorModel | None, known: tuple[int, ...] = (),
    *, sources: Sources | None = None, wider: float | None = None,
) -> list[Measurement]:  # fmt: skip
    """The rows of the chart as measured with its grey patch as the card and the rows `known`."""
    frame = dict(
        card_rgb=p.rgb[CARD], card_lab=p.lab[CARD], encoding=p.encoding, rgb_to_xyz=p.rgb_to_xyz,
        model=model,
    )  # fmt: skip
    known = list(known)
    anchors = Anchors(base_lab(p.rgb[known], **frame), p.lab[known]) if known else None
    read = [raised(p.rgb[i], p.low[i], p.rgb[CARD]) for i in rows]

    def to_lab(rgb: np.ndarray) -> np.ndarray:
        return base_lab(rgb, **frame)

    unseen = [
        censored_loadings(rgb, p.low[i], p.rgb[CARD], to_lab)
        for rgb, i in zip(read, rows, strict=True)
    ]
    done = correct(
        np.array(read), anchors=anchors, sources=sources or Sources(p.camera, p.name, "chart"),
        wider=p.wider if wider is None else wider, **frame,
    )  # fmt: skip
    return [
        Measurement(
            done.lab[i], np.zeros((3, 3)), trueness=done.trueness[i] + unseen[i] @ unseen[i].T,
            degrees=done.degrees,
            shared={s: a[i] for s, a in done.shared.items()}, rung="card", photo=p.name,
        )
        for i in range(len(rows))
    ]  # fmt: skip


def score(p: ChartPhoto, rung: str, model: ErrorModel | None) -> Scored:
    rows = patches(p)
    if rung == "chart":
        every = [i for i in range(24) if p.usable[i] and i != CARD]
        found = [readings(p, [i], model, tuple(j for j in every if j != i))[0] for i in rows]
    else:
        known = tuple(i for i in WHITE_BLACK if p.usable[i]) if rung == "greys" else ()
        found = readings(p, rows, model, known)
    true = p.lab[rows]
    error = delta_e2000(np.array([m.lab for m in found]), true)
    stated = [m.covariance + REFERENCE_SD**2 * np.eye(3) for m in found]
    off = true - [m.lab for m in found]
    inside = [
        d @ np.linalg.solve(c, d) <= region_radius(0.9, m.degrees)
        for d, c, m in zip(off, stated, found, strict=True)
    ]
    n = [give_or_take(m.lab, c, m.degrees) for m, c in zip(found, stated, strict=True)]
    return Scored(p, error, np.array(n), np.array(inside))


def line(rung: str, results: list[Scored]) -> None:
    families = sorted({r.photo.family for r in results})
    by = {f: [r for r in results if r.photo.family == f] for f in families}
    held = {f: np.concatenate([r.held for r in rs]).mean() for f, rs in by.items()}
    error = np.median([np.percentile(r.error, [50, 95]) for r in results], axis=0)
    n = np.median(np.concatenate([r.give_or_take for r in results]))
    within = np.concatenate([r.error <= r.give_or_take for r in results]).mean()
    least = min(held, key=lambda f: held[f])
    print(
        f"  {rung:7s} {len(results)} photos {error[0]:.2f} / {error[1]:.2f}  N {n:.1f} holds "
        f"{within:.2f}; regions pooled {np.concatenate([r.held for r in results]).mean():.2f}, "
        f"families alike {np.mean(list(held.values())):.2f}, least {least} {held[least]:.2f}",
        flush=True,
    )


def two_photos(photos: list[ChartPhoto], models: dict[str, ErrorModel | None], what: str) -> None:
    """The same patch in two photos of one phone: what the interval of the difference says."""
    upper, inside, true = [], [], []
    for p, q in combinations(photos, 2):
        if p.camera != q.camera or p.family in ("webcam", "unknown", "plant booth"):
            continue
        if what == "same light" and p.light != q.light:
            continue
        sitting = ("one",) if what == "one sitting" else ()
        if what == "one sitting" and p.light != q.light:
            continue
        rows = [i for i in range(18) if p.readable[i] and q.readable[i]]
        one, two = (
            readings(r, rows, models[r.family], sources=Sources(r.camera, r.name, "c", sitting))
            for r in (p, q)
        )
        for a, b in zip(one, two, strict=True):
            got = compare(a, b)
            upper.append(got.interval[1])
            inside.append(got.interval[0] == 0)
            true.append(got.delta_e2000)
    if upper:
        print(
            f"  two photos, {what}: differ {np.median(true):.2f}, upper end {np.median(upper):.2f},"
            f" holds 0 in {np.mean(inside):.3f} of {len(upper)}",
            flush=True,
        )


def beside(photos: list[ChartPhoto], models: dict[str, ErrorModel | None], *, same: bool) -> None:
    """The two nearest patches beside each patch, as recorded in another photo."""
    with_two, alone, inside, zero = [], [], [], []
    for p in photos:
        for q in photos:
            if p is q or (p.camera == q.camera) != same or p.encoding != q.encoding:
                continue
            rows = [i for i in range(18) if p.readable[i] and q.readable[i]]
            if len(rows) < 6:
                continue
            here = readings(p, rows, models[p.family])
            there = readings(q, rows, models[q.family])
            for i in range(len(rows)):
                apart = np.linalg.norm(p.lab[rows] - p.lab[rows[i]], axis=1)
                near = np.argsort(apart)[1:3]
                pieces = {str(j): OwnPiece(here[j], there[j]) for j in near}
                got = in_record_frame({"x": here[i]}, pieces)["x"]
                with_two.append(delta_e2000(got.lab, there[i].lab))
                alone.append(delta_e2000(here[i].lab, there[i].lab))
                c = cross_covariance(got, there[i])
                cov = got.covariance + there[i].covariance - c - c.T
                gap = got.lab - there[i].lab
                inside.append(gap @ np.linalg.solve(cov, gap) <= region_radius(0.9, got.degrees))
                low, _ = difference_interval(got.lab, there[i].lab, cov, degrees=got.degrees)
                zero.append(low == 0)
    if alone:
        print(
            f"  two nearest beside, {'same' if same else 'another'} phone: "
            f"{np.median(with_two):.2f} / {np.percentile(with_two, 95):.2f} against "
            f"{np.median(alone):.2f}: {np.median(with_two) / np.median(alone):.2f} times, regions "
            f"{np.mean(inside):.2f}, interval holds 0 in {np.mean(zero):.3f} of {len(zero)}",
            flush=True,
        )


def differences(photos: list[ChartPhoto], models: dict[str, ErrorModel | None]) -> None:
    """Two patches of one photo: what the region of their difference holds, by distance."""
    edges = (0, 15, 25, 40, 60, 90, 200)
    inside, distance, size = [], [], []
    for p in photos:
        rows = patches(p)
        found = readings(p, rows, models[p.family])
        for i, j in combinations(range(len(rows)), 2):
            c = cross_covariance(found[i], found[j])
            cov = found[i].covariance + found[j].covariance - c - c.T
            cov = cov + 2 * REFERENCE_SD**2 * np.eye(3)
            off = (p.lab[rows[i]] - found[i].lab) - (p.lab[rows[j]] - found[j].lab)
            inside.append(off @ np.linalg.solve(cov, off) <= region_radius(0.9, found[i].degrees))
            distance.append(np.linalg.norm(p.lab[rows[i]] - p.lab[rows[j]]))
            size.append(np.sqrt(off @ off / np.trace(cov)))
    where = np.digitize(distance, edges)
    cells = [
        f"{low}-{high}: {np.mean(np.array(inside)[where == k]):.2f} of {np.sum(where == k)} "
        f"(actual / stated {np.sqrt(np.mean(np.square(np.array(size)[where == k]))):.2f})"
        for k, (low, high) in enumerate(zip(edges, edges[1:], strict=False), 1)
        if np.sum(where == k)
    ]
    print("  differences in one photo, regions by Lab distance", "; ".join(cells), flush=True)


def main() -> None:
    stored = json.loads((REFERENCE / "typical_camera_left_out.json").read_text("utf-8"))
    shipped = resources.files("swatchbath.photo.correction") / "typical_camera.json"
    frequencies = json.loads(shipped.read_text("utf-8"))["frequencies"]
    fitted = [p for p in read_charts(REFERENCE / "chart_readings.csv") if p.accepted]
    further = [p for p in read_charts(REFERENCE / "chart_readings_more.csv") if p.accepted]
    known = {p.camera for p in fitted}
    for encoding in ("rendered", "linear"):
        left_out = {f: model_from(part, frequencies) for f, part in stored[encoding].items()}
        sets = {
            "fitted": [p for p in fitted if p.encoding == encoding and p.family != "webcam"],
            "640 x 480": [p for p in fitted if p.encoding == encoding and p.family == "webcam"],
            "further": [p for p in further if p.encoding == encoding and p.camera not in known],
            "further photos of fitted cameras": [
                p for p in further if p.encoding == encoding and p.camera in known
            ],
        }
        for name, photos in sets.items():
            if not photos:
                continue
            print(f"{encoding}, {name}")
            models = {
                p.family: None if name == "further" else left_out.get(p.family) for p in photos
            }
            for rung in RUNGS:
                line(rung, [score(p, rung, models[p.family]) for p in photos])
            differences(photos, models)
        every = [p for name, photos in sets.items() if name != "640 x 480" for p in photos]
        models = {p.family: left_out.get(p.family) for p in every}
        print(f"{encoding}, all but 640 x 480")
        for what in ("any light", "same light", "one sitting"):
            two_photos(every, models, what)
        beside(every, models, same=True)
        beside(every, models, same=False)


if __name__ == "__main__":
    main()
