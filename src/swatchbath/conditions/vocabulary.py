"""The words a condition column knows, which of them mean the same, and which a slip resembles.

Words stay in the table as they were typed; `meaning` says what they stand for, so that "Alum",
"alum " and "potash alum" are one mordant.
"""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches
from functools import lru_cache

from .trade_words import material_of, words_for

PROTEIN = ("wool", "silk", "alpaca", "mohair", "cashmere", "angora", "llama", "camel", "yak")
CELLULOSE = ("cotton", "linen", "hemp", "ramie", "nettle", "jute", "viscose")
FIBRES = PROTEIN + CELLULOSE

# The known words of each open column. Others are accepted as a kind of their own. Common
# practice, no source.
WORDS: dict[str, tuple[str, ...]] = {
    "fibre": FIBRES,
    "fibre_form": (
        "untreated",
        "superwash",
        "raw",
        "degummed",
        "scoured",
        "bleached",
        "mercerised",
        "yarn",
        "cloth",
        "fleece",
        "felt",
        "blend",
    ),
    "dyestuff": (
        "none",
        "madder",
        "weld",
        "woad",
        "indigo",
        "cochineal",
        "lac",
        "kermes",
        "logwood",
        "brazilwood",
        "sappanwood",
        "walnut hull",
        "walnut leaf",
        "onion skin",
        "alkanet",
        "tansy",
        "goldenrod",
        "dyer's chamomile",
        "dyer's broom",
        "marigold",
        "coreopsis",
        "cutch",
        "myrobalan",
        "pomegranate",
        "gallnut",
        "sumac",
        "birch leaf",
        "birch bark",
        "alder bark",
        "oak bark",
        "lady's bedstraw",
        "safflower",
        "saffron",
        "turmeric",
        "avocado",
        "black tea",
        "fustic",
        "osage orange",
        "chestnut",
        "eucalyptus",
        "nettle leaf",
        "heather",
        "buckthorn bark",
        "red cabbage",
        "elderberry",
        "blackberry",
        "lichen",
    ),
    "dyestuff_form": ("dried", "fresh", "powder", "extract", "liquor"),
    "dye_2_how": ("together", "over"),
    "tannin": (
        "none",
        "gallnut",
        "sumac",
        "tara",
        "myrobalan",
        "pomegranate",
        "cutch",
        "quebracho",
        "chestnut",
        "oak bark",
        "tea",
    ),
    "mordant": (
        "none",
        "alum",
        "aluminium acetate",
        "aluminium lactate",
        "aluminium sulphate",
        "iron",
        "copper",
        "tin",
        "chrome",
        "symplocos",
        "clubmoss",
        "rhubarb leaf",
        "soya milk",
        "tannin alum",
    ),
    "assist": (
        "none",
        "cream of tartar",
        "chalk",
        "soda",
        "vinegar",
        "citric acid",
        "salt",
        "oxalic acid",
        "bran",
    ),
    "modifier": (
        "none",
        "iron",
        "iron liquor",
        "ash lye",
        "lye",
        "soda",
        "chalk",
        "ammonia",
        "vinegar",
        "citric acid",
        "acid",
        "copper",
        "tannin",
    ),
    "scour": ("none", "soap", "soda", "soda and soap", "detergent"),
    "pot_position": ("top", "middle", "bottom", "edge"),
    "pH_read": ("strip", "meter"),
    "vat": (
        "none",
        "fructose",
        "fermentation",
        "iron",
        "henna",
        "madder and bran",
        "urine",
        "hydrosulphite",
        "thiourea dioxide",
        "zinc",
    ),
    "water": ("soft", "hard", "rain", "tap", "well", "distilled"),
    "vessel": (
        "steel",
        "enamel",
        "glass",
        "plastic",
        "iron",
        "copper",
        "aluminium",
        "galvanised",
        "brass",
        "ceramic",
    ),  # fmt: skip
}

# Other words for the same thing, by column; common practice, no source.
_SAME: dict[str, dict[str, str]] = {
    "fibre": {
        "flax": "linen",
        "merino": "wool",
        "sheep": "wool",
        "tussah": "silk",
        "mulberry silk": "silk",
        "rayon": "viscose",
        "lyocell": "viscose",
        "modal": "viscose",
        "bamboo": "viscose",
    },
    "mordant": {
        "no mordant": "none",
        "unmordanted": "none",
    },
    "modifier": {
        "washing soda": "soda",
        "soda ash": "soda",
    },
    "assist": {"washing soda": "soda", "soda ash": "soda"},
    "mordant_assist": {"washing soda": "soda", "soda ash": "soda"},
    "dye_2_how": {"overdyed": "over", "after": "over", "same bath": "together"},
    "pH_read": {"strips": "strip", "paper": "strip", "litmus": "strip", "ph meter": "meter"},
    "vat": {
        "organic": "fructose",
        "wheat bran": "fermentation",
    },
    "vessel": {"stainless steel": "steel", "stainless": "steel", "aluminum": "aluminium"},
}


# Columns that name a material, and the use it has there.
_USE = {
    "dyestuff": "dyestuff", "tannin": "tannin", "mordant": "mordant", "assist": "assist",
    "mordant_assist": "assist", "modifier": "modifier", "scour": "scour", "vat": "reducer",
}  # fmt: skip


@lru_cache(maxsize=8192)
def meaning(column: str, word: str) -> str:
    """What a word in a column stands for: lower case, plain spaces, one word for one thing.

    >>> meaning("modifier", "Wood_ash ")
    'ash lye'
    """
    base = column.removesuffix("_how") if column != "dye_2_how" else column
    base = base.rstrip("0123456789").rstrip("_") if base != "dye_2_how" else base
    plain = " ".join(word.replace("_", " ").split()).casefold()
    plain = _SAME.get(base, {}).get(plain, plain)
    if base in _USE:
        named = material_of(plain) or plain
        return _SAME.get(base, {}).get(named, named)
    return plain


def resembles(column: str, word: str, others: Iterable[str] = ()) -> str | None:
    """The known word that `word` looks like a slip of, or None if it is known or like none."""
    known = {w.casefold() for w in WORDS.get(column, ())} | {o.casefold() for o in others}
    known |= {*_SAME.get(column, {}), *(words_for(_USE[column]) if column in _USE else ())}
    plain = meaning(column, word)
    if plain in known:
        return None
    near = get_close_matches(plain, sorted(known), n=1, cutoff=0.8)
    return near[0] if near else None
