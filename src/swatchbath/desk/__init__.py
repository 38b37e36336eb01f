"""Each use as one plain function, with the same words as the command and the page.

Each is loaded when first used, so that a short question is not kept waiting by all the others.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from ..bath.diary.telling import line_of
    from ..library import Library as open_library
    from ..library import Verified, backup_state
    from ..photo.file.trial import try_photo
    from .answer.box import BOX_BY, BOX_FILTERS, BOX_WAYS, alike, box
    from .answer.choices import choices
    from .answer.compare import compare, compare_in
    from .answer.delivery import delivery, delivery_typed
    from .answer.directions import DIRECTIONS, steps_from
    from .answer.explain import (
        curve_words,
        explain,
        explanation_parts,
        matters_words,
        write_explanation,
    )
    from .answer.explain_swatch import explain_swatch
    from .answer.find import find, find_typed, write_found
    from .answer.for_phone import for_phone
    from .answer.judge import judge
    from .answer.judge_page import write_judged
    from .answer.learn import learn
    from .answer.piece import piece
    from .answer.pile import pile, pile_photos, pile_typed
    from .answer.pile_page import write_pile
    from .answer.plan import plan
    from .answer.pot_sheet import pot_sheet
    from .answer.predict import predict
    from .answer.show import show
    from .answer.spread import spread
    from .answer.start import start
    from .answer.suggest import ROUNDING, suggest, suggest_typed
    from .demonstration import demo, record_sample
    from .entry.codes import codes
    from .entry.instrument import record_readings
    from .entry.marked import MarkedAs, last_dyed, record_marked, understood
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
    from .keep.facts import facts
    from .keep.fault import keep_details
    from .keep.reread import bring_up_to_date, reread
    from .keep.restore import restore
    from .keep.selftest import selftest
    from .keep.undo import undo
    from .keep.verify import verify
    from .photo.camera import camera
    from .photo.check import check
    from .photo.drafts import (
        DRAFTS,
        Draft,
        change_draft,
        draft,
        draft_fibre,
        draft_picture,
        drafts,
        drop_draft,
        move_draft,
        new_draft,
        new_in_folder,
        place_typed,
        take_from_folder,
    )
    from .photo.fibre import FibrePlace, fibre_picture, fibre_places, photo_picture, seen_in
    from .photo.in_frame import InFrame
    from .photo.measure import measure, measure_typed, measured_as_dict
    from .photo.sheet import sheet, sheet_typed
    from .text.bath_words import bath_words
    from .text.notes import note_lines, typed_words
    from .text.wording import chance_words, counted, day_words, when_words

_HOME = {
    "BOX_BY": ".answer.box",
    "BOX_FILTERS": ".answer.box",
    "BOX_WAYS": ".answer.box",
    "DIRECTIONS": ".answer.directions",
    "DRAFTS": ".photo.drafts",
    "Draft": ".photo.drafts",
    "FibrePlace": ".photo.fibre",
    "InFrame": ".photo.in_frame",
    "MarkedAs": ".entry.marked",
    "ROUNDING": ".answer.suggest",
    "Verified": "..library",
    "alike": ".answer.box",
    "backup": ".keep.backup",
    "backup_state": "..library",
    "bath_columns": ".entry.record",
    "bath_words": ".text.bath_words",
    "bin": ".keep.bin",
    "box": ".answer.box",
    "bring_up_to_date": ".keep.reread",
    "camera": ".photo.camera",
    "chance_words": ".text.wording",
    "change_draft": ".photo.drafts",
    "check": ".photo.check",
    "choices": ".answer.choices",
    "codes": ".entry.codes",
    "compare": ".answer.compare",
    "compare_in": ".answer.compare",
    "counted": ".text.wording",
    "curve_words": ".answer.explain",
    "day_words": ".text.wording",
    "delivery": ".answer.delivery",
    "delivery_typed": ".answer.delivery",
    "demo": ".demonstration",
    "derived_anew": ".keep.derived",
    "draft": ".photo.drafts",
    "draft_fibre": ".photo.drafts",
    "draft_picture": ".photo.drafts",
    "drafts": ".photo.drafts",
    "drop_draft": ".photo.drafts",
    "edit": ".keep.edit",
    "edit_dyestuff_lot": ".keep.edit_beside",
    "edit_lot": ".keep.edit_beside",
    "edit_many": ".keep.edit_many",
    "explain": ".answer.explain",
    "explain_swatch": ".answer.explain_swatch",
    "explanation_parts": ".answer.explain",
    "export": ".keep.export",
    "facts": ".keep.facts",
    "fibre_picture": ".photo.fibre",
    "fibre_places": ".photo.fibre",
    "find": ".answer.find",
    "find_typed": ".answer.find",
    "for_phone": ".answer.for_phone",
    "judge": ".answer.judge",
    "keep_details": ".keep.fault",
    "last_dyed": ".entry.marked",
    "learn": ".answer.learn",
    "line_of": "..bath.diary.telling",
    "matters_words": ".answer.explain",
    "measure": ".photo.measure",
    "measure_typed": ".photo.measure",
    "measured_as_dict": ".photo.measure",
    "move_draft": ".photo.drafts",
    "name_camera": ".keep.cameras",
    "new_draft": ".photo.drafts",
    "new_in_folder": ".photo.drafts",
    "note_lines": ".text.notes",
    "photo_picture": ".photo.fibre",
    "photos": ".entry.photos",
    "piece": ".answer.piece",
    "pile": ".answer.pile",
    "pile_photos": ".answer.pile",
    "pile_typed": ".answer.pile",
    "place_typed": ".photo.drafts",
    "plan": ".answer.plan",
    "pot": ".entry.pot",
    "pot_sheet": ".answer.pot_sheet",
    "predict": ".answer.predict",
    "record": ".entry.record",
    "record_marked": ".entry.marked",
    "record_readings": ".entry.instrument",
    "record_sample": ".demonstration",
    "record_table": ".entry.table",
    "record_typed": ".entry.record",
    "reminders": ".keep.backup",
    "reread": ".keep.reread",
    "restore": ".keep.restore",
    "seen_in": ".photo.fibre",
    "selftest": ".keep.selftest",
    "sheet": ".photo.sheet",
    "sheet_typed": ".photo.sheet",
    "show": ".answer.show",
    "spread": ".answer.spread",
    "start": ".answer.start",
    "steps_from": ".answer.directions",
    "suggest": ".answer.suggest",
    "suggest_typed": ".answer.suggest",
    "take": ".entry.take",
    "take_from_folder": ".photo.drafts",
    "try_photo": "..photo.file.trial",
    "typed_words": ".text.notes",
    "understood": ".entry.marked",
    "undo": ".keep.undo",
    "verify": ".keep.verify",
    "waiting": ".entry.waiting",
    "when_words": ".text.wording",
    "write_explanation": ".answer.explain",
    "write_found": ".answer.find",
    "write_judged": ".answer.judge_page",
    "write_pile": ".answer.pile_page",
}

__all__ = [
    "BOX_BY",
    "BOX_FILTERS",
    "BOX_WAYS",
    "DIRECTIONS",
    "DRAFTS",
    "Draft",
    "FibrePlace",
    "InFrame",
    "MarkedAs",
    "ROUNDING",
    "Verified",
    "alike",
    "backup",
    "backup_state",
    "bath_columns",
    "bath_words",
    "bin",
    "box",
    "bring_up_to_date",
    "camera",
    "chance_words",
    "change_draft",
    "check",
    "choices",
    "codes",
    "compare",
    "compare_in",
    "counted",
    "curve_words",
    "day_words",
    "delivery",
    "delivery_typed",
    "demo",
    "derived_anew",
    "draft",
    "draft_fibre",
    "draft_picture",
    "drafts",
    "drop_draft",
    "edit",
    "edit_dyestuff_lot",
    "edit_lot",
    "edit_many",
    "explain",
    "explain_swatch",
    "explanation_parts",
    "export",
    "facts",
    "fibre_picture",
    "fibre_places",
    "find",
    "find_typed",
    "for_phone",
    "judge",
    "keep_details",
    "last_dyed",
    "learn",
    "line_of",
    "matters_words",
    "measure",
    "measure_typed",
    "measured_as_dict",
    "move_draft",
    "name_camera",
    "new_draft",
    "new_in_folder",
    "note_lines",
    "open_library",
    "photo_picture",
    "photos",
    "piece",
    "pile",
    "pile_photos",
    "pile_typed",
    "place_typed",
    "plan",
    "pot",
    "pot_sheet",
    "predict",
    "record",
    "record_marked",
    "record_readings",
    "record_sample",
    "record_table",
    "record_typed",
    "reminders",
    "reread",
    "restore",
    "seen_in",
    "selftest",
    "sheet",
    "sheet_typed",
    "show",
    "spread",
    "start",
    "steps_from",
    "suggest",
    "suggest_typed",
    "take",
    "take_from_folder",
    "try_photo",
    "typed_words",
    "understood",
    "undo",
    "verify",
    "waiting",
    "when_words",
    "write_explanation",
    "write_found",
    "write_judged",
    "write_pile",
]


def __getattr__(name: str) -> Any:
    if name == "open_library":
        from ..library import Library

        return Library
    if name in _HOME:
        value = getattr(import_module(_HOME[name], __name__), name)
        globals()[name] = value
        return value
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
