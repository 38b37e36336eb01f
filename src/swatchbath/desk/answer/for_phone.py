"""All recipes of a library as plain values, for one file that opens on a phone with no network."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from ...bath.cautions import cautions_for, most_hazardous_first
from ...colorimetry.words import colour_words
from ...library import Library
from ..text.bath_words import bath_words

Progress = Callable[[int, int, str], None]


def for_phone(library: Library, *, progress: Progress | None = None) -> list[dict[str, Any]]:
    """Each swatch with a bath or a colour: code, name, lot, lab (dry, or None), words, bath (lines)
    and cautions (sentences, in full), by code."""
    codes = sorted(library.codes())
    out: list[dict[str, Any]] = []
    for start in range(0, len(codes), _AT_ONCE):
        if progress:
            progress(start, len(codes), "reading the recipes")
        for swatch in library.swatches(codes[start : start + _AT_ONCE]):
            lab = None if swatch.measured is None else swatch.measured.lab.tolist()
            if not swatch.has_bath and lab is None:
                continue
            found = cautions_for(swatch.conditions, swatch.steps) if swatch.has_bath else []
            out.append(
                {
                    "code": swatch.code,
                    "name": swatch.name or "",
                    "lot": swatch.lot or "",
                    "lab": lab,
                    "words": "" if lab is None else colour_words(lab),
                    "bath": bath_words(swatch.conditions, swatch.steps) if swatch.has_bath else [],
                    "cautions": [c.sentence for c in most_hazardous_first(found)],
                }
            )
    return out


# Swatches read at one go. Our own choice.
_AT_ONCE = 500
