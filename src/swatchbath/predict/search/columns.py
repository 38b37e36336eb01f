"""How the columns of a bath hang together: which number belongs to which word."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from ...conditions.columns import Column, column
from ...conditions.vocabulary import meaning

Bath = dict[str, Any]

# The columns that name what was used; others tell how it came.
NAMED = ("fibre", "dyestuff", "tannin", "mordant", "mordant_assist", "assist", "modifier")
# Which word a number belongs to: its range is that of rows with the same word.
_OWNER = {
    "dye_owf": "dyestuff", "mordant_owf": "mordant", "tannin_owf": "tannin",
    "assist_owf": "assist", "mordant_assist_owf": "mordant_assist", "modifier_owf": "modifier",
    "modifier_pH": "modifier", "modifier_minutes": "modifier",
}  # fmt: skip


@lru_cache(maxsize=512)
def base_of(name: str) -> str:
    """A column without its number: dyestuff_2 -> dyestuff."""
    return re.sub(r"_[2-9]$", "", name)


@lru_cache(maxsize=512)
def owner_of(name: str) -> str:
    """The word column that a number belongs to: dye_owf_2 -> dyestuff_2; "" for none."""
    base = base_of(name)
    return name.replace(base, _OWNER[base], 1) if base in _OWNER else ""


@lru_cache(maxsize=512)
def is_word(name: str) -> bool:
    """Whether a column holds words."""
    about: Column | None = column(name)
    return about is not None and about.kind != "number"


def absent(bath: Bath, name: str) -> bool:
    """Whether what a number belongs to is not in the bath."""
    owner = owner_of(name)
    return bool(owner) and meaning(owner, str(bath.get(owner) or "")) == "none"


def there(bath: Bath, owner: str) -> bool:
    """Whether a bath names something in a word column, and not that there was none."""
    return meaning(owner, str(bath.get(owner) or "")) not in ("", "none")


def is_unknown(value: Any) -> bool:
    """Whether a cell of a checked table is empty."""
    return value is None or (isinstance(value, float) and math.isnan(value))


def kind_of(bath: Mapping[str, Any]) -> tuple[str, ...]:
    """What makes two baths different in kind: fibre, dyestuffs, tannin, mordant, after-bath."""
    return tuple(meaning(n, str(bath.get(n) or "none")) for n in _kind_names(tuple(bath)))


@lru_cache(maxsize=512)
def _kind_names(names: tuple[str, ...]) -> tuple[str, ...]:
    more = sorted(n for n in names if re.fullmatch(r"dyestuff(_\d)?|modifier_\d", n))
    return ("fibre", "tannin", "mordant", "modifier", *more)
