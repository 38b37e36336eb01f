"""Many swatches: readings without the pairs' errors, and a regression that looks only nearby.

With more rows than are solved at once, each bath is answered from the swatches nearest to it. The
rows are cut into cells of like baths, once and the same way however the table is sorted; a bath
belongs to the cell whose middle is nearest, and is answered from the rows nearest to that middle.
So an answer does not depend on what else is asked, and a suggestion foretells what `predict` does.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike

from ...colorimetry.conversion import to_d65_2
from ...colorimetry.covariance import nearest_covariance
from ...colorimetry.lab import Array, numbers_of
from ...colorimetry.measurement import Measurement
from ...errors import ShapeError
from ..features.encoder import Factors
from .depth import depth_jacobian, lab_to_depth
from .gp import Hyper, Posterior, read_share
from .observations import Groups, Readings, _sources, check_measurements, pot_sharing, read_labs
from .training import WHOLE_ROWS, Learnt

if TYPE_CHECKING:
    from ..model import ShadeModel

__all__ = ["LocalPosterior", "ManyReadings", "condition", "learnt_from", "read_many"]

# Rows a bath is answered from, and the most in a cell. In trials on a made-up dye house 300 rows
# nearby foretold better than 1500 at random, in a tenth of the time.
_NEARBY, _IN_CELL = 300, 150


@dataclass(frozen=True)
class ManyReadings(Readings):
    """Readings of which only each one's own doubt is kept; a few of them know their pairs again.

    errors is empty where doubts are known (None where not): the pairs of so many are not kept.
    """

    own_doubt: Array = field(default_factory=lambda: np.zeros((0, 3, 3)))

    def own(self) -> Array:
        """Each reading's covariance (n, 3, 3)."""
        return self.own_doubt

    def take(self, rows: np.ndarray) -> Readings:
        """Some of the readings: whole where they are few."""
        rows = np.asarray(rows)
        lasting = {name: loads[rows] for name, loads in self.lasting.items()}
        photos = tuple(self.photos[i] for i in rows)
        few = None if self.measurements is None else tuple(self.measurements[i] for i in rows)
        if len(rows) > WHOLE_ROWS:
            errors = None if self.errors is None else np.zeros((0, 0, 3, 3))
            return ManyReadings(self.lab[rows], errors, lasting, photos, few, self.own_doubt[rows])
        errors = None
        if few is not None:
            errors = _pair_errors(few, lasting)
        elif self.errors is not None:
            errors = np.zeros((len(rows), len(rows), 3, 3))
            errors[np.arange(len(rows)), np.arange(len(rows))] = self.own_doubt[rows]
        return Readings(self.lab[rows], errors, lasting, photos, few)


def _pair_errors(items: Sequence[Measurement], lasting: dict[str, Array]) -> Array:
    """(n, n, 3, 3): the errors of a few readings without their lasting part."""
    n = len(items)
    errors = np.zeros((n, n, 3, 3))
    for i, m in enumerate(items):
        errors[i, i] = m.covariance
    for name, (rows, loads) in _sources(items).items():
        if name in lasting:
            errors[rows, rows] -= loads @ loads.swapaxes(1, 2)
            continue
        between = loads[:, None] @ loads[None].swapaxes(-1, -2)
        between[np.arange(len(rows)), np.arange(len(rows))] = 0  # on the diagonal already
        errors[np.ix_(rows, rows)] += between
    return errors


def read_many(
    labs: ArrayLike | Sequence[Measurement], covariances: ArrayLike | None, n: int
) -> Readings:
    """`read_labs`, for any number of rows."""
    if n <= WHOLE_ROWS:
        return read_labs(labs, covariances, n)
    if isinstance(labs, Sequence) and labs and all(isinstance(m, Measurement) for m in labs):
        return _many_measurements([m for m in labs if isinstance(m, Measurement)], covariances, n)
    plain = read_labs(labs, None, n)
    if covariances is None:
        return ManyReadings(plain.lab, None, {}, plain.photos, None, np.zeros((n, 3, 3)))
    given = numbers_of(covariances, "The doubt of the colours")
    if given.shape != (n, 3, 3):
        raise ShapeError(
            f"The covariances must have the shape ({n}, 3, 3); they have {given.shape}."
        )
    known = np.asarray(np.isfinite(plain.lab).all(axis=1))
    own = np.array(
        [nearest_covariance(c) if k else c for c, k in zip(given, known.tolist(), strict=True)]
    )
    return ManyReadings(plain.lab, np.zeros((0, 0, 3, 3)), {}, plain.photos, None, own)


def _many_measurements(
    items: list[Measurement], covariances: ArrayLike | None, n: int
) -> ManyReadings:
    check_measurements(items, covariances, n)
    items = [to_d65_2(m) for m in items]
    own = np.array([m.covariance for m in items])
    lasting: dict[str, Array] = {}
    for name, (rows, loads) in _sources(items).items():
        if len({items[i].photo for i in rows}) > 1:
            lasting[name] = np.zeros((n, *loads.shape[1:]))
            lasting[name][rows] = loads
            own[rows] -= loads @ loads.swapaxes(1, 2)
    return ManyReadings(
        np.stack([m.lab for m in items]),
        np.zeros((0, 0, 3, 3)),
        lasting,
        tuple(m.photo for m in items),
        tuple(items),
        own,
    )


def condition(
    hyper: Hyper,
    middle: Array,
    sd: Array,
    f: Factors,
    readings: Readings,
    groups: Groups,
    extra: Array,
) -> Learnt:
    """The regression with scales that are known already, on n rows: nothing is fitted.

    extra (n,) : added reading variance, in shares of B. Whole for few rows, else nearby.
    """
    z = (lab_to_depth(readings.lab) - middle) / sd
    n = len(z)
    doubted, lasting = readings.errors is not None, readings.lasting_in_depth(sd)
    j = depth_jacobian(readings.lab) / sd[:, None]
    if n <= WHOLE_ROWS:
        both = np.stack([extra, extra], axis=1)
        noise = readings.in_depth(sd) + np.kron(np.diag(extra), hyper.B) if doubted else both
        sharing = pot_sharing(groups, doubted=doubted)
        named = readings.named_in_depth(sd)
        return Learnt(hyper, Posterior(hyper, f, z, sharing, noise), middle, sd, lasting, named)
    share = read_share(j @ readings.own() @ j.swapaxes(1, 2), hyper.B) + extra[:, None]
    return Learnt(hyper, LocalPosterior(hyper, f, z, groups, share, doubted), middle, sd, lasting)


def learnt_from(model: ShadeModel, rows: np.ndarray) -> Learnt:
    """What the model would know from these of its rows alone, its scales as they are."""
    got = model._learnt
    return condition(
        got.hyper,
        got.middle,
        got.sd,
        model._f.take(rows),
        model._readings.take(rows),
        model._groups.take(rows),
        model._extra[rows],
    )


class LocalPosterior(Posterior):
    """What the nearby swatches say about baths; answers as `Posterior` does.

    f, z : the n rows. share (n, 2) : the readings' variance as shares of each part's B.
    believed : rows taken for dyed, for `believing`.
    """

    def __init__(
        self,
        h: Hyper,
        f: Factors,
        z: Array,
        groups: Groups,
        share: Array,
        doubted: bool,
    ) -> None:
        self.h, self.f, self.z, self.noise = h, f, z, share
        self.separate = True
        self._groups, self._doubted = groups, doubted
        self._levels = [np.unique(f.levels[:, j]) for j in range(f.levels.shape[1])]
        where = self._place(f)
        self._cells = _cells(where)
        self._middles = np.array([where[rows].mean(axis=0) for rows in self._cells])
        self._where = where
        self._near: dict[int, Posterior] = {}
        self._rows: dict[int, np.ndarray] = {}
        self._rough: Posterior | None = None
        self._believed: tuple[Factors, Array] | None = None

    def _place(self, f: Factors) -> Array:
        """Rows as points (m, d) whose squared distance is what the regression goes by."""
        p = f.x.shape[1]
        parts = [f.x * np.sqrt(self.h.weights[:p])]
        for j, levels in enumerate(self._levels):
            own = f.levels[:, j][:, None] == levels[None]
            parts.append(own * np.sqrt(self.h.weights[p + j] / 2))
        return np.concatenate(parts, axis=1)

    def _cell_of(self, g: Factors) -> np.ndarray:
        """Which cell each bath (m,) belongs to."""
        x, c = self._place(g), self._middles
        return np.asarray(((c * c).sum(axis=1)[None] - 2 * x @ c.T).argmin(axis=1))

    def _of(self, cell: int) -> Posterior:
        """The regression nearby a cell, made when first asked for."""
        if cell not in self._near:
            far = ((self._where - self._middles[cell]) ** 2).sum(axis=1)
            nearest = np.argpartition(far, min(_NEARBY, len(far)) - 1)[:_NEARBY]
            self._rows[cell] = np.sort(nearest)
            self._near[cell] = self._from(self._rows[cell])
        return self._near[cell]

    def _from(self, rows: np.ndarray) -> Posterior:
        """The regression on some rows, and on what is believed."""
        f, z, noise = self.f.take(rows), self.z[rows], self.noise[rows]
        pots = pot_sharing(self._groups.take(rows), doubted=self._doubted)
        if self._believed is not None:
            g, new = self._believed
            n, m = len(rows), len(new)
            f, z = f.joined(g), np.concatenate([z, new])
            noise = np.concatenate([noise, np.repeat(np.median(noise, axis=0)[None], m, axis=0)])
            wide = np.eye(n + m)
            wide[:n, :n] = pots
            pots = wide
        return Posterior(self.h, f, z, pots, noise)

    def carried(self, g: Factors, errors: Array) -> Array:
        """As `Posterior.carried`, from the rows nearby."""
        out = np.zeros((len(g.x), 3, errors.shape[2]))
        cells = self._cell_of(g)
        for cell in np.unique(cells):
            mine = np.flatnonzero(cells == cell)
            near = self._of(int(cell))  # learns which rows are nearby
            out[mine] = near.carried(g.take(mine), errors[self._rows[int(cell)]])
        return out

    def believing(self, g: Factors) -> LocalPosterior:
        """As if these baths had been dyed and gave their expected colour."""
        other = object.__new__(LocalPosterior)
        other.__dict__ = dict(self.__dict__)
        z = self.at(g)[0]
        old = self._believed
        other._believed = (g, z) if old is None else (old[0].joined(g), np.concatenate([old[1], z]))
        other._near, other._rows, other._rough = {}, {}, None
        return other

    def mean(self, g: Factors) -> Array:
        """Roughly expected standardised depth (m, 3), from rows spread over the whole record: to
        choose which baths are worth a look nearby. `at` is exact."""
        if self._rough is None:
            self._rough = self._from(_spread(self._cells))
        return self._rough.mean(g)

    def at(self, g: Factors, cross: Array | None = None) -> tuple[Array, Array, Array]:
        """As `Posterior.at`; errors shared between readings (cross) are not used for so many."""
        m = len(g.x)
        mean, cov, share = np.zeros((m, 3)), np.zeros((m, 3, 3)), np.zeros(m)
        cells = self._cell_of(g)
        for cell in np.unique(cells):
            mine = np.flatnonzero(cells == cell)
            mean[mine], cov[mine], share[mine] = self._of(int(cell)).at(g.take(mine))
        return mean, cov, share


def _spread(cells: list[np.ndarray]) -> np.ndarray:
    """Rows taken evenly from all cells."""
    each = max(1, _NEARBY // len(cells))
    rows = [c[np.linspace(0, len(c) - 1, min(each, len(c))).astype(int)] for c in cells]
    return np.unique(np.concatenate(rows))[: 2 * _NEARBY]


def _cells(where: Array) -> list[np.ndarray]:
    """Rows (n, d) cut in two, again and again, at the middle of where they spread most."""
    todo, done = [np.arange(len(where))], []
    while todo:
        rows = todo.pop()
        if len(rows) <= _IN_CELL:
            done.append(rows)
            continue
        mine = where[rows]
        axis = int(np.argmax(mine.var(axis=0)))
        order = np.argsort(mine[:, axis], kind="stable")
        half = len(rows) // 2
        # Not between equal values, so that like baths stay together.
        values = mine[order, axis]
        cut = int(np.searchsorted(values, values[half], side="left"))
        if cut == 0:
            cut = int(np.searchsorted(values, values[half], side="right"))
        if cut in (0, len(rows)):
            done.append(rows)  # all alike
            continue
        todo += [np.sort(rows[order[:cut]]), np.sort(rows[order[cut:]])]
    return done
