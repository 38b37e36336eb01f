"""What the model says of baths: their colours, how sure that is, and why not."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from ..colorimetry.lab import Array

__all__ = ["Prediction"]


@dataclass(frozen=True, eq=False)
class Prediction:
    """Expected colours of n baths.

    lab : (n, 3). covariance : (n, 3, 3) of a new swatch's reading, as such rows were measured.
    pot_covariance : (n, 3, 3) of its true colour: what the model does not know and how pots of
    one recipe scatter. Where the readings came without a doubt of their own, the two are equal.
    unsure, outside : (n,), too few alike; never tried. reasons : why, a list for each row.
    notes : what had to be assumed, a list for each row.
    """

    lab: Array
    covariance: Array
    pot_covariance: Array
    unsure: np.ndarray
    outside: np.ndarray
    reasons: list[list[str]]
    notes: list[list[str]]

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "lab": self.lab.tolist(),
            "covariance": self.covariance.tolist(),
            "pot_covariance": self.pot_covariance.tolist(),
            "unsure": self.unsure.tolist(),
            "outside": self.outside.tolist(),
            "reasons": self.reasons,
            "notes": self.notes,
        }
