"""What was learnt, in figures: which conditions matter, and how the colour answers to each."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from ...colorimetry.difference import delta_e2000
from ...colorimetry.lab import Array
from ...colorimetry.words import difference_words
from ...conditions.columns import column
from ..features.encoder import Encoder
from ..prediction import predict
from ..regression.cross_validation import folds_of
from ..regression.fit import Fit
from ..regression.kernel import active
from ..regression.regression import learn
from ..search.columns import Bath, is_unknown, kind_of
from ..search.limits import Limits, parse_limits

# A condition a dyer thinks of as one, and the columns that tell of it.
CONDITIONS: dict[str, str] = {
    "fibre": r"fibre|fibre_form|base_[Lab]",
    "dyestuff": r"dyestuff(_form|_lot)?(_\d)?|dye_\d_how",
    "amount of dyestuff": r"dye_owf(_\d)?",
    "tannin": r"tannin(_owf)?",
    "mordant": r"mordant(_owf)?",
    "assistant in the mordant bath": r"mordant_assist(_owf)?",
    "assistant in the dye bath": r"assist(_owf)?",
    "dye bath pH": r"pH",
    "dye bath heat": r"temperature_C",
    "time in the dye bath": r"minutes",
    "liquor ratio": r"liquor_ratio",
    "bath number": r"bath_number",
    "after-bath": r"modifier(_owf|_pH|_minutes)?(_\d)?",
    "wash pH": r"wash_pH",
    "water": r"water",
    "vessel": r"vessel",
}
# Rows at most, so that a large record is asked in the time of a middling one; steps of a curve;
# the normal quantile of a 90 % interval.
_MOST_ROWS, _STEPS, _Z90 = 250, 9, 1.645
# What a condition does counts as seen from this many times its own give or take.
_SEEN = 2.0


@dataclass(frozen=True)
class Matters:
    """A condition, and by how much swatches of lots left out are missed by more when it is hidden.

    increase : of the mean error (CIEDE2000); uncertainty : its standard error, lots counted once.
    seen : whether it is more than chance. columns : those that tell of it.
    """

    condition: str
    increase: float
    uncertainty: float
    seen: bool
    columns: tuple[str, ...]

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "condition": self.condition,
            "increase": self.increase,
            "give_or_take": self.uncertainty,
            "seen": self.seen,
            "columns": list(self.columns),
        }


def what_matters(fit: Fit) -> tuple[list[Matters], float]:
    """Conditions that vary on record, the one that matters most first, and the mean error of
    left-out swatches (CIEDE2000) with nothing hidden.

    Each is hidden in turn, the rest learnt from anew, and every lot left out with its dye day and
    photos; what is known of other conditions may still give the hidden one away, as it would in
    the dye house. The scales are learnt once from all rows for each, in both cases alike.
    """
    n = len(fit.factors.x)
    rows = np.arange(n)
    if n > _MOST_ROWS:
        rows = np.sort(np.random.default_rng(fit.seed).permutation(n)[:_MOST_ROWS])
    table = fit.table.iloc[rows].reset_index(drop=True)
    base = _errors(fit, rows, table)
    done = ~np.isnan(base)
    if not done.any():
        return [], float("nan")
    lots = fit.groups.lot[rows][done]
    out = []
    for name, pattern in CONDITIONS.items():
        mine = [str(c) for c in table if re.fullmatch(pattern, str(c)) and _varies(table[c])]
        if not mine:
            continue
        hidden = table.drop(columns=[c for c in table if re.fullmatch(pattern, str(c))])
        more = (_errors(fit, rows, hidden) - base)[done]
        by_lot = np.array([more[lots == lot].mean() for lot in np.unique(lots)])
        error = float(by_lot.std(ddof=1) / math.sqrt(len(by_lot))) if len(by_lot) > 1 else math.inf
        gain = float(more.mean())
        out.append(Matters(name, gain, error, gain > _SEEN * error, tuple(mine)))
    return sorted(out, key=lambda m: -m.increase), float(base[done].mean())


def _varies(cells: pd.Series) -> bool:
    known = {v for v in cells if not is_unknown(v)}
    return len(known) > 1


def _errors(fit: Fit, rows: np.ndarray, table: pd.DataFrame) -> Array:
    """CIEDE2000 (n,) of each swatch left out with its lot, from what the table tells; NaN where
    it could not be left out."""
    encoder = Encoder.learn(table)
    f = encoder.encode(table)
    observed, groups = fit.observations.take(rows), fit.groups.take(rows)
    extra = fit.extra_noise[rows]
    out = np.full(len(rows), np.nan)
    if not any(a.any() for a in active(f)):
        return out
    got = learn(f, observed, groups, extra, steps=25)
    for test, train in folds_of(groups, np.random.default_rng(fit.seed))[0]:
        part = got.on(f.take(train), observed.take(train), groups.take(train), extra[train])
        lab = part.to_lab(part.posterior.mean(f.take(test)))
        out[test] = delta_e2000(lab, observed.lab[test])
    return out


# -- response curves ----------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class Curve:
    """How the colour answers to one number of a bath.

    values (m,) in the column's unit; lab (m, 3); low, high (m, 3) : 90 % of what one pot's true
    L*, a*, b* may be. delta_e2000 (m,) : from the bath as it is. shown (m,) : whether swatches
    lie near. words : what the upper end does beside the lower one. recorded : values on record.
    """

    name: str
    unit: str
    values: Array
    lab: Array
    low: Array
    high: Array
    delta_e2000: Array
    words: str
    recorded: tuple[float, ...]

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "column": self.name,
            "unit": self.unit,
            "values": self.values.tolist(),
            "lab": self.lab.tolist(),
            "low": self.low.tolist(),
            "high": self.high.tolist(),
            "delta_e2000": self.delta_e2000.tolist(),
            "words": self.words,
            "recorded": list(self.recorded),
        }


def typical_bath(fit: Fit, rows: np.ndarray) -> Bath:
    """The recorded bath among `rows` that is most like the others of the most frequent kind."""
    records = fit.table.iloc[rows].to_dict("records")
    baths = [
        {str(n): v for n, v in r.items() if not is_unknown(v) and _is_condition(str(n))}
        for r in records
    ]
    kinds = [kind_of(b) for b in baths]
    often = min(set(kinds), key=lambda kind: (-kinds.count(kind), kind))
    mine = np.array([i for i, kind in enumerate(kinds) if kind == often])
    x = fit.factors.x[rows[mine]]
    far = ((x - np.median(x, axis=0)) ** 2).sum(axis=1)
    return baths[int(mine[np.argmin(far)])]


def _is_condition(name: str) -> bool:
    about = column(name)
    return about is not None and about.kind != "group" and name not in ("fibre_g", "pot_g")


def curves(fit: Fit, bath: Bath, rows: np.ndarray) -> list[Curve]:
    """How a bath's colour answers to each of its numbers over what was recorded among `rows`, the
    strongest first."""
    out = []
    table = fit.table.iloc[rows]
    for name, value in bath.items():
        about = column(name)
        if about is None or about.scale is None or name.startswith("base_"):
            continue
        if isinstance(value, str) or (value == 0 and name.endswith("_owf")):
            continue
        known = np.asarray(table[name], dtype=float)
        known = known[~np.isnan(known) & ~((known == 0) & name.endswith("_owf"))]
        if not len(known) or np.ptp(known) == 0:
            continue
        low, high = about.scale.to_unit(np.array([known.min(), known.max()]))
        values = np.asarray(about.scale.from_unit(np.linspace(low, high, _STEPS)), dtype=float)
        if about.whole:
            values = np.unique(values.round())
        predicted = predict(fit, [dict(bath)] + [bath | {name: float(v)} for v in values])
        lab = predicted.lab[1:]
        sd = np.sqrt(np.diagonal(predicted.pot_covariance[1:], axis1=1, axis2=2))
        out.append(
            Curve(
                name,
                about.unit,
                values,
                lab,
                lab - _Z90 * sd,
                lab + _Z90 * sd,
                np.asarray(delta_e2000(lab, predicted.lab[0])),
                difference_words(lab[-1], lab[0]),
                tuple(sorted({float(v) for v in known})),
            )
        )
    return sorted(out, key=lambda c: -float(delta_e2000(c.lab[-1], c.lab[0])))


def rows_within(fit: Fit, limits: Limits | None) -> np.ndarray:
    """Rows that keep to limits as `suggest` takes them."""
    keep = np.ones(len(fit.factors.x), bool)
    for name, limit in parse_limits(limits).items():
        cells = list(fit.table[name]) if name in fit.table else []
        holds = [not is_unknown(v) and limit.holds(name, v) for v in cells]
        keep &= np.array(holds, bool) if holds else False
    return np.flatnonzero(keep)
