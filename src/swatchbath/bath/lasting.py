"""Which dyestuffs fade fast in light, by common practice or by what she found herself."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from ..conditions.vocabulary import meaning
from .materials import dyestuffs, given, plain

# Common practice, no source: guides call these fugitive, whatever the mordant.
_FUGITIVE = (
    "turmeric", "red cabbage", "cabbage", "beetroot", "beet", "saffron", "safflower",
    "black bean", "hibiscus",
)  # fmt: skip
_BERRY = re.compile(r"(?<!\w)\w*(berry|berries|currants?)(?!\w)")
# No berries of a bush: its leaf, bark, root and twigs last as others do.
_NO_BERRY = ("leaf", "leaves", "bark", "root", "wood", "twig")
# How she may have noted what the window did; a grade of the blue wool or the grey scale (ISO 105)
# under 4 is fugitive. Common practice, no source.
_LASTS_FROM = 4.0
_POOR = ("poor", "bad", "fugitive", "faded", "fades", "fade", "low", "gone", "weak", "pale")
_GOOD = ("good", "excellent", "fast", "lasting", "held", "holds", "none", "no change", "unchanged",
         "very good", "high", "not faded", "no fading", "did not fade")  # fmt: skip


def fades_fast(dyestuff: Any) -> bool:
    """Whether a dyestuff is called fugitive in the trade.

    >>> fades_fast("Turmeric"), fades_fast("elderberries"), fades_fast("elderberry leaf")
    (True, True, False)
    """
    if not given(dyestuff):
        return False
    word = plain(dyestuff)
    if meaning("dyestuff", word) in _FUGITIVE or any(f in word for f in _FUGITIVE):
        return True
    return bool(_BERRY.search(word)) and not any(p in word for p in _NO_BERRY)


def found_lasting(note: Any) -> bool | None:
    """What a note of a light test says: True lasting, False fading, None where it cannot be told.

    >>> found_lasting("4-5"), found_lasting("faded after a month"), found_lasting("see shelf")
    (True, False, None)
    """
    if note is None or note != note:
        return None
    text = plain(note)
    if any(re.search(rf"(?<!\w){re.escape(w)}(?!\w)", text) for w in _GOOD):
        return True
    if any(re.search(rf"(?<!\w){w}(?!\w)", text) for w in _POOR):
        return False
    grade = re.match(r"(?:grade |about )?([1-8](?:\.\d)?)(?:\s*(?:-|to|/)\s*[1-8])?(?!\d)", text)
    return None if grade is None else float(grade[1]) >= _LASTS_FROM


def fading(conditions: Mapping[str, Any], tests: Mapping[str, bool]) -> list[str]:
    """The dyestuffs of a bath that fade fast. tests : what she found herself, by the meaning of
    the dyestuff (True: it lasts); that overrules what is common practice."""
    found = []
    for dye in dyestuffs(conditions):
        lasts = tests.get(meaning("dyestuff", str(dye)))
        if lasts is False or (lasts is None and fades_fast(dye)):
            found.append(str(dye))
    return list(dict.fromkeys(found))
