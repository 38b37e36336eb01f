"""The corrections, from one grey card to a whole chart, and what each leaves as doubt.

Every rung is one step more of the same thing:

1. base step: a gain per channel that puts the card at its own colour; for a camera's own picture a
   power about the card as well, flatter the darker the card was rendered, after undoing a mild
   shoulder (`base.base_lab`);
2. the typical camera's remaining error is added (`error_model.typical_error`);
3. where the frame holds three or more greys besides the card (a chart's), their tone curve is drawn
   through them and the mean with step 2 is taken (`neutral_curve`);
4. what is known in the frame (anchors: white and black, chart patches, swatches of known Lab; or
   earlier chart photos of the same camera under the same light) tells this camera's and this
   photo's own error, and takes away that part of the doubt (`correct`); where it is many colours, a
   plain surface through what they are off by has half the say (`surface`).

What is left is given as loadings on named unknowns: `camera:...`, `photo:...`, `card:...`. The
error of swatch i is the sum over sources of loading_i @ u, with u independent, mean 0, sd 1, and
the same u wherever the source has the same name. So the shared doubt of any two readings is the
sum over common names of loading_i @ loading_j.T: exact, and never less than zero in any direction.
All unknowns of one photo have one scale that is not known, so that an error is a Student's t of
few degrees: photos are mostly better than their covariance says, and a few much worse.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import ArrayLike

from ...colorimetry.lab import Array
from .anchors import Anchors
from .base import base_lab
from .card import NAMED_CARD_SD, UNNAMED_CARD_LAB, UNNAMED_CARD_SD
from .error_model import ErrorModel, features, load_model, typical_error
from .neutral_curve import neutral_curve
from .origin import Loadings, Sources
from .surface import FEWEST_FOR_SURFACE, surface_weights

# More for each anchor, per axis, that follows no smooth term: light across the chart, gloss,
# spectra. Chart rung on left-out cameras: rendered, of 0.7, 2 and 3, 2.7 / 5.3, 2.7 / 5.2 and
# 2.5 / 5.1; linear, of 0, 0.5, 1.5 and 3, 1.9 / 4.1, 1.9 / 3.9, 2.0 / 3.3 and 2.0 / 3.0.
ANCHOR_SCATTER = {"rendered": 3.0, "linear": 2.0, "unprofiled": 2.0}
# The same for one read in an earlier photo. Of 0, 3 and 6 the larger two took rendered photos by
# one camera in one light from 4.7 / 7.8 to 4.0 / 7.0 and 3.8 / 6.7; no such photos are linear.
EARLIER_SCATTER = {"rendered": 4.0, "linear": 3.0, "unprofiled": 3.0}
# Of either, what is stated as doubt: a chart's own misfit tells the rest.
_STATED_SCATTER = 0.35
# This swatch's alone: light between swatch and card that no smooth term sees, and spectra that
# differ at one colour. Of like colours on drawn frames 0.0 to 0.1 is seen by maximum likelihood
# (tests/studies/sheet_frames.py, seeds 0 to 69: cameras, lights and yarns of their own); 0.4 was
# stated before, as common practice, and kept five equal pieces on one sheet from being told alike.
OWN_SD = 0.15
# Degrees of freedom of a photo's scale, and what anchors add to them once there are enough to tell
# it: their misfit counts as so many. By tests/studies/score_doubt.py.
DEGREES, _DEGREES_OF_ANCHORS = 6.0, 8.0
_FEWEST_FOR_SCALE, _LARGEST_MISFIT, _BEFORE = 6, 9.0, 0.7
# However well a chart fits, fibre has other spectra than its patches: 8 simulated cameras on 99
# reflectances hold 0.79 without a bound (tests/studies/simulate_rungs.py).
_LEAST_SIZE = 0.85
# On what is stated where the anchors were read in earlier photos of this camera in this light: with
# 1.0 their regions held 0.98 (16 photos by one phone), and "give or take" 0.87.
_EARLIER_SIZE = 0.8


@dataclass(frozen=True, eq=False)
class Corrected:
    """lab (n, 3) D65; trueness (n, 3, 3); shared: {source: (n, 3, K)} loadings of the trueness.

    base_lab (n, 3) is the Lab of the base step: with it, a camera profile can be made later.
    trueness = sum over sources of loading @ loading.T, plus each swatch's own part. degrees: of the
    error's Student's t; trueness is its covariance, degrees / (degrees - 2) times its scale.
    """

    lab: Array
    trueness: Array
    base_lab: Array
    shared: dict[str, Array] = field(default_factory=dict)
    degrees: float = DEGREES


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
    wider: float = 1.0,
    card_sd: Sequence[float] | None = None,
) -> Corrected:
    """Corrected Lab of n readings and its trueness, given the card and whatever else is known.

    linear_rgb (n, 3), card_rgb (3,), rgb_to_xyz, encoding, light: as for `base_lab`. card_lab None
    is an 18 % grey with the doubt of an unnamed card. sources : what the errors belong to. wider :
    how much larger errors of such a frame are than usual, unless enough is known in it to tell.
    card_sd (3,) : doubt of the card's Lab, where it is not as usual.

    The best linear unbiased estimate given the anchors, and its error written in the same unknowns
    as before: error = (A - W.T A_anchor) u - W.T noise, exact because both are linear
    (Matheron's rule; Rasmussen and Williams 2006, chapter 2, for the estimate; from memory).
    """
    model = model or load_model(encoding)
    card = UNNAMED_CARD_LAB if card_lab is None else np.asarray(card_lab, dtype=float)
    if card_sd is None:
        card_sd = UNNAMED_CARD_SD if card_lab is None else NAMED_CARD_SD
    base = base_lab(
        linear_rgb, card_rgb=card_rgb, card_lab=card, encoding=encoding, rgb_to_xyz=rgb_to_xyz,
        model=model, light=light,
    )  # fmt: skip
    lab, place, degrees = base + typical_error(model, base, card), base, DEGREES
    if anchors is None or not len(anchors.lab):
        shared = loadings_at(model.stated, place, card, card_sd, sources)
    else:
        known_place = anchors.base_lab
        expected = known_place + typical_error(model, known_place, card)
        curve = neutral_curve(anchors, card) if encoding == "rendered" else None
        if curve is not None:
            # What is left is smoother over the better Lab than over the base step's.
            lab = place = (lab + curve(base)) / 2
            expected = known_place = (expected + curve(known_place)) / 2
        both = np.concatenate([place, known_place])
        # What earlier photos of this camera in this light were off by is believed of this one too.
        believed = loadings_at(model.believed, both, card, card_sd, sources)
        stated = _of_anchors(model.stated, both, card, card_sd, sources, anchors, len(place))
        told = _Told(believed, stated, both, anchors, encoding)
        n, m = len(place), len(known_place)
        off = anchors.lab - expected
        weights = told.weights(range(n), range(n, n + m))
        lab = lab + (weights.T @ off.ravel()).reshape(-1, 3)
        if anchors.photo is None and len(off) >= _FEWEST_FOR_SCALE:
            misfit = min(told.misfit(off, n), _LARGEST_MISFIT)
            degrees = DEGREES + _DEGREES_OF_ANCHORS
            before = DEGREES * _BEFORE * wider**1.5
            wider = np.sqrt((before + _DEGREES_OF_ANCHORS * misfit) / degrees)
            wider = max(float(wider), _LEAST_SIZE)
        elif anchors.photo is not None:
            wider *= _EARLIER_SIZE
        # Told apart by their number: a photo may be read again with other things of known colour.
        name = f"anchors:{sources.of_photo}: {m}"
        shared = told.left(weights, range(n), range(n, n + m), name)
    size = wider * np.sqrt(degrees / (degrees - 2))
    shared = {source: a * size for source, a in shared.items()}
    # What this swatch has alone is not the camera's, and has no part in its scale.
    trueness = OWN_SD**2 * np.eye(3) + sum(
        (a @ a.transpose(0, 2, 1) for a in shared.values()), np.zeros((len(base), 3, 3))
    )
    return Corrected(lab, trueness, base, shared, degrees)


def loadings_at(
    model: ErrorModel, place: Array, card: Array, card_sd: Sequence[float], sources: Sources
) -> Loadings:
    """Loadings (n, 3, K) of colours at `place` on every source's unknowns."""
    light = (place[:, 0] + 16) / (card[0] + 16)
    of_card = light[:, None, None] * np.diag(card_sd)
    return sources.loadings(model, features(place, card, model.smooth, model.rough), of_card)


def _of_anchors(
    model: ErrorModel,
    place: Array,
    card: Array,
    card_sd: Sequence[float],
    sources: Sources,
    anchors: Anchors,
    n: int,
) -> Loadings:
    """Loadings of n readings and of the anchors after them: those anchors that were read in
    earlier photos have these photos' unknowns."""
    every = loadings_at(model, place, card, card_sd, sources)
    if anchors.photo is None:
        return every
    alone = loadings_at(model, place, card, card_sd, replace(sources, sittings=()))
    read_in = (*(None,) * n, *anchors.photo)
    here = np.array([p is None for p in read_in])[:, None, None]
    for source in every:
        if source.startswith(("photo:", "sitting:")):
            every[source] = every[source] * here
    for photo in sorted({p for p in anchors.photo if p is not None}):
        mine = np.array([p == photo for p in read_in])[:, None, None]
        every[f"photo:{photo}"] = alone[sources.of_photo] * mine
    return every


@dataclass(frozen=True, eq=False)
class _Told:
    """What anchors tell of readings. believed, stated : loadings of all colours, readings first;
    place : (n + m, 3) where they lie."""

    believed: Loadings
    stated: Loadings
    place: Array
    anchors: Anchors
    encoding: str

    def _noise_sd(self, by: Sequence[int], *, stated: bool) -> Array:
        """(3m,): what anchors are off by alone, per axis; as weighed by, or as stated."""
        read_in = self.anchors.photo or (None,) * len(self.anchors.lab)
        earlier = np.array([p is not None for p in read_in])
        scatter = np.where(earlier, EARLIER_SCATTER[self.encoding], ANCHOR_SCATTER[self.encoding])
        if stated:
            scatter = scatter * _STATED_SCATTER
        first = len(self.place) - len(self.anchors.lab)
        return np.repeat(np.hypot(self.anchors.sd, scatter)[np.array(by) - first], 3)

    def weights(self, of: Sequence[int], by: Sequence[int]) -> Array:
        """(3m, 3n): what each anchor's error says of each reading's; rows of all colours."""
        of, by = list(of), list(by)
        noise_sd = self._noise_sd(by, stated=False)
        known = [_flat(a[by]) for a in self.believed.values()]
        wanted = [_flat(a[of]) for a in self.believed.values()]
        among = np.diag(noise_sd**2) + sum(a @ a.T for a in known)
        between = sum(a @ b.T for a, b in zip(known, wanted, strict=True))
        weights: Array = np.linalg.solve(among, np.asarray(between))
        if len(by) < FEWEST_FOR_SURFACE or self.encoding != "rendered":
            return weights
        return (weights + surface_weights(self.place[of], self.place[by])) / 2

    def left(self, weights: Array, of: Sequence[int], by: Sequence[int], name: str) -> Loadings:
        """Loadings (n, 3, K) of what is still unknown; `name` is the source of what the anchors
        themselves are off by."""
        of, by = list(of), list(by)
        out = {
            source: a[of] - (weights.T @ _flat(a[by])).reshape(len(of), 3, -1)
            for source, a in self.stated.items()
        }
        noise_sd = self._noise_sd(by, stated=True)
        out[name] = -(weights.T * noise_sd).reshape(len(of), 3, -1)
        return out

    def misfit(self, off: Array, n: int) -> float:
        """Mean square of what each anchor is off from what the others say of it, in units of what
        is stated; n : of the first anchor among all colours."""
        rows = range(n, n + len(off))
        total = 0.0
        for i, row in enumerate(rows):
            others = [r for r in rows if r != row]
            weights = self.weights([row], others)
            away = off[i] - weights.T @ np.delete(off, i, axis=0).ravel()
            doubt = np.eye(3) * (OWN_SD**2 + np.broadcast_to(self.anchors.sd, len(off))[i] ** 2)
            for a in self.left(weights, [row], others, "").values():
                doubt += a[0] @ a[0].T
            total += float(away @ np.linalg.solve(doubt, away)) / 3
        return float(total / len(off))


def _flat(loading: Array) -> Array:
    return loading.reshape(len(loading) * 3, -1)
