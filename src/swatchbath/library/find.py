"""Finding swatches by colour, by words, by code."""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from ..characters import is_text
from ..colorimetry.difference import delta_e2000
from ..colorimetry.words import colour_words, difference_words
from ..errors import BadValue
from .rows import search_index
from .rows.search_index import SearchEntry
from .rows.swatch import Swatch
from .rows.swatches import read_swatches

if TYPE_CHECKING:
    import pandas as pd


@dataclass(frozen=True)
class Found:
    """Why a swatch was found.

    Attributes
    ----------
    delta_e2000 : float or None
        From the colour asked for; None where only words were.
    words : str
        The way it differs.

    Examples
    --------
    >>> Found(1.2, "a touch redder").words
    'a touch redder'
    """

    delta_e2000: float | None
    words: str


class FoundList(list[tuple[Swatch, Found]]):
    """Swatches that were found, each with why, in order."""

    def to_frame(self) -> pd.DataFrame:
        """One row a swatch: code, name, lot, dye day, its latest dry colour with its rung, how far
        from the colour asked for and which way, then its condition columns."""
        import pandas as pd

        rows = []
        for swatch, found in self:
            why = {"delta_e2000": found.delta_e2000, "words": found.words}
            rows.append(swatch_row(swatch) | why | swatch.conditions)
        return pd.DataFrame(rows)


def swatch_row(swatch: Swatch) -> dict[str, Any]:
    """A swatch as a row of a table: who it is, and its latest dry colour, if it has one."""
    row = {name: getattr(swatch, name) for name in ("code", "name", "lot", "session")}
    if swatch.measured is not None:
        row |= dict(zip(("L", "a", "b"), swatch.measured.lab.round(2), strict=True))
        row["rung"] = swatch.measured.rung
    return row


def as_lab(values: Any) -> np.ndarray[Any, np.dtype[np.float64]]:
    """(3,) Lab, or BadValue when it is no colour."""
    try:
        lab = np.array(values, dtype=float)
    except (TypeError, ValueError) as error:
        raise BadValue(f"'{values}' is no colour; give L*, a*, b* as three numbers.") from error
    if lab.shape != (3,) or not np.isfinite(lab).all():
        raise BadValue(f"'{values}' is no colour; give L*, a*, b* as three numbers.")
    # Beyond these no surface colour lies (CIELAB of the optimal colours, rounded outward).
    if not (0 <= lab[0] <= 100 and np.abs(lab[1:]).max() <= 160):
        raise BadValue(
            f"L* {lab[0]:g}, a* {lab[1]:g}, b* {lab[2]:g} is no colour of a surface: L* runs from "
            "0 to 100, a* and b* from about -130 to 130."
        )
    return lab


def check_request(lab: Any, text: Any, k: Any) -> tuple[Any, list[str]]:
    """The colour asked for, or None, and the words. Raises BadValue."""
    if isinstance(k, bool) or not isinstance(k, int):
        raise BadValue(f"k is {k!r}; give the number of swatches to find.")
    if not isinstance(text, str | None):
        raise BadValue(f"The words to find are {text!r}; give them as text.")
    if not is_text(text or ""):
        raise BadValue("The words to find hold bytes that are no text. Type them again.")
    if k < 1:
        raise BadValue(f"k is {k}; ask for at least one swatch.")
    return None if lab is None else as_lab(lab), (text or "").casefold().split()


def newest(
    db: sqlite3.Connection, words: Sequence[str], unkept: Mapping[str, SearchEntry], k: int
) -> FoundList:
    """The k newest swatches that tell all the words."""
    keys = search_index.matching(db, words, unkept, k)
    return FoundList((s, Found(None, _words(s))) for s in read_swatches(db, keys))


def nearest(
    db: sqlite3.Connection,
    lab: Any,
    words: Sequence[str],
    unkept: Mapping[str, SearchEntry],
    k: int,
    colours: search_index.Colours,
) -> FoundList:
    """The k swatches nearest to a colour (3,) in D65/2 Lab that tell all the words. colours : those
    of the library as last read."""
    codes, labs = colours.read(db, words, unkept)
    if not len(codes):
        return FoundList()
    k = min(k, len(codes))
    may = _may_be_nearest(labs, np.asarray(lab, dtype=float), k)
    far = np.full(len(codes), np.inf)
    far[may] = delta_e2000(labs[may], lab)
    # Of those equally far all, then in the order of their codes.
    near = np.flatnonzero(far <= np.partition(far, k - 1)[k - 1])
    order = near[np.lexsort((codes[near], far[near]))][:k]
    found = read_swatches(db, codes[order].tolist())
    return FoundList(
        (swatch, Found(float(far[i]), difference_words(labs[i], lab)))
        for swatch, i in zip(found, order, strict=True)
    )


def _may_be_nearest(labs: np.ndarray, lab: np.ndarray, k: int) -> np.ndarray:
    """Which of `labs` (n, 3) can be among the k nearest to `lab`: all that are no farther in
    lightness alone than k are in CIEDE2000, whose other part is never less than none."""
    plain = np.square(labs - lab).sum(axis=1)
    some = np.argpartition(plain, k - 1)[:k]
    most = float(delta_e2000(labs[some], lab).max()) * (1 + 1e-9)
    off = (labs[:, 0] + lab[0]) / 2 - 50
    weight = 1 + 0.015 * off**2 / np.sqrt(20 + off**2)  # S_L (CIE 142-2001)
    return np.flatnonzero(np.abs(labs[:, 0] - lab[0]) <= most * weight)


def _words(swatch: Swatch) -> str:
    return colour_words(swatch.measured.lab) if swatch.measured else search_index.NO_COLOUR
