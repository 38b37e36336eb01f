"""The trade's words for a column, as headings of a dyer's own table have them, and their units.

The words are common practice, no source.
"""

from __future__ import annotations

import re
from functools import lru_cache

from ...conditions.columns import COLUMNS, column
from ...conditions.trade_words import material_of, uses_of
from ...conditions.vocabulary import FIBRES, meaning

# Columns of a record's table that are no conditions.
OTHERS = ("name", "state", "part", "days", "photo", "swatch", "lot", "session")
# A column of numbers that the swatches are called by, and one of whole lines of a diary.
NUMBER, LINES = "number", "steps"
WORDS_OF = {
    "fibre": ("fiber", "material", "yarn", "fabric", "cloth", "base", "substrate", "wool type",
              "fibre type", "fiber type", "yarn type", "yarn base", "textile", "goods"),
    "fibre_form": ("fibre form", "fiber form", "preparation", "finish", "fibre preparation"),
    "fibre_g": ("weight", "dry weight", "fibre weight", "fiber weight", "weight of fibre", "wof g",
                "weight of fiber", "yarn weight", "grams", "fibre dry weight", "skein weight",
                "fibre amount", "fiber amount", "weight of goods", "wt", "dry wt", "fibre wof"),
    "pot_g": ("pot weight", "total weight", "weight in pot", "all fibre", "fibre in pot",
              "total fibre", "total fiber"),
    "pot_position": ("position", "place in pot", "position in pot"),
    "scour": ("scouring", "scoured with"),
    "dyestuff": ("dye", "plant", "dye plant", "dye stuff", "dyestuff 1", "dye 1", "dye material",
                 "plant material", "natural dye", "dye used", "dye bath", "dyebath", "dyed with",
                 "colourant", "colorant", "extract"),
    "dyestuff_form": ("form", "dye form", "plant form", "fresh dried", "dried fresh",
                      "fresh or dried", "dried or fresh"),
    "dyestuff_lot": ("dye lot of plant", "harvest", "delivery", "plant lot", "dye batch",
                     "dyestuff lot", "dyestuff batch"),
    "dye_owf": ("dye amount", "dye percent", "dye wof", "owf", "wof", "dye strength", "dye",
                "amount of dye", "depth", "dyestuff owf", "dyestuff amount", "plant amount",
                "plant wof", "amount", "strength", "depth of shade", "plant", "dyestuff",
                "dyestuff 1", "dye 1",
                "dyestuff wof", "dyestuff strength", "dye stuff", "plant weight", "dye weight",
                "dyestuff weight", "dye bath", "dyebath", "dye stuff wof", "quantity"),
    "tannin_owf": ("tannin amount", "tannin wof", "tannin percent", "tannin weight"),
    "mordant_owf": ("mordant amount", "mordant wof", "mordant percent", "mordant weight",
                    "mordant strength", "mordant owf"),
    "mordant_C": ("mordant temperature", "mordant temp", "mordant heat", "mordanting temp",
                  "mordanting temperature"),
    "mordant_minutes": ("mordant time", "time in mordant", "mordanting time", "mordant duration"),
    "mordant_assist": ("mordant assistant", "mordant addition", "mordant additive"),
    "mordant_assist_owf": ("mordant assistant amount", "mordant addition amount"),
    "assist": ("assistant", "addition", "additive", "added to the bath", "dye assistant"),
    "assist_owf": ("assistant amount", "addition amount", "additive amount", "addition wof",
                   "assistant wof", "assistant percent"),
    "pH": ("ph", "dye bath ph", "dyebath ph", "ph of bath", "bath ph", "dye ph", "start ph",
           "ph start", "ph at start", "starting ph"),
    "pH_end": ("end ph", "ph end", "ph at end", "ph after", "ending ph", "dye bath end ph"),
    "pH_read": ("ph by", "ph method", "ph how", "ph read by"),
    "temperature_C": ("temperature", "temp", "heat", "dye temperature", "bath temperature",
                      "dye temp", "temperature of bath", "dye bath temp", "dyebath temp",
                      "dye bath temperature", "dyebath temperature", "bath temp", "dyeing temp",
                      "dye heat", "max temp", "dye bath", "dyebath"),
    "minutes": ("time", "dye time", "duration", "how long", "time in dye", "length of bath",
                "dye bath time", "dyebath time", "time in bath", "bath time", "dyeing time",
                "dye duration",
                "dye bath", "dyebath"),
    "liquor_ratio": ("liquor", "liquor ratio", "lr", "mlr", "water amount", "bath ratio", "volume",
                     "water volume"),
    "bath_number": ("bath", "bath no", "bath number", "exhaust", "number of bath", "exhaust bath",
                    "exhaust no", "exhaust number"),
    "bath_of": ("exhaust of", "exhaust from", "second bath of", "bath of", "from pot", "liquor of"),
    "stock_days": ("stock age", "age of stock"),
    "vat": ("vat kind", "vat type", "kind of vat"),
    "vat_dips": ("dips", "number of dips", "no of dips"),
    "vat_dip_minutes": ("dip time", "minutes a dip", "time a dip"),
    "vat_days": ("vat age", "age of vat"),
    "modifier": ("after", "after bath", "afterbath", "after-bath", "modifying bath", "after dip",
                 "dip after", "modified with", "post mordant", "saddened with", "afterdip",
                 "after treatment"),
    "modifier_owf": ("modifier amount", "after bath amount", "after-bath amount", "modifier wof",
                     "afterbath amount", "modifier percent", "after bath wof", "after dip amount",
                     "after dip wof"),
    "modifier_pH": ("modifier ph", "after bath ph", "after-bath ph", "afterbath ph"),
    "modifier_minutes": ("modifier time", "after bath time", "after-bath time", "afterbath time",
                         "after dip time"),
    "modifier_strip": ("test strip", "strip"),
    "modifier_lot": ("jar",),
    "wash_pH": ("wash ph", "rinse ph", "final ph"),
    "water": ("water source", "water type", "water used"),
    "vessel": ("pot", "pan", "pot material", "kettle", "pot type", "pot used"),
    "base_L": ("undyed l", "base l"),
    "base_a": ("undyed a", "base a"),
    "base_b": ("undyed b", "base b"),
    "name": ("sample", "swatch name", "label", "skein", "sample name", "colourway", "colorway",
             "tag", "swatch"),
    NUMBER: ("sample id", "swatch id", "sample code", "ref", "sample no", "sample number", "id",
             "no", "number", "nr", "swatch no", "swatch number", "skein no", "skein number",
             "tag no", "tag number", "entry"),
    "lot": ("dye lot", "batch", "pot no", "pot number", "lot no", "lot number", "batch no",
            "batch number"),
    "part": ("lot part",),
    "session": ("date", "day", "dye day", "dyed on", "date dyed", "dye date", "made on"),
    "photo": ("picture", "image", "photo file", "file"),
    "state": ("condition", "wet or dry"),
    "days": ("days since dyeing", "age", "days after dyeing"),
    "swatch": ("code", "swatch code"),
    LINES: ("treatment", "treatments", "process", "recipe", "what i did", "method", "baths",
            "diary", "steps of the bath"),
    "note": ("notes", "remark", "remarks", "comment", "comments", "observations"),
    "place": ("swatch kept", "place kept", "kept in", "where kept", "where", "location", "storage",
              "stored in"),
    "price": ("cost", "paid", "£", "$", "€"),
    "season": ("time of year", "picked in"),
    "provenance": ("source", "origin", "gathered at", "grown at", "from", "supplier"),
    "fastness": ("light fastness", "lightfastness", "lightfast", "light fast", "wash fastness",
                 "washfastness", "fastness notes", "fading"),
}  # fmt: skip
# What a heading may say of its unit, and how a cell then has it.
UNITS = {
    "f": "F", "°f": "F", "fahrenheit": "F", "deg f": "F", "c": "C", "°c": "C", "celsius": "C",
    "deg c": "C",
    "g": "g", "gr": "g", "gm": "g", "grams": "g", "gram": "g", "oz": "oz", "ounces": "oz",
    "lb": "lb", "lbs": "lb", "kg": "kg",
    "h": "h", "hr": "h", "hrs": "h", "hour": "h", "hours": "h", "min": "min", "mins": "min",
    "minutes": "min",
    "days": "days", "%": "%", "% owf": "%", "% wof": "%", "percent": "%", "owf": "%", "wof": "%",
    "%owf": "%", "%wof": "%",
    "l": "L", "litres": "L", "liters": "L", "gal": "gal", "l/kg": "l/kg", "l per kg": "l/kg",
    "gal/lb": "gal/lb", "ml": "ml",
}  # fmt: skip
# Headings that say nothing without the one before them: amounts, and what may stand under each
# bath.
AMOUNTS = ("", "amount", "wof", "owf", "strength", "quantity", "percent")
OF_A_BATH = ("temp", "temperature", "heat", "time", "duration", "ph")
# Names under a group that say only that it is the thing itself.
ITSELF = ("kind", "type", "name", "what", "which", "material", "used", "with")
# What a heading is called in words with which a bare one behind it is read again.
_FAMILY = {
    "fibre": "fibre", "dyestuff": "dye", "mordant": "mordant", "tannin": "tannin",
    "assist": "assistant", "mordant_assist": "mordant assistant", "modifier": "after bath",
}  # fmt: skip
# Short names of materials, as they stand in tables.
SHORT = {
    "cot": "cream of tartar", "c o t": "cream of tartar", "tartar": "cream of tartar",
    "fe": "iron", "feso4": "iron", "ferrous": "iron", "aa": "aluminium acetate",
    "alum acetate": "aluminium acetate", "al acetate": "aluminium acetate",
    "kal": "alum",
}  # fmt: skip
# In which column a material is looked for, the likeliest first; and of those with several uses the
# ones whose own column mostly tells of another than the first.
_ROLES = ("mordant", "assist", "modifier", "dyestuff", "tannin")
_MOSTLY = {
    "iron": "modifier", "copper": "modifier", "gallnut": "tannin", "sumac": "tannin",
    "tara": "tannin", "myrobalan": "tannin", "quebracho": "tannin",
}  # fmt: skip
_LATER = ("pot_g", "pH_end", "bath_of", "mordant_assist", "mordant_assist_owf")


def plain_heading(heading: str) -> str:
    """A heading in small letters without its marks: "Sample #" is "sample no"."""
    text = re.sub(r"#|№", " no ", heading)
    return " ".join(re.sub(r"[_\-./:?()\[\]]+", " ", text).split()).casefold()


def unit_of(heading: str) -> tuple[str, str]:
    """A heading without its unit, and the unit: "Temp (F)", "Weight, oz", "Dye % WOF", "%"."""
    bare = heading.strip().strip("()[]").strip().casefold()
    if bare in UNITS and bare not in ("owf", "wof", "grams"):
        return "", UNITS[bare]
    m = re.fullmatch(r"(.*?)\s*[\(\[](.+?)[\)\]]\s*", heading)
    if m and m[2].strip().casefold() in UNITS:
        return m[1], UNITS[m[2].strip().casefold()]
    if heading.startswith("%") and plain_heading(heading[1:]) not in ("", "owf", "wof"):
        return heading[1:].strip(), "%"
    for unit in sorted(UNITS, key=len, reverse=True):
        apart = r"\s*" if unit.startswith(("%", "°")) else r"(?:\s*,\s*|\s+in\s+|\s+|_)"
        m = re.fullmatch(rf"(.+?){apart}{re.escape(unit)}\s*", heading, re.IGNORECASE)
        if m:
            return m[1], UNITS[unit]
    return heading, ""


def family_of(name: str) -> str | None:
    """What a bare heading behind a column of this name is read with, or None."""
    base = re.sub(r"_[2-9]$", "", name)
    return _FAMILY.get(base)


# Words of a heading of several: whose it is, what of it, and what says nothing. A heading made of
# these alone means what its two words do: "Fiber Wt", "Dye Bath Temp", "Mordant used".
_WHOSE = {
    "fibre": (
        "fibre",
        "fiber",
        "yarn",
        "fabric",
        "cloth",
        "goods",
        "skein",
        "fibres",
        "fibers",
        "base",
    ),
    "mordant": ("mordant", "premordant", "mordanting", "mordants", "mordanted"),
    "dye": ("dye", "dyestuff", "plant", "dyebath", "dyepot", "dyeing", "dyes", "dyeplant"),
    "tannin": ("tannin", "tannins"),
    "after bath": ("modifier", "afterbath", "afterdip", "modifiers"),
    "assistant": ("assistant", "assist", "additive"),
}
_WHAT = {
    "weight": ("weight", "wt", "mass"),
    "amount": ("amount", "wof", "owf", "percent", "percentage", "strength", "quantity", "qty",
               "amt", "conc", "concentration"),
    "temp": ("temp", "temperature", "heat", "t°"),
    "time": ("time", "duration", "hold", "held", "length"),
    "ph": ("ph",),
}  # fmt: skip
_FILLING = (
    "type", "used", "kind", "name", "the", "of", "in", "for", "bath", "pot", "max", "maximum", "at",
    "to", "dry", "total", "avg", "average", "approx",
)  # fmt: skip
_WHOSE_OF = {word: whose for whose, words in _WHOSE.items() for word in words}
_WHAT_OF = {word: what for what, words in _WHAT.items() for word in words}


def in_two_words(plain: str) -> str | None:
    """A heading of several words in the two that count, or None where one of them is not known.

    "" where no word says anything.

    >>> in_two_words("max dye bath temp")
    'dye temp'
    """
    words = [w for w in re.sub(r"\bafter (bath|dip)\b", r"after\1", plain).split()
             if w not in _FILLING]  # fmt: skip
    whose = {_WHOSE_OF[w] for w in words if w in _WHOSE_OF}
    what = {_WHAT_OF[w] for w in words if w in _WHAT_OF}
    if len(whose) > 1 or len(what) > 1:
        return None
    if any(w not in _WHOSE_OF and w not in _WHAT_OF for w in words):
        return None
    return " ".join((*whose, *what))


# Headings of a dyestuff that went over the first.
OVER = ("overdye", "over dye", "overdyed", "overdyed with", "overdye with", "overdye plant")
# What a heading that is a unit alone means.
ALONE = {
    "C": "temperature_C", "F": "temperature_C", "min": "minutes", "h": "minutes",
    "%": "dye_owf", "g": "fibre_g", "oz": "fibre_g", "lb": "fibre_g", "kg": "fibre_g",
    "L": "liquor_ratio", "l/kg": "liquor_ratio",
}  # fmt: skip


@lru_cache(maxsize=1024)
def headed_by(plain: str) -> tuple[str, str] | None:
    """The column and word of a material that a heading is named for: Alum, Iron, Madder."""
    if meaning("fibre", plain) in FIBRES:
        return "fibre", meaning("fibre", plain)
    word = material_of(SHORT.get(plain, plain))
    if word is None:
        return None
    uses = uses_of(word)
    role = _MOSTLY.get(word) or next((r for r in _ROLES if r in uses), None)
    if role is None:
        return None
    if word == "cream of tartar" and column("mordant_assist"):
        role = "mordant_assist"
    return role, word


@lru_cache(maxsize=1)
def columns_by_word() -> dict[str, list[str]]:
    """The columns each word may mean, the likelier first; where a unit does not fit, the next."""
    found: dict[str, list[str]] = {}
    for about in COLUMNS:
        found.setdefault(about.name.replace("_", " ").casefold(), []).append(about.name)
    for name, words in WORDS_OF.items():
        if name in _LATER and column(name) is None:
            continue
        for word in (name.replace("_", " ").casefold(), *words):
            columns = found.setdefault(" ".join(word.replace("-", " ").split()), [])
            if name not in columns:
                columns.append(name)
    for name in ("tannin", "mordant", "modifier", "assist", "mordant_assist"):
        # "Mordant %" is its amount, for the word column takes no unit; "Mordant °C" its heat.
        for word in (name.replace("_", " "), *WORDS_OF.get(name, ())):
            more = [f"{name}_{of}" for of in ("owf", "C", "minutes")]
            plain = " ".join(word.replace("-", " ").split())
            found.setdefault(plain, []).extend(n for n in more if column(n))
    for word in ("fibre", *WORDS_OF["fibre"]):
        found[word].append("fibre_g")
    found["water"].append("liquor_ratio")
    return found
