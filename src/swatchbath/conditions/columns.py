"""The condition columns: the one place that names them and says what they mean.

Only `fibre` and `dyestuff` must be given. An empty cell is unknown; the word `none` says that
there was none of it (for amounts, 0). Columns that are not listed here are kept, not used, and
said. `lot`, `session`, `photo` and `swatch` group rows and are never factors.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, Literal

import numpy as np

from .vocabulary import WORDS

Kind = Literal["number", "category", "group", "text"]


@dataclass(frozen=True)
class Scale:
    """How far apart two values are to a dyer: 0 at `lo`, 1 at `hi`, even in x or in log(x)."""

    lo: float
    hi: float
    log: bool = False
    origin: float = 0.0  # added before the logarithm, so that "none" has a place

    def to_unit(self, x: Any) -> Any:
        """x in the column's unit -> 0 at lo, 1 at hi; outside is allowed."""
        if not self.log:
            return (np.asarray(x, float) - self.lo) / (self.hi - self.lo)
        base = np.log(self.lo + self.origin)
        return (np.log(np.asarray(x, float) + self.origin) - base) / (
            np.log(self.hi + self.origin) - base
        )

    def from_unit(self, u: Any) -> Any:
        """The inverse of `to_unit`."""
        if not self.log:
            return self.lo + np.asarray(u, float) * (self.hi - self.lo)
        a, b = np.log(self.lo + self.origin), np.log(self.hi + self.origin)
        return np.exp(a + np.asarray(u, float) * (b - a)) - self.origin


@dataclass(frozen=True)
class Column:
    """One condition column.

    recorded : what may be recorded (low, high), both included unless `above` is set, in which
    case the low end is not. usual : outside it the value is asked about once. scale : the
    trade's range for the model and for suggestions. words : known words of a category.
    none_is : what the word `none` becomes in a number column (0 for amounts, NaN where it says
    that there was no such step), or None where it makes no sense. Ranges without another origin
    are common practice, no source; those that may be recorded are the project's own rule.
    """

    name: str
    unit: str
    kind: Kind
    help: str
    recorded: tuple[float, float] | None = None
    usual: tuple[float, float] | None = None
    scale: Scale | None = None
    words: tuple[str, ...] = ()
    above: bool = False
    whole: bool = False
    none_is: float | None = None

    @property
    def allowed(self) -> str:
        """What may stand in a cell, in words."""
        if self.kind != "number" or self.recorded is None:
            return "a word"
        low, high = (f"{v:g}" if v < 1e5 else f"{v:.0f}" for v in self.recorded)
        low = f"above {low}" if self.above else low
        unit = f" {self.unit}" if self.unit else ""
        return f"{'a whole number, ' if self.whole else ''}{low} to {high}{unit}"


_DAYS_90 = 90 * 24 * 60.0
_NAN = float("nan")


def _word(name: str, text: str, known: str | None = None) -> Column:
    return Column(name, "", "category", text, words=WORDS.get(known or name, ()))


def _amount(name: str, of: str, usual: tuple[float, float], scale: Scale, text: str = "") -> Column:
    help_ = text or f"Amount of {of}, percent on the dry weight of fibre."
    return Column(name, "% owf", "number", help_, (0, 1000), usual, scale, none_is=0.0)


def _heat(name: str, text: str, scale: Scale | None = None) -> Column:
    return Column(name, "°C", "number", text, (0, 100), (10, 98), scale)


def _days(name: str, text: str) -> Column:
    return Column(name, "d", "number", text, (0, 36500), (0, 365))


def _pH(name: str, text: str, scale: Scale | None, none_is: float | None = _NAN) -> Column:
    return Column(name, "", "number", text, (0, 14), (2, 12), scale, none_is=none_is)


def _minutes(
    name: str,
    text: str,
    none_is: float | None,
    scale: Scale | None,
    usual: tuple[float, float] = (3, 7 * 24 * 60),
) -> Column:
    least = min(1, usual[0])
    return Column(name, "min", "number", text, (least, _DAYS_90), usual, scale, none_is=none_is)


# Scales: amounts, heat, time and pH follow the ranges dye recipes move in (madder 35 to 100 %,
# extracts 1 to 20 %, alum 10 to 25 %, iron 1 to 4 %, wool 80 to 90 C); common practice, no source.
_IRON = Scale(0.0, 4.0, log=True, origin=0.25)
_MORDANT = Scale(2.0, 25.0, log=True, origin=2.0)
_AFTER_MINUTES = Scale(5.0, 60.0, log=True)

_BASE: tuple[Column, ...] = (
    _word(
        "fibre",
        "What was dyed. For a blend name the larger part, and write the blend into fibre_form.",
    ),
    _word("fibre_form", "What was done to the fibre before: untreated, superwash, bleached ..."),
    Column(
        "base_L",
        "L*",
        "number",
        "Lightness of the undyed fibre.",
        (0, 100),
        (50, 99),
        Scale(40, 100),
    ),
    Column(
        "base_a",
        "a*",
        "number",
        "Redness (+) or greenness (-) of the undyed fibre.",
        (-128, 128),
        (-6, 10),
        Scale(-20, 20),
    ),
    Column(
        "base_b",
        "b*",
        "number",
        "Yellowness (+) or blueness (-) of the undyed fibre.",
        (-128, 128),
        (-6, 30),
        Scale(-20, 40),
    ),
    Column(
        "fibre_g",
        "g",
        "number",
        "Dry weight of the fibre.",
        (0, 1e6),
        (1, 5000),
        above=True,
    ),
    Column(
        "pot_g",
        "g",
        "number",
        "Dry weight of all fibre in the pot, where other fibre lay in it too; amounts in grams are "
        "counted on it.",
        (0, 1e6),
        (1, 20000),
        above=True,
    ),
    _word("pot_position", "Where in the pot it lay: top, middle or bottom."),
    _word("scour", "What it was scoured with: soap, soda ... or none."),
    _word("dyestuff", "What gave the colour: madder, weld, walnut hull ... None for a blank."),
    _word("dyestuff_form", "How it came: dried, fresh, powder, extract or liquor."),
    Column(
        "dyestuff_lot",
        "",
        "category",
        "Which delivery or harvest of the dye plant; two harvests can differ clearly.",
    ),
    Column(
        "dye_owf",
        "% owf",
        "number",
        "Amount of dyestuff, percent on the dry weight of fibre.",
        (0, 1000),
        (0.2, 400),
        Scale(5.0, 200.0, log=True, origin=0.5),
        none_is=0.0,
    ),
    _word("tannin", "Tannin given before the mordant, or none."),
    _amount("tannin_owf", "tannin", (1, 30), Scale(0.0, 20.0, log=True, origin=2.0)),
    _word("mordant", "The metal salt that holds the dye: alum, aluminium acetate ... or none."),
    _amount("mordant_owf", "mordant", (1, 30), _MORDANT),
    _heat("mordant_C", "The heat the mordant bath was held at."),
    _minutes("mordant_minutes", "How long the fibre lay in the mordant.", None, None),
    _word(
        "mordant_assist",
        "What was added to the mordant bath: cream of tartar, soda ... or none.",
        "assist",
    ),
    _amount(
        "mordant_assist_owf", "that assistant", (0.5, 20), Scale(0.0, 10.0, log=True, origin=1.0)
    ),
    _word("assist", "What was added to the dye bath: cream of tartar, chalk ... or none."),
    _amount("assist_owf", "that assistant", (0.5, 20), Scale(0.0, 10.0, log=True, origin=1.0)),
    _pH("pH", "pH of the dye bath, as read with the fibre in it.", Scale(3.0, 10.0), None),
    _word("pH_read", "How the pH was read: strip or meter."),
    _heat("temperature_C", "The heat the dye bath was held at.", Scale(40.0, 95.0)),
    _minutes(
        "minutes",
        "How long the fibre lay in the dye bath at that heat.",
        None,
        Scale(15.0, 240.0, log=True),
    ),
    Column(
        "liquor_ratio",
        "L per kg",
        "number",
        "Litres of water for each kg of fibre.",
        (0, 10000),
        (5, 150),
        Scale(15.0, 60.0, log=True),
        above=True,
    ),
    Column(
        "bath_number",
        "",
        "number",
        "1 for a fresh bath, 2 for the same liquor again ...",
        (1, 50),
        (1, 6),
        Scale(1.0, 3.0),
        whole=True,
    ),
    Column("bath_of", "", "group", "The pot whose liquor it was, of a second or third bath."),
    _pH("pH_end", "pH of the dye bath when the fibre came out.", None, None),
    _days("stock_days", "Age of the stock or liquor the dye bath was made of."),
    _word("vat", "The kind of vat, where it was dipped in one and not dyed in a bath."),
    Column("vat_dips", "", "number", "How often it was dipped.", (1, 200), (1, 20), whole=True),
    _minutes("vat_dip_minutes", "How long each dip took.", None, None, (0.1, 60)),
    _days("vat_days", "Age of the vat."),
    _heat("vat_C", "The temperature of the vat."),
    _pH("vat_pH", "pH of the vat, as read.", None, None),
    _word(
        "modifier",
        "The last after-bath that changed the colour: iron, ash lye, vinegar ... or none.",
    ),
    _amount("modifier_owf", "what the after-bath held", (0.1, 20), _IRON),
    Column("modifier_lot", "", "category", "Which jar, for a home-made liquor."),
    Column(
        "modifier_strip",
        "",
        "category",
        "The swatch that is this liquor's test strip: home-made liquors have no known strength, "
        "and are compared by their strips.",
    ),
    Column(
        "modifier_before",
        "",
        "number",
        "Number of the dyestuff that went over it; empty for an after-bath that came last.",
        (1, 9),
        (1, 9),
        whole=True,
    ),
    _pH("modifier_pH", "pH of that after-bath, as read.", Scale(2.0, 12.0)),
    _minutes(
        "modifier_minutes", "How long it lay in that after-bath.", _NAN, _AFTER_MINUTES, (1, 2880)
    ),
    _pH("wash_pH", "pH of the last rinse or wash.", Scale(4.0, 10.0)),
    _word("water", "The water used: soft, hard, rain, tap ..."),
    _word("vessel", "The pot: steel, enamel, iron, copper, aluminium ..."),
    Column("lot", "", "group", "The dye lot: what came out of one pot at one time."),
    Column("session", "", "group", "The dye day, or the sitting the pots belong to."),
    Column("photo", "", "group", "The photo the colour was read from."),
    Column("swatch", "", "group", "The swatch's code; rows that share it read one piece."),
)
_BY_NAME = {c.name: c for c in _BASE}
COLUMNS: tuple[Column, ...] = _BASE
GROUPS = ("lot", "session", "photo", "swatch")
REQUIRED = ("fibre", "dyestuff")

# Columns that may be numbered from 2 on: more dyestuffs, and after-baths before the last one.
_NUMBERED = {
    "dyestuff": "Dyestuff number {k} on the same fibre.",
    "dyestuff_form": "How dyestuff number {k} came.",
    "dyestuff_lot": "Which delivery or harvest of dyestuff number {k}.",
    "dye_owf": "Amount of dyestuff number {k}, percent on the dry weight of fibre.",
    "vat": "The kind of vat of dyestuff number {k}, where it was a vat.",
    "vat_dips": "How often it was dipped for dyestuff number {k}.",
    "vat_dip_minutes": "How long each of those dips took.",
    "vat_days": "Age of that vat.",
    "vat_C": "The heat of that vat.",
    "vat_pH": "pH of that vat, as read.",
    "modifier": "The after-bath before the last one ({k} from the end).",
    "modifier_owf": "Amount in that earlier after-bath ({k} from the end).",
    "modifier_lot": "Which jar, in that earlier after-bath ({k} from the end).",
    "modifier_strip": "The test strip of that earlier after-bath ({k} from the end).",
    "modifier_before": "Number of the dyestuff that went over that earlier after-bath.",
    "modifier_pH": "pH of that earlier after-bath ({k} from the end).",
    "modifier_minutes": "Time in that earlier after-bath ({k} from the end).",
}


@lru_cache(maxsize=512)
def column(name: str) -> Column | None:
    """The definition of a column, numbered ones too (`dyestuff_2`, `dye_2_how`), or None."""
    if name in _BY_NAME:
        return _BY_NAME[name]
    how = re.fullmatch(r"dye_([2-9])_how", name)
    if how:
        text = f"Dyestuff number {how[1]} went in together with the one before it, or over it."
        return Column(name, "", "category", text, words=WORDS["dye_2_how"])
    numbered = re.fullmatch(r"(.+)_([2-9])", name)
    if numbered and numbered[1] in _NUMBERED:
        text = _NUMBERED[numbered[1]].format(k=numbered[2])
        return replace(_BY_NAME[numbered[1]], name=name, help=text)
    return None
