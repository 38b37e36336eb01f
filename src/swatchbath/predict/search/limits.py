"""Limits on what may be suggested, and the steps her scale can weigh. Each is checked here, before
any search."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from ...bath.caps import refusals
from ...conditions.columns import COLUMNS, column
from ...conditions.vocabulary import FIBRES, WORDS, meaning
from ...errors import BadValue, NotFound, ValueOutOfRange
from .columns import Bath, base_of, is_word, owner_of

Limits = Mapping[str, Any]


@dataclass(frozen=True)
class Limit:
    """One limit: low to high for a number, or a tuple of choices (numbers or words)."""

    low: float = -math.inf
    high: float = math.inf
    choices: tuple[Any, ...] = ()

    def holds(self, name: str, value: Any) -> bool:
        """Whether a value keeps to the limit."""
        if self.choices:
            if isinstance(value, str):
                return meaning(name, value) in {meaning(name, str(c)) for c in self.choices}
            return any(isinstance(c, float) and abs(value - c) < 1e-9 for c in self.choices)
        return isinstance(value, int | float) and self.low - 1e-9 <= value <= self.high + 1e-9


def parse_limits(limits: Limits | None) -> dict[str, Limit]:
    """Check limits given as {column: value | (low, high) | [choices]}.

    Raises NotFound for a column that is none; BadValue or ValueOutOfRange for a value that cannot
    be.
    """
    out: dict[str, Limit] = {}
    if limits is not None and not isinstance(limits, Mapping):
        raise BadValue(f"Limits go by column, as {{'fibre': 'wool'}}; {limits!r} is not that.")
    for name, given in (limits or {}).items():
        about = column(str(name))
        if about is None or about.kind == "group":
            known = ", ".join(c.name for c in COLUMNS if c.kind != "group")
            raise NotFound(f"'{name}' cannot be limited; the condition columns are: {known}.")
        if about.kind == "number":
            out[name] = _numbers(name, given)
        else:
            words = list(given) if isinstance(given, list | tuple | set | frozenset) else [given]
            out[name] = Limit(choices=tuple(_word(name, w) for w in words))
            if not words:
                raise BadValue(f"The limit on {name} allows nothing; name at least one {name}.")
    return out


def _numbers(name: str, given: Any) -> Limit:
    if isinstance(given, tuple):
        if len(given) != 2:
            raise BadValue(
                f"The limit on {name} is {given!r}; give one number, (low, high), or a list."
            )
        low, high = (_number(name, v) for v in given)
        if low > high:
            raise BadValue(
                f"The limit on {name} runs from {low:g} to {high:g}; the lower end comes first."
            )
        return Limit(low, high)
    if isinstance(given, list):
        if not given:
            raise BadValue(f"The limit on {name} allows nothing; give at least one number.")
        return Limit(choices=tuple(_number(name, v) for v in given))
    value = _number(name, given)
    return Limit(value, value)


def _number(name: str, value: Any) -> float:
    about = column(name)
    assert about is not None and about.recorded is not None
    if isinstance(value, str) and value.strip().casefold() == "none" and about.none_is == 0:
        return 0.0
    if isinstance(value, bool) or not isinstance(value, int | float | np.number):
        raise BadValue(f"The limit on {name} is {value!r}; it must be a number ({about.allowed}).")
    if not about.recorded[0] <= float(value) <= about.recorded[1]:
        raise ValueOutOfRange(
            f"The limit on {name} is {float(value):g}, outside {about.allowed}; give another."
        )
    return float(value)


def _word(name: str, value: Any) -> str:
    if not isinstance(value, str) or not value.strip():
        raise BadValue(f"The limit on {name} is {value!r}; give a word, or a list of words.")
    word = " ".join(value.split())
    if name == "fibre" and meaning("fibre", word) not in FIBRES:
        raise BadValue(f"'{word}' is not a fibre known here; use one of: {', '.join(FIBRES)}.")
    return word


def parse_rounding(rounding: Mapping[str, float] | None) -> dict[str, float]:
    """Check rounding given as {column: step}. Raises NotFound or ValueOutOfRange."""
    out: dict[str, float] = {}
    if rounding is not None and not isinstance(rounding, Mapping):
        raise BadValue(f"Rounding goes by column, as {{'pH': 0.5}}; {rounding!r} is not that.")
    for name, step in (rounding or {}).items():
        about = column(str(name))
        if about is None or about.kind != "number":
            raise NotFound(f"'{name}' cannot be rounded; it is not a column of numbers.")
        if not (isinstance(step, int | float | np.number) and math.isfinite(step) and step > 0):
            raise ValueOutOfRange(f"The step for {name} is {step!r}; give a number above 0.")
        out[name] = float(step)
    return out


# Words that people put beside the known ones of a column; common practice, no source. A limit may
# say no other, so that nothing can be asked for by calling it water.
_BESIDE = {
    "water": "water rainwater spring river lake stream pond snow melted filtered boiled softened "
    "mineral bottled very medium quite cold warm still fresh clean plain demineralised deionised "
    "the a my our from of and",
    "vessel": "pot pan kettle bucket basin bowl jar beaker cauldron tub saucepan stockpot jam "
    "stainless enamelled ceramic stoneware earthenware galvanized the a my our of and big small "
    "large little old new tall wide dye",
    "fibre_form": "skein skeins hank hanks fabric top tops roving sliver thread knit knitted woven "
    "batt batts combed carded spun handspun machine hand washed unwashed unscoured unbleached "
    "undyed unmercerised natural white grey greasy plied single singles fine coarse thick thin "
    "lace sock aran ply gauze muslin canvas velvet lock locks the a my of and with "
    + " ".join(FIBRES),
    "dyestuff_form": "whole cut chopped chips shavings shredded ground crushed root roots leaf "
    "leaves flower flowers petals bark hull hulls skins wood heartwood sawdust insects frozen "
    "soaked and",
}


def settled(
    limits: Mapping[str, Limit],
    rounding: Mapping[str, float],
    rows: Sequence[Bath],
    acts: re.Pattern[str],
) -> tuple[dict[str, Limit], frozenset[str]]:
    """The limits within what may be suggested, and the word columns that must name something.

    rows : the recorded baths. acts : the columns that say something of the colour. A number is
    kept to its usual range. Raises BadValue, naming it, for a limit that cannot be met or cannot
    act.
    """
    out: dict[str, Limit] = {}
    for name, limit in limits.items():
        if base_of(name) == "vat" and all(meaning(name, c) == "none" for c in limit.choices):
            continue  # none is suggested in a vat
        if is_word(name):
            limit = Limit(choices=tuple(_may_name(name, c, rows) for c in limit.choices))
        if not acts.fullmatch(name):
            raise BadValue(
                f"{name} says nothing of the colour here, so it cannot be a limit; leave it out."
            )
        out[name] = limit if is_word(name) else _in_steps(name, _usual(name, limit), rounding)
    return out, frozenset(_needed(out, rows))


def _may_name(name: str, choice: str, rows: Sequence[Bath]) -> str:
    """The word of a limit, "tap water" as "tap". Refuse one that no suggestion may hold, and in
    water, vessels and forms one that is not known."""
    base = base_of(name)
    amount = {"dyestuff": "dye_owf"}.get(base, f"{base}_owf") + name.removeprefix(base)
    reasons = refusals({name: choice, amount: 1.0})  # an amount, as iron of none is refused too
    if reasons:
        raise BadValue(
            f"The limit on {name} cannot hold '{choice}': {reasons[0]}. Change that limit."
        )
    if base not in _BESIDE and not name.startswith("dye_"):
        return choice
    known = {" ".join(w.split()) for w in WORDS["dye_2_how" if base not in _BESIDE else base]}
    words = {t for w in known for t in w.split()} | set(_BESIDE.get(base, "").split())
    recorded = {meaning(n, str(v)) for row in rows for n, v in row.items() if base_of(n) == base}
    word = meaning(name, choice)
    named = re.findall(r"[^\W\d]+", word)
    if word not in recorded | {"none"} and not (named and set(named) <= words):
        raise BadValue(
            f"'{choice}' is no {name.replace('_', ' ')} known here and on none of your swatches; "
            f"use one of yours or of: {', '.join(sorted(known))}."
        )
    if base == "water" and word not in recorded:
        return re.sub(r"(?i)[ _]+water$", "", choice)
    return choice


def _usual(name: str, limit: Limit) -> Limit:
    """A limit on a number within the column's usual range; 0 of an amount stays."""
    about = column(name)
    assert about is not None
    if about.usual is None or base_of(name).startswith("base_"):
        return limit
    low, high = about.usual
    none = about.none_is == 0 and (limit.low <= 0 or 0.0 in limit.choices)
    kept = tuple(c for c in limit.choices if low <= c <= high or (none and c == 0))
    if limit.choices and kept:
        return Limit(choices=kept)
    if limit.choices or limit.low > high or (limit.high < low and not none):
        unit = f" {about.unit}" if about.unit else ""
        raise BadValue(
            f"The limit on {name} lies outside {low:g} to {high:g}{unit}, beyond which nothing is "
            "suggested. Change that limit."
        )
    return Limit(limit.low if none else max(limit.low, low), min(limit.high, high))


def _in_steps(name: str, limit: Limit, rounding: Mapping[str, float]) -> Limit:
    """The same limit; BadValue where no rounded number lies in it."""
    step = step_of(name, rounding)
    if step and not limit.choices and limit.low < limit.high:
        first = math.ceil(limit.low / step - 1e-9) * step
        if first > limit.high + 1e-9:
            raise BadValue(
                f"The limit on {name} runs from {limit.low:g} to {limit.high:g}, and no number in "
                f"steps of {step:g} lies in it. Change that limit."
            )
    return limit


def step_of(name: str, rounding: Mapping[str, float]) -> float:
    """What a column's numbers are rounded to, numbered ones as the first; 0 for not at all."""
    about = column(name)
    whole = 1.0 if about and about.whole else 0.0
    return rounding.get(name) or rounding.get(base_of(name)) or whole


def _needed(limits: Mapping[str, Limit], rows: Sequence[Bath]) -> set[str]:
    """The word columns that limits on what belongs to them ask for."""
    found: set[str] = set()
    for name, limit in limits.items():
        owner = owner_of(name) or _described(name)
        if not owner:
            continue
        owners = limits[owner].choices if owner in limits else ()
        nothing = [meaning(owner, c) == "none" for c in owners]
        amount = base_of(name).endswith("_owf")
        least = min(limit.choices) if amount and limit.choices else limit.low
        most = max(limit.choices) if amount and limit.choices else limit.high
        if amount and most <= 0 and nothing and not any(nothing):
            raise BadValue(
                f"The limit on {name} leaves 0 % of {owners[0]}, which is no bath; give an amount, "
                f"or {owner}=none."
            )
        if amount and least <= 0:
            continue
        if nothing and all(nothing):
            raise BadValue(
                f"The limits on {owner} and {name} cannot both be met: without a "
                f"{base_of(owner)} there is no {name}. Change one of them."
            )
        if owner not in limits and not any(owner in row for row in rows):
            raise BadValue(
                f"A limit on {name} needs one on {owner}, as no swatch has it; add {owner}=..."
            )
        found.add(owner)
    return found


def _described(name: str) -> str:
    """The second or further dyestuff whose form, lot or manner a column tells."""
    found = re.fullmatch(r"dyestuff_(?:form|lot)_(\d)|dye_(\d)_how", name)
    return f"dyestuff_{found[1] or found[2]}" if found else ""
