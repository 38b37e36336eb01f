"""A small regression learnt from her own swatches: which bath gives a shade, and how sure."""

from .model import ShadeModel
from .prediction import Prediction
from .regression.cross_validation import LeftOut
from .search.experiment import NextSample
from .search.suggestion import Idea, Precedent

__all__ = [
    "Idea",
    "LeftOut",
    "NextSample",
    "Precedent",
    "Prediction",
    "ShadeModel",
]
