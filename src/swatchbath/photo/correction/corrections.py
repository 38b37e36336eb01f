"""The corrections, from one grey card to a whole chart, and what each leaves as doubt.

Every rung is one step more of the same thing:

1. base step: a gain per channel that puts the card at its own colour; for a camera's own picture a
   power about the card as well, flatter the darker the card was rendered, after undoing a mild
   shoulder (`base_lab`);
2. the typical camera's remaining error is added (`error_model.typical_error`);
3. where the frame holds three or more greys besides the card (a chart's), their tone curve is drawn
   through them and the mean with step 2 is taken (`_with_neutral_curve`);
4. what is known in the frame (anchors: white and black, chart patches, swatches of known Lab; or
   earlier chart photos of the same camera under the same light) tells this camera's and this
   photo's own error, and takes away that part of the doubt (`correct`).

What is left is given as loadings on named unknowns: `camera:...`, `photo:...`, `card:...`. The
error of swatch i is the sum over sources of loading_i @ u, with u independent, mean 0, sd 1, and
the same u wherever the source has the same name. So the shared doubt of any two readings is the
sum over common names of loading_i @ loading_j.T: exact, and never less than zero in any direction.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import ArrayLike

from ...colorimetry.lab import (
    Array,
    lab_to_xyz,
    linear_srgb_to_xyz,
    triples,
    xyz_to_lab,
    xyz_to_linear_srgb,
)
from .anchors import Anchors
from .card import NAMED_CARD_SD, UNNAMED_CARD_LAB, UNNAMED_CARD_SD
from .error_model import ErrorModel, features, load_model, typical_error

# More for each anchor, per axis, that follows no smooth term: light across the chart, gloss,
# spectra. Chart rung on left-out cameras: rendered, of 0.7, 2 and 3, 2.7 / 5.3, 2.7 / 5.2 and
# 2.5 / 5.1; linear, of 0, 0.5, 1.5 and 3, 1.9 / 4.1, 1.9 / 3.9, 2.0 / 3.3 and 2.0 / 3.0.
ANCHOR_SCATTER = {"rendered": 3.0, "linear": 2.0, "unprofiled": 2.0}
# The same for one read in an earlier photo. Of 0, 3 and 6 the larger two took rendered photos by
# one camera in one light from 4.7 / 7.8 to 4.0 / 7.0 and 3.8 / 6.7; no such photos are linear.
EARLIER_SCATTER = {"rendered": 4.0, "linear": 3.0, "unprofiled": 3.0}
# Greys stand in a curve of their own; so many besides the card make one, and to be grey an anchor's
# C* is at most this. Three greys made no better curve than the card alone (left-out cameras).
_FEWEST_FOR_CURVE = 3
_GREY_CHROMA = 5.0
# Slope of the curve (log light against log light after the base step) beyond its ends.
_END_SLOPES = (0.4, 1.6)
# This swatch's alone: light between swatch and card that no smooth term sees, and spectra that
# differ at one colour. A chart, whose patches all differ, cannot tell it; common practice, no
# source.
OWN_SD = 0.4

# Share of a photo's part that the photos of one sitting have in common: camera and light. From
# linear files of one light, whose copies differ by 0.8 / 2.4 where 6.2 was stated without it.
SITTING_SHARE = 0.3
# Bounds of the exponent, so that no card, however dark, turns the picture inside out.
_EXPONENT_RANGE = (0.5, 1.2)
# Rec. 709 luminance: how dark the card was rendered, whatever its cast (ITU-R BT.709).
_LUMINANCE = np.array([0.2126, 0.7152, 0.0722])
_MID_GREY = 0.18
_DARKEST = 1e-4


# Loadings (n, 3, K) on the unknowns of each named source: camera, photo, sittings, card.
Loadings = dict[str, Array]


@dataclass(frozen=True)
class Sources:
    """What a photo's errors belong to: its camera (with rendering and light), itself, its card, and
    the sittings it is of, which share SITTING_SHARE of the photo's part evenly."""

    camera: str
    photo: str
    card: str
    sittings: tuple[str, ...] = ()

    @property
    def of_photo(self) -> str:
        """The photo's source."""
        return f"photo:{self.photo}"

    def loadings(self, model: ErrorModel, shape: Array, of_card: Array) -> Loadings:
        """By source, of features (n, 3, K) and of the card's own error (n, 3, 3)."""
        shared = SITTING_SHARE / len(self.sittings) if self.sittings else 0.0
        of_photo = shape * model.photo_sd
        alone = np.sqrt(1 - shared * len(self.sittings))
        return {
            f"camera:{self.camera}": shape * model.camera_sd,
            self.of_photo: of_photo * alone,
            f"card:{self.card}": of_card,
        } | {f"sitting:{s}": of_photo * np.sqrt(shared) for s in self.sittings}


@dataclass(frozen=True, eq=False)
class Corrected:
    """lab (n, 3) D65; trueness (n, 3, 3); shared: {source: (n, 3, K)} loadings of the trueness.

    base_lab (n, 3) is the Lab of the base step: with it, a camera profile can be made later.
    trueness = sum over sources of loading @ loading.T, plus each swatch's own part.
    """

    lab: Array
    trueness: Array
    base_lab: Array
    shared: dict[str, Array] = field(default_factory=dict)


def base_lab(
    linear_rgb: ArrayLike,
    *,
    card_rgb: ArrayLike,
    card_lab: ArrayLike,
    encoding: str,
    rgb_to_xyz: ArrayLike,
    model: ErrorModel | None = None,
    light: ArrayLike = 1.0,
) -> Array:
    """Lab D65 (n, 3) of linear RGB (n, 3), the card (3,) put at its own Lab.

    rgb_to_xyz (3, 3) to XYZ of D65, white at RGB (1, 1, 1). encoding: "rendered", "linear" or
    "unprofiled". light, one number or (n,): brightness of the light at each place relative to the
    card's, taken out. A constant factor on all RGB leaves linear results as they are; rendered ones
    follow how dark the card was rendered.
    """
    model = model or load_model(encoding)
    matrix = np.asarray(rgb_to_xyz, dtype=float)
    read, card = triples(linear_rgb, "RGB values"), triples(card_rgb, "card's RGB values")
    wanted = np.linalg.solve(matrix, lab_to_xyz(card_lab))
    even = np.asarray(light, dtype=float)[..., None]
    if encoding != "rendered":
        return xyz_to_lab((wanted * read / card / even) @ matrix.T)
    level = max(float(np.clip(card, _DARKEST, 1) @ _LUMINANCE), _DARKEST)
    exponent = model.exponent + model.exponent_slope * np.log(level / _MID_GREY)
    exponent = float(np.clip(exponent, *_EXPONENT_RANGE))
    ratio = _before_shoulder(read, model.shoulder) / _before_shoulder(card, model.shoulder)
    # Odd, so that colours outside the working space (negative light) stay outside it.
    return xyz_to_lab((wanted * np.sign(ratio) * np.abs(ratio) ** exponent / even) @ matrix.T)


def _before_shoulder(rendered: Array, shoulder: float) -> Array:
    """Light before a film-like shoulder, y = (1 - exp(-x)) / shoulder, bent it; straight over 1."""
    size = np.abs(rendered)
    below = -np.log1p(-shoulder * np.minimum(size, 1))
    above = shoulder / (1 - shoulder) * np.maximum(size - 1, 0)
    return np.asarray(np.sign(rendered) * (below + above))


def correct(
    linear_rgb: ArrayLike,
    *,
    card_rgb: ArrayLike,
    card_lab: ArrayLike | None = None,
    encoding: str,
    rgb_to_xyz: ArrayLike,
    anchors: Anchors | None = None,
    sources: Sources,
    model: ErrorModel | None = None,
    light: ArrayLike = 1.0,
) -> Corrected:
    """Corrected Lab of n readings and its trueness, given the card and whatever else is known.

    linear_rgb (n, 3), card_rgb (3,), rgb_to_xyz, encoding, light: as for `base_lab`. card_lab None
    is an 18 % grey with the doubt of an unnamed card. sources : what the errors belong to.

    The best linear unbiased estimate given the anchors, and its error written in the same unknowns
    as before: error = (A - W.T A_anchor) u - W.T noise, exact because both are linear
    (Matheron's rule; Rasmussen and Williams 2006, chapter 2, for the estimate; from memory).
    """
    model = model or load_model(encoding)
    card = UNNAMED_CARD_LAB if card_lab is None else np.asarray(card_lab, dtype=float)
    card_sd = UNNAMED_CARD_SD if card_lab is None else NAMED_CARD_SD
    base = base_lab(
        linear_rgb, card_rgb=card_rgb, card_lab=card, encoding=encoding, rgb_to_xyz=rgb_to_xyz,
        model=model, light=light,
    )  # fmt: skip
    # What is corrected, and what is stated as doubt: see `error_model` on `alike`.
    stated = replace(model, rough=model.alike)
    lab, place = base + typical_error(model, base, card), base
    if anchors is None or not len(anchors.lab):
        shared = _loadings(stated, place, card, card_sd, sources)
    else:
        known_place = anchors.base_lab
        expected = known_place + typical_error(model, known_place, card)
        curve = _neutral_curve(anchors, card) if encoding == "rendered" else None
        if curve is not None:
            # What is left is smoother over the better Lab than over the base step's.
            lab = place = (lab + curve(base)) / 2
            expected = known_place = (expected + curve(known_place)) / 2
        believed, doubted = (
            (
                _loadings(m, place, card, card_sd, sources),
                _of_anchors(m, known_place, card, card_sd, sources, anchors),
            )
            for m in (model, stated)
        )
        weights, noise_sd = _weights(*believed, anchors, encoding)
        moved = weights.T @ (anchors.lab - expected).ravel()
        lab = lab + moved.reshape(-1, 3)
        shared = _left(weights, noise_sd, *doubted, sources)
    trueness = OWN_SD**2 * np.eye(3) + sum(
        (a @ a.transpose(0, 2, 1) for a in shared.values()), np.zeros((len(base), 3, 3))
    )
    return Corrected(lab=lab, trueness=trueness, base_lab=base, shared=shared)


def _loadings(
    model: ErrorModel, place: Array, card: Array, card_sd: Sequence[float], sources: Sources
) -> Loadings:
    """Loadings (n, 3, K) of colours at `place` on every source's unknowns."""
    light = (place[:, 0] + 16) / (card[0] + 16)
    of_card = light[:, None, None] * np.diag(card_sd)
    return sources.loadings(model, features(place, card, model.smooth, model.rough), of_card)


def _neutral_curve(anchors: Anchors, card: Array) -> Callable[[Array], Array] | None:
    """Tone curve, per channel of linear sRGB, through the card and the greys read in this photo.

    Straight pieces of log light wanted against log light after the base step. None where there are
    too few greys, or where other photos' anchors, which have curves of their own, are used.
    """
    if anchors.photo is not None and any(p is not None for p in anchors.photo):
        return None
    grey = np.hypot(anchors.lab[:, 1], anchors.lab[:, 2]) <= _GREY_CHROMA
    if grey.sum() < _FEWEST_FOR_CURVE:
        return None

    def log_light(lab: Array) -> Array:
        return np.asarray(np.log(np.maximum(xyz_to_linear_srgb(lab_to_xyz(lab)), _DARKEST)))

    read = log_light(np.vstack([card, anchors.base_lab[grey]]))
    wanted = log_light(np.vstack([card, anchors.lab[grey]]))

    def bent(lab: Array) -> Array:
        light = log_light(lab)
        for c in range(3):
            order = np.argsort(wanted[:, c])
            t = wanted[order, c]
            # A darker grey never reads lighter, or the curve would turn back.
            x = np.maximum.accumulate(read[order, c]) + 1e-6 * np.arange(len(order))
            first, *_, last = np.diff(t) / np.diff(x)
            low, high = np.clip([first, last], *_END_SLOPES)
            u = light[:, c].copy()
            light[:, c] = np.interp(u, x, t)
            light[:, c] += low * np.minimum(u - x[0], 0) + high * np.maximum(u - x[-1], 0)
        return xyz_to_lab(linear_srgb_to_xyz(np.exp(light)))

    return bent


def _of_anchors(
    model: ErrorModel,
    place: Array,
    card: Array,
    card_sd: Sequence[float],
    sources: Sources,
    anchors: Anchors,
) -> Loadings:
    """The anchors' loadings: those read in earlier photos have these photos' unknowns."""
    known = _loadings(model, place, card, card_sd, sources)
    if anchors.photo is None:
        return known
    alone = _loadings(model, place, card, card_sd, replace(sources, sittings=()))
    here = np.array([p is None for p in anchors.photo])[:, None, None]
    for source in known:
        if source.startswith(("photo:", "sitting:")):
            known[source] = known[source] * here
    for photo in sorted({p for p in anchors.photo if p is not None}):
        mine = np.array([p == photo for p in anchors.photo])[:, None, None]
        known[f"photo:{photo}"] = alone[sources.of_photo] * mine
    return known


def _flat(loading: Array) -> Array:
    return loading.reshape(len(loading) * 3, -1)


def _weights(
    own: Loadings, of_known: Loadings, anchors: Anchors, encoding: str
) -> tuple[Array, Array]:
    """What each anchor's error (3m) says of each reading's (3n): (3m, 3n), and the anchors' own
    noise (3m,), standard deviations."""
    here = anchors.photo or (None,) * len(anchors.lab)
    earlier = np.array([p is not None for p in here])
    scatter = np.where(earlier, EARLIER_SCATTER[encoding], ANCHOR_SCATTER[encoding])
    noise_sd = np.repeat(np.hypot(anchors.sd, scatter), 3)
    among = np.diag(noise_sd**2) + sum(_flat(a) @ _flat(a).T for a in of_known.values())
    between = sum(_flat(a) @ _flat(own[s]).T for s, a in of_known.items() if s in own)
    return np.linalg.solve(among, np.asarray(between)), noise_sd


def _left(
    weights: Array, noise_sd: Array, own: Loadings, of_known: Loadings, sources: Sources
) -> Loadings:
    """Loadings of what is still unknown."""
    left = {}
    for source, a in of_known.items():
        taken = (weights.T @ _flat(a)).reshape(-1, 3, a.shape[2])
        left[source] = own[source] - taken if source in own else -taken
    left[f"anchors:{sources.of_photo}"] = -(weights.T * noise_sd).reshape(-1, 3, len(noise_sd))
    return left
