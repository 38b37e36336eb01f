"""Each use as one plain function, with the same words as the command and the page."""

from ..bath.diary.telling import line_of
from ..library import Library, Verified
from .answer.compare import compare, compare_in
from .answer.delivery import delivery, delivery_typed
from .answer.explain import curve_words, explain, matters_words, write_explanation
from .answer.explain_swatch import explain_swatch
from .answer.find import find, find_typed, write_found
from .answer.learn import learn
from .answer.plan import plan
from .answer.predict import predict
from .answer.show import show
from .answer.suggest import ROUNDING, suggest, suggest_typed
from .demo import demo, record_sample
from .entry.codes import codes
from .entry.instrument import record_readings
from .entry.photos import photos
from .entry.pot import pot
from .entry.record import bath_columns, record, record_typed
from .entry.table import record_table
from .entry.take import take
from .entry.waiting import waiting
from .keep.backup import backup, reminders
from .keep.bin import bin
from .keep.cameras import name_camera
from .keep.derived import derived_anew
from .keep.edit import edit
from .keep.edit_beside import edit_dyestuff_lot, edit_lot
from .keep.edit_many import edit_many
from .keep.export import export
from .keep.reread import bring_up_to_date, reread
from .keep.restore import restore
from .keep.undo import undo
from .keep.verify import verify
from .photo.camera import camera
from .photo.check import check
from .photo.in_frame import InFrame
from .photo.measure import measure, measure_typed, measured_as_dict
from .photo.sheet import sheet, sheet_typed
from .text.bath_words import bath_words
from .text.notes import note_lines, typed_words
from .text.wording import chance_words, counted, day_words, when_words

__all__ = [
    "ROUNDING",
    "InFrame",
    "Verified",
    "backup",
    "bath_columns",
    "bath_words",
    "bin",
    "bring_up_to_date",
    "camera",
    "chance_words",
    "check",
    "codes",
    "compare",
    "compare_in",
    "counted",
    "curve_words",
    "day_words",
    "delivery",
    "delivery_typed",
    "demo",
    "edit",
    "edit_dyestuff_lot",
    "edit_lot",
    "edit_many",
    "explain",
    "explain_swatch",
    "derived_anew",
    "export",
    "find",
    "find_typed",
    "learn",
    "line_of",
    "matters_words",
    "measure",
    "measure_typed",
    "measured_as_dict",
    "name_camera",
    "note_lines",
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
    "reread",
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
    "when_words",
    "write_explanation",
    "write_found",
]

open_library = Library
