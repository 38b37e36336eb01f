"""Deliveries of a dyestuff on record: how they differ, and which recipes check a new one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from ...colorimetry.lab import Array
from ...conditions.columns import column
from ...conditions.vocabulary import meaning
from ...errors import BadValue, NotFound
from ..features.encoder import Factors
from ..regression.depth import depth_jacobian, lab_to_depth
from ..regression.fit import Fit, pot_depth_covariance, regression_from
from ..regression.observations import Observations, sources_of
from ..search.columns import kind_of

# From one to so many check swatches; in trials more than five gained little.
CHECKS = (1, 5)
# Covariance of the shift of log depth (strength, hues) between deliveries of a dyestuff; from
# made-up deliveries of a made-up dye house (tests/studies/score_new_lot.py --spread, seeds 0 to
# 29).
_MADE_UP = np.array(
    [[0.01771, 0.00057, -0.00212], [0.00057, 0.00070, 0.00125], [-0.00212, 0.00125, 0.00767]]
)
# Deliveries that must be on record before their own spread is learnt; how many deliveries the
# made-up spread counts for then; swatches a delivery must have. Our own choice.
_LEARNS_AFTER, _MADE_UP_COUNTS, _LEAST_ROWS = 4, 4.0, 2


@dataclass(frozen=True, eq=False)
class LotSpread:
    """How deliveries differ: covariance (3, 3) of the shift of log depth; deliveries it was
    learnt from, 0 where it is that of made-up ones."""

    covariance: Array
    deliveries: int

    @property
    def note(self) -> str:
        """One sentence on where it comes from."""
        if not self.deliveries:
            return (
                "How deliveries differ is taken from made-up ones; with four or more on record it "
                "is learnt from yours."
            )
        return f"How deliveries differ was learnt from {self.deliveries} of yours."


def rows_with(fit: Fit, dyestuff: str) -> np.ndarray:
    """Rows dyed with one dyestuff alone. Raises NotFound."""
    word = meaning("dyestuff", dyestuff)
    words = fit.table["dyestuff"]
    mine = np.array([meaning("dyestuff", str(w)) == word for w in words], bool)
    for name in (c for c in fit.table if str(c).startswith("dyestuff_") and str(c)[-1:].isdigit()
                 and "form" not in str(c) and "lot" not in str(c)):  # fmt: skip
        mine &= np.array([not isinstance(w, str) or w == "none" for w in fit.table[name]], bool)
    if not mine.any():
        known = ", ".join(sorted({str(w) for w in words}))
        raise NotFound(
            f"No swatch was dyed with {dyestuff} alone, so a new delivery of it has nothing to be "
            f"compared with; on record are: {known}."
        )
    return np.flatnonzero(mine)


def check_recipes(fit: Fit, dyestuff: str, k: int = 3) -> list[dict[str, Any]]:
    """k recipes on record (1 to 5) that tell most about a new delivery, from deep to pale.

    They are well-known baths of the most frequent kind, without an after-bath where there are
    such; the delivery's name is left out. Raises NotFound or BadValue.
    """
    return [bath for _, bath in checks_of(fit, dyestuff, k)]


def checks_of(fit: Fit, dyestuff: str, k: int = 3) -> list[tuple[int, dict[str, Any]]]:
    """`check_recipes`, each with the position of the row it repeats, as given to `fit`."""
    parse_checks(k)
    rows = rows_with(fit, dyestuff)
    baths = _baths(fit, rows)
    plain = [meaning("modifier", str(b.get("modifier") or "none")) == "none" for b in baths]
    if sum(plain) >= k:
        rows, baths = rows[plain], [b for b, p in zip(baths, plain, strict=True) if p]
    kinds = [kind_of(b) for b in baths]
    often = sorted({*kinds}, key=lambda kind: (-kinds.count(kind), kind))
    keep: list[int] = []
    for kind in often:  # the most frequent kind, and the next where it has too few recipes
        keep += [i for i, own in enumerate(kinds) if own == kind]
        if len({_recipe(baths[i]) for i in keep}) >= k:
            break
    first: dict[Any, int] = {}
    for i in keep:
        first.setdefault(_recipe(baths[i]), i)
    keep = list(first.values())
    f = fit.factors.take(rows[keep])
    mean, cov, _ = fit.regression.posterior.at(f)
    depth = mean[:, 0]
    unknown = np.trace(cov, axis1=1, axis2=2)
    order = np.argsort(-depth, kind="stable")
    chosen: list[int] = []
    for part in np.array_split(order, min(k, len(order))):  # of each depth the best known
        chosen.append(int(part[np.argmin(unknown[part])]))
    return [
        (
            int(fit.order[rows[keep[i]]]),
            {n: v for n, v in baths[keep[i]].items() if n != "dyestuff_lot"},
        )
        for i in chosen
    ]


def _recipe(bath: Mapping[str, Any]) -> tuple[Any, ...]:
    return tuple(sorted((n, v) for n, v in bath.items() if n != "dyestuff_lot"))


def _baths(fit: Fit, rows: np.ndarray) -> list[dict[str, Any]]:
    out = []
    for record in fit.table.iloc[rows].to_dict("records"):
        out.append(
            {
                str(n): v
                for n, v in record.items()
                if v is not None
                and v == v
                and (about := column(str(n))) is not None
                and about.kind != "group"
                and n not in ("fibre_g", "pot_g")
            }
        )
    return out


def parse_checks(k: int) -> int:
    """How many check swatches there are. Raises BadValue unless 1 to 5."""
    if (
        isinstance(k, bool)
        or not isinstance(k, int | np.integer)
        or not CHECKS[0] <= k <= CHECKS[1]
    ):
        raise BadValue(
            f"{k!r} check swatches were given; a new delivery is told from {CHECKS[0]} to "
            f"{CHECKS[1]}."
        )
    return int(k)


def lot_spread(fit: Fit) -> LotSpread:
    """How deliveries differ: learnt from those on record where there are four or more that can be
    compared with another of their dyestuff, else that of made-up ones."""
    if "dyestuff_lot" not in fit.encoder.words:
        return LotSpread(_MADE_UP, 0)
    place = fit.encoder.words.index("dyestuff_lot")
    dyes = fit.factors.levels[:, fit.encoder.words.index("dyestuff")]
    lots = fit.factors.levels[:, place]
    found: list[tuple[Array, Array]] = []
    for dye in np.unique(dyes):
        mine = np.unique(lots[dyes == dye])
        for lot in mine if len(mine) > 1 else []:
            rows = np.flatnonzero((dyes == dye) & (lots == lot))
            if len(rows) >= _LEAST_ROWS:
                found.append(_shift_on_record(fit, rows, place))
    if len(found) < _LEARNS_AFTER:
        return LotSpread(_MADE_UP, 0)
    # Moments: the mean square of the shifts less what is not known of them, beside the made-up
    # spread, which counts for so many deliveries. A shift is from others of the dyestuff, whose
    # own shifts add as much again divided by their number; taken as a half.
    total = _MADE_UP_COUNTS * _MADE_UP
    for shift, unknown in found:
        total = total + (np.outer(shift, shift) - unknown) / 1.5
    values, vectors = np.linalg.eigh(total / (_MADE_UP_COUNTS + len(found)))
    floor = 0.05 * np.linalg.eigvalsh(_MADE_UP)
    wide = (vectors * np.maximum(values, floor)) @ vectors.T
    return LotSpread(wide, len(found))


def _shift_on_record(fit: Fit, rows: np.ndarray, place: int) -> tuple[Array, Array]:
    """Shift (3,) of a delivery on record from the rest, and what is not known of it (3, 3)."""
    got = fit.regression
    rest = np.setdiff1d(np.arange(len(fit.factors.x)), rows)
    like = fit.factors.levels[rest, fit.encoder.words.index("dyestuff")]
    same = rest[like == fit.factors.levels[rows[0], fit.encoder.words.index("dyestuff")]]
    without = regression_from(fit, rest)
    levels = fit.factors.levels[rows].copy()
    codes, counts = np.unique(fit.factors.levels[same, place], return_counts=True)
    levels[:, place] = codes[counts.argmax()]
    f = replace(fit.factors.take(rows), levels=levels)
    mean, cov, _ = without.posterior.at(f)
    z = (lab_to_depth(fit.observations.lab[rows]) - got.middle) / got.sd
    j = depth_jacobian(fit.observations.lab[rows]) / got.sd[:, None]
    noise = j @ fit.observations.own()[rows] @ j.swapaxes(1, 2)
    whole = pot_depth_covariance(fit, cov) + noise
    precision = sum(np.linalg.inv(c) for c in whole)
    weighted = sum(np.linalg.solve(c, r) for c, r in zip(whole, z - mean, strict=True))
    unknown = np.linalg.inv(precision)
    return (unknown @ weighted) * got.sd, unknown * np.outer(got.sd, got.sd)


def check_errors(fit: Fit, observed: Observations, f: Factors) -> Array:
    """Errors (k, k, 3, 3) of the checks' readings beside colours as the record gives them.

    The record is learnt in the colours of its own camera and card (see `Observations`), so a check
    read by these has their error in common with it, and one read by others differs by both
    errors, in all checks alike. f : the checks' baths. Where nothing is known of the
    checks' doubt, it is taken to be that of a usual reading on record.
    """
    k, record = len(observed.lab), fit.observations
    out = np.zeros((k, k, 3, 3))
    if observed.measurements is None:
        own = observed.own()
        if not own.any():
            own = np.repeat(np.median(record.own(), axis=0)[None], k, axis=0)
        out[np.arange(k), np.arange(k)] = own
        return out
    checks = observed.measurements
    for i, check in enumerate(checks):
        out[i, i] = check.covariance
    loads: dict[str, Array] = {}
    for name, (where, own) in sources_of(checks).items():
        loads[name] = np.zeros((k, *own.shape[1:]))
        loads[name][where] = own
        shared = own[:, None] @ own[None].swapaxes(-1, -2)
        shared[np.arange(len(where)), np.arange(len(where))] = 0  # on the diagonal already
        out[np.ix_(where, where)] += shared
    for name, theirs in fit.regression.lasting_of(f).items():
        out += theirs[:, None] @ theirs[None].swapaxes(-1, -2)
        mine = loads.get(name)
        if mine is not None and mine.shape == theirs.shape:
            both = mine[:, None] @ theirs[None].swapaxes(-1, -2)
            out -= both + both.transpose(1, 0, 3, 2)
    return out
