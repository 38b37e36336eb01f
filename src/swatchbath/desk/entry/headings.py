"""The headings of a dyer's own spreadsheet, matched to the columns by the trade's words and units.

The words are common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from ...conditions.columns import COLUMNS, column
from ...conditions.units import TwoWays, parse_with_unit
from ...errors import BadTable

# Columns of a record's table that are no conditions.
OTHERS = ("name", "state", "part", "days", "photo", "swatch", "lot", "session")
_WORDS = {
    "fibre": ("fiber", "material", "yarn", "fabric", "cloth", "base", "substrate"),
    "fibre_form": ("fibre form", "fiber form", "preparation", "finish"),
    "fibre_g": ("weight", "dry weight", "fibre weight", "fiber weight", "weight of fibre", "wof g",
                "weight of fiber", "yarn weight", "grams"),
    "pot_position": ("position", "place in pot", "position in pot"),
    "scour": ("scouring", "scoured with"),
    "dyestuff": ("dye", "plant", "dye plant", "dye stuff", "dyestuff 1", "dye 1", "dye material"),
    "dyestuff_form": ("form", "dye form", "plant form"),
    "dyestuff_lot": ("dye lot of plant", "harvest", "delivery", "plant lot", "dye batch"),
    "dye_owf": ("dye amount", "dye percent", "dye wof", "owf", "wof", "dye strength", "dye",
                "amount of dye", "depth", "dyestuff owf", "dyestuff amount", "plant amount"),
    "tannin_owf": ("tannin amount", "tannin wof", "tannin percent"),
    "mordant_owf": ("mordant amount", "mordant wof", "mordant percent", "alum"),
    "mordant_C": ("mordant temperature", "mordant temp", "mordant heat"),
    "mordant_minutes": ("mordant time", "time in mordant"),
    "assist": ("assistant", "addition", "additive"),
    "assist_owf": ("assistant amount", "addition amount", "additive amount", "addition wof"),
    "pH": ("ph", "dye bath ph", "dyebath ph", "ph of bath", "bath ph"),
    "pH_read": ("ph by", "ph method", "ph how", "ph read by"),
    "temperature_C": ("temperature", "temp", "heat", "dye temperature", "bath temperature",
                      "dye temp", "temperature of bath"),
    "minutes": ("time", "dye time", "duration", "time in dye", "length of bath"),
    "liquor_ratio": ("liquor", "liquor ratio", "lr", "mlr", "water amount", "bath ratio", "volume"),
    "bath_number": ("bath", "bath no", "bath number", "exhaust", "number of bath", "exhaust bath"),
    "stock_days": ("stock age", "age of stock"),
    "vat": ("vat kind", "vat type", "kind of vat"),
    "vat_dips": ("dips", "number of dips"),
    "vat_dip_minutes": ("dip time", "minutes a dip", "time a dip"),
    "vat_days": ("vat age", "age of vat"),
    "modifier": ("after bath", "afterbath", "after-bath", "modifying bath", "after dip"),
    "modifier_owf": ("modifier amount", "after bath amount", "after-bath amount", "modifier wof",
                     "afterbath amount", "modifier percent"),
    "modifier_pH": ("modifier ph", "after bath ph", "after-bath ph", "afterbath ph"),
    "modifier_minutes": ("modifier time", "after bath time", "after-bath time", "afterbath time"),
    "modifier_strip": ("test strip", "strip"),
    "modifier_lot": ("jar",),
    "wash_pH": ("wash ph", "rinse ph", "final ph"),
    "water": ("water source", "water type"),
    "vessel": ("pot", "pan", "pot material", "kettle"),
    "base_L": ("undyed l", "base l"),
    "base_a": ("undyed a", "base a"),
    "base_b": ("undyed b", "base b"),
    "name": ("sample", "sample no", "sample number", "swatch name", "id", "label", "skein", "no",
             "number", "tag"),
    "lot": ("dye lot", "batch", "pot no", "pot number", "lot no", "lot number"),
    "part": ("lot part",),
    "session": ("date", "day", "dye day", "dyed on", "date dyed"),
    "photo": ("picture", "image", "photo file", "file"),
    "state": ("condition", "wet or dry"),
    "days": ("days since dyeing", "age", "days after dyeing"),
    "swatch": ("code", "swatch code"),
}  # fmt: skip
# What a heading may say of its unit, and how a cell then has it.
_UNITS = {
    "f": "F", "°f": "F", "fahrenheit": "F", "c": "C", "°c": "C", "celsius": "C",
    "g": "g", "grams": "g", "gram": "g", "oz": "oz", "ounces": "oz", "lb": "lb", "kg": "kg",
    "h": "h", "hr": "h", "hrs": "h", "hours": "h", "min": "min", "mins": "min", "minutes": "min",
    "days": "days", "%": "%", "% owf": "%", "% wof": "%", "percent": "%", "owf": "%", "wof": "%",
    "l": "L", "litres": "L", "liters": "L", "gal": "gal", "l/kg": "l/kg", "l per kg": "l/kg",
    "gal/lb": "gal/lb", "ml": "ml",
}  # fmt: skip


@dataclass(frozen=True)
class Heading:
    """A heading as it stands, the column it was matched to (its own name where to none), the unit
    its cells are in, and whether it is a column known here."""

    given: str
    column: str
    unit: str = ""
    known: bool = True

    def as_dict(self) -> dict[str, object]:
        """Plain values for JSON."""
        return {"heading": self.given, "column": self.column, "unit": self.unit, "used": self.known}


def match_headings(given: Sequence[str]) -> list[Heading]:
    """Each heading with its column, one heading a column.

    A heading that is a column's own name comes before one that only means it. Raises BadTable
    where two headings mean the same column.
    """
    found = [_match(heading) for heading in given]
    taken: dict[str, Heading] = {}
    for one in found:
        if not one.known:
            continue
        first = taken.setdefault(one.column, one)
        if first is not one:
            raise BadTable(
                f"The headings '{first.given}' and '{one.given}' both mean {one.column}. Rename "
                "one of them, for each column is told once.",
                column=one.column,
            )
    return found


def _match(heading: str) -> Heading:
    own = heading.strip()
    if column(own) is not None or own in OTHERS:
        return Heading(heading, own)
    called, unit = _unit_of(own)
    plain = " ".join(re.sub(r"[_\-./:]+", " ", called).split()).casefold()
    number = re.fullmatch(r"(.*?)\s*([2-9])", plain)
    base, slot = (number[1], f"_{number[2]}") if number else (plain, "")
    for name in _BY_WORD.get(base, ()):
        if (not slot or column(name + slot)) and _fits(name, unit):
            return Heading(heading, name + slot, unit)
    return Heading(heading, heading, "", known=False)


def _unit_of(heading: str) -> tuple[str, str]:
    """A heading without its unit, and the unit: "Temp (F)", "Weight, oz", "Dye % WOF"."""
    m = re.fullmatch(r"(.*?)\s*[\(\[](.+?)[\)\]]\s*", heading)
    if m and m[2].strip().casefold() in _UNITS:
        return m[1], _UNITS[m[2].strip().casefold()]
    for unit in sorted(_UNITS, key=len, reverse=True):
        apart = r"\s*" if unit.startswith("%") else r"(?:\s*,\s*|\s+in\s+|\s+|_)"
        m = re.fullmatch(rf"(.+?){apart}{re.escape(unit)}\s*", heading, re.IGNORECASE)
        if m:
            return m[1], _UNITS[unit]
    return heading, ""


def _fits(name: str, unit: str) -> bool:
    """Whether a column's cells can be in a unit; a plain word column has none."""
    about = column(name)
    kind = "" if about is None or about.kind != "number" else about.unit
    if name == "days":
        kind = "d"
    if not unit:
        # "Dye" alone is the plant, not its amount.
        return True
    if about is not None and about.kind != "number":
        return False
    return parse_with_unit(f"1 {unit}", kind, 100.0) is not None


def with_unit(cell: str, heading: Heading) -> str:
    """A cell with the unit that its heading tells of, where it has none of its own."""
    text = cell.strip()
    if not heading.unit or not re.fullmatch(r"[+-]?[\d.,]+", text):
        return cell
    about = column(heading.column)
    if about is None:
        return cell
    try:
        plain = parse_with_unit(text, about.unit)
        there = parse_with_unit(f"{text} {heading.unit}", about.unit)
    except TwoWays:
        return cell
    # Where the unit is the column's own, the cell stays as it stands.
    if plain is not None and there is not None and plain.value == there.value:
        return cell
    return f"{text} {heading.unit}"


def _by_word() -> dict[str, list[str]]:
    """The columns each word may mean, the likelier first; where a unit does not fit, the next."""
    found: dict[str, list[str]] = {}
    names = [c.name for c in COLUMNS]
    for name in names:
        found.setdefault(name.replace("_", " ").casefold(), []).append(name)
    for name, words in _WORDS.items():
        for word in words:
            found.setdefault(word, []).append(name)
    for name in ("tannin", "mordant", "modifier", "assist"):
        # "Mordant %" is its amount, for the word column takes no unit.
        for word in (name, *_WORDS.get(name, ())):
            found.setdefault(word, []).append(f"{name}_owf")
    return found


_BY_WORD = _by_word()
