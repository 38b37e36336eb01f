"""Each use as one plain function, with the same words as the command and the page."""

from ..bath.diary import line_of, read_step
from ..library import Library, Verified
from .answer.compare import Compared, compare, compare_in
from .answer.delivery import Delivery, delivery
from .answer.explain import Explained, curve_words, explain, matters_words, write_explained
from .answer.find import Precedent, find, write_found
from .answer.learn import Learnt, learn
from .answer.named_delivery import Named, Taught, learn_for
from .answer.plan import Plan, plan
from .answer.predict import Foreseen, predict
from .answer.show import show
from .answer.suggest import ROUNDING, SuggestAnswer, suggest, suggest_typed
from .demo import Demo, demo, record_sample
from .entry.codes import codes
from .entry.instrument import record_readings
from .entry.photos import TakenIn, photos
from .entry.pot import Piece, Potted, pot
from .entry.record import Recorded, bath_columns, record, record_table, record_typed
from .entry.take import Taken, take
from .entry.waiting import waiting
from .keep.backup import backup, reminders
from .keep.bin import Bin, bin
from .keep.edit import Correction, edit
from .keep.export import export
from .keep.restore import restore
from .keep.undo import undo
from .keep.verify import verify
from .photo.camera import camera
from .photo.check import check
from .photo.measure import measure, measure_typed, measured_as_dict
from .photo.references import Beside
from .photo.sheet import sheet, sheet_typed
from .text.notes import also_noted, typed_words
from .text.wording import bath_words, chance_words

__all__ = [
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
    "SuggestAnswer",
    "Taken",
    "TakenIn",
    "Taught",
    "Verified",
    "also_noted",
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
    "read_step",
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
    "suggest",
    "suggest_typed",
    "take",
    "typed_words",
    "undo",
    "verify",
    "waiting",
    "write_explained",
    "write_found",
]

open_library = Library
