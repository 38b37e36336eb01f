"""Real swatches near a target, to hold in the hand beside a suggestion."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from ...colorimetry.difference import delta_e2000
from ...colorimetry.lab import Array
from ...colorimetry.words import difference_words
from ...conditions.vocabulary import meaning
from ..features.novelty import differs
from .ranges import Bath

if TYPE_CHECKING:
    from ..model import ShadeModel

__all__ = ["Precedent", "precedents"]


@dataclass(frozen=True)
class Precedent:
    """A real swatch near the target: its row position and label, CIEDE2000 as measured, its bath,
    how it looks beside the target, and what the suggested bath has that it has not."""

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


def precedents(model: ShadeModel, bath: Bath, lab: Array, n: int = 3) -> tuple[Precedent, ...]:
    """The nearest real swatches to a colour, on the same fibre where there are any."""
    far = delta_e2000(model._readings.lab, lab)
    fibre = model._words["fibre"]
    mine = np.array([w == meaning("fibre", str(bath["fibre"])) for w in fibre])
    order = np.lexsort([np.arange(len(far)), far, ~mine])
    swatches = model._table["swatch"] if "swatch" in model._table else None
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
            for c, v in model._table.iloc[int(i)].items()
            if v is not None and not (isinstance(v, float) and np.isnan(v))
        }
        read = model._readings.lab[i]
        out.append(
            Precedent(
                row=int(model._order_[i]),
                label=model._labels[i],
                delta_e2000=float(far[i]),
                lab=(float(read[0]), float(read[1]), float(read[2])),
                conditions=row,
                words=difference_words(read, lab),
                differs=differs(bath, row),
            )
        )
    return tuple(out)
