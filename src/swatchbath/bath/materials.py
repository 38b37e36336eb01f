"""Which materials a word of a bath names, and which kind of fibre a fibre is.

The words stand in `cautions.json`. The longest phrase is taken first and used up, so that "potash
alum" is alum and no potash, and "ash lye" is not strong lye.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterable, Mapping
from functools import lru_cache
from importlib.resources import files
from typing import Any


@lru_cache(maxsize=1)
def words_of() -> dict[str, Any]:
    """Everything in `cautions.json`."""
    text = (files("swatchbath.bath") / "cautions.json").read_text(encoding="utf-8")
    return dict(json.loads(text))


def plain(word: Any) -> str:
    """Lower case, single spaces, no underscores."""
    return _plain(word if isinstance(word, str) else str(word))


@lru_cache(maxsize=8192)
def _plain(text: str) -> str:
    return " ".join(text.replace("_", " ").split()).casefold()


def given(word: Any) -> bool:
    """Whether a cell says that something is there."""
    if isinstance(word, str):
        return _plain(word) not in ("", "none")
    if word is None or (isinstance(word, float) and math.isnan(word)):
        return False
    return plain(word) not in ("", "none")


@lru_cache(maxsize=1)
def _phrases() -> list[tuple[re.Pattern[str], str, frozenset[str]]]:
    """Every phrase, longest first, with the materials it names."""
    found: dict[str, set[str]] = {}
    for material, phrases in words_of()["materials"].items():
        for phrase in phrases:
            found.setdefault(phrase, set()).add(material)
    return [
        (re.compile(rf"(?<!\w){re.escape(p)}(?!\w)"), p, frozenset(found[p]))
        for p in sorted(found, key=lambda p: (-len(p), p))
    ]


@lru_cache(maxsize=4096)
def _named(word: str) -> tuple[frozenset[str], str, bool]:
    """Materials in a plain word, what is left of it, and whether a generic word was used."""
    found: set[str] = set()
    generic = False
    for pattern, phrase, materials in _phrases():
        word, n = pattern.subn(" ", word)
        if n:
            found |= materials
            generic |= phrase in words_of()["generic"]
    return frozenset(found), word.strip(), generic


def materials_in(words: Iterable[Any]) -> frozenset[str]:
    """Every material that some words of a table name."""
    found: set[str] = set()
    for word in words:
        if given(word):
            found |= _named(plain(word))[0]
    return frozenset(found)


def is_a(word: Any, material: str) -> bool:
    """Whether a word of a table names a material ("iron", "lye", "acid" ...)."""
    return (
        _is_a(word, material)
        if isinstance(word, str)
        else given(word) and _is_a(str(word), material)
    )


# Thousands of baths with the same few words are looked at for one suggestion.
@lru_cache(maxsize=8192)
def _is_a(word: str, material: str) -> bool:
    return given(word) and material in _named(_plain(word))[0]


def may_be_suggested(word: Any) -> bool:
    """Whether a mordant, tannin, addition or after-bath is on the list of what may be suggested.

    A word that says only "acid" or "salt" passes by itself; with another word beside it, it may
    be anything.
    """
    if not given(word):
        return True
    found, left, generic = _named(plain(word))
    return bool(found) and found <= set(words_of()["may_be_suggested"]) and not (generic and left)


def family(fibre: Any) -> str:
    """ "protein", "cellulose" or "" for a fibre's name."""
    return _family(plain(fibre))


@lru_cache(maxsize=1024)
def _family(fibre: str) -> str:
    same = {"flax": "linen", "merino": "wool", "rayon": "viscose", "tussah": "silk"}
    fibre = same.get(fibre, fibre)
    for name, fibres in words_of()["families"].items():
        if any(re.search(rf"(?<!\w){f}(?!\w)", fibre) for f in fibres):
            return str(name)
    return ""


def is_silk(fibre: Any) -> bool:
    """Whether a fibre is silk."""
    return "silk" in plain(fibre) or plain(fibre) == "tussah"


def number(conditions: Mapping[str, Any], name: str) -> float:
    """A number of the bath; NaN where it is not given, 0 where it is "none"."""
    value = conditions.get(name)
    if type(value) is float:
        return value  # NaN stays so
    if not given(value):
        return 0.0 if value is not None and plain(value) == "none" else math.nan
    try:
        return float(value)  # type: ignore[arg-type]
    except (TypeError, ValueError):
        return math.nan  # unreadable cells are refused where a table is read, not here


def slots(conditions: Mapping[str, Any], base: str) -> list[str]:
    """The endings of a repeated column that a bath has: "", "_2" ..."""
    return ["", *(ending for name, ending in _endings(base) if name in conditions)]


@lru_cache(maxsize=64)
def _endings(base: str) -> tuple[tuple[str, str], ...]:
    return tuple((f"{base}_{k}", f"_{k}") for k in range(2, 10))


def after_baths(conditions: Mapping[str, Any]) -> list[tuple[str, Any]]:
    """The after-baths, each as its ending ("" is the last one) and its word."""
    found = [(s, conditions.get(f"modifier{s}")) for s in slots(conditions, "modifier")]
    return [(s, word) for s, word in found if given(word)]


def vats(conditions: Mapping[str, Any]) -> list[Any]:
    """The kinds of the vats a bath was dipped in, where they are told."""
    return [v for s in slots(conditions, "vat") if given(v := conditions.get(f"vat{s}"))]


def in_a_vat(conditions: Mapping[str, Any]) -> bool:
    """Whether anything of it was dipped in a vat."""
    names = ("vat", "vat_dips", "vat_dip_minutes", "vat_days")
    return any(given(conditions.get(n + s)) for n in names for s in slots(conditions, n))


def dyestuffs(conditions: Mapping[str, Any]) -> list[Any]:
    """The dyestuffs of a bath."""
    return [d for s in slots(conditions, "dyestuff") if given(d := conditions.get(f"dyestuff{s}"))]
