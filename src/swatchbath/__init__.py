"""swatchbath: from photographed swatches to the bath that gives a shade, with honest doubt.

The names below are the contract. Each is loaded when first used, so that importing the package
(and the command's help) stays quick.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from . import errors
from .errors import (
    BadTable,
    BadValue,
    LibraryError,
    NotEnoughSwatches,
    NotFound,
    PhotoRefused,
    ShapeError,
    SwatchbathError,
    ValueOutOfRange,
)
from .version import __version__ as __version__

if TYPE_CHECKING:
    from .bath.cautions import Caution
    from .bath.diary.reading import read_step
    from .bath.step import Material, Step
    from .colorimetry import Check, Measurement, cross_covariance, delta_e2000
    from .library import Found, Library, Swatch
    from .match import Comparison, compare
    from .photo import CameraProfile, Card, Chart, Region, Shot, measure, profile_camera
    from .predict import (
        CrossValidation,
        Fit,
        NewLot,
        Precedent,
        Prediction,
        Sample,
        ShadeModel,
        Suggestion,
    )

_HOME = {
    "CameraProfile": "photo",
    "Card": "photo",
    "Caution": "bath.cautions",
    "Chart": "photo",
    "Check": "colorimetry",
    "Comparison": "match",
    "CrossValidation": "predict",
    "Fit": "predict",
    "Found": "library",
    "Library": "library",
    "Material": "bath.step",
    "Measurement": "colorimetry",
    "NewLot": "predict",
    "Precedent": "predict",
    "Prediction": "predict",
    "Region": "photo",
    "Sample": "predict",
    "ShadeModel": "predict",
    "Shot": "photo",
    "Step": "bath.step",
    "Suggestion": "predict",
    "Swatch": "library",
    "compare": "match",
    "cross_covariance": "colorimetry",
    "delta_e2000": "colorimetry",
    "measure": "photo",
    "profile_camera": "photo",
    "read_step": "bath.diary.reading",
}

__all__ = [
    "BadTable",
    "BadValue",
    "CameraProfile",
    "Card",
    "Caution",
    "Chart",
    "Check",
    "Comparison",
    "CrossValidation",
    "Fit",
    "Found",
    "Library",
    "LibraryError",
    "Material",
    "Measurement",
    "NewLot",
    "NotEnoughSwatches",
    "NotFound",
    "PhotoRefused",
    "Precedent",
    "Prediction",
    "Region",
    "Sample",
    "ShadeModel",
    "ShapeError",
    "Shot",
    "Step",
    "Suggestion",
    "Swatch",
    "SwatchbathError",
    "ValueOutOfRange",
    "compare",
    "cross_covariance",
    "delta_e2000",
    "errors",
    "measure",
    "profile_camera",
    "read_step",
]


def __getattr__(name: str) -> Any:
    if name in _HOME:
        value = getattr(import_module(f".{_HOME[name]}", __name__), name)
        globals()[name] = value
        return value
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted([*__all__, "__version__"])
