"""Prints how the rungs do on cameras left out: differences, known swatches, profiles, by colour.

Run after fit_typical_camera.py --write: python tests/studies/score_rungs.py
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
from chart_photos import CARD, WHITE_BLACK, ChartPhoto, read_charts
from chart_scores import (
    REFERENCE_SD,
    REGION_90,
    print_scores,
    run,
    score,
    score_folds,
    usable,
)

from swatchbath.colorimetry import delta_e2000
from swatchbath.photo.correction.anchors import Anchors
from swatchbath.photo.correction.base import base_lab
from swatchbath.photo.correction.corrections import OWN_SD, correct
from swatchbath.photo.correction.error_model import ErrorModel, model_from
from swatchbath.photo.correction.origin import Sources

ROOT = Path(__file__).parents[1]
Models = dict[str, ErrorModel]
# Photos that also lie in the folder of real chart photos, as read here.
FOLDER = (
    "jtvd_cc_01 jtvd_cc_02 jtvd_cc_03 jtvd_cc_06 jtvd_cc_07 jtvd_mini_1 jtvd_mini_2 jtvd_mini_5 "
    "qiu_passport math_1 pcvb_source1"
).split()


def spread(values: np.ndarray) -> np.ndarray:
    return np.percentile(values, [50, 95])


def held(off: np.ndarray, doubt: np.ndarray) -> np.ndarray:
    return np.einsum("ni,nij,nj->n", off, np.linalg.inv(doubt), off) < REGION_90


def differences(photos: list[ChartPhoto], models: Models) -> None:
    """Two patches in one photo: error of their difference, and what its region holds."""
    edges = (0, 15, 25, 40, 60, 90, 200)
    error, plain, inside, distance = [], [], [], []
    for p in photos:
        rows = usable(p)
        done = run(p, rows, models[p.family], [])
        a, b = np.triu_indices(len(rows), 1)
        known = p.lab[rows]
        true = delta_e2000(known[a], known[b])
        for lab, to in (
            (done.lab, error),
            (score(p, "plain gain", models[p.family])["lab"], plain),
        ):
            off = np.abs(delta_e2000(lab[a], lab[b]) - true)[true < 12]
            if len(off):
                to.append(spread(off))
        doubt = 2 * (OWN_SD**2 + REFERENCE_SD**2) * np.eye(3) + sum(
            (x[a] - x[b]) @ (x[a] - x[b]).transpose(0, 2, 1) for x in done.shared.values()
        )
        inside.append(held((known - done.lab)[a] - (known - done.lab)[b], doubt))
        distance.append(np.linalg.norm(known[a] - known[b], axis=1))
    where = np.digitize(np.concatenate(distance), edges)
    yes = np.concatenate(inside)
    print("differences under 12", np.median(error, 0), "plain gain", np.median(plain, 0))
    for i, (low, high) in enumerate(zip(edges, edges[1:], strict=False), 1):
        print(
            f"   Lab distance {low}-{high}: held {yes[where == i].mean():.2f} of {sum(where == i)}"
        )


def by_colour(photos: list[ChartPhoto], models: Models) -> None:
    """What the `card` regions hold by hue quarter and chroma third."""
    rows = []
    for p in photos:
        s = score(p, "card", models[p.family])
        a, b = p.lab[s["rows"], 1], p.lab[s["rows"], 2]
        hue = np.degrees(np.arctan2(b, a)) % 360
        rows.append(np.stack([hue, np.hypot(a, b), s["region"] < REGION_90, s["error"]], axis=1))
    hue, chroma, inside, error = np.concatenate(rows).T
    for low in (0, 90, 180, 270):
        of = (hue >= low) & (hue < low + 90)
        print(
            f"   hue {low}: held {inside[of].mean():.2f}, median error {np.median(error[of]):.1f}"
        )
    for low, high in ((0, 30), (30, 52), (52, 100)):
        of = (chroma >= low) & (chroma < high)
        print(f"   C* {low}-{high}: held {inside[of].mean():.2f}")


def known_swatches(photos: list[ChartPhoto], models: Models, number: int) -> None:
    """Some swatches known, the others judged; 8 draws a photo."""
    rng = np.random.default_rng(0)
    scores = []
    for p in photos:
        rows = usable(p)
        if len(rows) < number + 2:
            continue
        errors = []
        for _ in range(8):
            known = sorted(rng.choice(rows, number, replace=False).tolist())
            rest = [i for i in rows if i not in known]
            errors.append(delta_e2000(run(p, rest, models[p.family], known).lab, p.lab[rest]))
        scores.append(spread(np.concatenate(errors)))
    print(f"known {number}:", np.median(scores, axis=0).round(1), f"{len(scores)} photos")


def profiles(photos: list[ChartPhoto], models: Models, *, same_light: bool) -> None:
    """Card and all earlier chart photos of the camera, the judged patch left out of them too."""
    scores, alone, inside = [], [], []
    for p in photos:
        earlier = [
            q for q in photos
            if q is not p and q.camera == p.camera and (q.light == p.light) == same_light
        ]  # fmt: skip
        if not earlier or p.family in ("unknown", "plant booth"):
            continue  # copies and near copies of one picture
        model, rows, errors = models[p.family], usable(p), []
        for i in rows:
            base, lab, names = [], [], []
            for q in earlier:
                use = [j for j in range(24) if q.usable[j] and j not in (CARD, i)]
                frame = {"card_rgb": q.rgb[CARD], "card_lab": q.lab[CARD]}
                frame |= {"encoding": q.encoding, "rgb_to_xyz": q.rgb_to_xyz, "model": model}
                base.append(base_lab(q.rgb[use], **frame))
                lab.append(q.lab[use])
                names += [q.name] * len(use)
            done = correct(
                p.rgb[[i]], card_rgb=p.rgb[CARD], card_lab=p.lab[CARD], encoding=p.encoding,
                rgb_to_xyz=p.rgb_to_xyz, model=model, sources=Sources("c", "p", "k"),
                anchors=Anchors(np.concatenate(base), np.concatenate(lab), photo=tuple(names)),
            )  # fmt: skip
            off = p.lab[[i]] - done.lab
            errors.append(delta_e2000(done.lab[0], p.lab[i]))
            inside.append(held(off, done.trueness + REFERENCE_SD**2 * np.eye(3))[0])
        scores.append(spread(np.array(errors)))
        alone.append(spread(score(p, "card", model)["error"]))
    if scores:
        print(
            f"camera, {'same' if same_light else 'other'} light, {len(scores)} photos:",
            np.median(scores, axis=0).round(1), "mean", np.mean(scores, axis=0).round(1),
            "card alone", np.median(alone, axis=0).round(1), np.mean(alone, axis=0).round(1),
            f"held {np.mean(inside):.2f}",
        )  # fmt: skip


def greys_on_greys(photos: list[ChartPhoto], models: Models) -> None:
    """The greys between white, card and black, with the card alone and with all three."""
    for known in ((), WHITE_BLACK):
        errors = []
        for p in photos:
            rows = [i for i in (19, 20, 22) if p.usable[i]]
            use = [i for i in known if p.usable[i]]
            errors.append(spread(delta_e2000(run(p, rows, models[p.family], use).lab, p.lab[rows])))
        print("greys judged,", "three greys" if known else "card", np.median(errors, 0).round(1))


def against_plain(photos: list[ChartPhoto], models: Models) -> None:
    """Median error with the card less that of a plain gain: the worst photos, gated or not."""
    rows = []
    for p in photos:
        if len(usable(p)) > 2:
            card, plain = (score(p, r, models[p.family])["error"] for r in ("card", "plain gain"))
            rows.append((round(float(np.median(card) - np.median(plain)), 1), p.name, p.gated))
    print(
        "card less plain gain, worst:",
        sorted(rows)[-6:],
        f"mean {np.mean([r[0] for r in rows]):.2f}",
    )


def nominal_card(photos: list[ChartPhoto], models: Models) -> None:
    """With an unnamed 18 % grey for the card's own colour; and each camera's median, spread over
    cameras, with its own."""
    by_camera: dict[str, list[np.ndarray]] = {}
    unnamed = []
    for p in photos:
        rows = usable(p)
        done = correct(
            p.rgb[rows], card_rgb=p.rgb[CARD], card_lab=None, encoding=p.encoding,
            rgb_to_xyz=p.rgb_to_xyz, model=models[p.family], sources=Sources("c", "p", "k"),
        )  # fmt: skip
        unnamed.append(spread(delta_e2000(done.lab, p.lab[rows])))
        own = spread(score(p, "card", models[p.family])["error"])
        by_camera.setdefault(p.camera, []).append(own)
    each = np.array([np.median(errors, axis=0) for errors in by_camera.values()])
    print("nominal card", np.median(unnamed, 0).round(1))
    print(
        f"{len(each)} cameras: median", np.median(each, 0).round(1),
        "from", each.min(0).round(1), "to", each.max(0).round(1),
    )  # fmt: skip


def in_folder(photos: list[ChartPhoto], models: Models) -> None:
    """The photos that lie in the folder: with the card, and as decoded."""
    card, decoded = [], []
    for p in photos:
        if p.name in FOLDER:
            frame = {"card_rgb": np.full(3, 0.18), "card_lab": [49.496, 0, 0]}
            frame |= {"encoding": "linear", "rgb_to_xyz": p.rgb_to_xyz}
            rows = usable(p)
            card.append(spread(score(p, "card", models[p.family])["error"]))
            decoded.append(spread(delta_e2000(base_lab(p.rgb[rows], **frame), p.lab[rows])))
    print(
        f"{len(card)} photos of the folder: card", np.median(card, 0).round(1),
        "as decoded", np.median(decoded, 0).round(1),
    )  # fmt: skip


def main() -> None:
    stored = json.loads((ROOT / "reference/typical_camera_left_out.json").read_text("utf-8"))
    shipped = ROOT.parent / "src/swatchbath/photo/correction/typical_camera.json"
    frequencies = json.loads(shipped.read_text("utf-8"))["frequencies"]
    everything = read_charts(ROOT / "reference/chart_readings.csv")
    for encoding in ("rendered", "linear"):
        every = [p for p in everything if p.encoding == encoding]
        models = {f: model_from(part, frequencies) for f, part in stored[encoding].items()}
        gated = [p for p in every if p.gated]
        photos = [p for p in gated if p.family != "webcam"]
        print(f"== {encoding}: {len(gated)} gated photos, {len(photos)} not by webcams")
        print_scores(score_folds(gated, models))
        differences(photos, models)
        by_colour(photos, models)
        for number in (6, 12):
            known_swatches(photos, models, number)
        for same in (True, False):
            profiles(photos, models, same_light=same)
        greys_on_greys(photos, models)
        against_plain(every, models)
        nominal_card(photos, models)
        if encoding == "rendered":
            in_folder(photos, models)


if __name__ == "__main__":
    main()
