"""What stands in a cell of words: a name alone or more, and short names in full."""

from __future__ import annotations

import re

from ...bath.diary.quantities import UNWEIGHED
from ...conditions.trade_words import material_of
from ...conditions.vocabulary import WORDS, meaning
from ..text.heading_words import SHORT

_FORMS = set(WORDS["dyestuff_form"])


def tells_more(base: str, cell: str) -> bool:
    """Whether a cell holds more than the name of one material: an amount, also one that nobody
    can weigh, a form, or a second material."""
    if meaning(base, cell) in WORDS[base] or material_of(cell):
        return False
    words = cell.casefold().split()
    form = base == "dyestuff" and len(words) > 1 and {words[0], words[-1]} & _FORMS
    spoon = len(words) > 1 and UNWEIGHED & set(words)
    return bool(re.search(r"\d|[+&;/]|\sand\s|\sthen\s", cell) or form or spoon)


def in_full(cell: str) -> str:
    """CoT 6 % as cream of tartar 6 %."""
    found = re.match(r"([a-z][a-z0-9 .]*?)\s*(?=$|\s\d)", cell, re.IGNORECASE)
    if not found or found[1].casefold().strip(". ") not in SHORT:
        return cell
    return SHORT[found[1].casefold().strip(". ")] + cell[found.end() :]
