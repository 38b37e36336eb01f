"""A small regression learnt from her own swatches: which bath gives a shade, and how sure."""

from .model import ShadeModel
from .prediction import Prediction
from .search.sample import Sample
from .search.suggestion import Suggestion

__all__ = [
    "Prediction",
    "Sample",
    "ShadeModel",
    "Suggestion",
]
