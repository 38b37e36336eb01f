"""How wrong drawn photos of the 24-patch chart are, to hold the look's strength against real ones.

Real rendered photos (35 by eleven phones and cameras), after a plain grey gain per channel: median
5.0 and 95th percentile 8.9 CIEDE2000 in a photo, cameras from about 4 to 10.
"""

from dataclasses import replace

import colour
import numpy as np
from house_camera import (
    TO_XYZ,
    Light,
    apply_look,
    automatics,
    linear_to_lab,
    random_camera,
    raw_of,
)
from house_spectra import GRID, chart_reflectances, daylight, reflectance_to_lab, weights


def chart_photo(camera, light, rng):
    """(24, 3) linear sRGB of the 24-patch chart in one drawn photo: no noise, 1 % uneven light."""
    chart = chart_reflectances()
    camera = replace(camera, space="sRGB")
    raw = raw_of(chart, camera, light) * np.exp(rng.normal(0, 0.01, (24, 1)))
    mean, grey = raw.mean(0), raw_of(np.full(len(GRID), 0.18), camera, light)
    shot = automatics(camera, light, mean, grey, rng)
    seen = (raw + camera.flare * mean) * shot.exposure
    linear = seen * shot.balance @ camera.matrix.T
    return np.clip(apply_look(np.maximum(linear, 1e-5), shot.look), 0, 1)


def chart_errors(camera, light, rng):
    """Errors of the colour patches after a plain grey gain per channel, in one drawn photo.

    Returns {"dE": (18,), "lab": (18, 3), "true": (18, 3)}; clipped patches are NaN in dE, as they
    are left out in the real study.
    """
    read = chart_photo(camera, light, rng)
    true = reflectance_to_lab(chart_reflectances())
    to_xyz = TO_XYZ["sRGB"]
    wanted = np.linalg.inv(to_xyz) @ (chart_reflectances()[21] @ weights())
    gained = np.maximum(read * (wanted / read[21]), 1e-5)
    lab = np.stack(linear_to_lab(gained), -1)
    error = colour.delta_E(lab, true, method="CIE 2000")
    clipped = (read.max(1) > 0.98) | (read.min(1) < 0.001)
    error = np.where(clipped, np.nan, error)
    return {"dE": error[:18], "lab": lab[:18], "true": true[:18]}


def chart_check(cameras=40, photos=3, seed=0):
    """How wrong drawn photos of the chart are after a plain grey gain: (cameras, photos, 18).

    To be compared with real rendered photos: median 5.0 and 95th percentile 8.9 in a photo,
    cameras from 4 to 10. Lights are daylight, as in those photos.
    """
    rng = np.random.default_rng(np.random.SeedSequence([7303, seed]))
    table = []
    for _ in range(cameras):
        camera, row = random_camera(rng), []
        for _ in range(photos):
            light = Light("daylight", daylight(rng.uniform(4700, 7600)))
            row.append(chart_errors(camera, light, rng)["dE"])
        table.append(row)
    return np.array(table)


def describe_check(table):
    """One plain sentence about what `chart_check` returned."""
    middle, high = np.nanmedian(table, 2), np.nanpercentile(table, 95, axis=2)
    by_camera = np.median(middle, 1)
    low, top = np.percentile(by_camera, [5, 95])
    return (
        f"chart after a grey gain, CIEDE2000: median {np.median(middle):.1f}, 95th percentile in "
        f"a photo {np.median(high):.1f}; cameras' medians {low:.1f} to {top:.1f}, "
        f"mean {by_camera.mean():.1f}"
    )
