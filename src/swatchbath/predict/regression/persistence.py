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
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd
import scipy
from numpy.typing import ArrayLike

from ...colorimetry.lab import Array
from ...colorimetry.measurement import Measurement
from .cross_validation import LeftOut
from .depth import depth_jacobian, lab_to_depth
from .gp import Hyper, Scales, active, lift, prior_hyper

if TYPE_CHECKING:
    from ..model import ShadeModel

__all__ = ["StoredFit", "put_back", "read_fit", "row_keys", "surprised", "write_fit"]

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
    left_out: LeftOut
    notes: tuple[str, ...]

    def fits(self, keys: Sequence[str], seed: int) -> bool:
        """Whether it may be used for rows with these keys (see the module)."""
        if seed != self.seed or len(keys) > _MOST_GROWN * len(self.keys):
            return False
        return not Counter(self.keys) - Counter(keys)

    def hyper_for(self, model: ShadeModel) -> Hyper:
        """The scales in the order of a model's factors; a factor that is new has its prior's."""
        names, found = _factor_names(model), []
        both = zip(self.hyper.parts, prior_hyper(model._f).parts, strict=True)
        for (known, _), (new, _) in both:
            old = dict(zip(self.factors, known.weights, strict=True))
            weights = [old.get(n, w) for n, w in zip(names, new.weights, strict=True)]
            found.append(replace(known, weights=np.array(weights)))
        return Hyper(tuple(found), active(model._f))


def row_keys(
    conditions: pd.DataFrame,
    labs: ArrayLike | Sequence[Measurement],
    covariances: ArrayLike | None = None,
) -> list[str]:
    """A hash of each row: its cells, its colour and that colour's doubt."""
    names = sorted(str(c) for c in conditions.columns)
    columns = [list(conditions[c]) for c in names]
    listed = isinstance(labs, Sequence) and bool(labs) and isinstance(labs[0], Measurement)
    colours: Any = labs if listed else np.asarray(labs, dtype=float)
    own = None if covariances is None else np.asarray(covariances, dtype=float)
    seen: Counter[str] = Counter()
    out = []
    for i in range(len(conditions)):
        digest = hashlib.sha256()
        for name, cells in zip(names, columns, strict=True):
            if not _empty(cells[i]):
                digest.update(f"{name}={cells[i]!r}\n".encode())
        lab = colours[i]
        if isinstance(lab, Measurement):
            digest.update(f"{lab.rung} {lab.photo}".encode())
            digest.update(lab.lab.tobytes() + lab.covariance.tobytes())
            for source in sorted(lab.shared):
                digest.update(source.encode() + lab.shared[source].tobytes())
        else:
            digest.update(lab.tobytes())
        if own is not None:
            digest.update(own[i].tobytes())
        key = digest.hexdigest()[:24]
        seen[key] += 1
        out.append(f"{key}-{seen[key]}")
    return out


def _empty(value: Any) -> bool:
    return value is None or value is pd.NA or (isinstance(value, float) and value != value)


@lru_cache(maxsize=1)
def _program() -> str:
    """A hash of the text of the packages that learn, and of what they stand on."""
    digest = hashlib.sha256(f"{_FORMAT} {np.__version__} {scipy.__version__}".encode())
    for package in ("predict", "conditions", "colorimetry"):
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


def _factor_names(model: ShadeModel) -> list[str]:
    e = model._encoder
    return [*(f"number {n}" for n in e.numbers), *(f"word {w}" for w in e.words)]


def write_fit(model: ShadeModel, keys: Sequence[str]) -> str:
    """A fitted model as text. keys : `row_keys` of the rows it was fitted to, in their order."""
    extra = np.zeros(len(keys))
    extra[model._order_] = model._extra
    fit = json.dumps(
        {
            "seed": model.seed,
            "keys": list(keys),
            "factors": _factor_names(model),
            "scales": [_plain(_values(s)) for s in model._learnt.hyper.scales],
            "in_linear": _plain(model._learnt.hyper.in_linear),
            "middle": _plain(model._learnt.middle),
            "sd": _plain(model._learnt.sd),
            "extra": _plain(extra),
            "odd": [int(i) for i in model.odd_rows_],
            "left_out": _plain(_values(model.left_out_)),
            "notes": list(model._fit_notes),
        }
    )
    about = "What was learnt from the swatches. It may be deleted; it is learnt again."
    return json.dumps({"about": about, "program": _program(), "check": _hash(fit), "fit": fit})


def _hash(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def read_fit(text: str) -> StoredFit | None:
    """The stored fit in a text; None where it is another program's, damaged or no fit at all."""
    try:
        whole = json.loads(text)
        if whole["program"] != _program() or whole["check"] != _hash(whole["fit"]):
            return None
        told = json.loads(whole["fit"])
        return StoredFit(
            tuple(told["keys"]),
            int(told["seed"]),
            tuple(told["factors"]),
            Hyper(
                tuple(Scales(**_restored(s)) for s in told["scales"]),
                _back(told["in_linear"]),
            ),
            _back(told["middle"]),
            _back(told["sd"]),
            _back(told["extra"]),
            tuple(told["odd"]),
            LeftOut(**_restored(told["left_out"])),
            tuple(told["notes"]),
        )
    except (ValueError, KeyError, TypeError, AttributeError):
        return None


def put_back(model: ShadeModel, stored: StoredFit, keys: Sequence[str]) -> None:
    """Give a model, whose rows are read, what was learnt from them (or from most of them)."""
    from .local_gp import condition

    place = {key: i for i, key in enumerate(stored.keys)}
    of_old = np.array([place.get(key, -1) for key in keys])
    known = of_old >= 0
    extra = np.zeros(len(keys))
    extra[known] = stored.extra[of_old[known]]
    model._extra = extra[model._order_]
    model._learnt = condition(
        stored.hyper_for(model),
        stored.middle,
        stored.sd,
        model._f,
        model._readings,
        model._groups,
        model._extra,
    )
    model._factor = stored.left_out.factor
    model.left_out_ = _rows_of(stored.left_out, of_old, len(stored.keys))
    back = {old: new for new, old in enumerate(of_old.tolist())}
    model.odd_rows_ = np.array(sorted(back[i] for i in stored.odd), dtype=int)
    model._fit_notes = list(stored.notes)
    added = int(np.sum(~known))
    if added:
        model._fit_notes.append(
            f"{added} of {len(keys)} swatches were added since it was tested; they are learnt "
            "from, and the test is that of the others."
        )


def surprised(model: ShadeModel, stored: StoredFit, keys: Sequence[str], odd: float) -> bool:
    """Whether a swatch added since lies farther from what the others say than `odd` (a squared
    distance): then the scales may be wrong, and all is better learnt anew."""
    from .local_gp import learnt_from

    old = np.isin(np.array(keys)[model._order_], stored.keys)
    new = np.flatnonzero(~old)
    if not new.size:
        return False
    got = learnt_from(model, np.flatnonzero(old))
    mean, c, _ = got.posterior.at(model._f.take(new))
    lab = model._readings.lab[new]
    j = depth_jacobian(lab) / got.sd[:, None]
    read = j @ model._readings.own()[new] @ j.swapaxes(1, 2)
    whole = model._factor * lift(c) + got.hyper.pot + read
    off = (lab_to_depth(lab) - got.middle) / got.sd - mean
    distance = np.einsum("ni,nij,nj->n", off, np.linalg.inv(whole), off)
    return bool((distance > odd).any())


def _rows_of(left: LeftOut, of_old: np.ndarray, n: int) -> LeftOut:
    """The scores in a new order of rows; a row that was not scored has none."""
    out = _values(left)
    for name, value in out.items():
        if isinstance(value, np.ndarray) and value.ndim and len(value) == n:
            empty = np.zeros((len(of_old), *value.shape[1:]), dtype=value.dtype)
            if value.dtype == float:
                empty[:] = np.nan
            known = of_old >= 0
            empty[known] = value[of_old[known]]
            out[name] = empty
    return LeftOut(**out)


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
