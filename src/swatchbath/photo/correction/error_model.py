"""What a camera's rendering gets wrong, as one model over colour that every rung draws on.

After the base step of a rung (see `rungs`) a colour still carries an error, true minus read, that
varies smoothly over Lab. It is written as features of the colour times unknown weights:

    error(lab) = features(lab) @ (typical + camera + photo weights)

Typical weights are the average of the cameras it was fitted on: their part is corrected. Camera
weights (one draw for each camera, rendering and light) and photo weights (one draw for each photo)
are zero on average, with a standard deviation for each feature block: they are the doubt. Two
readings that share a camera or a photo share its weights, so the errors of like colours in one
photo cancel and those of unlike ones do not.

Feature blocks, all zero at the card itself except the last but two:

- tone, bend, channel tone: how Lab moves when the tone curve's exponent (about the card), its
  bend, or one channel's exponent changes; they tie lightness and chroma errors together;
- neutrals: lightness of greys lighter and darker than the card, fading with chroma, because what
  a camera does to greys says little of what it does to colours;
- slope, chroma in L, gain, twist, gain by L, cast: straight-line features of Lab (no hue angle,
  hence no singularity at neutral);
- card L, card ab: all light, or one cast, off by a factor: the card tilted, unevenly lit or not
  the colour it is said to be;
- smooth and rough fields, for L and for a and b: random Fourier features (Rahimi and Recht 2007,
  from memory) of a squared-exponential and of a Matern 3/2 kernel, so that the doubt neither
  collapses nor has an edge anywhere in Lab.

The stated doubt takes the rough fields with other frequencies (`alike`, squared-exponential): as
wide at each colour, but smoother, since errors of like colours cancel more than the rough kernel
says. What is corrected keeps to the rough one.

Constants and their origin: `typical_camera.json`, written by tests/studies/fit_typical_camera.py.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from functools import cache
from importlib import resources

import numpy as np

from ...colorimetry.lab import SRGB_TO_XYZ, XYZ_TO_SRGB, Array, lab_to_xyz, xyz_to_lab
from ...errors import BadValue

# Names of the feature blocks, in the order `features` stacks them.
BLOCKS = (
    "tone", "bend", "channel tone", "slope", "neutrals", "chroma in L", "gain", "twist",
    "gain by L", "cast", "card L", "card ab", "smooth L", "smooth ab", "rough L", "rough ab",
)  # fmt: skip
ENCODINGS = ("rendered", "linear", "unprofiled")

# Linear light below this is taken as this in the tone features, whose logarithm has no floor;
# 0.002 of white is the gate under which a swatch is refused as too dark.
_DARKEST = 2e-3
# Shape of the fields near the card: they fade to zero within this Lab distance of it, and the
# a, b fields grow with chroma as C / (C + half), neutrals having a share. Set at a first look at
# the signed errors by patch, not fitted.
_FADE = 12.0
_CHROMA_HALF = 25.0
_NEUTRAL_SHARE = 0.25
# Chroma over which greys stop being greys, for the block `neutrals`. Set likewise.
_NEUTRAL_CHROMA = 15.0
# Factor on all standard deviations where anchors are weighed: of 0.6 and 1, the chart rung on
# left-out cameras was 0.1 nearer with the first. By tests/studies/score_doubt.py.
_BELIEVED = 0.6


@dataclass(frozen=True)
class ErrorModel:
    """Fitted constants for one encoding. `camera_sd`, `photo_sd`, `typical`: (K,), one a feature.

    exponent, exponent_slope, shoulder : the base step's tone (see `rungs.base_lab`).
    smooth, rough, alike : (M, 3), frequencies of the fields, radians per Lab unit; `alike` takes
    the place of `rough` in the stated doubt. in_stated : what the standard deviations count in it,
    the camera's rough fields, its tone (of greys too), its others, the photo's.
    """

    exponent: float
    exponent_slope: float
    shoulder: float
    smooth: Array
    rough: Array
    alike: Array
    camera_sd: Array
    photo_sd: Array
    typical: Array
    in_stated: tuple[float, float, float, float] = (1.0, 1.0, 1.0, 1.0)

    @property
    def stated(self) -> ErrorModel:
        """What is stated as doubt: smoother, and as wide as the truth."""
        rough, tone, camera, photo = self.in_stated
        by_block = dict.fromkeys(("rough L", "rough ab"), rough)
        by_block |= dict.fromkeys(("tone", "bend", "neutrals"), tone)
        factors = [by_block.get(name, camera) for name in BLOCKS]
        sizes = block_sizes(len(self.smooth), len(self.rough))
        return replace(
            self,
            rough=self.alike,
            camera_sd=self.camera_sd * np.repeat(factors, sizes),
            photo_sd=self.photo_sd * photo,
        )

    @property
    def believed(self) -> ErrorModel:
        """What anchors are weighed by."""
        return replace(
            self, camera_sd=self.camera_sd * _BELIEVED, photo_sd=self.photo_sd * _BELIEVED
        )


def block_sizes(n_smooth: int, n_rough: int) -> tuple[int, ...]:
    """Number of features in each of BLOCKS for so many frequencies."""
    fields = (2 * n_smooth, 4 * n_smooth, 2 * n_rough, 4 * n_rough)
    return (1, 1, 3, 1, 2, 1, 1, 1, 1, 2, 1, 2, *fields)


def per_feature(values: dict[str, float], n_smooth: int, n_rough: int) -> Array:
    """(K,): one value a block, spread over the features of the block."""
    sizes = block_sizes(n_smooth, n_rough)
    return np.repeat([float(values[name]) for name in BLOCKS], sizes)


@cache
def load_model(encoding: str) -> ErrorModel:
    """The shipped constants: "rendered" (a camera's own picture), "linear" (developed with known
    primaries, not toned), "unprofiled" (linear, the camera's primaries not known)."""
    if encoding not in ENCODINGS:
        raise BadValue(f"There is no encoding '{encoding}'; it is one of {', '.join(ENCODINGS)}.")
    text = resources.files(__package__).joinpath("typical_camera.json").read_text("utf-8")
    stored = json.loads(text)
    return model_from(stored[encoding], stored["frequencies"])


def model_from(part: dict[str, object], frequencies: dict[str, list[list[float]]]) -> ErrorModel:
    """An ErrorModel from one encoding's part of the stored constants."""
    smooth, rough, alike = (np.array(frequencies[k]) for k in ("smooth", "rough", "alike"))
    sizes = len(smooth), len(rough)
    sd: dict[str, dict[str, float]] = part["sd"]  # type: ignore[assignment]
    base: dict[str, float] = part["base"]  # type: ignore[assignment]
    stated: dict[str, float] = part["stated"]  # type: ignore[assignment]
    return ErrorModel(
        exponent=base["exponent"],
        exponent_slope=base["exponent_slope"],
        shoulder=base["shoulder"],
        smooth=smooth,
        rough=rough,
        alike=alike,
        camera_sd=per_feature(sd["camera"], *sizes),
        photo_sd=per_feature(sd["photo"], *sizes),
        typical=np.array(part["typical"], dtype=float),
        in_stated=(stated["rough"], stated["tone"], stated["camera"], stated["photo"]),
    )


def features(lab: Array, card_lab: Array, smooth: Array, rough: Array) -> Array:
    """(n, 3, K): how the Lab error of each colour answers to each weight.

    lab (n, 3), card_lab (3,): Lab D65 after the base step; smooth, rough: field frequencies.
    """
    n = len(lab)
    L, a, b = lab.T
    zero = np.zeros(n)
    step = (L - card_lab[0]) / 50
    chroma = np.hypot(a, b)
    neutral = np.exp(-((chroma / _NEUTRAL_CHROMA) ** 2))
    light = (L + 16) / (card_lab[0] + 16)

    def column(*parts: Array) -> Array:
        return np.stack(parts, axis=-1)[:, :, None]

    blocks = [
        *_tone_features(lab, card_lab),
        column(step, zero, zero),
        column(np.maximum(step, 0) * neutral, zero, zero),
        column(np.minimum(step, 0) * neutral, zero, zero),
        column(chroma / 50, zero, zero),
        column(zero, a / 50, b / 50),
        column(zero, -b / 50, a / 50),
        column(zero, a / 50 * step, b / 50 * step),
        column(zero, step, zero),
        column(zero, zero, step),
        column(light, zero, zero),
        column(zero, light, zero),
        column(zero, zero, light),
    ]
    near = 1 - np.exp(-(((50 * step) ** 2 + chroma**2) / _FADE**2))
    fade = np.sqrt(near)
    fade_ab = np.sqrt(_NEUTRAL_SHARE**2 * near + (chroma / (chroma + _CHROMA_HALF)) ** 2)
    for frequencies in (smooth, rough):
        wave = lab @ frequencies.T
        field = np.concatenate([np.cos(wave), np.sin(wave)], axis=1) / np.sqrt(len(frequencies))
        width = field.shape[1]
        in_L = np.zeros((n, 3, width))
        in_L[:, 0] = field * fade[:, None]
        in_ab = np.zeros((n, 3, 2 * width))
        in_ab[:, 1, :width] = in_ab[:, 2, width:] = field * fade_ab[:, None]
        blocks += [in_L, in_ab]
    return np.concatenate(blocks, axis=2)


def _tone_features(lab: Array, card_lab: Array) -> list[Array]:
    """Derivatives of Lab by the exponent about the card, by its bend, by each channel's own."""
    light = np.maximum(lab_to_xyz(lab) @ XYZ_TO_SRGB.T, _DARKEST)
    card = np.maximum(lab_to_xyz(card_lab) @ XYZ_TO_SRGB.T, _DARKEST)
    ratio = np.log(light / card)
    h = 1e-3
    up, down = (
        xyz_to_lab((light[:, None] * np.exp(sign * h * np.eye(3))) @ SRGB_TO_XYZ.T)
        for sign in (1, -1)
    )
    # How Lab answers to the logarithm of each channel, (n, 3 Lab, 3 channels).
    answer = ((up - down) / (2 * h)).transpose(0, 2, 1)
    exponent = (answer * ratio[:, None]).sum(axis=2)
    bend = (answer * (ratio * np.abs(ratio) / 2)[:, None]).sum(axis=2)
    return [exponent[:, :, None], bend[:, :, None], answer * ratio[:, None]]


def typical_error(model: ErrorModel, lab: Array, card_lab: Array) -> Array:
    """(n, 3): the error of the typical camera, to be added to the Lab of the base step."""
    shape = features(lab, card_lab, model.smooth, model.rough)
    return np.asarray(shape @ model.typical)
