"""The model of a library's swatches, learnt or put back, and how far to trust it.

The stored fit, `learnt.json` beside the library, holds nothing that is not in the record and may
be deleted at any time. It is only used where every row and this program agree with it
(`swatchbath.predict.regression.stored_fit`).
"""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from ...colorimetry.measurement import Measurement
from ...errors import NotEnoughSwatches
from ...library import Library
from ...library.connection import FILE
from ...library.safety.strays import LEARNT
from ...predict.shades import Shades


@dataclass(frozen=True)
class LibraryModel:
    """A model of the library's swatches and how far it was right on lots left out."""

    model: Shades
    conditions: pd.DataFrame
    labs: np.ndarray[Any, np.dtype[np.float64]]
    issues: tuple[str, ...] = ()  # readings that could not be read, one sentence each
    measured: tuple[Measurement, ...] = ()  # the readings, a row each

    def name(self, row: int) -> str:
        """The code of a row's swatch."""
        return str(self.conditions["swatch"].iloc[row])

    @property
    def trust(self) -> str:
        """One sentence: how far off it was on lots it had not seen, and what is no better."""
        left = self.model.cross_validation_
        if not np.isfinite(left.median):
            return "There are too few lots to guess any of them from the others."
        return (
            f"I guessed each of your {left.blocks} lots from the others: half came within "
            f"{left.median:.0f} of the real one; going by your nearest swatch, {left.nearest:.0f}."
        )

    @property
    def coverage_words(self) -> str:
        """One sentence: how often the stated doubt was wide enough on those lots."""
        coverage = self.model.cross_validation_.coverage
        if not np.isfinite(coverage):
            return ""
        return (
            f"Of 100 readings about {100 * coverage:.0f} lay within the margin "
            "that was given for 90."
        )


def learn(library: Library, *, seed: int = 0) -> LibraryModel:
    """Fit the model to what is on record, or put the stored fit back where it still holds.

    Raises NotEnoughSwatches under 12 usable swatches.
    """
    conditions, measured, _ = library.table()
    return learn_rows(library, conditions, measured, seed=seed)


def learn_rows(
    library: Library,
    conditions: pd.DataFrame,
    measured: Sequence[Measurement],
    *,
    whole: bool = True,
    seed: int = 0,
) -> LibraryModel:
    """`learn` from rows of the library's table. whole : they are all of it, so the fit is kept;
    one of fewer rows never takes the place of that of all."""
    if conditions.empty:
        raise NotEnoughSwatches(
            "There is no swatch on record with both a bath and a dry reading. Record at least 12 "
            "to be told what a bath gives."
        )
    measured = list(measured)
    model = Shades(seed=seed).fit(conditions, measured, stored=stored_text(library))
    if whole and not model.restored_:
        _store_text(library, model.fitted())
    labs = np.array([m.lab for m in measured])
    return LibraryModel(model, conditions, labs, library.issues, tuple(measured))


def stored_text(library: Library) -> str | None:
    """The text of the stored fit; None where there is none that can be read."""
    try:
        return (library.folder / LEARNT).read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        return None


def _store_text(library: Library, text: str) -> bool:
    """Keep a fit beside the library, whole or not at all; whether it was kept.

    A library that can only be read, or a full disk, is no reason to refuse an answer: it is
    learnt again the next time.
    """
    if not library.writable:
        return False
    part = None
    try:
        with tempfile.NamedTemporaryFile(
            "w", encoding="utf-8", dir=library.folder, prefix=".learnt-", delete=False
        ) as file:
            part = Path(file.name)
            file.write(text)
        shutil.copymode(library.folder / FILE, part)  # readable by whoever may read the record
        os.replace(part, library.folder / LEARNT)
    except OSError:
        if part is not None:
            part.unlink(missing_ok=True)
        return False
    return True
