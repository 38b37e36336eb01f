"""The corrections, from one grey card to a whole chart, and what each leaves as doubt.

Every rung is one step more of the same thing:

1. base step: a gain per channel that puts the card at its own colour; for a camera's own picture a
   power about the card as well, flatter the darker the card was rendered, after undoing a mild
   shoulder (`base_lab`);
2. the typical camera's remaining error is added (`error_model.typical_error`);
3. what is known in the frame (anchors: white and black, chart patches, swatches of known Lab; or
   earlier chart photos of the same camera under the same light) tells this camera's and this
   photo's own error, and takes away that part of the doubt (`correct`).

What is left is given as loadings on named unknowns: `camera:...`, `photo:...`, `card:...`. The
error of swatch i is the sum over sources of loading_i @ u, with u independent, mean 0, sd 1, and
the same u wherever the source has the same name. So the shared doubt of any two readings is the
sum over common names of loading_i @ loading_j.T: exact, and never less than zero in any direction.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike

from ..colorimetry.lab import WHITE_D65, Array, lab_to_xyz, triples, xyz_to_lab
from ..errors import ShapeError
from .error_model import ErrorModel, features, load_model, typical_error

# An 18 % grey (Y = 0.18, neutral), the usual photographic card. Common practice, no source.
UNNAMED_CARD_LAB = xyz_to_lab(0.18 * WHITE_D65)
# Doubt of a card, as standard deviations of L*, a*, b*. Unnamed: Y between about 0.17 and 0.19,
# and a visible cast at the most. Named: two instruments on one card, and wear. Common practice, no
# source, for both.
UNNAMED_CARD_SD = (1.2, 1.0, 1.0)
NAMED_CARD_SD = (0.3, 0.3, 0.3)
# Doubt of an anchor: a chart's published value and its own unevenness (about 0.7 belongs to the
# reference itself), per axis.
ANCHOR_SD = 0.7
# This swatch's alone: uneven light between swatch and card that no smooth term sees, and spectra
# that differ at one colour. From memory of the study behind the model; not separable on a chart.
OWN_SD = 0.4

# Bounds of the exponent, so that no card, however dark, turns the picture inside out.
_EXPONENT_RANGE = (0.5, 1.2)
# Rec. 709 luminance: how dark the card was rendered, whatever its cast (ITU-R BT.709).
_LUMINANCE = np.array([0.2126, 0.7152, 0.0722])
_MID_GREY = 0.18
_DARKEST = 1e-4


@dataclass(frozen=True, eq=False)
class Anchors:
    """Colours of known Lab that were read, in this photo or (see `photo`) in earlier ones.

    base_lab (m, 3): Lab after the base step; lab (m, 3): what they are known to be; sd: doubt of
    `lab` per axis, one number or (m,); photo: name of the photo each was read in, None = this one.
    """

    base_lab: Array
    lab: Array
    sd: float | Array = ANCHOR_SD
    photo: tuple[str | None, ...] | None = None


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
) -> Array:
    """Lab D65 (n, 3) of linear RGB (n, 3), the card (3,) put at its own Lab.

    rgb_to_xyz (3, 3) to XYZ of D65, white at RGB (1, 1, 1). encoding: "rendered", "linear" or
    "unprofiled". A constant factor on all RGB leaves linear results as they are; rendered ones
    follow how dark the card was rendered.
    """
    model = model or load_model(encoding)
    matrix = np.asarray(rgb_to_xyz, dtype=float)
    read, card = triples(linear_rgb, "RGB values"), triples(card_rgb, "card's RGB values")
    wanted = np.linalg.solve(matrix, lab_to_xyz(card_lab))
    if encoding != "rendered":
        return xyz_to_lab((wanted * read / card) @ matrix.T)
    level = max(float(np.clip(card, _DARKEST, 1) @ _LUMINANCE), _DARKEST)
    exponent = model.exponent + model.exponent_slope * np.log(level / _MID_GREY)
    exponent = float(np.clip(exponent, *_EXPONENT_RANGE))
    ratio = _before_shoulder(read, model.shoulder) / _before_shoulder(card, model.shoulder)
    return xyz_to_lab((wanted * ratio**exponent) @ matrix.T)


def _before_shoulder(rendered: Array, shoulder: float) -> Array:
    """Light before a film-like shoulder, y = (1 - exp(-x)) / shoulder, bent it."""
    return np.asarray(-np.log1p(-shoulder * np.clip(rendered, _DARKEST, 1)))


def correct(
    linear_rgb: ArrayLike,
    *,
    card_rgb: ArrayLike,
    card_lab: ArrayLike | None = None,
    encoding: str,
    rgb_to_xyz: ArrayLike,
    anchors: Anchors | None = None,
    camera_id: str,
    photo_id: str,
    card_id: str,
    model: ErrorModel | None = None,
) -> Corrected:
    """Corrected Lab of n readings and its trueness, given the card and whatever else is known.

    linear_rgb (n, 3), card_rgb (3,), rgb_to_xyz, encoding: as for `base_lab`. card_lab None is an
    18 % grey with the doubt of an unnamed card. camera_id names camera, rendering and light;
    photo_id the photo; card_id the card.

    The best linear unbiased estimate given the anchors, and its error written in the same unknowns
    as before: error = (A - W.T A_anchor) u - W.T noise, exact because both are linear
    (Matheron's rule; Rasmussen and Williams 2006, chapter 2, for the estimate; from memory).
    """
    model = model or load_model(encoding)
    card = UNNAMED_CARD_LAB if card_lab is None else np.asarray(card_lab, dtype=float)
    card_sd = UNNAMED_CARD_SD if card_lab is None else NAMED_CARD_SD
    base = base_lab(
        linear_rgb, card_rgb=card_rgb, card_lab=card, encoding=encoding, rgb_to_xyz=rgb_to_xyz,
        model=model,
    )  # fmt: skip
    names = (f"camera:{camera_id}", f"photo:{photo_id}", f"card:{card_id}")
    prior = dict(zip(names, _loadings(model, base, card, card_sd), strict=True))
    lab = base + typical_error(model, base, card)
    if anchors is not None and len(anchors.lab):
        lab, prior = _conditioned(lab, prior, anchors, model, card, card_sd, names)
    trueness = OWN_SD**2 * np.eye(3) + sum(
        (a @ a.transpose(0, 2, 1) for a in prior.values()), np.zeros((len(base), 3, 3))
    )
    return Corrected(lab=lab, trueness=trueness, base_lab=base, shared=prior)


def _loadings(
    model: ErrorModel, base: Array, card: Array, card_sd: Sequence[float]
) -> tuple[Array, Array, Array]:
    """Loadings (n, 3, K) on the camera's, the photo's and the card's unknowns."""
    shape = features(base, card, model.smooth, model.rough)
    light = (base[:, 0] + 16) / (card[0] + 16)
    return (
        shape * model.camera_sd,
        shape * model.photo_sd,
        light[:, None, None] * np.diag(card_sd),
    )


def _conditioned(
    lab: Array,
    prior: dict[str, Array],
    anchors: Anchors,
    model: ErrorModel,
    card: Array,
    card_sd: Sequence[float],
    names: tuple[str, str, str],
) -> tuple[Array, dict[str, Array]]:
    """`correct`'s last step: shift (n, 3) and loadings once the anchors' errors are known."""
    m = len(anchors.lab)
    if anchors.base_lab.shape != (m, 3) or anchors.lab.shape != (m, 3):
        raise ShapeError(
            f"The known colours have the shapes {anchors.base_lab.shape} and {anchors.lab.shape}; "
            "give as many readings as known Lab values."
        )
    of_camera, of_photo, of_card = _loadings(model, anchors.base_lab, card, card_sd)
    here = anchors.photo or (None,) * m
    photos = sorted({p for p in here if p is not None})
    known: dict[str, Array] = {names[0]: of_camera, names[2]: of_card}
    for source, photo in [(names[1], None), *((f"photo:{p}", p) for p in photos)]:
        mine = np.array([p == photo for p in here])
        known[source] = of_photo * mine[:, None, None]

    def flat(loading: Array) -> Array:
        return loading.reshape(len(loading) * 3, -1)

    noise_sd = np.repeat(np.broadcast_to(anchors.sd, (m,)), 3)
    among = np.diag(noise_sd**2) + sum(flat(a) @ flat(a).T for a in known.values())
    between = sum(flat(a) @ flat(prior[s]).T for s, a in known.items() if s in prior)
    weights = np.linalg.solve(among, np.asarray(between))
    surprise = anchors.lab - anchors.base_lab - typical_error(model, anchors.base_lab, card)
    moved = lab + (weights.T @ surprise.ravel()).reshape(-1, 3)

    n = len(lab)
    left = {}
    for source, a in known.items():
        taken = (weights.T @ flat(a)).reshape(n, 3, -1)
        left[source] = prior[source] - taken if source in prior else -taken
    left[f"anchors:{names[1]}"] = -(weights.T * noise_sd).reshape(n, 3, -1)
    return moved, left
