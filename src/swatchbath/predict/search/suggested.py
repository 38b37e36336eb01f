"""A suggested bath, and several of them for one shade."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

import pandas as pd

from ...bath.cautions import Caution
from ...colorimetry.lab import Array
from .precedents import Precedent


@dataclass(frozen=True, eq=False, repr=False)
class Suggestion:
    """One suggested bath.

    Attributes
    ----------
    conditions : dict
        Column -> value; what was never recorded is left out.
    lab : (3,)
        Expected colour, CIELAB D65/2.
    pot_covariance : (3, 3)
        Of the next pot's true colour.
    delta_e2000, expected : float
        CIEDE2000 of lab from the target; mean CIEDE2000 of the next pot's true colour from the true
        target.
    interval : (float, float)
        Holds 90 % of the pots; low is 0 where nothing speaks against a hit.
    chance_within : float
        Chance, 0 to 1, that it is within `tolerance`, the wanted colour itself taken as one weak
        reading of the bath (in nothing else: lab, expected and interval are the model's).
    best_chance : float
        What that chance would be if everything were known but the pots' own scatter and how far the
        target is off where the record is not (an error of both cancels).
    tolerance : float
        As asked for.
    precedents : tuple of Precedent
        The three nearest real swatches.
    outside, unsure : bool
        Something about it was never tried; too few are alike.
    cautions : tuple of Caution
        Stand before the amounts.
    reasons : tuple of str
        Why it is doubtful, in sentences' halves.
    of_row, scaled : int or None, float or None
        Position, as given, of the swatch whose own bath it is; the factor on that bath's dyestuff,
        None as it was.
    hardly_any : bool
        Whether hardly any of all baths looked at can be near, see reach.
    """

    conditions: dict[str, Any]
    lab: Array
    pot_covariance: Array
    delta_e2000: float
    expected: float
    interval: tuple[float, float]
    chance_within: float
    best_chance: float
    tolerance: float
    precedents: tuple[Precedent, ...]
    outside: bool
    unsure: bool
    cautions: tuple[Caution, ...]
    reasons: tuple[str, ...]
    of_row: int | None = None
    scaled: float | None = None
    hardly_any: bool = False

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "cautions": [c.as_dict() for c in self.cautions],
            "conditions": dict(self.conditions),
            "lab": self.lab.tolist(),
            "pot_covariance": self.pot_covariance.tolist(),
            "delta_e2000": self.delta_e2000,
            "expected": self.expected,
            "interval": list(self.interval),
            "chance_within": self.chance_within,
            "best_chance": self.best_chance,
            "tolerance": self.tolerance,
            "precedents": [p.as_dict() for p in self.precedents],
            "outside": self.outside,
            "unsure": self.unsure,
            "reasons": list(self.reasons),
            "of_row": self.of_row,
            "scaled": self.scaled,
            "hardly_any": self.hardly_any,
        }

    def __repr__(self) -> str:
        told = {
            n: f"{v:.3g}" if isinstance(v, int | float) else v for n, v in self.conditions.items()
        }
        bath = ", ".join(f"{n}={v}" for n, v in told.items())
        low, high = self.interval
        return (
            f"Suggestion({bath}; off by {low:.1f} to {high:.1f} (CIEDE2000), "
            f"chance {self.chance_within:.2f} within {self.tolerance:g})"
        )


class Suggestions(list[Suggestion]):
    """Suggestions for one shade, the most promising first; a list in all else."""

    @property
    def nearest(self) -> Suggestion:
        """The one whose expected colour lies nearest to the target."""
        return min(self, key=lambda s: s.delta_e2000)

    @property
    def best_chance(self) -> float:
        """The chance, 0 to 1, that any of them could have if all but the pots' own scatter and
        what is not known of the target were known."""
        return max(s.best_chance for s in self)

    @property
    def reach(self) -> Literal["in reach", "probably not", "out of reach"]:
        """Whether the shade can be had: "out of reach" where no bath's 90 % interval comes within
        the tolerance or hardly any bath at all can, "probably not" where none is expected to."""
        if all(s.hardly_any for s in self) or min(s.interval[0] for s in self) > self[0].tolerance:
            return "out of reach"
        within = self.nearest.delta_e2000 <= self[0].tolerance
        return "in reach" if within else "probably not"

    def to_frame(self) -> pd.DataFrame:
        """One row a suggestion: its conditions, then L, a, b, delta_e2000, low, high (CIEDE2000),
        chance_within (0 to 1), outside, unsure and the reasons in one text."""
        return pd.DataFrame(
            [
                s.conditions
                | dict(zip("Lab", s.lab.tolist(), strict=True))
                | {"delta_e2000": s.delta_e2000, "low": s.interval[0], "high": s.interval[1]}
                | {"chance_within": s.chance_within, "outside": s.outside, "unsure": s.unsure}
                | {"reasons": "; ".join(s.reasons)}
                for s in self
            ]
        )
