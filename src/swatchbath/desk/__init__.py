"""Each use as one plain function, with the same words as the command and the page."""

from ..library import Library
from .answers import (
    ROUNDING,
    Compared,
    Foreseen,
    Learnt,
    Precedent,
    Suggestion,
    compare,
    compare_in,
    find,
    learn,
    predict,
    show,
    suggest,
    write_found,
)
from .checking import check
from .demo import Demo, demo, record_sample
from .in_frame import Beside, camera
from .measuring import measure, measure_typed, measured_as_dict
from .recording import Recorded, bath_columns, record, record_table, record_typed
from .sheets import sheet, sheet_typed
from .wording import bath_words, chance_words

__all__ = [
    "ROUNDING",
    "Beside",
    "Compared",
    "Demo",
    "Foreseen",
    "Learnt",
    "Precedent",
    "Recorded",
    "Suggestion",
    "bath_columns",
    "bath_words",
    "camera",
    "chance_words",
    "check",
    "compare",
    "compare_in",
    "demo",
    "find",
    "learn",
    "measure",
    "measure_typed",
    "measured_as_dict",
    "open_library",
    "predict",
    "record",
    "record_sample",
    "record_table",
    "record_typed",
    "sheet",
    "sheet_typed",
    "show",
    "suggest",
    "write_found",
]

open_library = Library
