"""Fit the look of drawn cameras to real chart photos: python sample_swatches/calibrate_look.py

Reads checks/chart_readings.csv and checks/chart_readings_more.csv in the folder that
SWATCHBATH_REFERENCE names (readings of the 24-patch chart, linear sRGB, with reference CIELAB for
D50). First the greys: how bright the photo was taken and the camera's tone curve. Then, with these
held, the 13 numbers of colour. It prints mean and spread over cameras, and the spread between
photos of one camera, which house_camera.py holds rounded. Webcams, machine-vision cameras, one
over-exposed booth camera and photos whose grey patch is very dark, bright or tinted are left out:
the sample is taken with phones and cameras, as a dyer takes care to.
"""

import csv
import os
import sys
from collections import defaultdict
from pathlib import Path

import colour
import numpy as np
from house_camera import TO_XYZ, apply_look, linear_to_lab, tone
from scipy.optimize import least_squares

D50 = np.array([0.34567, 0.35850])  # CIE 15, 2 degree
GREYS, GREY = slice(18, 24), 21  # the six neutral patches, and the mid grey among them
LUMINANCE = TO_XYZ["sRGB"][1]
# Where the fit of the greys starts, and how far each may wander (ridge), by eye: tone power,
# ln(tone ceiling - 1), ln exposure (0 where the raw light of a grey of 0.18 is 0.18).
START, EXPECTED = np.array([1.4, -0.7, 0.0]), np.array([0.3, 0.7, 0.6])
# The same for the colours (they start at no change), from the size of the errors seen.
COLOURS = np.r_[np.full(5, 0.15), np.full(5, 0.12), np.full(3, 4.0)]
LEFT_OUT = ("webcam", "plant booth", "machine-vision")


def read_photos(path):
    """{(family, photo): (24, 7) R, G, B, clipped share, L, a, b} of rendered phones and cameras."""
    photos = defaultdict(list)
    with open(path, newline="", encoding="utf-8") as file:
        for row in csv.DictReader(line for line in file if not line.startswith("#")):
            camera, photo = row["camera"], row["photo"]
            if row["encoding"] != "sRGB, decoded" or camera.startswith(LEFT_OUT):
                continue
            family = photo.split("_")[0] if camera == "unknown camera" else camera
            values = [float(row[k]) for k in ("R", "G", "B", "clip", "L", "a", "b")]
            photos[family, photo].append((int(row["patch"]), values))
    whole = {
        key: np.array([v for _, v in sorted(rows)])
        for key, rows in photos.items()
        if len(rows) == 24
    }
    return {key: table for key, table in whole.items() if _careful(table[GREY, :3])}


def _careful(grey):
    """Whether a photo's mid grey is neither very dark nor bright nor tinted."""
    return 0.05 <= grey @ LUMINANCE <= 0.45 and np.log(grey.max() / grey.min()) <= 0.5


def true_linear(table):
    """(24, 3) linear sRGB of the chart's own colours, adapted to D65 by Bradford."""
    white = np.append(D50[0], [D50[1], 1 - D50.sum()]) / D50[1]
    adapt = colour.adaptation.matrix_chromatic_adaptation_VonKries(
        white, TO_XYZ["sRGB"].sum(1), "Bradford"
    )
    true = colour.Lab_to_XYZ(table[:, 4:], D50) @ adapt.T @ np.linalg.inv(TO_XYZ["sRGB"]).T
    return np.maximum(true, 1e-5)


def fit_greys(true, table):
    """(3,) tone power, ln(ceiling - 1) and ln exposure that best explain the greys' luminance."""
    rgb, clipped = table[GREYS, :3], table[GREYS, 3]
    ok = (clipped < 0.1) & (rgb.max(1) < 0.98) & (rgb.min(1) > 0.0005)
    seen, own = np.log(np.maximum(rgb @ LUMINANCE, 1e-5)), true[GREYS] @ LUMINANCE

    def misses(three):
        drawn = tone(own * np.exp(three[2]), three[0], 1 + np.exp(three[1]))
        # A twentieth is what chart, light and the curve's shape leave unexplained.
        return np.r_[(np.log(drawn) - seen)[ok] / 0.05, (three - START) / EXPECTED]

    return least_squares(misses, START).x


def fit_photo(table):
    """(16,) numbers of the look that best explain one chart photo, and its ln exposure."""
    true = true_linear(table)
    greys = fit_greys(true, table)
    rgb, clipped = table[:, :3], table[:, 3]
    ok = (clipped < 0.1) & (rgb.max(1) < 0.98) & (rgb.min(1) > 0.0005)
    seen = np.stack(linear_to_lab(np.maximum(rgb * true[GREY] / rgb[GREY], 1e-5)), -1)
    aim = np.stack(linear_to_lab(true), -1)
    chroma, hue = np.hypot(aim[:, 1], aim[:, 2]), np.arctan2(aim[:, 2], aim[:, 1])
    taken = true * np.exp(greys[2])

    def misses(colours):
        drawn = np.maximum(apply_look(taken, np.r_[colours, greys[:2]]), 1e-5)
        off = np.stack(linear_to_lab(drawn * true[GREY] / drawn[GREY]), -1) - seen
        along = off[:, 1] * np.cos(hue) + off[:, 2] * np.sin(hue)
        across = -off[:, 1] * np.sin(hue) + off[:, 2] * np.cos(hue)
        # Weighted as CIEDE2000 weighs chroma and hue; two units are what is left unexplained.
        parts = [off[:, 0], along / (1 + 0.045 * chroma), across / (1 + 0.015 * chroma)]
        return np.r_[np.stack(parts, 1)[ok].ravel() / 2, colours / COLOURS]

    return np.r_[least_squares(misses, np.zeros(13)).x, greys]


def main():
    """Print the mean over cameras, the spread between cameras and the spread between photos."""
    folder = os.environ.get("SWATCHBATH_REFERENCE")
    if not folder:
        sys.exit("Set SWATCHBATH_REFERENCE to the folder that holds checks/chart_readings.csv.")
    looks = defaultdict(list)
    for name in ("chart_readings.csv", "chart_readings_more.csv"):
        for (family, _), table in read_photos(Path(folder) / "checks" / name).items():
            looks[family].append(fit_photo(table))
    means = np.array([np.mean(found, 0) for found in looks.values()])
    within = np.concatenate([np.array(f) - np.mean(f, 0) for f in looks.values() if len(f) > 2])
    np.set_printoptions(precision=3, suppress=True, linewidth=120)
    print(f"{len(means)} cameras, {sum(map(len, looks.values()))} photos")
    print("mean", means.mean(0), "spread", means.std(0, ddof=1), "shot", within.std(0), sep="\n")


if __name__ == "__main__":
    main()
