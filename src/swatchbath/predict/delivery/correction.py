"""A new delivery of a dyestuff, from one to five check swatches.

Two harvests of a plant differ mostly in strength. The difference is taken to be one shift d of log
depth in the three channels for all baths with that dyestuff, normal with mean 0 and covariance T
over deliveries. Check swatches dyed by recipes on record show d with the doubt of the model, the
pot and the reading; the shift used is what is then expected of it, drawn to 0 the more, the less
the checks can tell. So it is never worse than no correction, on average over deliveries.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike
from scipy.special import chdtrc

from ...colorimetry.covariance import square_root
from ...colorimetry.difference import delta_e2000
from ...colorimetry.lab import Array
from ...colorimetry.measurement import Measurement
from ...conditions.table import as_table, check_conditions
from ...conditions.vocabulary import meaning
from ...errors import BadValue
from ..features.derived import has_mixtures
from ..features.encoder import Factors
from ..regression.depth import depth_jacobian, lab_to_depth
from ..regression.fit import Fit, pot_depth_covariance
from ..regression.observations import parse_labs
from ..regression.shifted import ShiftedPosterior
from .lots import LotSpread, check_errors, lot_spread, parse_checks, rows_with

# What check swatches must gain to be spoken of (CIEDE2000): what one decimal can show; our choice.
_LEAST_TOLD = 0.05
# Checks this far off are asked about: 1 in 1000 deliveries by chance. Our own choice.
_STRANGE = 0.001
# Draws for the gain that is told.
_DRAWS = 200


@dataclass(frozen=True, eq=False)
class NewLot:
    """What check swatches say of a new delivery.

    Attributes
    ----------
    fit : Fit
        Predicts and suggests baths with it (`dyestuff_lot` its name); see `ShadeModel.of`.
    dyestuff, name, like : str
        The dyestuff, the delivery, and the delivery on record it is compared to.
    shift, covariance : (3,), (3, 3)
        Of log depth.
    stronger : float
        How much deeper it dyes, 1.1 for a tenth more.
    before, after : float
        How far a bath with it is expected to be off on average (CIEDE2000) without the checks and
        with them.
    checks : int
        How many there were.
    spread : LotSpread
        How deliveries differ.
    likely : float
        How often a delivery's checks lie as far off as these or farther, 0 to 1.
    """

    fit: Fit
    dyestuff: str
    name: str
    like: str
    shift: Array
    covariance: Array
    stronger: float
    before: float
    after: float
    checks: int
    spread: LotSpread
    likely: float = 1.0

    @property
    def strange(self) -> bool:
        """Whether the checks lie farther off than a delivery would explain."""
        return self.likely < _STRANGE

    @property
    def telling(self) -> bool:
        """Whether the check swatches say anything worth saying, by what they gain (CIEDE2000)."""
        return self.before - self.after >= _LEAST_TOLD

    @property
    def how(self) -> str:
        """How it differs, as what it does: "dyes about 12 % deeper than W25"."""
        if self.strange:
            return (
                f"came out farther from {self.like} than a delivery can: look at the check "
                "swatches' baths, names and photos again before you trust this"
            )
        if not self.telling:
            return f"is taken to be as {self.like}, since its check swatches tell next to nothing"
        percent = round(100 * (self.stronger - 1))
        how = "about as deep as" if abs(percent) < 3 else (
            f"about {abs(percent)} % {'deeper' if percent > 0 else 'paler'} than"
        )  # fmt: skip
        return f"dyes {how} {self.like}"

    @property
    def words(self) -> str:
        """Three sentences: how it differs, what is gained, and by what it was judged."""
        if not self.checks:
            return (
                f"The {self.dyestuff} {self.name} was never checked and is taken to be as "
                f"{self.like}. Its baths are expected to be off by {self.before:.1f} (CIEDE2000). "
                f"{self.spread.note}"
            )
        n = "1 check swatch" if self.checks == 1 else f"{self.checks} check swatches"
        if self.strange:
            return f"The {self.dyestuff} {self.name} {self.how}."
        if not self.telling:
            return (
                f"The {self.dyestuff} {self.name} {self.how}. Its baths are expected to be off by "
                f"{self.after:.1f} (CIEDE2000), as without checks. {self.spread.note}"
            )
        return (
            f"The {self.dyestuff} {self.name} {self.how}. With {n} its baths are "
            f"expected to be off by {self.after:.1f} instead of {self.before:.1f} (CIEDE2000). "
            f"{self.spread.note}"
        )

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "dyestuff": self.dyestuff,
            "name": self.name,
            "like": self.like,
            "shift": self.shift.tolist(),
            "covariance": self.covariance.tolist(),
            "stronger": self.stronger,
            "before": self.before,
            "after": self.after,
            "checks": self.checks,
            "deliveries": self.spread.deliveries,
            "likely": self.likely,
            "words": self.words,
        }


def new_lot(
    fit: Fit,
    name: str,
    conditions: Any,
    labs: ArrayLike | Sequence[Measurement],
    *,
    covariances: ArrayLike | None = None,
    spread: LotSpread | None = None,
) -> NewLot:
    """Correct a fit for a new delivery of a dyestuff.

    name : of the delivery, as `dyestuff_lot` will say. conditions : the baths of one to five
    check swatches, all with one dyestuff; labs, covariances : as in `ShadeModel.fit`.
    spread : `lot_spread` of the fit, where it is known already.
    Raises BadValue where deliveries on record are not named, or the name is taken.
    """
    if not isinstance(name, str) or not name.strip():
        raise BadValue(f"A new delivery needs a name, such as W26; {name!r} was given.")
    given = as_table(conditions)
    k = parse_checks(len(given))
    table = check_conditions(given).table.reset_index(drop=True)
    if has_mixtures(table):
        raise BadValue(
            "A check swatch is dyed with the new delivery alone; leave out those of two dyestuffs."
        )
    dyestuffs = {meaning("dyestuff", str(w)) for w in table["dyestuff"]}
    if len(dyestuffs) != 1:
        raise BadValue(
            f"The check swatches are of {', '.join(sorted(dyestuffs))}; give those of one dyestuff."
        )
    dyestuff = str(table["dyestuff"].iloc[0])
    rows, place, word, like, like_word = _compared(fit, dyestuff, name)
    spread = spread or lot_spread(fit)
    observed = parse_labs(labs, covariances, k)
    if not np.isfinite(observed.lab).all():
        raise BadValue("A check swatch has no colour; give L*, a*, b* of each, or leave it out.")
    table["dyestuff_lot"] = pd.Series([like_word] * k, dtype=object)
    f = fit.encoder.encode(table)
    f.levels[:, place] = like
    errors = check_errors(fit, observed, f)
    shift, wide, likely = _estimate(fit, f, observed.lab, errors, spread)
    corrected = _corrected(fit, place, word, like, shift, wide)
    before, after = _gain(fit, rows, like, place, spread.covariance, wide)
    spelled = _spelled(fit, like_word)
    return NewLot(
        corrected, dyestuff, name, spelled, shift, wide, float(np.exp(shift[0])), before,
        after, k, spread, likely,
    )  # fmt: skip


def unchecked_lot(fit: Fit, dyestuff: str, name: str) -> NewLot:
    """A new delivery without any check swatch: predicted as the best known one of its dyestuff,
    with the uncertainty of how deliveries differ. Raises as `new_lot`, and NotFound."""
    rows, place, word, like, like_word = _compared(fit, dyestuff, name)
    spread = lot_spread(fit)
    wide = spread.covariance
    corrected = _corrected(fit, place, word, like, np.zeros(3), wide)
    off, _ = _gain(fit, rows, like, place, wide, wide)
    spelled = _spelled(fit, like_word)
    return NewLot(
        corrected, dyestuff, name, spelled, np.zeros(3), wide, 1.0, off, off, 0, spread
    )  # fmt: skip


def _compared(fit: Fit, dyestuff: str, name: str) -> tuple[np.ndarray, int, str, int, str]:
    """Rows of the dyestuff, which word factor is the delivery, the new one's word, and the level
    and word of the one it is compared to. Raises NotFound or BadValue."""
    rows = rows_with(fit, dyestuff)
    encoder = fit.encoder
    if "dyestuff_lot" not in encoder.words:
        raise BadValue(
            f"No delivery of {dyestuff} is named on record; write the column dyestuff_lot for the "
            "swatches you have, so that a new one can be told from them."
        )
    place = encoder.words.index("dyestuff_lot")
    word = meaning("dyestuff_lot", name)
    if word in encoder.levels[place] or not word:
        raise BadValue(
            f"There is a delivery called '{name}' on record already; give the new one another name."
        )
    codes, counts = np.unique(fit.factors.levels[rows, place], return_counts=True)
    like = int(codes[counts.argmax()])
    return rows, place, word, like, encoder.levels[place][like] or "the delivery on record"


def _spelled(fit: Fit, word: str) -> str:
    for written in fit.table["dyestuff_lot"]:
        if isinstance(written, str) and meaning("dyestuff_lot", written) == word:
            return written
    return word


def _estimate(
    fit: Fit, f: Factors, lab: Array, errors: Array, spread: LotSpread
) -> tuple[Array, Array, float]:
    """Shift (3,) expected of the delivery and its covariance (3, 3), in log depth; and how often
    checks of a delivery lie as far off as these or farther, 0 to 1.

    errors (k, k, 3, 3) : of the checks' readings, with what they share.
    """
    got = fit.regression
    k = len(lab)
    mean, cov, _ = got.posterior.at(f)
    j = depth_jacobian(lab)
    noise = j[:, None] @ errors @ j[None].swapaxes(-1, -2)
    noise[np.arange(k), np.arange(k)] += pot_depth_covariance(fit, cov) * np.outer(got.sd, got.sd)
    whole = noise.transpose(0, 2, 1, 3).reshape(3 * k, 3 * k)
    residual = lab_to_depth(lab) - got.middle - mean * got.sd
    each = np.tile(np.eye(3), (k, 1))  # every check is shifted alike
    weights = np.linalg.solve((whole + whole.T) / 2, each).T
    wide = np.linalg.inv(np.linalg.inv(spread.covariance) + weights @ each)
    off = residual.ravel()
    distance = float(off @ np.linalg.solve(whole + each @ spread.covariance @ each.T, off))
    return wide @ weights @ off, (wide + wide.T) / 2, float(chdtrc(3 * k, distance))


def _gain(
    fit: Fit, rows: np.ndarray, like: int, place: int, before: Array, after: Array
) -> tuple[float, float]:
    """How far baths of the dyestuff are expected to be off without the checks, and with them."""
    got = fit.regression
    some = rows[fit.factors.levels[rows, place] == like][:30]
    mean, cov, _ = got.posterior.at(fit.factors.take(some))
    unit = np.random.default_rng(0).standard_normal((_DRAWS, 3))
    lab = got.to_lab(mean)
    out = []
    for extra in (before, after):
        wide = pot_depth_covariance(fit, cov) + extra / np.outer(got.sd, got.sd)
        draws = np.stack(
            [got.to_lab(m + unit @ square_root(c).T) for m, c in zip(mean, wide, strict=True)]
        )
        out.append(float(delta_e2000(draws, lab[:, None]).mean()))
    return out[0], out[1]


def _corrected(fit: Fit, place: int, word: str, like: int, shift: Array, wide: Array) -> Fit:
    """The fit that knows the new delivery by its name."""
    levels = list(fit.encoder.levels)
    new = len(levels[place])
    levels[place] = (*levels[place], word)
    got = fit.regression
    # What is not known of the model is inflated when it is told; this is not to be.
    wide = wide / np.outer(got.sd, got.sd) / fit.covariance_inflation
    posterior = ShiftedPosterior(got.posterior, place, new, like, shift / got.sd, wide)
    return replace(
        fit,
        encoder=replace(fit.encoder, levels=tuple(levels)),
        regression=replace(got, posterior=posterior),
    )
