"""A small regression learnt from her own swatches: which bath gives a shade, and how sure."""

from .delivery.correction import NewLot
from .model import ShadeModel
from .prediction import Prediction
from .regression.cross_validation import CrossValidation
from .regression.fit import Fit
from .search.batch import Room
from .search.precedents import Precedent
from .search.sample import Sample, Samples
from .search.suggestion import Suggestion, Suggestions

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
    "Suggestion",
    "Suggestions",
]
