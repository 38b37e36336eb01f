"""Scores of the rungs on chart photos: how far off, and how often the 90 % region holds."""

from __future__ import annotations

import numpy as np
from chart_photos import CARD, SWATCHES, WHITE_BLACK, ChartPhoto

from swatchbath.colorimetry import delta_e2000
from swatchbath.colorimetry.covariance import region_radius
from swatchbath.photo.correction.anchors import ANCHOR_SD, Anchors
from swatchbath.photo.correction.base import base_lab
from swatchbath.photo.correction.corrections import DEGREES, Corrected, correct
from swatchbath.photo.correction.error_model import ErrorModel
from swatchbath.photo.correction.origin import Sources

REGION_90 = region_radius(0.9, DEGREES)  # in units of the covariance
REFERENCE_SD = 0.7  # doubt of the chart's published values, per axis


def run(
    photo: ChartPhoto, rows: list[int], model: ErrorModel | None, known: list[int]
) -> Corrected:
    """`rows` of the chart corrected with the card and the rows `known`."""
    frame = dict(
        card_rgb=photo.rgb[CARD],
        card_lab=photo.lab[CARD],
        encoding=photo.encoding,
        rgb_to_xyz=photo.rgb_to_xyz,
        model=model,
    )
    wider = photo.wider
    anchors = None
    if known:
        anchors = Anchors(base_lab(photo.rgb[known], **frame), photo.lab[known], ANCHOR_SD)
    return correct(
        photo.rgb[rows], anchors=anchors, sources=Sources("c", "p", "k"), wider=wider, **frame
    )


def usable(photo: ChartPhoto) -> list[int]:
    return [i for i in SWATCHES if photo.usable[i]]


def score(photo: ChartPhoto, rung: str, model: ErrorModel | None) -> dict[str, np.ndarray]:
    """Per usable swatch: error (dE00), distance in units of the doubt, covariance, Lab error."""
    rows = usable(photo)
    if rung == "plain gain":
        wanted = photo.rgb / photo.rgb[CARD]
        lab = base_lab(
            wanted, card_rgb=wanted[CARD], card_lab=photo.lab[CARD], encoding="linear",
            rgb_to_xyz=photo.rgb_to_xyz, model=model,
        )[rows]  # fmt: skip
        trueness = np.tile(np.eye(3) * 25, (len(rows), 1, 1))
    elif rung == "chart":
        every = [i for i in range(24) if photo.usable[i] and i != CARD]
        each = [run(photo, [i], model, [j for j in every if j != i]) for i in rows]
        lab = np.concatenate([c.lab for c in each])
        trueness = np.concatenate([c.trueness for c in each])
    else:
        known = [i for i in WHITE_BLACK if photo.usable[i]] if rung == "greys" else []
        done = run(photo, rows, model, known)
        lab, trueness = done.lab, done.trueness
    off = photo.lab[rows] - lab
    doubt = trueness + REFERENCE_SD**2 * np.eye(3)
    return {
        "error": delta_e2000(lab, photo.lab[rows]),
        "region": np.einsum("ni,nij,nj->n", off, np.linalg.inv(doubt), off),
        "lab": lab,
        "rows": np.array(rows),
    }


RUNGS = ("plain gain", "card", "greys", "chart")


def score_folds(
    photos: list[ChartPhoto], without: dict[str, ErrorModel]
) -> dict[str, list[tuple[ChartPhoto, dict[str, np.ndarray]]]]:
    return {r: [(p, score(p, r, without[p.family])) for p in photos] for r in RUNGS}


def print_scores(scores: dict[str, list[tuple[ChartPhoto, dict[str, np.ndarray]]]]) -> None:
    """A line a rung: median over photos (webcams apart), over families, and what regions held."""
    for rung, results in scores.items():
        pairs = {p.name: np.percentile(s["error"], [50, 95]) for p, s in results}
        held = {p.name: s["region"] < REGION_90 for p, s in results}
        families = sorted({p.family for p, _ in results})
        of = {f: [p.name for p, _ in results if p.family == f] for f in families}
        by = {f: np.median([pairs[n] for n in names], axis=0) for f, names in of.items()}
        share = {f: np.concatenate([held[n] for n in names]).mean() for f, names in of.items()}
        apart = [pairs[n] for f, names in of.items() if f != "webcam" for n in names]
        pooled = np.concatenate(
            [held[n] for f, names in of.items() if f != "webcam" for n in names]
        )
        print(
            f"{rung:10s} photos {fmt(np.median(apart, axis=0))}",
            f"families {fmt(np.median(list(by.values()), axis=0))}",
            f"mean {fmt(np.mean(list(by.values()), axis=0))}",
            f"held: pooled {pooled.mean():.2f}, families alike {np.mean(list(share.values())):.2f}",
        )
        print("     ", "  ".join(f"{f} {fmt(by[f])} {share[f]:.2f}" for f in families), flush=True)


def fmt(pair: np.ndarray) -> str:
    return f"{pair[0]:.1f}/{pair[1]:.1f}"
