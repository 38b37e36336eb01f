"""Each use as one plain function, with the same words as the command and the page."""

from ..bath.diary import line_of, read_step
from ..library import Library, Verified
from .answer.compare import CompareAnswer, compare, compare_in
from .answer.delivery import DeliveryAnswer, delivery
from .answer.delivery_model import DeliveryModel, DeliveryNote, learn_for
from .answer.explain import ExplainAnswer, curve_words, explain, matters_words, write_explanation
from .answer.find import FindAnswer, FoundSwatch, find, write_found
from .answer.learn import LibraryModel, learn
from .answer.plan import PlanAnswer, plan
from .answer.predict import PredictAnswer, predict
from .answer.show import show
from .answer.suggest import ROUNDING, SuggestAnswer, suggest, suggest_typed
from .demo import DemoAnswer, demo, record_sample
from .entry.codes import codes
from .entry.instrument import record_readings
from .entry.photos import PhotosAnswer, photos
from .entry.pot import Piece, PotAnswer, pot
from .entry.record import RecordAnswer, bath_columns, record, record_table, record_typed
from .entry.take import TakeAnswer, take
from .entry.waiting import waiting
from .keep.backup import backup, reminders
from .keep.bin import BinAnswer, bin
from .keep.edit import EditAnswer, edit
from .keep.export import export
from .keep.restore import restore
from .keep.undo import undo
from .keep.verify import verify
from .photo.beside import Beside
from .photo.camera import camera
from .photo.check import check
from .photo.measure import measure, measure_typed, measured_as_dict
from .photo.sheet import sheet, sheet_typed
from .text.notes import note_lines, typed_words
from .text.wording import bath_words, chance_words

__all__ = [
    "ROUNDING",
    "Beside",
    "BinAnswer",
    "CompareAnswer",
    "DeliveryAnswer",
    "DeliveryModel",
    "DeliveryNote",
    "DemoAnswer",
    "EditAnswer",
    "ExplainAnswer",
    "FindAnswer",
    "FoundSwatch",
    "LibraryModel",
    "PhotosAnswer",
    "Piece",
    "PlanAnswer",
    "PotAnswer",
    "PredictAnswer",
    "RecordAnswer",
    "SuggestAnswer",
    "TakeAnswer",
    "Verified",
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
    "note_lines",
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
    "write_explanation",
    "write_found",
]

open_library = Library
