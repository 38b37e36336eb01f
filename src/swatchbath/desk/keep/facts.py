"""What is on record about a swatch, fact by fact, as it may be corrected on a screen."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from ...conditions.columns import COLUMNS, column
from ...conditions.spoken import column_words, value_words
from ...library import Library
from ..text.wording import plain

# Facts that are no conditions, with their words, and what may stand there.
_BESIDE = {"name": "name", "session": "dye day", "note": "note", "place": "where it lies"}
# Found out and not told; and those that name another record.
_NO_FACTS = ("lot", "session", "photo", "swatch")


@dataclass(frozen=True)
class Fact:
    """One fact. name : of the column. words : what a dyer calls it. value : as it would be typed,
    "" where it is not known. allowed : what may stand there. words_known : words for it."""

    name: str
    words: str
    value: str
    allowed: str
    words_known: tuple[str, ...] = ()


def facts(library: Library, key: str) -> tuple[list[Fact], list[Fact]]:
    """The facts on record about a swatch (by code or name), and those that could be told besides,
    each in the order of a dyeing. Raises NotFound."""
    swatch = library.swatch(key)
    known = plain(swatch.conditions) | {"name": swatch.name, "session": swatch.session}
    known = {n: v for n, v in known.items() if v not in (None, "")}
    names = [*_BESIDE, *(c.name for c in COLUMNS if c.name not in _NO_FACTS)]
    names += [n for n in known if n not in names]  # a second dyestuff, columns of her own
    told = [_fact(n, known[n], swatch.typed.get(n)) for n in names if n in known]
    return told, [_fact(n, None, None) for n in names if n not in known]


def _fact(name: str, value: Any, typed: str | None) -> Fact:
    about = column(name)
    if typed is None:
        typed = "" if value is None else f"{value:g}" if isinstance(value, float) else str(value)
    if about is not None and about.kind == "number" and typed and value is not None:
        shown = value_words(name, value)
        typed = typed if typed != f"{value:g}" else shown
    allowed = "" if about is None or about.kind != "number" else about.allowed
    allowed = allowed.replace("% owf", "% on the weight of fibre").replace(
        "L per kg", "litres a kg"
    )
    return Fact(
        name,
        _BESIDE.get(name) or column_words(name),
        typed,
        allowed,
        () if about is None else about.words,
    )
