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
    from .bath.diary import read_step
    from .colorimetry import Check, Measurement, cross_covariance, delta_e2000
    from .library import Library
    from .match import Comparison, compare
    from .photo import CameraProfile, Card, Chart, Region, Shot, measure, profile_camera
    from .predict import ShadeModel

_HOME = {
    "CameraProfile": "photo",
    "Card": "photo",
    "Chart": "photo",
    "Check": "colorimetry",
    "Comparison": "match",
    "Library": "library",
    "Measurement": "colorimetry",
    "Region": "photo",
    "ShadeModel": "predict",
    "Shot": "photo",
    "compare": "match",
    "cross_covariance": "colorimetry",
    "delta_e2000": "colorimetry",
    "measure": "photo",
    "profile_camera": "photo",
    "read_step": "bath.diary",
}

__all__ = [
    "BadTable",
    "BadValue",
    "CameraProfile",
    "Card",
    "Chart",
    "Check",
    "Comparison",
    "Library",
    "LibraryError",
    "Measurement",
    "NotEnoughSwatches",
    "NotFound",
    "PhotoRefused",
    "Region",
    "ShadeModel",
    "ShapeError",
    "Shot",
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
