"""Each use as one plain function, with the same words as the command and the page."""

from ..library import Library
from .answers import (
    Compared,
    Foreseen,
    Precedent,
    compare,
    compare_in,
    find,
    predict,
    show,
    write_found,
)
from .carrying import export
from .checking import check
from .delivered import Named, Taught, learn_for
from .delivering import Delivery, delivery
from .demo import Demo, demo, record_sample
from .explaining import Explained, curve_words, explain, matters_words, write_explained
from .given_out import codes
from .in_frame import Beside, camera
from .instrument import record_readings
from .keeping import Bin, Correction, backup, bin, edit, reminders, restore, undo, verify
from .learning import Learnt, learn
from .measuring import measure, measure_typed, measured_as_dict
from .photos_in import TakenIn, photos
from .planning import Plan, plan
from .pots import Piece, Potted, pot
from .recording import Recorded, bath_columns, record, record_table, record_typed
from .sheets import sheet, sheet_typed
from .suggesting import ROUNDING, Suggestion, suggest, suggest_typed
from .taking import Taken, take
from .waiting_for import FIRST_STEPS, states_of, waiting
from .wording import bath_words, chance_words
from .written import line_of, step_of

__all__ = [
    "FIRST_STEPS",
    "ROUNDING",
    "Beside",
    "Bin",
    "Compared",
    "Correction",
    "Delivery",
    "Demo",
    "Explained",
    "Foreseen",
    "Learnt",
    "Named",
    "Piece",
    "Plan",
    "Potted",
    "Precedent",
    "Recorded",
    "Suggestion",
    "Taken",
    "TakenIn",
    "Taught",
    "backup",
    "bath_columns",
    "bath_words",
    "bin",
    "camera",
    "chance_words",
    "check",
    "codes",
    "compare",
    "compare_in",
    "curve_words",
    "delivery",
    "demo",
    "edit",
    "explain",
    "export",
    "find",
    "learn",
    "learn_for",
    "line_of",
    "matters_words",
    "measure",
    "measure_typed",
    "measured_as_dict",
    "open_library",
    "photos",
    "plan",
    "pot",
    "predict",
    "record",
    "record_readings",
    "record_sample",
    "record_table",
    "record_typed",
    "reminders",
    "restore",
    "sheet",
    "sheet_typed",
    "show",
    "states_of",
    "step_of",
    "suggest",
    "suggest_typed",
    "take",
    "undo",
    "verify",
    "waiting",
    "write_explained",
    "write_found",
]

open_library = Library
