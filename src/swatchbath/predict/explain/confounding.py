"""What the record cannot tell apart: conditions that always came together."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from ...conditions.columns import column
from ...conditions.vocabulary import meaning
from ..features.labels import label_of
from ..regression.fit import Fit
from ..search.columns import base_of, is_unknown, owner_of

# Swatches and lots a statement needs; rank correlation from which two numbers go together.
_LEAST_PIECES, _LEAST_LOTS, _ALONG = 3, 2, 0.9
_GROUPED = ("dyestuff_lot", "fibre_g", "pot_g")


@dataclass(frozen=True)
class ConfoundedGroup:
    """Two conditions that came together: a sentence, the columns, and how many swatches.

    both_ways : neither was ever without the other, so that nothing at all can tell them apart.
    """

    sentence: str
    columns: tuple[str, str]
    swatches: int
    both_ways: bool

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "sentence": self.sentence,
            "columns": list(self.columns),
            "swatches": self.swatches,
            "both_ways": self.both_ways,
        }


def confounded_groups(fit: Fit, most: int = 12) -> list[ConfoundedGroup]:
    """Conditions that cannot be told apart on record, those that weigh most first."""
    groups = fit.groups
    first = np.unique(groups.pot, return_index=True)[1]  # one row a swatch and pot
    table = fit.table.iloc[first].reset_index(drop=True)
    lots = groups.lot[first]
    found = [*_words(table, lots), *_numbers(table, lots)]
    found.sort(key=lambda t: (not t.both_ways, -t.swatches, t.sentence))
    return found[:most]


def _cells(table: pd.DataFrame) -> dict[str, list[Any]]:
    """Condition columns that vary, words as what they mean, None unknown."""
    out: dict[str, list[Any]] = {}
    for name in map(str, table.columns):
        about = column(name)
        if about is None or about.kind in ("group", "text") or name in _GROUPED:
            continue
        cells = [
            None if is_unknown(v) else meaning(name, v) if isinstance(v, str) else float(v)
            for v in table[name]
        ]
        if len({v for v in cells if v is not None}) > 1:
            out[name] = cells
    return out


def _words(table: pd.DataFrame, lots: np.ndarray) -> list[ConfoundedGroup]:
    cells = _cells(table)
    words = [n for n, v in cells.items() if any(isinstance(c, str) for c in v)]
    out: list[ConfoundedGroup] = []
    seen_pairs: set[frozenset[tuple[str, Any]]] = set()
    for name in words:
        for level in sorted({c for c in cells[name] if c is not None}):
            mine = np.array([c == level for c in cells[name]])
            if mine.sum() < _LEAST_PIECES or len(np.unique(lots[mine])) < _LEAST_LOTS:
                continue
            for other, values in cells.items():
                if other == name or _belongs(other, name) or _belongs(name, other):
                    continue
                seen = [v for v, m in zip(values, mine, strict=True) if m]
                known = [v for v in seen if v is not None]
                if len(set(known)) != 1 or len(known) < max(_LEAST_PIECES, 0.8 * len(seen)):
                    continue
                value = known[0]
                elsewhere = [
                    v for v, m in zip(values, mine, strict=True) if not m and v is not None
                ]
                if not elsewhere or value == "none" or level == "none":
                    continue
                both = value not in elsewhere
                usual = elsewhere.count(value) > 0.5 * len(elsewhere)
                key = frozenset({(name, level), (other, value)})
                if usual or key in seen_pairs:
                    continue  # nearly every swatch has it: no wonder that these have
                seen_pairs.add(key)
                out.append(
                    ConfoundedGroup(
                        _sentence(name, level, other, value, int(mine.sum()), both),
                        (name, other),
                        int(mine.sum()),
                        both,
                    )
                )
    return out


def _belongs(part: str, whole: str) -> bool:
    """Whether a column tells of the thing that another names, as mordant_owf does of mordant."""
    return owner_of(part) == whole or base_of(part).startswith(f"{base_of(whole)}_")


def _sentence(name: str, level: str, other: str, value: Any, n: int, both: bool) -> str:
    subject = {
        "fibre": f"{level} swatch",
        "dyestuff": f"{level} swatch",
        "mordant": f"swatch mordanted with {level}",
        "tannin": f"swatch with {level} as its tannin",
        "assist": f"swatch with {level} in the bath",
        "mordant_assist": f"swatch with {level} in the mordant bath",
        "modifier": f"swatch with an after-bath of {level}",
        "water": f"swatch dyed in {level} water",
        "vessel": f"swatch dyed in {level}",
        "dyestuff_form": f"swatch of {level} dyestuff",
        "fibre_form": f"swatch on {level} fibre",
    }.get(name, f"swatch with {name.replace('_', ' ')} {level}")
    label, unit = label_of(other)
    if isinstance(value, str):
        what = {
            "fibre": f"on {value}",
            "dyestuff": f"dyed with {value}",
            "mordant": f"mordanted with {value}",
            "modifier": f"given an after-bath of {value}",
            "fibre_form": f"on {value} fibre",
            "water": f"dyed in {value} water",
            "vessel": f"dyed in {value}",
            "dyestuff_form": f"of {value} dyestuff",
        }.get(other, f"with {label} {value}")
    else:
        what = f"at {label} {value:g}{unit}"
    tail = "and no other was, so nothing can tell the two apart"
    if not both:
        tail = f"so what another {label} would do there cannot be told"
    return f"Every {subject} ({n}) was also {what}, {tail}."


def _numbers(table: pd.DataFrame, lots: np.ndarray) -> list[ConfoundedGroup]:
    """Pairs of numbers of which one rises, or falls, with the other."""
    cells = _cells(table)
    numbers = [n for n, v in cells.items() if not any(isinstance(c, str) for c in v)]
    out = []
    for i, a in enumerate(numbers):
        for b in numbers[i + 1 :]:
            x = np.array([np.nan if v is None else v for v in cells[a]])
            y = np.array([np.nan if v is None else v for v in cells[b]])
            both = ~np.isnan(x) & ~np.isnan(y)
            if len(np.unique(lots[both])) < 8 or np.ptp(x[both]) == 0 or np.ptp(y[both]) == 0:
                continue
            along = float(pd.Series(x[both]).corr(pd.Series(y[both]), method="spearman"))
            if abs(along) < _ALONG:
                continue
            (one, _), (two, _) = label_of(a), label_of(b)
            way = "more" if along > 0 else "less"
            out.append(
                ConfoundedGroup(
                    f"Swatches with more {one} nearly always had {way} {two} too, so their "
                    "effects are hard to tell apart.",
                    (a, b),
                    int(both.sum()),
                    False,
                )
            )
    return out
