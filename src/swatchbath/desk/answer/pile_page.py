"""A sorted pile as a page: the patches touching, in their order."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np

from ...match import sort
from ...match.pairs import Pairs
from ...paper import Part, report
from ...paper.rows import touching_row
from .pages import write_page
from .pile import PileAnswer


def write_pile(found: PileAnswer, path: str | Path) -> Path:
    """Write a sorted pile as a page that needs nothing else. Raises BadValue."""
    parts = []
    if found.row:
        parts.append(Part("In a row", [found.row_words], drawn=[_patches(found, found.row)]))
    if found.best:
        chosen = _smooth(found, found.best)
        title = f"The {len(chosen)} that match best"
        parts.append(Part(title, [found.best_words], drawn=[_patches(found, chosen)]))
    for number, group in enumerate(found.groups, start=1):
        parts.append(
            Part(
                f"Group {number}",
                [found.group_words(group)],
                drawn=[_patches(found, _smooth(found, group))],
                figures=[
                    (" and ".join(found.called(p)), f"CIEDE2000 {found.pairs.delta_e2000[p]:.1f}")
                    for p in found.doubtful(group)
                ],
            )
        )
    lead = [
        found.summary,
        *([found.odd_words] if found.odd_words else []),
        *found.left_out,
        *found.said,
    ]
    return write_page(report("A pile, sorted", lead, parts), path)


def _patches(found: PileAnswer, places: Sequence[int]) -> str:
    return touching_row(
        [(found.skeins[i].reading.lab.tolist(), found.skeins[i].called) for i in places]
    )


def _smooth(found: PileAnswer, places: Sequence[int]) -> list[int]:
    """A group in the order of its own gradient."""
    of = np.ix_(places, places)
    pairs = found.pairs
    among = Pairs(pairs.delta_e2000[of], pairs.match[of], pairs.no_match[of], pairs.tolerance)
    return [places[i] for i in sort.gradient(among)]
