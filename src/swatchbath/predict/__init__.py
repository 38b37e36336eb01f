"""A small regression learnt from her own swatches: which bath gives a shade, and how sure.

ShadeModel is loaded when first used: scikit-learn, which it is an estimator of, is slow to load.
"""

from typing import TYPE_CHECKING, Any

from .delivery.correction import NewLot
from .prediction import Prediction
from .regression.cross_validation import CrossValidation
from .regression.fit import Fit
from .search.batch import Room
from .search.precedents import Precedent
from .search.sample import Sample, Samples
from .search.suggested import Suggestion, Suggestions
from .shades import Shades

if TYPE_CHECKING:
    from .model import ShadeModel

__all__ = [
    "CrossValidation",
    "Fit",
    "NewLot",
    "Precedent",
    "Prediction",
    "Room",
    "Sample",
    "Samples",
    "ShadeModel",
    "Shades",
    "Suggestion",
    "Suggestions",
]


def __getattr__(name: str) -> Any:
    if name == "ShadeModel":
        from .model import ShadeModel

        return ShadeModel
    raise AttributeError(f"module '{__name__}' has no attribute '{name}'")
