"""Do two colours match? An equivalence test on CIEDE2000, with words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from ..colorimetry.conversion import to_d65_2
from ..colorimetry.covariance import error_draws, joined_degrees, square_root
from ..colorimetry.difference import delta_e2000, lightness_chroma_hue
from ..colorimetry.interval import Formula, difference_interval, stretched_to
from ..colorimetry.lab import Array
from ..colorimetry.measurement import Measurement, depends_on_colour, difference_covariance
from ..colorimetry.words import difference_words
from ..errors import ValueOutOfRange
from .formula import formula_named

# Draws for the chance within tolerance: its error is at most 0.008 (binomial).
_DRAWS = 4000
# Share of a difference that is as good as none, and still tells its direction.
_ALMOST_NONE = 1e-3


@dataclass(frozen=True)
class Comparison:
    """Two colours side by side.

    Attributes
    ----------
    delta_e2000 : float
        CIEDE2000 as read.
    interval : (float, float)
        Low and high end; holds the true difference at `level`.
    chance_within : float
        Chance, 0 to 1, that the true difference is within `tolerance`.
    verdict : "match", "no match" or "cannot tell"
    words, would_settle : str
        How a looks beside b; what would make it decidable, or "".
    tolerance, level : float
        As asked for.
    parts : (float, float, float)
        dL*, dC*, dH* of a from b.
    smallest_tolerance : float
        The least tolerance that readings like these could ever call a match.
    same_photo : bool
        Whether both were read from one photo.
    leaning : "match", "apart" or ""
        Where the verdict is cannot tell.
    settles : float
        The least tolerance within which this pair is a match.
    limited_by : "light", "texture", "camera" or "reading"
        What most of the doubt is.
    steps : five floats
        dL*, da*, db*, dC*, dH* of a from b.
    formula, difference : str, float
        What the difference, its interval, tolerance and the verdict are told in; where that is
        CIEDE2000, difference and delta_e2000 are one.

    Examples
    --------
    >>> compare([50, 0, 0], [51, 0, 0]).verdict
    'match'
    """

    delta_e2000: float
    interval: tuple[float, float]
    chance_within: float
    verdict: str
    words: str
    would_settle: str
    tolerance: float
    level: float
    parts: tuple[float, float, float]
    smallest_tolerance: float
    same_photo: bool
    leaning: str = ""
    settles: float = 0.0
    limited_by: str = "reading"
    steps: tuple[float, float, float, float, float] = (0.0, 0.0, 0.0, 0.0, 0.0)
    formula: str = "ciede2000"
    difference: float = 0.0

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "delta_e2000": self.delta_e2000,
            "interval": list(self.interval),
            "level": self.level,
            "tolerance": self.tolerance,
            "chance_within": self.chance_within,
            "verdict": self.verdict,
            "words": self.words,
            "would_settle": self.would_settle,
            "smallest_tolerance": self.smallest_tolerance,
            "dL_dC_dH": list(self.parts),
            "same_photo": self.same_photo,
            "leaning": self.leaning,
            "settles": self.settles,
            "limited_by": self.limited_by,
            "lab_steps": dict(zip(("dL", "da", "db", "dC", "dH"), self.steps, strict=True)),
            "formula": self.formula,
            "difference": self.difference,
        }


def compare(
    a: Measurement | ArrayLike,
    b: Measurement | ArrayLike,
    *,
    tolerance: float = 2.0,
    level: float = 0.9,
    formula: str = "ciede2000",
) -> Comparison:
    """Compare colour a with colour b (the standard): CIEDE2000, its interval and a verdict.

    Readings of unlike light or observer are converted to D65 and 2 degrees first, with the doubt of
    that.

    Parameters
    ----------
    a, b : Measurement or (3,)
        Measurements, whose shared errors cancel, or CIELAB taken as exact.
    tolerance : float
        The largest CIEDE2000 that still passes, above 0.
    level : float
        Of the interval, 0 to 1.
    formula : "ciede2000", "textile" or "cmc21"
        What interval, tolerance and verdict are told in; textile halves lightness.

    Returns
    -------
    Comparison
        "match" where the interval's upper end is at or under the tolerance, "no match" where its
        lower end is over it, else "cannot tell".

    Raises
    ------
    ValueOutOfRange
        For a tolerance that is not above 0, or a level that is no share.

    Source: ISO/CIE 11664-6; CMC(2:1) as ISO 105-J03 has it.

    Examples
    --------
    >>> round(compare([50, 10, 10], [50, 14, 10]).delta_e2000, 1)
    3.5
    """
    if not (isinstance(tolerance, int | float | np.number) and 0 < tolerance < np.inf):
        raise ValueOutOfRange(
            f"The tolerance is {tolerance!r}; give a CIEDE2000 above 0, such as 2."
        )
    if not (isinstance(level, int | float | np.number) and 0 < level < 1):
        raise ValueOutOfRange(f"The level is {level!r}; give a share between 0 and 1, such as 0.9.")
    one, two = _measured(a), _measured(b)
    if (one.light, one.observer) != (two.light, two.observer):
        one, two = to_d65_2(one), to_d65_2(two)  # such numbers must not be differenced as they are
    told_in, _ = formula_named(formula)
    fixed, stretch = difference_covariance(one, two)
    difference = float(told_in(two.lab, one.lab))
    degrees = degrees_of_difference(one, two)
    interval = difference_interval(
        one.lab, two.lab, fixed, level=level, degrees=degrees, stretch=stretch,
        formula=told_in,
    )  # fmt: skip
    smallest = _hidden(one.lab, two.lab, fixed, stretch, level, degrees, told_in)
    root = square_root(fixed + stretch)
    verdict = (
        "match"
        if interval[1] <= tolerance
        else "no match"
        if interval[0] > tolerance
        else "cannot tell"
    )
    same_photo = one.photo is not None and one.photo == two.photo
    parts = lightness_chroma_hue(two.lab, one.lab)
    chance = _chance(one.lab, two.lab, root, degrees, tolerance, told_in)
    leaning = "" if verdict != "cannot tell" else "match" if chance >= 0.5 else "apart"
    dL, da, db = (float(v) for v in one.lab - two.lab)
    return Comparison(
        delta_e2000=float(delta_e2000(one.lab, two.lab)),
        interval=interval,
        chance_within=chance,
        verdict=verdict,
        words=difference_words(one.lab, two.lab),
        would_settle=_settles(verdict, tolerance, smallest, same_photo, one, two),
        tolerance=float(tolerance),
        level=float(level),
        parts=(float(parts[0]), float(parts[1]), float(parts[2])),
        smallest_tolerance=smallest,
        same_photo=same_photo,
        leaning=leaning,
        settles=interval[1],
        limited_by=_limit(one, two, stretch),
        steps=(dL, da, db, float(parts[1]), float(parts[2])),
        formula=formula,
        difference=difference,
    )


def _limit(one: Measurement, two: Measurement, stretch: Array) -> str:
    """What most of the doubt of a difference is."""
    sizes = {"texture": float(np.trace(one.repeatability + two.repeatability))}
    sizes["camera"] = float(np.trace(stretch))
    lights = [s for s in one.shared.keys() & two.shared.keys() if not depends_on_colour(s)]
    apart = [one.shared[s] - two.shared[s] for s in lights]
    sizes["light"] = sum(float(np.sum(d * d)) for d in apart)
    if one.rung == "instrument" or two.rung == "instrument" or one.photo != two.photo:
        return "reading"
    return max(sizes, key=lambda name: sizes[name])


def _measured(colour: Measurement | ArrayLike) -> Measurement:
    if isinstance(colour, Measurement):
        return colour
    return Measurement(colour, np.zeros((3, 3)))


def _hidden(
    lab1: Array, lab2: Array, fixed: Array, stretch: Array, level: float, degrees: float,
    told_in: Formula,
) -> float:  # fmt: skip
    """The greatest difference that these readings could hide, had they come out alike."""
    middle, gap = (lab1 + lab2) / 2, (lab1 - lab2) * _ALMOST_NONE
    size = float(np.linalg.norm(gap))
    less = float(stretched_to(size / _ALMOST_NONE, size)) if size > 0 else np.inf
    return difference_interval(
        middle + gap / 2, middle - gap / 2, fixed, level=level, degrees=degrees,
        stretch=stretch / less, formula=told_in,
    )[1]  # fmt: skip


def degrees_of_difference(one: Measurement, two: Measurement) -> float:
    """Degrees of freedom of the difference of two readings' errors. Those of one photo have one
    scale; else what each has alone counts."""
    if one.photo is not None and one.photo == two.photo:
        return min(one.degrees, two.degrees)
    return joined_degrees(one.covariance, two.covariance, one.degrees, two.degrees)


def _chance(
    lab1: Array, lab2: Array, root: Array, degrees: float, tolerance: float, told_in: Formula
) -> float:
    # The same draws each time: the same readings give the same chance.
    errors = error_draws(_DRAWS, degrees) @ root.T
    gap = lab1 - lab2 + errors
    middle = (lab1 + lab2) / 2
    return float(np.mean(told_in(middle - gap / 2, middle + gap / 2) <= tolerance))


def _settles(
    verdict: str,
    tolerance: float,
    smallest: float,
    same_photo: bool,
    one: Measurement,
    two: Measurement,
) -> str:
    if verdict != "cannot tell":
        return ""
    from_photos = one.rung != "instrument" or two.rung != "instrument"
    if smallest <= tolerance:
        first = (
            f"Readings as good as these can settle a tolerance of {tolerance:g}; these two lie too "
            "near the limit."
        )
    else:
        first = (
            f"Readings like these can settle a tolerance of {np.ceil(smallest * 10) / 10:.1f} at "
            f"the least, not {tolerance:g}."
        )
    if from_photos and not same_photo:
        return (
            first + " Lay both swatches in one photo, side by side, with the card: errors of "
            "like colours in one photo cancel."
        )
    if from_photos:
        return (
            first + " Photograph both together again, close to each other in even light, and "
            "compare; or judge the swatches themselves side by side in daylight."
        )
    return first + " Read each swatch several times and type in the mean with its doubt."
