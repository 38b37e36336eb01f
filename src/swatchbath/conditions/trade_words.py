"""The materials of the trade: which words name one thing, and what it may be used for.

The words stand in `materials.json`.
"""

from __future__ import annotations

import json
from functools import lru_cache
from importlib.resources import files

# Spellings of two countries.
_SPELT = {"aluminum": "aluminium", "sulfate": "sulphate", "sulfite": "sulphite"}
_SPELT |= {"hydrosulfite": "hydrosulphite", "dyers": "dyer's", "ladies": "lady's"}
# Parts of a plant that do not tell one dyestuff from another.
PARTS_OF_PLANTS = (
    "root", "flower", "blossom", "flowerhead", "petal", "top", "chip", "sawdust", "plant", "stalk",
    "stem", "insect", "wood", "powder", "extract",
)  # fmt: skip


def spelt(word: str) -> str:
    """Lower case, single spaces, straight apostrophes, one spelling.

    >>> spelt("Aluminum_sulfate ")
    'aluminium sulphate'
    """
    words = word.replace("_", " ").replace("’", "'").casefold().split()
    words = [w.rstrip(".") or w for w in words]  # st. john's wort
    return " ".join(_SPELT.get(w, w) for w in words)


@lru_cache(maxsize=1)
def _materials() -> tuple[dict[str, str], dict[str, frozenset[str]]]:
    text = (files("swatchbath.conditions") / "materials.json").read_text(encoding="utf-8")
    held = json.loads(text)["materials"]
    named = {w: name for name, about in held.items() for w in (name, *about["same"])}
    return named, {name: frozenset(about["for"]) for name, about in held.items()}


@lru_cache(maxsize=8192)
def material_of(word: str) -> str | None:
    """The one name of the material that a word or phrase names, or None where it is not known.

    >>> material_of("onion skins"), material_of("madder root"), material_of("berries of the lane")
    ('onion skin', 'madder', None)
    """
    named = _materials()[0]
    plain = spelt(word)
    for phrase in (plain, plain.replace("-", " "), *_singulars(plain)):
        if phrase in named:
            return named[phrase]
        head, _, last = phrase.rpartition(" ")
        if head and last in PARTS_OF_PLANTS and (found := material_of(head)):
            return found
    return None


def _singulars(phrase: str) -> list[str]:
    if phrase.endswith("leaves"):
        return [phrase.removesuffix("ves") + "f"]
    if phrase.endswith("ies"):
        return [phrase.removesuffix("ies") + "y"]
    return [phrase[:-1]] if phrase.endswith("s") else []


def uses_of(word: str) -> frozenset[str]:
    """What a material may be used for (dyestuff, tannin, mordant, assist, modifier, scour, reducer,
    vat-part); empty where it is not known."""
    name = material_of(word)
    return frozenset() if name is None else _materials()[1][name]


@lru_cache(maxsize=1)
def longest_phrase() -> int:
    """How many words the longest known phrase has."""
    return max(len(w.split()) for w in _materials()[0])


@lru_cache(maxsize=16)
def words_for(use: str) -> tuple[str, ...]:
    """Every word, other words too, of the materials with this use."""
    named, uses = _materials()
    return tuple(w for w, name in named.items() if use in uses[name])
