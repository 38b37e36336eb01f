"""Prints whether drawn cameras are as wrong as real ones, for the card rung as for a plain gain.

The drawing is held against real chart photos by a plain grey gain alone in the drawing's own check;
what the card rung makes of both is the sharper question, since it undoes what cameras have in
common. Real photos are corrected by models that never saw their camera family.

Run: python tests/studies/score_drawn_look.py
"""

from __future__ import annotations

import json
import os
import sys
import tempfile
from pathlib import Path

import numpy as np
from chart_photos import CARD, ChartPhoto, read_charts
from chart_scores import score

from swatchbath.colorimetry.lab import (
    SRGB_TO_XYZ,
    WHITE_D50,
    WHITE_D65,
    bradford,
    lab_to_xyz,
    xyz_to_lab,
)
from swatchbath.photo.correction.error_model import ErrorModel, load_model, model_from

ROOT = Path(__file__).resolve().parents[1]
LUMINANCE = SRGB_TO_XYZ[1]
PALE, DARK = 20, 22  # rows of the grey above the card and of the one below it


def drawn_photos(cameras: int = 200, photos: int = 2, seed: int = 0) -> list[ChartPhoto]:
    """Drawn charts by fresh cameras in daylight, written and read as the real readings are."""
    sys.path.insert(0, str(ROOT.parent / "sample_swatches"))
    from house_camera import Light, random_camera
    from house_chart import chart_photo
    from house_spectra import chart_reflectances, daylight, weights

    true = chart_reflectances() @ weights() @ bradford(WHITE_D65, WHITE_D50).T
    lab = xyz_to_lab(true, WHITE_D50)
    rng = np.random.default_rng(np.random.SeedSequence([7307, seed]))
    lines = ["photo,camera,light,encoding,patch,R,G,B,clip,L,a,b"]
    for number in range(cameras):
        camera = random_camera(rng)
        for shot in range(photos):
            light = Light("daylight", daylight(rng.uniform(4700, 7600)))
            rgb = chart_photo(camera, light, rng)
            for patch, values in enumerate(np.column_stack([rgb, np.zeros(24), lab]), start=1):
                cells = [f"drawn {number}.{shot}", f"drawn {number}", "daylight", "sRGB, decoded"]
                cells = [f'"{c}"' for c in cells]
                lines.append(",".join([*cells, str(patch), *(f"{v:.7f}" for v in values)]))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "drawn.csv"
        path.write_text("\n".join(lines) + "\n", encoding="utf-8")
        return read_charts(path)


def tell(name: str, photos: list[ChartPhoto], models: dict[str, ErrorModel]) -> None:
    """Errors by plain gain and card, and what the greys say of tone and exposure."""
    used = [p for p in photos if p.gated]
    print(f"== {name}: {len(used)} of {len(photos)} photos with a fair card")
    for rung in ("plain gain", "card"):
        each = [np.percentile(score(p, rung, models[p.family])["error"], [50, 95]) for p in used]
        by: dict[str, list[np.ndarray]] = {}
        for p, pair in zip(used, each, strict=True):
            by.setdefault(p.camera, []).append(pair)
        own = np.array([np.median(pairs, axis=0) for pairs in by.values()])
        middle, high = np.median(each, axis=0)
        low, top = np.percentile(own[:, 0], [10, 90])
        print(
            f"   {rung}: {middle:.2f} / {high:.1f}, {len(own)} cameras' medians "
            f"{np.median(own[:, 0]):.2f}, from {low:.1f} to {top:.1f} (tenth to nine tenths)"
        )
    light = np.array([p.rgb[CARD] @ LUMINANCE for p in used])
    print(
        f"   card's luminance {np.median(light):.2f}, {np.percentile(light, 10):.2f} to "
        f"{np.percentile(light, 90):.2f}; log slope of luminance from card to pale grey "
        f"{np.median([slope(p, PALE) for p in used]):.2f}, from dark grey to card "
        f"{np.median([slope(p, DARK) for p in used]):.2f}"
    )


def slope(photo: ChartPhoto, row: int) -> float:
    """How much the rendering spreads a grey and the card apart, in logarithms."""
    seen = np.log(photo.rgb[[row, CARD]] @ LUMINANCE)
    true = np.log(lab_to_xyz(photo.lab[[row, CARD]])[:, 1])
    return float(np.subtract(*seen) / np.subtract(*true))


def main() -> None:
    stored = json.loads((ROOT / "reference/typical_camera_left_out.json").read_text("utf-8"))
    shipped = ROOT.parent / "src/swatchbath/photo/correction/typical_camera.json"
    frequencies = json.loads(shipped.read_text("utf-8"))["frequencies"]
    models = {f: model_from(part, frequencies) for f, part in stored["rendered"].items()}
    folder = os.environ.get("SWATCHBATH_REFERENCE")
    more = Path(folder or "") / "checks" / "chart_readings_more.csv"
    real = read_charts(ROOT / "reference/chart_readings.csv")
    real = [p for p in real if p.encoding == "rendered" and p.family != "webcam"]
    tell("real, webcams apart", real, models)
    if folder and more.is_file():
        further = [p for p in read_charts(more) if p.encoding == "rendered"]
        further = [p for p in further if "machine-vision" not in p.camera]
        unseen = {p.family: load_model("rendered") for p in further}
        tell("real, and further ones", real + further, unseen | models)
    drawn = drawn_photos()
    tell("drawn", drawn, {p.family: load_model("rendered") for p in drawn})


if __name__ == "__main__":
    main()
