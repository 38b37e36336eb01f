"""How much of a material is enough: where what is suggested stops, unless she dyed with more."""

from __future__ import annotations

import math
from collections.abc import Iterable

from ..conditions.vocabulary import meaning

# Percent on the weight of fibre; common practice, no source: guides give 8 to 25 % of alum, wool
# turns sticky from 20 % on, and from 100 % of dried madder or weld on the colour hardly deepens.
_MOST = {
    ("mordant_owf", "alum"): 20.0,
    ("dye_owf", "madder"): 100.0,
    ("dye_owf", "weld"): 100.0,
}
# Plants weigh several times as much fresh; common practice, no source.
_FRESH = "fresh"


def enough_of(column: str, word: str, forms: Iterable[str] = ()) -> float:
    """The amount, in percent on the weight of fibre, where suggestions stop; infinite where none is
    known. column : of the amount, without its number. word : what it is of. forms : how it came.

    >>> enough_of("mordant_owf", "Potash alum"), enough_of("dye_owf", "madder", ["fresh"])
    (20.0, inf)
    """
    owner = {"dye_owf": "dyestuff"}.get(column, column.removesuffix("_owf"))
    if any(_FRESH in form.casefold() for form in forms):
        return math.inf
    return _MOST.get((column, meaning(owner, word)), math.inf)
