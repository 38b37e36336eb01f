"""What a model has learnt, in figures: which conditions matter, how the colour answers to each,
which swatches it misses and why that may be, and what the record cannot tell apart."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from ...colorimetry.difference import delta_e2000
from ...colorimetry.lab import Array
from ...colorimetry.words import difference_words
from ...conditions.columns import column
from ..features.encoder import Encoder, Factors
from ..regression.cross_validation import folds_of
from ..regression.gp import active
from ..regression.local_gp import condition, learnt_from
from ..regression.training import learn
from ..search.ranges import is_unknown
from ..search.space import Bath, kind_of

if TYPE_CHECKING:
    from ..model import ShadeModel

__all__ = ["CONDITIONS", "Curve", "Matters", "curves", "typical_bath", "what_matters"]

# A condition a dyer thinks of as one, and the columns that tell of it.
CONDITIONS: dict[str, str] = {
    "fibre": r"fibre|fibre_form|base_[Lab]",
    "dyestuff": r"dyestuff(_form|_lot)?(_\d)?|dye_\d_how",
    "amount of dyestuff": r"dye_owf(_\d)?",
    "tannin": r"tannin(_owf)?",
    "mordant": r"mordant(_owf)?",
    "addition to the bath": r"assist(_owf)?",
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

    increase : of the mean error (CIEDE2000); doubt : its standard error, lots counted once. seen :
    whether it is more than chance. columns : those that tell of it.
    """

    condition: str
    increase: float
    doubt: float
    seen: bool
    columns: tuple[str, ...]

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "condition": self.condition,
            "increase": self.increase,
            "give_or_take": self.doubt,
            "seen": self.seen,
            "columns": list(self.columns),
        }


def what_matters(model: ShadeModel) -> tuple[list[Matters], float]:
    """Conditions that vary on record, the one that matters most first, and the mean error of
    left-out swatches (CIEDE2000) with nothing hidden.

    Each is hidden in turn, the rest learnt from anew, and every lot left out with its dye day and
    photos; what is known of other conditions may still give the hidden one away, as it would in
    the dye house. The scales are learnt once from all rows for each, in both cases alike.
    """
    n = len(model._f.x)
    rows = np.arange(n)
    if n > _MOST_ROWS:
        rows = np.sort(np.random.default_rng(model.seed).permutation(n)[:_MOST_ROWS])
    table = model._table.iloc[rows].reset_index(drop=True)
    base = _errors(model, rows, table)
    done = ~np.isnan(base)
    if not done.any():
        return [], float("nan")
    lots = model._groups.lot[rows][done]
    out = []
    for name, pattern in CONDITIONS.items():
        mine = [str(c) for c in table if re.fullmatch(pattern, str(c)) and _varies(table[c])]
        if not mine:
            continue
        hidden = table.drop(columns=[c for c in table if re.fullmatch(pattern, str(c))])
        more = (_errors(model, rows, hidden) - base)[done]
        by_lot = np.array([more[lots == lot].mean() for lot in np.unique(lots)])
        doubt = float(by_lot.std(ddof=1) / math.sqrt(len(by_lot))) if len(by_lot) > 1 else math.inf
        gain = float(more.mean())
        out.append(Matters(name, gain, doubt, gain > _SEEN * doubt, tuple(mine)))
    return sorted(out, key=lambda m: -m.increase), float(base[done].mean())


def _varies(cells: pd.Series) -> bool:
    known = {v for v in cells if not is_unknown(v)}
    return len(known) > 1


def _errors(model: ShadeModel, rows: np.ndarray, table: pd.DataFrame) -> Array:
    """CIEDE2000 (n,) of each swatch left out with its lot, from what the table tells; NaN where
    it could not be left out."""
    encoder = Encoder.learn(table)
    f = encoder.encode(table)
    readings, groups = model._readings.take(rows), model._groups.take(rows)
    extra = model._extra[rows]
    out = np.full(len(rows), np.nan)
    if not any(a.any() for a in active(f)):
        return out
    got = learn(f, readings, groups, extra, steps=25)
    for test, train in folds_of(groups, np.random.default_rng(model.seed))[0]:
        part = condition(
            got.hyper,
            got.middle,
            got.sd,
            f.take(train),
            readings.take(train),
            groups.take(train),
            extra[train],
        )
        lab = part.to_lab(part.posterior.mean(f.take(test)))
        out[test] = delta_e2000(lab, readings.lab[test])
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


def typical_bath(model: ShadeModel, rows: np.ndarray) -> Bath:
    """The recorded bath among `rows` that is most like the others of the most frequent kind."""
    records = model._table.iloc[rows].to_dict("records")
    baths = [
        {str(n): v for n, v in r.items() if not is_unknown(v) and _is_condition(str(n))}
        for r in records
    ]
    kinds = [kind_of(b) for b in baths]
    often = min(set(kinds), key=lambda kind: (-kinds.count(kind), kind))
    mine = np.array([i for i, kind in enumerate(kinds) if kind == often])
    x = model._f.x[rows[mine]]
    far = ((x - np.median(x, axis=0)) ** 2).sum(axis=1)
    return baths[int(mine[np.argmin(far)])]


def _is_condition(name: str) -> bool:
    about = column(name)
    return about is not None and about.kind != "group" and name != "fibre_g"


def curves(model: ShadeModel, bath: Bath, rows: np.ndarray) -> list[Curve]:
    """How a bath's colour answers to each of its numbers over what was recorded among `rows`, the
    strongest first."""
    out = []
    table = model._table.iloc[rows]
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
        asked = model.predict([dict(bath)] + [bath | {name: float(v)} for v in values])
        lab = asked.lab[1:]
        sd = np.sqrt(np.diagonal(asked.pot_covariance[1:], axis1=1, axis2=2))
        out.append(
            Curve(
                name,
                about.unit,
                values,
                lab,
                lab - _Z90 * sd,
                lab + _Z90 * sd,
                np.asarray(delta_e2000(lab, asked.lab[0])),
                difference_words(lab[-1], lab[0]),
                tuple(sorted({float(v) for v in known})),
            )
        )
    return sorted(out, key=lambda c: -float(delta_e2000(c.lab[-1], c.lab[0])))


def rows_within(model: ShadeModel, limits: Any) -> np.ndarray:
    """Rows that keep to limits as `suggest` takes them."""
    from ..search.request import read_limits

    keep = np.ones(len(model._f.x), bool)
    for name, limit in read_limits(limits).items():
        cells = list(model._table[name]) if name in model._table else []
        holds = [not is_unknown(v) and limit.holds(name, v) for v in cells]
        keep &= np.array(holds, bool) if holds else False
    return np.flatnonzero(keep)


def left_out_of(model: ShadeModel, rows: np.ndarray) -> tuple[Factors, Any]:
    """Factors and posterior without `rows` and all that shares their lot, dye day or photo."""
    groups = model._groups
    drop = np.isin(groups.lot, groups.lot[rows])
    for ids in (groups.session, *groups.photo):
        drop |= np.isin(ids, ids[rows][ids[rows] >= 0]) & (ids >= 0)
    if (~drop).sum() < max(8, len(drop) // 3):
        drop = np.isin(groups.lot, groups.lot[rows])
    train = np.flatnonzero(~drop)
    return model._f.take(rows), learnt_from(model, train)
