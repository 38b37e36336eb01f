"""Real swatches near a target, to hold in the hand beside a suggestion."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from ...colorimetry.difference import delta_e2000
from ...colorimetry.lab import Array
from ...colorimetry.words import difference_words
from ...conditions.vocabulary import meaning
from ..features.labels import label_of, shown
from ..regression.fit import Fit
from .columns import Bath


@dataclass(frozen=True)
class Precedent:
    """A real swatch near the target.

    Attributes
    ----------
    row, label : int, any
        Its position and label in the table learnt from.
    delta_e2000, lab : float, (float, float, float)
        As measured; CIELAB, D65/2.
    conditions : dict
        Its bath, column -> value.
    words : str
        How it looks beside the target.
    differs : tuple of str
        What the suggested bath has that it has not.
    """

    row: int
    label: Any
    delta_e2000: float
    lab: tuple[float, float, float]
    conditions: dict[str, Any]
    words: str
    differs: tuple[str, ...]

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "row": self.row,
            "label": str(self.label),
            "delta_e2000": self.delta_e2000,
            "lab": list(self.lab),
            "conditions": dict(self.conditions),
            "words": self.words,
            "differs": list(self.differs),
        }


def precedents(fit: Fit, bath: Bath, lab: Array, n: int = 3) -> tuple[Precedent, ...]:
    """The nearest real swatches to a colour, on the same fibre where there are any."""
    far = delta_e2000(fit.observations.lab, lab)
    fibre = meaning("fibre", str(bath["fibre"]))
    mine = np.array([w == fibre for w in fit.words["fibre"]])
    order = np.lexsort([np.arange(len(far)), far, ~mine])
    swatches = fit.table["swatch"] if "swatch" in fit.table else None
    seen: set[str] = set()
    out: list[Precedent] = []
    for i in order:
        name = None if swatches is None else swatches.iloc[int(i)]
        if len(out) == n or name in seen:
            continue
        if name is not None:
            seen.add(name)
        row = {
            str(c): v
            for c, v in fit.table.iloc[int(i)].items()
            if v is not None and not (isinstance(v, float) and np.isnan(v))
        }
        read = fit.observations.lab[i]
        out.append(
            Precedent(
                row=int(fit.order[i]),
                label=fit.labels[i],
                delta_e2000=float(far[i]),
                lab=(float(read[0]), float(read[1]), float(read[2])),
                conditions=row,
                words=difference_words(read, lab),
                differs=differs_in(bath, row),
            )
        )
    return tuple(out)


def differs_in(ours: Bath, theirs: Bath) -> tuple[str, ...]:
    """What sets our bath apart from theirs: one short phrase for each condition that differs."""
    found = []
    for name, a in ours.items():
        b = theirs.get(name)
        if name not in theirs or a is None or b is None or a == b:
            continue
        label, unit = label_of(name)
        label = {"modifier": "after-bath"}.get(label, label.replace("_", " "))
        if isinstance(a, int | float) and isinstance(b, int | float):
            if np.isnan(a) or np.isnan(b) or shown(a, unit) == shown(b, unit):
                continue
            found.append(f"{label} {shown(a, unit)} instead of {shown(b, unit)}")
        else:
            found.append(f"{label} {a} instead of {b}")
    return tuple(found)
