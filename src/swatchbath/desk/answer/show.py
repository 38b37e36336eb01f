"""Everything on record about one swatch."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from ...bath.cautions import cautions_for
from ...bath.diary.telling import line_of
from ...conditions.columns import column
from ...library import Library
from ..entry.came_out import came_out, promise_words
from ..photo.measure import measured_as_dict
from ..text.bath_words import bath_words
from ..text.shown import steps_as_dicts
from ..text.wording import plain, waits_of
from .expected import expected_of
from .recipe import left_of, recipe_of


def show(
    library: Library, key: str, *, grams: float | str | None = None, left: Iterable[str] = ()
) -> dict[str, Any]:
    """Everything on record about one swatch, as plain values for JSON.

    grams : a weight of fibre ("1.2 kg") for which its own bath is weighed. left : what is left of
    a material ("madder 300 g"), for how much fibre that dyes.
    """
    swatch = library.swatch(key)
    said = library.suggestion(swatch.code)
    liquor_of, liquor_went_to = library.liquors(key)
    return {n: getattr(swatch, n) for n in ("code", "name", "lot", "part", "session")} | {
        "conditions": plain(swatch.conditions),
        "kept": {n: v for n, v in plain(swatch.conditions).items() if column(n) is None},
        "kept_with_lot": dict(swatch.lot_kept),
        "kept_with_dyestuff_lots": {n: dict(k) for n, k in swatch.dyestuff_lots_kept.items()},
        "bath": bath_words(swatch.conditions, swatch.steps),
        "measurements": [
            {"number": number, "state": state, "photo": photo, "days": days}
            | measured_as_dict(swatch.code, reading)
            for (state, photo, reading), days, number in zip(
                swatch.measurements, swatch.days, swatch.numbers, strict=True
            )
        ],
        "liquor_of": liquor_of,
        "liquor_went_to": liquor_went_to,
        "steps": steps_as_dicts(swatch.steps),
        # All lines or none: a list without the one that was corrected would be no bath.
        "as_told": [line_of(step) for step in swatch.steps]
        if any(step.typed or step.note for step in swatch.steps)
        else [],
        "typed": dict(swatch.typed),
        "photos": [{"photo": name, "shows": what} for name, what in swatch.shown],
        "waits": list(waits_of(swatch)),
        "history": library.history(swatch.code),
        "issues": list(swatch.issues),
        "kept_piece_of": [
            {"called": kept.name, "lies": kept.lies}
            for kept in library.kept_pieces()
            if swatch.code in kept.codes
        ],
        "expected": expected_of(library, swatch),
        "suggested": None if said is None else {"words": promise_words(said), "bath": said["bath"]},
        "came_out": came_out(library, swatch.code),
        "recipe": None if grams is None else recipe_of(swatch, grams).as_dict(),
        "left": left_of(swatch, left),
        "cautions": [c.sentence for c in cautions_for(plain(swatch.conditions), swatch.steps)],
    }
