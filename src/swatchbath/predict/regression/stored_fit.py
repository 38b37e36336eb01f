"""A fit as text, to be kept beside the swatches it was learnt from and put back in a moment.

It is plain JSON and holds nothing that is not in the record: it may be deleted at any time. It is
trusted only where this program's own text, the seed and every row agree by their hashes. Where
swatches were added since, up to a fifth, what was learnt about the scales is kept and the new
ones are learnt from; where one of them is far from what the others say, or one was changed or
taken away, all is learnt anew.
"""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields, replace
from functools import lru_cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import Any

import numpy as np
import scipy

from ...colorimetry.lab import Array
from .cross_validation import CrossValidation
from .depth import depth_jacobian, lab_to_depth
from .fit import Fit, pot_depth_covariance, regression_from
from .kernel import Hyper, Scales, active, prior_hyper
from .regression import condition
from .rows import TrainingRows
from .training import OUTLIER_DISTANCE

_FORMAT = 1
# How much a record may grow before all is learnt anew; in trials on a made-up dye house the
# scales of four fifths of the rows were as good.
_MOST_GROWN = 1.2


@dataclass(frozen=True, eq=False)
class StoredFit:
    """What was learnt from rows: scales by factor name, the standard of the depths, the added
    reading variance and the scores of each row, and the sentences about it."""

    keys: tuple[str, ...]
    seed: int
    factors: tuple[str, ...]
    hyper: Hyper
    middle: Array
    sd: Array
    extra: Array
    odd: tuple[int, ...]
    cross_validation: CrossValidation
    notes: tuple[str, ...]

    def fits(self, keys: Sequence[str], seed: int) -> bool:
        """Whether it may be used for rows with these keys (see the module)."""
        if seed != self.seed or len(keys) > _MOST_GROWN * len(self.keys):
            return False
        return not Counter(self.keys) - Counter(keys)

    def left_out(self, key: str) -> tuple[Array, Array] | None:
        """The colour (3,) and its covariance (3, 3) that a row with this key (see `row_keys`) was
        expected to have when its lot was left out; None where that was not learnt."""
        if key not in self.keys:
            return None
        place = self.keys.index(key)
        lab = self.cross_validation.lab[place]
        known = bool(np.isfinite(lab).all())
        return (lab, self.cross_validation.covariance[place]) if known else None

    def hyper_for(self, rows: TrainingRows) -> Hyper:
        """The scales in the order of the rows' factors; a factor that is new has its prior's."""
        names, found = _factor_names(rows), []
        both = zip(self.hyper.parts, prior_hyper(rows.factors).parts, strict=True)
        for (known, _), (new, _) in both:
            old = dict(zip(self.factors, known.weights, strict=True))
            weights = [old.get(n, w) for n, w in zip(names, new.weights, strict=True)]
            found.append(replace(known, weights=np.array(weights)))
        return Hyper(tuple(found), active(rows.factors))


@lru_cache(maxsize=1)
def _program() -> str:
    """A hash of the text of the packages that learn, and of what they stand on."""
    digest = hashlib.sha256(f"{_FORMAT} {np.__version__} {scipy.__version__}".encode())
    for package in ("predict", "bath", "conditions", "colorimetry"):
        for path in _texts(files("swatchbath") / package):
            digest.update(path.name.encode() + path.read_bytes())
    return digest.hexdigest()


def _texts(folder: Traversable) -> Iterator[Traversable]:
    """Its files of code and constants, and those of its folders, always in one order."""
    for path in sorted(folder.iterdir(), key=lambda p: p.name):
        if path.is_dir():
            yield from _texts(path)
        elif path.name.endswith((".py", ".json")):
            yield path


def _factor_names(rows: TrainingRows) -> list[str]:
    e = rows.encoder
    return [*(f"number {n}" for n in e.numbers), *(f"word {w}" for w in e.words)]


def write_fit(fit: Fit) -> str:
    """A fit as text, its rows by their keys alone."""
    extra = np.zeros(len(fit.keys))
    extra[fit.order] = fit.extra_noise
    got = fit.regression
    text = json.dumps(
        {
            "seed": fit.seed,
            "keys": list(fit.keys),
            "factors": _factor_names(fit),
            "scales": [_plain(_values(s)) for s in got.hyper.scales],
            "in_linear": _plain(got.hyper.in_linear),
            "middle": _plain(got.middle),
            "sd": _plain(got.sd),
            "extra": _plain(extra),
            "odd": [int(i) for i in fit.outliers],
            "left_out": _plain(_values(fit.cross_validation)),
            "notes": list(fit.fit_notes),
        }
    )
    about = "What was learnt from the swatches. It may be deleted; it is learnt again."
    return json.dumps({"about": about, "program": _program(), "check": _hash(text), "fit": text})


def _hash(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def parse_fit(text: str) -> StoredFit | None:
    """The stored fit in a text; None where it is another program's, damaged or no fit at all."""
    try:
        whole = json.loads(text)
        if whole["program"] != _program() or whole["check"] != _hash(whole["fit"]):
            return None
        stored = json.loads(whole["fit"])
        return StoredFit(
            tuple(stored["keys"]),
            int(stored["seed"]),
            tuple(stored["factors"]),
            Hyper(
                tuple(Scales(**_restored(s)) for s in stored["scales"]),
                _back(stored["in_linear"]),
            ),
            _back(stored["middle"]),
            _back(stored["sd"]),
            _back(stored["extra"]),
            tuple(stored["odd"]),
            CrossValidation(**_restored(stored["left_out"])),
            tuple(stored["notes"]),
        )
    except (ValueError, KeyError, TypeError, AttributeError):
        return None


def restore(stored: StoredFit, rows: TrainingRows) -> Fit:
    """The fit of rows from what was learnt from them, or from most of them."""
    place = {key: i for i, key in enumerate(stored.keys)}
    of_old = np.array([place.get(key, -1) for key in rows.keys])
    known = of_old >= 0
    extra = np.zeros(len(rows.keys))
    extra[known] = stored.extra[of_old[known]]
    back = {old: new for new, old in enumerate(of_old.tolist())}
    notes = stored.notes
    added = int(np.sum(~known))
    if added:
        notes += (
            f"{added} of {len(rows.keys)} swatches were added since it was tested; they are learnt "
            "from, and the test is that of the others.",
        )
    return Fit(
        **vars(rows),
        regression=condition(
            stored.hyper_for(rows),
            stored.middle,
            stored.sd,
            rows.factors,
            rows.observations,
            rows.groups,
            extra[rows.order],
        ),
        extra_noise=extra[rows.order],
        covariance_inflation=stored.cross_validation.covariance_inflation,
        cross_validation=_rows_of(stored.cross_validation, of_old, len(stored.keys)),
        outliers=np.array(sorted(back[i] for i in stored.odd), dtype=int),
        fit_notes=notes,
    )


def has_outlier(fit: Fit, stored: StoredFit) -> bool:
    """Whether a swatch added since lies farther from what the others say than an odd row does:
    then the scales may be wrong, and all is better learnt anew."""
    old = np.isin(np.array(fit.keys)[fit.order], stored.keys)
    new = np.flatnonzero(~old)
    if not new.size:
        return False
    got = regression_from(fit, np.flatnonzero(old))
    mean, c, _ = got.posterior.at(fit.factors.take(new))
    lab = fit.observations.lab[new]
    j = depth_jacobian(lab) / got.sd[:, None]
    read = j @ fit.observations.own()[new] @ j.swapaxes(1, 2)
    whole = pot_depth_covariance(fit, c) + read
    off = (lab_to_depth(lab) - got.middle) / got.sd - mean
    distance = np.einsum("ni,nij,nj->n", off, np.linalg.inv(whole), off)
    return bool((distance > OUTLIER_DISTANCE).any())


def _rows_of(scored: CrossValidation, of_old: np.ndarray, n: int) -> CrossValidation:
    """The scores in a new order of rows; a row that was not scored has none."""
    out = _values(scored)
    for name, value in out.items():
        if isinstance(value, np.ndarray) and value.ndim and len(value) == n:
            empty = np.zeros((len(of_old), *value.shape[1:]), dtype=value.dtype)
            if value.dtype == float:
                empty[:] = np.nan
            known = of_old >= 0
            empty[known] = value[of_old[known]]
            out[name] = empty
    return CrossValidation(**out)


def _values(item: Any) -> dict[str, Any]:
    return {f.name: getattr(item, f.name) for f in fields(item)}


def _plain(value: Any) -> Any:
    """A value for JSON; arrays and tuples say that they are such."""
    if isinstance(value, dict):
        return {k: _plain(v) for k, v in value.items()}
    if isinstance(value, np.ndarray):
        return {"array": value.tolist(), "of": value.dtype.name}
    if isinstance(value, tuple):
        return {"tuple": [_plain(v) for v in value]}
    return value.item() if isinstance(value, np.generic) else value


def _back(value: Any) -> Any:
    if isinstance(value, dict) and "array" in value:
        return np.array(value["array"], dtype=value["of"])
    if isinstance(value, dict) and "tuple" in value:
        return tuple(_back(v) for v in value["tuple"])
    return value


def _restored(values: dict[str, Any]) -> dict[str, Any]:
    return {name: _back(v) for name, v in values.items()}
