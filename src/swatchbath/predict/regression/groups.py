"""Which rows hang together: one swatch, one pot, one lot, one dye day, one photo."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from ...colorimetry.lab import Array
from ...conditions.columns import column

# How much of a pot's own deviation the parts of one lot share (they lay in one dye pot, then went
# through after-baths apart): our own choice, between all and nothing.
_LOT_SHARE = 0.5
# How much of all scatter is the readings' where nothing is known of their doubt: our own choice.
_READING_SHARE = 0.5


@dataclass(frozen=True)
class Groups:
    """Integer ids (n,) of what rows share: pot (same lot and conditions, or same swatch), lot (a
    pot of its own where none is named), and dye day and photos as sets (-1 where not known)."""

    pot: np.ndarray
    lot: np.ndarray
    session: np.ndarray
    photo: tuple[np.ndarray, ...]

    def take(self, rows: np.ndarray) -> Groups:
        """Some of the rows."""
        return Groups(
            self.pot[rows], self.lot[rows], self.session[rows], tuple(p[rows] for p in self.photo)
        )


def groups_of(table: pd.DataFrame, photos: Sequence[str | None]) -> Groups:
    """Which rows hang together, from the columns lot, session, photo, swatch and the readings."""
    n = len(table)

    def cells(name: str) -> list[str | None]:
        return list(table[name]) if name in table else [None] * n

    lots, swatches = cells("lot"), cells("swatch")
    names = sorted(c for c in table.columns if (about := column(str(c))) and about.kind != "group")
    described = list(zip(*([str(v) for v in table[c]] for c in names), strict=True)) or [()] * n
    pots: list[object] = []
    for i in range(n):
        if lots[i] is not None:
            pots.append(("lot", lots[i], *described[i]))
        elif swatches[i] is not None:
            pots.append(("swatch", swatches[i]))
        else:
            pots.append(("row", i))
    owners = [("lot", lot) if lot is not None else pots[i] for i, lot in enumerate(lots)]
    return Groups(
        _ids(pots), _ids(owners), _ids(cells("session")), (_ids(cells("photo")), _ids(photos))
    )


def _ids(values: Sequence[object]) -> np.ndarray:
    place: dict[object, int] = {}
    return np.array([-1 if v is None else place.setdefault(v, len(place)) for v in values], int)


def pot_sharing(groups: Groups, *, with_errors: bool) -> Array:
    """(n, n): the share of the pots' scatter that two rows have in common, 1 on the diagonal.

    with_errors : whether the readings came with errors of their own; else the scatter is the
    readings' as well, and two readings of one pot differ.
    """
    same_pot = groups.pot[:, None] == groups.pot[None]
    same_lot = groups.lot[:, None] == groups.lot[None]
    shared = _LOT_SHARE * same_lot + (1 - _LOT_SHARE) * same_pot
    if not with_errors:
        shared = (1 - _READING_SHARE) * shared + _READING_SHARE * np.eye(len(shared))
    return np.asarray(shared, dtype=float)
