"""A bath to dye next, and why."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import pandas as pd

from ...bath.cautions import Caution
from ...colorimetry.lab import Array


@dataclass(frozen=True, eq=False, repr=False)
class Sample:
    """One bath to dye next, and why.

    Attributes
    ----------
    conditions : dict
        Column -> value.
    why : str
        In words.
    gain : float
        How much nearer to the target the pot is expected to come (CIEDE2000), or without a target
        the share, 0 to 1, of what is open about it.
    lab, pot_covariance : (3,), (3, 3)
        What is expected of it, CIELAB D65/2.
    delta_e2000, chance_within : float or None
        As in a Suggestion; None without a target.
    outside, unsure, reasons, cautions
        As in a Suggestion.
    pot, mordanting : int
        Numbers from 1; samples with one number share the dye pot or the mordant bath.
    """

    conditions: dict[str, Any]
    why: str
    gain: float
    lab: Array
    pot_covariance: Array
    delta_e2000: float | None
    chance_within: float | None
    outside: bool
    unsure: bool
    reasons: tuple[str, ...]
    cautions: tuple[Caution, ...]
    pot: int = 1
    mordanting: int = 1

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "cautions": [c.as_dict() for c in self.cautions],
            "conditions": dict(self.conditions),
            "pot": self.pot,
            "mordanting": self.mordanting,
            "why": self.why,
            "gain": self.gain,
            "lab": self.lab.tolist(),
            "pot_covariance": self.pot_covariance.tolist(),
            "delta_e2000": self.delta_e2000,
            "chance_within": self.chance_within,
            "outside": self.outside,
            "unsure": self.unsure,
            "reasons": list(self.reasons),
        }

    def __repr__(self) -> str:
        bath = ", ".join(
            f"{n}={v:.3g}" if isinstance(v, int | float) else f"{n}={v}"
            for n, v in self.conditions.items()
        )
        return f"Sample(pot {self.pot}, mordanting {self.mordanting}: {bath}; gain {self.gain:.2f})"


class Samples(list[Sample]):
    """Baths to dye together, by dye pot; a list in all else."""

    def to_frame(self) -> pd.DataFrame:
        """One row a sample: pot, mordanting, its conditions, then L, a, b, gain, delta_e2000 and
        chance_within (empty without a target), outside, unsure and why."""
        return pd.DataFrame(
            [
                {"pot": s.pot, "mordanting": s.mordanting}
                | s.conditions
                | dict(zip("Lab", s.lab.tolist(), strict=True))
                | {"gain": s.gain, "delta_e2000": s.delta_e2000, "chance_within": s.chance_within}
                | {"outside": s.outside, "unsure": s.unsure, "why": s.why}
                for s in self
            ]
        )
