"""The value every layer shares: a colour with how it was come by and what is not known about it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

import numpy as np
from numpy.typing import ArrayLike

from ..errors import BadValue, ShapeError
from .covariance import nearest_covariance
from .lab import Array, numbers_of
from .spectrum import Spectrum

Level = Literal["fine", "doubtful", "refused"]

# What a reading typed in without its own doubt is taken to carry: repeats of one instrument on
# textile, and agreement between instruments, as standard deviations in Lab. Common practice, no
# source; deliberately not small.
_TYPED_REPEATABILITY_SD = 0.3
_TYPED_TRUENESS_SD = 0.5

# Lights and observers that readings come under: CIE 15:2018.
LIGHTS = ("D65", "D50", "A", "F2", "F11")
OBSERVERS = ("2", "10")
RUNGS = ("pictured", "card", "camera", "greys", "beside", "known", "chart", "instrument")


@dataclass(frozen=True)
class Check:
    """One thing looked at in a photo.

    Attributes
    ----------
    name : str
    level : "fine", "doubtful" or "refused"
    sentence, remedy : str
        What was found, and what to do.

    Examples
    --------
    >>> Check("card cast", "doubtful", "The card looks blue.", "Turn the lamp off.").level
    'doubtful'
    """

    name: str
    level: Level
    sentence: str
    remedy: str = ""


@dataclass(frozen=True, eq=False, init=False)
class Measurement:
    """A measured colour: CIELAB with its doubt in two parts, and how it was come by.

    Parameters
    ----------
    lab : (3,)
        L*, a*, b* under `light` and `observer`.
    covariance : (3, 3), optional
        Taken as `repeatability`; None stands for a typed reading of usual doubt (sd 0.3 and 0.5 on
        each axis; common practice, no source).
    degrees : float
        Of freedom of the error's Student's t; inf where it is Gaussian.
    rung, photo, checks, notes
        How it was come by; photo is an id, or None.
    light, observer : str
        D65 and the 2 degree observer unless said (CIE 15:2018).
    trueness : (3, 3), optional
        What the rung leaves uncorrected; else the sum of `shared`.
    shared : mapping of str to (3, K)
        For each named source of the trueness error a loading. The error is the sum over sources of
        loading @ u, where u (K,) are independent unknowns of variance 1 that belong to the source:
        two measurements that name one source share its u. What of `trueness` no source explains is
        this measurement's alone.
    spectrum : Spectrum, optional
        What the instrument read, where it told more than three numbers.

    Attributes
    ----------
    repeatability : (3, 3)
        What another reading of the same swatch would change.

    Raises
    ------
    BadValue, ShapeError

    Examples
    --------
    >>> Measurement([62, 12, 48], np.eye(3)).covariance.diagonal().tolist()
    [1.0, 1.0, 1.0]
    """

    lab: Array
    repeatability: Array
    trueness: Array
    degrees: float = np.inf
    rung: str = "instrument"
    light: str = "D65"
    observer: str = "2"
    photo: str | None = None
    checks: tuple[Check, ...] = ()
    notes: tuple[str, ...] = ()
    shared: Mapping[str, Array] = field(default_factory=dict)
    spectrum: Spectrum | None = None

    def __init__(
        self,
        lab: ArrayLike,
        covariance: ArrayLike | None = None,
        *,
        degrees: float = np.inf,
        rung: str = "instrument",
        light: str = "D65",
        observer: str = "2",
        trueness: ArrayLike | None = None,
        shared: Mapping[str, ArrayLike] | None = None,
        photo: str | None = None,
        checks: tuple[Check, ...] = (),
        notes: tuple[str, ...] = (),
        spectrum: Spectrum | None = None,
    ) -> None:
        colour = numbers_of(lab, "A colour (L*, a*, b*)")
        if colour.shape != (3,):
            raise ShapeError(
                f"A colour is three numbers, L*, a*, b*; this has the shape {colour.shape}."
            )
        if not np.isfinite(colour).all():
            raise BadValue(f"The colour {colour.tolist()} is not three numbers; check the cells.")
        if isinstance(degrees, bool) or not isinstance(degrees, int | float) or not degrees > 0:
            raise BadValue(
                f"The degrees of freedom of a colour's doubt are {degrees!r}; give a number above "
                "0, or leave them out."
            )
        if rung not in RUNGS:
            raise BadValue(f"There is no rung '{rung}'; it is one of {', '.join(RUNGS)}.")
        if light not in LIGHTS or observer not in OBSERVERS:
            raise BadValue(
                f"A reading under '{light}' with the '{observer}' degree observer is not known "
                f"here; the lights are {', '.join(LIGHTS)}, the observers {', '.join(OBSERVERS)}."
            )
        if spectrum is not None and not isinstance(spectrum, Spectrum):
            raise BadValue("The spectrum of a reading is a Spectrum, or None.")
        if shared is not None and not isinstance(shared, Mapping):
            raise BadValue("The shared errors of a reading go by name; give a dict of arrays.")
        loadings = {k: numbers_of(v, f"The loading of '{k}'") for k, v in (shared or {}).items()}
        for name, loading in loadings.items():
            if loading.ndim != 2 or loading.shape[0] != 3:
                raise ShapeError(f"The loading of '{name}' has shape {loading.shape}, not (3, K).")
            loading.setflags(write=False)
        if covariance is None:
            repeat = np.eye(3) * _TYPED_REPEATABILITY_SD**2
            true = np.eye(3) * _TYPED_TRUENESS_SD**2
        else:
            repeat = nearest_covariance(numbers_of(covariance, "The doubt of a colour"))
            true = np.zeros((3, 3))
        from_shared = sum((a @ a.T for a in loadings.values()), np.zeros((3, 3)))
        if trueness is not None:
            true = nearest_covariance(numbers_of(trueness, "The trueness of a colour"))
        elif loadings:
            true = from_shared
        for array in (colour, repeat, true):
            array.setflags(write=False)
        for name, value in {
            "lab": colour,
            "repeatability": repeat,
            "trueness": true,
            "degrees": float(degrees),
            "rung": rung,
            "light": light,
            "observer": observer,
            "photo": photo,
            "checks": tuple(checks),
            "notes": tuple(notes),
            "shared": loadings,
            "spectrum": spectrum,
        }.items():
            object.__setattr__(self, name, value)

    @property
    def covariance(self) -> Array:
        """(3, 3): repeatability and trueness together."""
        return np.asarray(self.repeatability + self.trueness)

    def replace(self, **changes: Any) -> Measurement:
        """A copy with changes, by the constructor's names; `repeatability` is given as
        `covariance`."""
        own: dict[str, Any] = {
            "lab": self.lab,
            "covariance": self.repeatability,
            "trueness": self.trueness,
            "degrees": self.degrees,
            "rung": self.rung,
            "light": self.light,
            "observer": self.observer,
            "shared": self.shared,
            "photo": self.photo,
            "checks": self.checks,
            "notes": self.notes,
            "spectrum": self.spectrum,
        }
        return Measurement(**(own | changes))

    def __repr__(self) -> str:
        L, a, b = self.lab
        sd = np.sqrt(np.diag(self.covariance))
        return (
            f"Measurement(lab=[{L:.1f}, {a:.1f}, {b:.1f}], "
            f"give or take [{sd[0]:.1f}, {sd[1]:.1f}, {sd[2]:.1f}], rung={self.rung!r}, "
            f"light={self.light!r}, observer={self.observer!r})"
        )


def is_lasting(source: str) -> bool:
    """Whether a source of error lasts from sitting to sitting (the camera, the card), or comes and
    goes with a photo or a sitting."""
    return not source.startswith(("photo:", "sitting:", "light:", "anchors:", "beside:"))


def cross_covariance(a: Measurement, b: Measurement) -> Array:
    """What the errors of two measurements have in common.

    Parameters
    ----------
    a, b : Measurement
        One and the same shares all of its doubt with itself.

    Returns
    -------
    (3, 3)
        E[error_a error_b^T]: the sum, over the sources both name, of loading_a @ loading_b.T.

    Raises
    ------
    ShapeError
        Where both name a source and describe it differently.

    Examples
    --------
    >>> one, two = (Measurement([50, 0, 0], shared={"camera:x": np.eye(3)}) for _ in range(2))
    >>> cross_covariance(one, two).diagonal().tolist()
    [1.0, 1.0, 1.0]
    """
    if a is b:
        return a.covariance
    total = np.zeros((3, 3))
    for name in a.shared.keys() & b.shared.keys():
        one, two = a.shared[name], b.shared[name]
        if one.shape != two.shape:
            raise ShapeError(
                f"Both readings name the source '{name}' but describe it differently; "
                "measure both again with the same version."
            )
        total = total + one @ two.T
    return total


def difference_covariance(a: Measurement, b: Measurement) -> tuple[Array, Array]:
    """Two (3, 3) that add up to the covariance of the error of a - b: what is there however alike
    the colours are, and what grows with their difference (see `interval`).

    The latter is what both name and what depends on the colour alone: all but the light, which
    differs between two places whatever lies there. That holds within one photo alone: two photos
    render one colour each in its way (`FROM_PHOTO_TO_PHOTO`), and nothing grows.
    """
    shared = cross_covariance(a, b)
    total = a.covariance + b.covariance - shared - shared.T
    if a.photo is None or b.photo is None or a.photo != b.photo:
        if a.photo is not None and b.photo is not None:
            total = total + 2 * FROM_PHOTO_TO_PHOTO**2 * np.eye(3)
        return total, np.zeros((3, 3))
    stretch = np.zeros((3, 3))
    for name in sorted(a.shared.keys() & b.shared.keys()):
        if depends_on_colour(name):
            apart = a.shared[name] - b.shared[name]
            stretch = stretch + apart @ apart.T
    # Rounding alone: what is left is a covariance.
    values, vectors = np.linalg.eigh(total - stretch)
    fixed = (vectors * np.maximum(values, 0)) @ vectors.T
    return fixed, stretch


# What two photos differ by in one colour beside what their readings name, each (sd in Lab): with it
# 638 real patches read in two photos of one light are told to differ in 4 of 100
# (tests/studies/score_doubt.py); the readings' own 0.15 was fitted within drawn frames.
FROM_PHOTO_TO_PHOTO = 0.37


def depends_on_colour(source: str) -> bool:
    """Whether a source's error is one of colour, and not of a place in the frame."""
    return not source.startswith("light:")
