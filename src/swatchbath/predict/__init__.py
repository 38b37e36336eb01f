"""A small regression learnt from her own swatches: which bath gives a shade, and how sure."""

from .calibrate import LeftOut
from .columns import COLUMNS, GROUPS, Column, Scale, column
from .conditions import Checked, check_conditions
from .model import ShadeModel
from .prediction import Prediction
from .sampling import NextSample
from .suggest import Idea, Precedent

__all__ = [
    "COLUMNS",
    "GROUPS",
    "Checked",
    "Column",
    "Idea",
    "LeftOut",
    "NextSample",
    "Precedent",
    "Prediction",
    "Scale",
    "ShadeModel",
    "check_conditions",
    "column",
]
