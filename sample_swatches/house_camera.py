"""Drawn cameras and lights: sensitivities, maker's matrix, white balance, tone curve and look.

A camera here is a set of numbers (`Camera`), a light is a spectrum with its unevenness over the
frame (`Light`). `develop` turns the raw light of a scene into the 8-bit picture that a phone would
have written. `house_chart.py` holds the strength of it all against real photos.
"""

from dataclasses import dataclass, replace
from functools import lru_cache

import colour
import numpy as np
from house_spectra import (
    GRID,
    daylight,
    light_spectrum,
    on_grid,
    training_reflectances,
    weights,
)
from scipy import ndimage

# IEC 61966-2-1: linear sRGB to XYZ, D65; and the same for P3 primaries with a D65 white
# (SMPTE EG 432-1 primaries), both as colour-science computes them.
TO_XYZ = {
    "sRGB": np.asarray(colour.RGB_COLOURSPACES["sRGB"].matrix_RGB_to_XYZ, float),
    "P3": np.asarray(colour.RGB_COLOURSPACES["Display P3"].matrix_RGB_to_XYZ, float),
}

# Mean and spread over cameras of the look below. Fitted to the rendered charts of eleven phones and
# cameras (31 real photos) by calibrate_look.py, tone and exposure on the greys first; rounded, and
# the spread taken four fifths (of tone power three fifths), since the fit's own noise is in it: so
# drawn charts are as wrong as real ones, both after a plain gain and by the package's card rung
# (tests/studies/score_drawn_look.py).
# Order: ln chroma (1, cos h, sin h, cos 2h, sin 2h), hue turn in radians (same five), lightness in
# L* per 50 of chroma (1, cos h, sin h), tone power, ln(tone ceiling - 1); h is CIELAB's hue angle.
LOOK_MEAN = np.array(
    [
        -0.03,
        0.01,
        0.01,
        -0.03,
        0.035,
        0.005,
        -0.005,
        -0.04,
        0.01,
        -0.005,
        2.2,
        -0.4,
        -1.6,
        1.45,
        -1.0,
    ]
)
LOOK_SPREAD = np.array(
    [0.09, 0.06, 0.05, 0.07, 0.055, 0.03, 0.055, 0.043, 0.05, 0.055, 2.7, 2.1, 1.8, 0.23, 0.8]
)
# The same between photos of one camera: scene-dependent rendering. About two thirds of what the
# fit gives, whose own noise is in it.
LOOK_SHOT = np.array(
    [0.04, 0.02, 0.02, 0.016, 0.014, 0.01, 0.012, 0.017, 0.013, 0.012, 1.0, 0.45, 0.35, 0.04, 0.18]
)
# Natural log of exposure, from the same fit of the greys: how far cameras differ, and photos of
# one camera (half of what was found, since the scene's part comes by itself here).
EXPOSURE_SPREAD, EXPOSURE_SHOT = 0.30, 0.16
# Where a camera wants the lights of a scene, as linear light after its tone curve: by eye.
HIGH_LIGHT = 0.70
# How much of the change from photo to photo is the sitting's, as variance: by eye from real photos
# of one phone, which repeat to 1.8 CIEDE2000 in one place and to 2.9 in any.
SITTING_PART = 0.4


@dataclass(frozen=True)
class Light:
    """A light on the table: spectrum (81,), and its unevenness over the frame.

    slope: (right, down) natural log of brightness from one edge to the other; tint: the same for
    red minus blue, half each way. mood (15,): how cameras render in this place and light, in units
    of LOOK_SHOT, shared by the photos of one sitting; None where no other photo is of it.
    """

    name: str
    spectrum: np.ndarray
    slope: tuple = (0.0, 0.0)
    tint: tuple = (0.0, 0.0)
    mood: np.ndarray | None = None


@dataclass(frozen=True)
class Camera:
    """One camera: sensitivities (81, 3), maker's matrix (3, 3) from balanced raw to linear sRGB."""

    name: str
    sensitivity: np.ndarray
    matrix: np.ndarray
    look: np.ndarray
    electrons: float = 30000.0  # at full scale, per pixel of the picture, several of the sensor
    read: float = 0.001  # read noise, of full scale
    flare: float = 0.006  # veiling glare, share of the mean raw light
    vignette: float = 0.06  # brightness lost in the corners
    sharpen: float = 0.25
    balance_error: float = 0.045  # sd of ln gain, red and blue against green
    exposure: float = 0.0  # ln: how much brighter than most this camera exposes
    exposure_error: float = EXPOSURE_SHOT  # sd of ln exposure from photo to photo
    space: str = "sRGB"  # of the picture written: sRGB or P3


def makers_matrix(sensitivity):
    """(3, 3) from raw balanced on white to linear sRGB, keeping white: fitted on CIE 224 samples.

    Pooled under D65, D55 and D50, as a maker who knows nothing of dyes would.
    """
    samples, to_rgb = training_reflectances(), np.linalg.inv(TO_XYZ["sRGB"])
    wanted = np.tile(samples @ weights() @ to_rgb.T, (3, 1))
    raw = []
    for kelvin in (6504, 5503, 5003):
        s = sensitivity * daylight(kelvin)[:, None]
        raw.append((samples @ s) / s.sum(0))
    raw = np.concatenate(raw)
    # Relative errors matter to the eye: weigh by 1 / (0.05 + luminance).
    weigh = 1 / (0.05 + wanted @ TO_XYZ["sRGB"][1])[:, None]
    # Rows sum to one: fit the differences from the last channel.
    left = (raw[:, :2] - raw[:, 2:]) * weigh
    two = np.linalg.lstsq(left, (wanted - raw[:, 2:]) * weigh, rcond=None)[0].T
    return np.column_stack([two, 1 - two.sum(1)])


@lru_cache(maxsize=1)
def _measured_cameras():
    tables = []
    for name in ("Nikon 5100 (NPL)", "Sigma SDMerill (NPL)"):
        table = on_grid(colour.MSDS_CAMERA_SENSITIVITIES[name])
        tables.append(table / table.max(0))
    return tables


def random_sensitivity(rng):
    """(81, 3) a measured camera's curves, shifted, widened, mixed a little and cut in the red."""
    first, second = _measured_cameras()
    common = rng.normal(0, 2.0)
    curves = []
    for channel in range(3):
        mix = rng.uniform(0, 0.25)
        table = (1 - mix) * first[:, channel] + mix * second[:, channel]
        centre = (GRID * table).sum() / table.sum()
        width = np.exp(rng.normal(0, 0.06))
        at = centre + (GRID - centre - common - rng.normal(0, 3.0)) / width
        curves.append(np.interp(at, GRID, table, left=0, right=0))
    curves = np.stack(curves, 1)
    leak = np.eye(3) + rng.uniform(0, 0.05, (3, 3)) * (1 - np.eye(3))
    red_cut = 1 / (1 + np.exp((GRID - rng.normal(675, 10)) / 8.0))
    return (curves @ leak.T) * red_cut[:, None]


def random_camera(rng, name="drawn camera"):
    """A camera with its own sensitivities, matrix, look and noise."""
    sensitivity = random_sensitivity(rng)
    # Some makers are bolder than others: the whole departure is scaled, so that cameras' medians
    # reach from about 4 to 10 as real ones do: most are mild, a few are bold.
    bold = np.exp(rng.normal(-0.3, 0.5))
    look = LOOK_MEAN + bold * LOOK_SPREAD * rng.normal(0, 1, len(LOOK_MEAN))
    look[13] = np.clip(look[13], 0.95, 1.8)
    look[14] = np.clip(look[14], -2.5, 1.0)
    return Camera(
        name=name,
        sensitivity=sensitivity,
        matrix=makers_matrix(sensitivity),
        look=look,
        electrons=float(np.exp(rng.normal(np.log(30000), 0.5))),
        read=float(np.exp(rng.normal(np.log(0.001), 0.4))),
        flare=float(np.exp(rng.normal(np.log(0.006), 0.5))),
        vignette=float(rng.uniform(0.0, 0.12)),
        sharpen=float(rng.uniform(0.0, 0.45)),
        exposure=float(np.clip(rng.normal(0, EXPOSURE_SPREAD), -0.5, 0.5)),
    )


def random_light(rng):
    """Three times in four daylight of 4700 to 7600 K, else a white LED; uneven over the frame."""
    if rng.random() < 0.75:
        kelvin = float(np.exp(rng.uniform(np.log(4700), np.log(7600))))
        name, spectrum = f"daylight {kelvin:.0f} K", daylight(kelvin)
    else:
        name = str(rng.choice(["LED-B3", "LED-B4", "LED-B5"]))
        spectrum = light_spectrum(name)
    angle = rng.uniform(0, 2 * np.pi)
    # Ten per cent or so from edge to edge beside a window (common experience, no source).
    size, tint = abs(rng.normal(0, 0.09)) + 0.02, rng.normal(0, 0.012)
    way = np.array([np.cos(angle), np.sin(angle)])
    mood = rng.normal(0, 1, len(LOOK_SHOT))
    return Light(name, spectrum, tuple(size * way), tuple(tint * way), mood)


def uneven(light, share, angle, size):
    """The light, its brightness changing by `share` over a frame's diagonal, towards `angle`.

    share: 0.3 is 30 per cent brighter at one end of a line as long as the diagonal; angle: radians,
    0 to the right, downwards positive; size: (width, height). Its tint goes.
    """
    w, h = size
    steep = np.log1p(share) / np.hypot(w, h)
    slope = (steep * w * np.cos(angle), steep * h * np.sin(angle))
    return replace(light, slope=slope, tint=(0.0, 0.0))


def raw_of(reflectance, camera, light):
    """(..., 3) raw light of reflectances (..., 81); a perfect white under this light is 1."""
    s = camera.sensitivity * light.spectrum[:, None]
    return np.asarray(reflectance) @ s / s.sum(0)


def field(camera, light, size):
    """(h, w, 3) light over the frame in raw channels, 1 in the middle."""
    w, h = size
    x = np.linspace(-0.5, 0.5, w)[None, :]
    y = np.linspace(-0.5, 0.5, h)[:, None]
    even = np.exp(light.slope[0] * x + light.slope[1] * y)
    even = even * (1 - camera.vignette * (x * x + y * y) / 0.5)
    tint = light.tint[0] * x + light.tint[1] * y
    return np.stack([even * np.exp(tint / 2), even, even * np.exp(-tint / 2)], -1)


def tone(y, power, ceiling):
    """A camera's tone curve on linear values: steeper about mid grey, bending over to a ceiling.

    Keeps 0.18 where it is: ceiling y^p / (y^p + c).
    """
    y = np.maximum(y, 1e-5) ** power
    c = 0.18**power * (ceiling / 0.18 - 1)
    return ceiling * y / (y + c)


def raw_of_tone(value, power, log_ceiling):
    """The linear value that `tone` brings to `value`, with the two numbers as a look holds them."""
    ceiling = 1 + np.exp(log_ceiling)
    c = 0.18**power * (ceiling / 0.18 - 1)
    return (c * value / (ceiling - value)) ** (1 / power)


_WHITE = np.array([0.95047, 1.0, 1.08883])  # D65, 2 degree, as in IEC 61966-2-1


def linear_to_lab(rgb):
    t = np.maximum(rgb @ TO_XYZ["sRGB"].T / _WHITE, 1e-7)
    f = np.where(t > 216 / 24389, np.cbrt(t), (24389 / 27 * t + 16) / 116)
    a, b = 500 * (f[..., 0] - f[..., 1]), 200 * (f[..., 1] - f[..., 2])
    return 116 * f[..., 1] - 16, a, b


def _rgb(lightness, a, b, space):
    fy = (lightness + 16) / 116
    f = np.stack([fy + a / 500, fy, fy - b / 200], -1)
    t = np.where(f > 6 / 29, f**3, (116 * f - 16) * 27 / 24389)
    return (t * _WHITE) @ np.linalg.inv(TO_XYZ[space]).T


def apply_look(rgb, look, space="sRGB"):
    """Linear sRGB (..., 3) to the linear values the camera writes: tone, then a twist by hue."""
    lightness, a, b = linear_to_lab(tone(rgb, look[13], 1 + np.exp(look[14])))
    chroma, hue = np.hypot(a, b), np.arctan2(b, a)
    c1, s1 = np.cos(hue), np.sin(hue)
    c2, s2 = c1 * c1 - s1 * s1, 2 * c1 * s1
    more = np.exp(look[0] + look[1] * c1 + look[2] * s1 + look[3] * c2 + look[4] * s2)
    turn = look[5] + look[6] * c1 + look[7] * s1 + look[8] * c2 + look[9] * s2
    lightness = lightness + chroma / 50 * (look[10] + look[11] * c1 + look[12] * s1)
    chroma, hue = chroma * more, hue + turn
    return _rgb(np.maximum(lightness, 0), chroma * np.cos(hue), chroma * np.sin(hue), space)


def encode(linear):
    """Linear 0 to 1 to the sRGB curve's code values 0 to 1 (IEC 61966-2-1), clipped."""
    x = np.clip(linear, 0, 1)
    return np.where(x <= 0.0031308, 12.92 * x, 1.055 * np.maximum(x, 1e-9) ** (1 / 2.4) - 0.055)


@dataclass(frozen=True)
class Shot:
    """What the automatics chose for one photo: balance (3,), exposure, and the look of the day."""

    balance: np.ndarray
    exposure: float
    look: np.ndarray


def automatics(camera, light, mean_raw, grey_raw, rng, *, bright=0.0):
    """White balance, exposure and look for one scene of mean raw light (3,).

    grey_raw (3,): raw light of a neutral of reflectance 0.18 in this light, whose mood it takes.
    The balance is the true one with an error and a small pull towards a grey average of the scene;
    the exposure places that neutral near 0.17 in a scene of middling things, a lighter scene a
    little darker, and spares the lights: bright, raw green that a twentieth of the scene passes.
    """
    truth = grey_raw[1] / grey_raw
    scene = mean_raw[1] / mean_raw
    error = rng.normal(0, camera.balance_error, 3) * np.array([1, 0, 1])
    balance = truth * (scene / truth) ** 0.12 * np.exp(error)
    level = np.log(0.18) + camera.exposure - 0.25 * np.log(mean_raw[1] / grey_raw[1] / 0.7)
    level = np.clip(level + rng.normal(0, camera.exposure_error), np.log(0.08), np.log(0.29))
    most = raw_of_tone(HIGH_LIGHT, *camera.look[13:])
    level -= 0.8 * max(np.log(max(bright, 1e-6) / grey_raw[1] / most) + level, 0.0)
    by_itself, many = rng.normal(0, 1, (2, len(LOOK_SHOT)))
    mood = many if light.mood is None else light.mood
    change = np.sqrt(SITTING_PART) * mood + np.sqrt(1 - SITTING_PART) * by_itself
    look = camera.look + LOOK_SHOT * change
    return Shot(balance, float(np.exp(level) / grey_raw[1]), look)


_BILINEAR_RB = np.array([[1, 2, 1], [2, 4, 2], [1, 2, 1]], np.float32) / 4
_BILINEAR_G = np.array([[0, 1, 0], [1, 4, 1], [0, 1, 0]], np.float32) / 4


def mosaic_and_back(raw, balance):
    """Keep one channel a pixel (RGGB) and fill in the others, (h, w, 3).

    Green is filled from its neighbours; red and blue by their smoothed difference from green
    (balanced first, so that a grey edge has none), which keeps false colour on fine weave down.
    """
    seen = raw * balance.astype(np.float32)
    red, blue = np.zeros(raw.shape[:2], bool), np.zeros(raw.shape[:2], bool)
    red[0::2, 0::2], blue[1::2, 1::2] = True, True
    green = np.where(red | blue, 0, seen[..., 1]).astype(np.float32)
    green = ndimage.convolve(green, _BILINEAR_G, mode="mirror")
    out = [green]
    for channel, here in ((0, red), (2, blue)):
        # Green as it would be read through the same sites, so that both lag alike.
        apart = np.where(here, seen[..., channel] - green, 0).astype(np.float32)
        apart = ndimage.convolve(apart, _BILINEAR_RB, mode="mirror")
        out.append(green + ndimage.gaussian_filter(apart, 1.0))
    return np.stack([out[1], out[0], out[2]], -1)


def develop(raw, camera, shot, rng):
    """Raw light (h, w, 3), white 1, to the picture, (h, w, 3) uint8 in the camera's colour space.

    Order: lens blur, glare, exposure, shot and read noise, white balance, mosaic and back, maker's
    matrix, tone and look, sharpening of lightness, clip, 8 bit.
    """
    raw = ndimage.gaussian_filter(np.asarray(raw, np.float32), (0.6, 0.6, 0))
    seen = (raw + camera.flare * raw.mean((0, 1))) * np.float32(shot.exposure)
    noise = rng.standard_normal(seen.shape, dtype=np.float32)
    seen = seen + noise * np.sqrt(np.maximum(seen, 0) / camera.electrons + camera.read**2)
    seen = mosaic_and_back(seen, shot.balance)
    linear = np.maximum(seen, 0) @ camera.matrix.T.astype(np.float32)
    code = encode(apply_look(linear, shot.look, camera.space))
    if camera.sharpen:
        light = code @ np.array([0.25, 0.6, 0.15])
        code = code + camera.sharpen * (light - ndimage.gaussian_filter(light, 1.2))[..., None]
    return np.round(255 * np.clip(code, 0, 1)).astype(np.uint8)
