"""Fit the look of drawn cameras to real chart photos: python sample_swatches/calibrate_look.py

Reads checks/chart_readings.csv in the folder that SWATCHBATH_REFERENCE names (readings of the
24-patch chart, linear sRGB, with reference CIELAB for D50) and prints mean and spread over cameras
of the 15 numbers of `apply_look`, which house_camera.py holds rounded. Webcams and one
over-exposed booth camera are left out: the sample is taken with phones and cameras.
"""

import csv
import os
import sys
from collections import defaultdict
from pathlib import Path

import colour
import numpy as np
from house_camera import TO_XYZ, apply_look, linear_to_lab
from scipy.optimize import least_squares

D50 = np.array([0.34567, 0.35850])  # CIE 15, 2 degree
START = np.r_[np.zeros(13), 1.3, -1.0]
# How far each number is expected to wander (ridge): by eye, from the size of the errors seen.
EXPECTED = np.r_[np.full(5, 0.15), np.full(5, 0.12), np.full(3, 4.0), 0.25, 0.7]


def read_photos(path):
    """{(family, photo): (24, 7) R, G, B, clipped share, L, a, b} of rendered phones and cameras."""
    photos = defaultdict(list)
    with open(path, newline="", encoding="utf-8") as file:
        for row in csv.DictReader(line for line in file if not line.startswith("#")):
            camera, photo = row["camera"], row["photo"]
            if row["encoding"] != "sRGB, decoded" or camera.startswith(("webcam", "plant booth")):
                continue
            family = photo.split("_")[0] if camera == "unknown camera" else camera
            values = [float(row[k]) for k in ("R", "G", "B", "clip", "L", "a", "b")]
            photos[family, photo].append((int(row["patch"]), values))
    return {
        key: np.array([v for _, v in sorted(rows)])
        for key, rows in photos.items()
        if len(rows) == 24
    }


def fit_photo(table):
    """(15,) numbers of the look that best explain one chart photo after a plain grey gain."""
    rgb, clipped = table[:, :3], table[:, 3]
    white = np.append(D50[0], [D50[1], 1 - D50.sum()]) / D50[1]
    adapt = colour.adaptation.matrix_chromatic_adaptation_VonKries(
        white, TO_XYZ["sRGB"].sum(1), "Bradford"
    )
    true = colour.Lab_to_XYZ(table[:, 4:], D50) @ adapt.T @ np.linalg.inv(TO_XYZ["sRGB"]).T
    true = np.maximum(true, 1e-5)
    ok = (clipped < 0.1) & (rgb.max(1) < 0.98) & (rgb.min(1) > 0.0005)
    seen = np.stack(linear_to_lab(np.maximum(rgb * true[21] / rgb[21], 1e-5)), -1)
    aim = np.stack(linear_to_lab(true), -1)
    chroma, hue = np.hypot(aim[:, 1], aim[:, 2]), np.arctan2(aim[:, 2], aim[:, 1])

    def misses(look):
        drawn = np.maximum(apply_look(true, look), 1e-5)
        off = np.stack(linear_to_lab(drawn * true[21] / drawn[21]), -1) - seen
        along = off[:, 1] * np.cos(hue) + off[:, 2] * np.sin(hue)
        across = -off[:, 1] * np.sin(hue) + off[:, 2] * np.cos(hue)
        # Weighted as CIEDE2000 weighs chroma and hue; two units are what is left unexplained.
        parts = [off[:, 0], along / (1 + 0.045 * chroma), across / (1 + 0.015 * chroma)]
        return np.r_[np.stack(parts, 1)[ok].ravel() / 2, (look - START) / EXPECTED]

    return least_squares(misses, START).x


def main():
    """Print the mean over cameras, the spread between cameras and the spread between photos."""
    folder = os.environ.get("SWATCHBATH_REFERENCE")
    if not folder:
        sys.exit("Set SWATCHBATH_REFERENCE to the folder that holds checks/chart_readings.csv.")
    looks = defaultdict(list)
    for (family, _), table in read_photos(Path(folder) / "checks" / "chart_readings.csv").items():
        looks[family].append(fit_photo(table))
    means = np.array([np.mean(found, 0) for found in looks.values()])
    within = np.concatenate([np.array(f) - np.mean(f, 0) for f in looks.values() if len(f) > 2])
    np.set_printoptions(precision=3, suppress=True, linewidth=120)
    print(f"{len(means)} cameras, {sum(map(len, looks.values()))} photos")
    print("mean", means.mean(0), "spread", means.std(0, ddof=1), "shot", within.std(0), sep="\n")


if __name__ == "__main__":
    main()
