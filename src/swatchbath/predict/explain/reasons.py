"""Why a swatch came out otherwise than predicted, where the record bears it out."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from ...colorimetry.difference import delta_e2000
from ...colorimetry.lab import Array
from ...conditions.columns import column
from ..features.encoder import Factors
from ..features.labels import label_of
from ..regression.depth import depth_jacobian, lab_to_depth
from ..regression.fit import Fit, regression_from
from ..regression.gp import nearest_psd
from ..regression.regression import Regression
from ..search.columns import is_unknown

# Doubt is only named from this far off, squared, in standard deviations (1 in 10 by chance,
# chi-square with 3 degrees).
_FAR = 6.251
# A slip explains a miss when the corrected number brings it within this, squared (1 in 2 by
# chance, chi-square with 3 degrees), and makes the colour read so many times as likely as the
# number recorded does, and as many again for each other slip tried: about 1 in 25 rows of an
# untidy notebook holds a slip. Our own choice, no source.
_NEAR, _TIMES_AS_LIKELY = 2.366, 25.0
# Lots and photos are odd as a whole where this share of their swatches, of at least so many, is
# missed the same way. A reading is doubtful, and two of one swatch differ, by so many times what
# is usual. Our own choice.
_SHARE, _LEAST, _TIMES = 0.75, 3, 1.5

Slip = tuple[str, Callable[[float], float]]
# Slips of unit and of the decimal point, by column: what was written -> what may have been meant.
_TENS: tuple[Slip, ...] = (
    ("a slip of the decimal point", lambda v: v * 10),
    ("a slip of the decimal point", lambda v: v / 10),
)
_SLIPS: dict[str, tuple[Slip, ...]] = {
    "minutes": (("hours", lambda v: v * 60), *_TENS),
    "modifier_minutes": (("hours", lambda v: v * 60), *_TENS),
    "pH": _TENS,
    "modifier_pH": _TENS,
    "dye_owf": _TENS,
    "mordant_owf": _TENS,
    "modifier_owf": _TENS,
    "tannin_owf": _TENS,
}


def reasons_of(fit: Fit, i: int) -> list[str]:
    """Likely reasons, in sentences, for the colour read of row i of the fit's order, which was
    predicted without its lot; [] where the record bears none out."""
    alone = _alone(fit, i)
    found = [*_slips(fit, i), *alone, *_reading(fit, i), *_photo(fit, i)]
    if not alone:  # what no other lot is like is missed as a whole for that alone
        found[:0] = _lot(fit, i)
    return found


def _slips(fit: Fit, i: int) -> list[str]:
    """Numbers that would explain the colour if they were meant in another unit."""
    row = fit.table.iloc[[i]]
    tried = []
    for name, slips in _SLIPS.items():
        if name not in row or is_unknown(row[name].iloc[0]) or row[name].iloc[0] == 0:
            continue
        value = float(row[name].iloc[0])
        known = np.asarray(fit.table[name], dtype=float)
        low, high = np.nanquantile(known, [0.05, 0.95])
        about = column(name)
        for what, meant in slips:
            other = float(meant(value))
            if low <= other <= high and about is not None and about.recorded is not None:
                tried.append((name, value, other, what))
    if not tried:
        return []
    g, part = _without_lot(fit, np.array([i]))
    tables = [row.assign(**{t[0]: t[2]}) for t in tried]
    before, likely_before = _likelihood(fit, i, part, g)
    out = []
    for (name, value, other, what), table in zip(tried, tables, strict=True):
        f = fit.encoder.encode(table.reset_index(drop=True))
        after, likely = _likelihood(fit, i, part, f)
        gained = likely - likely_before - np.log(_TIMES_AS_LIKELY * len(tried))
        if before > after and after < _NEAR and gained > 0:
            label, unit = label_of(name)
            out.append(
                f"The {label} of {value:g}{unit} may be {what}: with {other:.3g}{unit} it would "
                "be where it was read."
            )
    return out[:2] or _far_number(fit, i)


def _far_number(fit: Fit, i: int) -> list[str]:
    """A number far from all others of its column."""
    out = []
    for name in _SLIPS:
        about = column(name)
        if name not in fit.table or about is None or about.scale is None:
            continue
        units = about.scale.to_unit(np.asarray(fit.table[name], dtype=float))
        value = units[i]
        known = units[~np.isnan(units)]
        if np.isnan(value) or len(known) < 8:
            continue
        spread = 1.4826 * float(np.median(np.abs(known - np.median(known))))
        if abs(value - np.median(known)) > max(0.5, 4 * spread):
            label, unit = label_of(name)
            own = float(fit.table[name].iloc[i])
            usual = float(np.nanmedian(np.asarray(fit.table[name], dtype=float)))
            out.append(
                f"Its {label} of {own:g}{unit} lies far from the others (mostly about "
                f"{usual:g}{unit}). Is it right?"
            )
    return out


def _likelihood(fit: Fit, i: int, part: Regression, f: Factors) -> tuple[float, float]:
    """How far reading i is from what a bath is predicted to give, squared, in standard deviations;
    and the logarithm of how likely the reading is then, but for a constant."""
    mean, cov, _ = part.posterior.at(f)
    h = part.hyper
    wide = fit.covariance_inflation * nearest_psd(cov) + h.pot
    read = fit.observations.lab[[i]]
    j = depth_jacobian(read) / part.sd[:, None]
    wide = wide + j @ fit.observations.own()[[i]] @ j.swapaxes(1, 2)
    off = (lab_to_depth(read[0]) - part.middle) / part.sd - mean[0]
    distance = float(off @ np.linalg.solve(wide[0], off))
    return distance, -0.5 * (distance + float(np.linalg.slogdet(wide[0])[1]))


def _off(fit: Fit) -> Array:
    """Reading less what was predicted, (n, 3), in the fit's order; NaN where not left out."""
    return np.asarray(fit.observations.lab - fit.cross_validation.lab[fit.order])


def _same_way(fit: Fit, mine: np.ndarray, i: int) -> tuple[int, int]:
    """How many of these rows are missed the same way as row i, and how many were predicted."""
    off = _off(fit)
    known = mine[~np.isnan(off[mine]).any(axis=1)]
    ways = off[known] @ off[i]
    long = np.linalg.norm(off[known], axis=1)
    like = ways > 0.5 * long * np.linalg.norm(off[i])
    return int(np.sum(like & (long > 0.4 * np.linalg.norm(off[i])))), len(known)


def _pieces(fit: Fit, mine: np.ndarray) -> np.ndarray:
    """One row of each pot among rows."""
    return mine[np.unique(fit.groups.pot[mine], return_index=True)[1]]


def _lot(fit: Fit, i: int) -> list[str]:
    mine = _pieces(fit, np.flatnonzero(fit.groups.lot == fit.groups.lot[i]))
    like, known = _same_way(fit, mine, i)
    if known < 2 or like < max(2, _SHARE * known):
        return []
    name = fit.table["lot"].iloc[i] if "lot" in fit.table else None
    called = f"lot {name}" if isinstance(name, str) else "its lot"
    if like < known:
        return [f"{like} of {known} parts of {called} are off the same way: look at its notes."]
    all_ = "Both" if known == 2 else f"All {known}"
    return [
        f"{all_} parts of {called} are off the same way: the dye pot may not have been as noted."
    ]


def _photo(fit: Fit, i: int) -> list[str]:
    """Whether its photo is odd: blamed only where the same swatches look otherwise in another
    photo, for a photo and the lots or the dyestuff in it are left out together."""
    for ids in fit.groups.photo:
        if ids[i] < 0:
            continue
        mine = _pieces(fit, np.flatnonzero(ids == ids[i]))
        lots = len(np.unique(fit.groups.lot[mine]))
        like, known = _same_way(fit, mine, i)
        if lots < 2 or known < _LEAST or like < _SHARE * known or _holds_a_kind(fit, ids, i):
            continue
        said = f"{like} of {known} swatches in its photo are off the same way"
        elsewhere = _other_photos(fit, ids, i)
        if not len(elsewhere):
            return [
                f"{said}: a second photo of two of them would tell whether it was the photo or "
                "the baths."
            ]
        off = _off(fit)[i]
        if float(elsewhere.mean(axis=0) @ off) > 0.5 * float(off @ off):
            return [
                f"{said}, and in another photo they are not: photograph them again in even light."
            ]
    return []


def _other_photos(fit: Fit, ids: np.ndarray, i: int) -> Array:
    """How swatches read in the photo of row i look in it beside how they look in other photos,
    (k, 3) in Lab."""
    if "swatch" not in fit.table:
        return np.empty((0, 3))
    codes, lab = fit.table["swatch"].to_numpy(object), fit.observations.lab
    out = []
    for j in np.flatnonzero(ids == ids[i]):
        other = (codes == codes[j]) & (ids != ids[i]) & (ids >= 0)
        if codes[j] is not None and other.any():
            out.append(lab[j] - lab[other].mean(axis=0))
    return np.array(out).reshape(-1, 3)


def _holds_a_kind(fit: Fit, ids: np.ndarray, i: int) -> bool:
    """Whether all swatches with the dyestuff of row i lie in its photo, so that without it they
    could only be guessed from other dyestuffs."""
    words = np.array(fit.words["dyestuff"], dtype=object)
    return bool(np.all(ids[words == words[i]] == ids[i]))


def _reading(fit: Fit, i: int) -> list[str]:
    out = []
    same = np.flatnonzero(fit.groups.pot == fit.groups.pot[i])
    lab = fit.observations.lab
    if len(same) > 1 and "swatch" in fit.table:
        codes = fit.table["swatch"]
        same = np.array([j for j in same if codes.iloc[j] == codes.iloc[i] and j != i], int)
        if len(same):
            gap = float(delta_e2000(lab[same], lab[i]).max())
            if gap > 0.5 * float(fit.cross_validation.delta_e2000[fit.order[i]]):
                out.append(
                    f"Two readings of it differ by {gap:.0f} (CIEDE2000): photograph it again."
                )
    if fit.observations.errors is not None:
        spread = np.sqrt(np.trace(fit.observations.own(), axis1=1, axis2=2))
        if spread[i] > _TIMES * np.median(spread):
            out.append(
                f"Its reading is {spread[i] / np.median(spread):.1f} times as doubtful as most: an "
                "old or poor photo."
            )
    return out


def _alone(fit: Fit, i: int) -> list[str]:
    """Whether no other lot is like it."""
    row = int(fit.order[i])
    if bool(fit.cross_validation.outside[row]):
        return ["No other lot had what it has, so it could only be guessed."]
    g, part = _without_lot(fit, np.array([i]))
    if float(part.posterior.at(g)[2][0]) > 0.5:
        return ["Few swatches of other lots are like it."]
    return []


def _without_lot(fit: Fit, rows: np.ndarray) -> tuple[Factors, Regression]:
    """Factors of `rows`, and the regression without all that shares their lot, dye day or photo."""
    groups = fit.groups
    drop = np.isin(groups.lot, groups.lot[rows])
    for ids in (groups.session, *groups.photo):
        drop |= np.isin(ids, ids[rows][ids[rows] >= 0]) & (ids >= 0)
    if (~drop).sum() < max(8, len(drop) // 3):
        drop = np.isin(groups.lot, groups.lot[rows])
    train = np.flatnonzero(~drop)
    return fit.factors.take(rows), regression_from(fit, train)
