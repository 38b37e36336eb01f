"""What is on record to choose from: fibres, dyestuffs, mordants, after-baths; the usual first."""

from __future__ import annotations

from collections import Counter

from ...bath.materials import given
from ...library import Library
from ...predict.search.columns import base_of

_COLUMNS = ("fibre", "dyestuff", "mordant", "modifier")


def choices(library: Library) -> dict[str, list[str]]:
    """Words of each of these columns among all swatches, those of most swatches first; `modifier`
    are after-baths. What there was none of is left out."""
    seen: dict[str, Counter[str]] = {name: Counter() for name in _COLUMNS}
    for swatch, _ in library.find(k=max(len(library), 1)):
        for name in {(base_of(n), str(v)) for n, v in swatch.conditions.items() if given(v)}:
            if name[0] in seen:
                seen[name[0]][name[1]] += 1
    return {n: sorted(c, key=lambda w: (-c[w], w)) for n, c in seen.items()}
