"""What acts on the colour, read off the condition columns: each possible factor of a table.

Where something that acts is not a column of its own it is derived: the final pH (of the last
liquor the fibre lay in), the step to it from the dye bath, the iron of all after-baths together,
and with two or more dyestuffs the amount of each.
"""

from __future__ import annotations

import re

import numpy as np
import pandas as pd

from ...colorimetry.lab import Array
from ...conditions.columns import Scale, column
from ...conditions.vocabulary import meaning
from ...errors import BadValue

Numbers = dict[str, tuple[Array, Scale]]
Words = dict[str, list[str | None]]

IRONS = ("iron", "iron liquor")

# pH an after-bath of unknown pH is taken to have; common practice, no source.
TYPICAL_PH = {
    "ash lye": 10.0,
    "lye": 11.0,
    "soda": 10.0,
    "chalk": 8.0,
    "ammonia": 10.0,
    "vinegar": 4.0,
    "citric acid": 3.5,
    "acid": 4.0,
}
# What such a one is off by, pH, as one standard deviation: kitchen acids and lyes as they are
# mixed lie within one or so of it; common practice, no source.
TYPICAL_PH_SD = 0.8
# Scales of the derived factors; the same origin as those in `columns`.
_FINAL_PH = Scale(2.0, 11.0)
_PH_STEP = Scale(-3.0, 4.0)
_IRON = Scale(0.0, 4.0, log=True, origin=0.25)
_OTHER = Scale(0.0, 20.0, log=True, origin=1.0)
_IN_MIX = Scale(0.0, 200.0, log=True, origin=2.0)
_PLAIN_NUMBERS = (
    "base_L", "base_a", "base_b", "tannin_owf", "mordant_owf", "assist_owf", "mordant_assist_owf",
    "pH", "temperature_C", "minutes", "liquor_ratio", "bath_number", "modifier_minutes", "wash_pH",
)  # fmt: skip
_PLAIN_WORDS = (
    "fibre", "fibre_form", "dyestuff_lot", "tannin", "mordant", "assist",
    "mordant_assist", "modifier", "water", "vessel",
)  # fmt: skip
_AMOUNT_OF = {"tannin_owf": "tannin", "mordant_owf": "mordant", "assist_owf": "assist",
              "mordant_assist_owf": "mordant_assist"}  # fmt: skip


def _words(table: pd.DataFrame, name: str) -> list[str | None]:
    if name not in table:
        return [None] * len(table)
    return [None if w is None else meaning(name, w) for w in table[name]]


def _numbers(table: pd.DataFrame, name: str) -> Array:
    if name not in table:
        return np.full(len(table), np.nan)
    return np.asarray(table[name], dtype=float)


def _slots(table: pd.DataFrame, base: str) -> list[str]:
    """Suffixes in use: '' for the first, then '_2', '_3' ..."""
    found = [m[1] for c in table.columns if (m := re.fullmatch(rf"{base}(_[2-9])", str(c)))]
    return ["", *sorted(found)]


def final_pH(table: pd.DataFrame) -> tuple[Array, Array]:
    """pH (n,) of the last liquor the fibre lay in: the last after-bath with a pH, else the last
    wash, else the dye bath; NaN where none is known. And its variance (n,): an after-bath of acid
    or alkali whose pH was not read takes a typical one, else 0.
    """
    out = _numbers(table, "pH").copy()
    wash = _numbers(table, "wash_pH")
    out = np.where(np.isnan(wash), out, wash)
    variance = np.zeros(len(table))
    for slot in reversed(_slots(table, "modifier")):  # the last after-bath has no number
        kind, read = _words(table, f"modifier{slot}"), _numbers(table, f"modifier_pH{slot}")
        for i, k in enumerate(kind):
            if k is None or k == "none":
                continue
            if not np.isnan(read[i]):
                out[i], variance[i] = read[i], 0.0
            elif k in TYPICAL_PH and np.isnan(wash[i]):
                out[i], variance[i] = TYPICAL_PH[k], TYPICAL_PH_SD**2
    return out, variance


def _unmoved(table: pd.DataFrame) -> np.ndarray:
    """Which rows (n,) had no after-bath and no wash of a known pH: whatever the pH of the dye bath,
    it is the last one."""
    kinds = [_words(table, f"modifier{slot}") for slot in _slots(table, "modifier")]
    none = [all(k == "none" for k in row) for row in zip(*kinds, strict=True)]
    return np.array(none, bool) & np.isnan(_numbers(table, "wash_pH"))


def _after_amounts(table: pd.DataFrame) -> tuple[Array, Array]:
    """Iron in all after-baths, and the amount of the last after-bath that is not iron (n,)."""
    iron, other = np.zeros(len(table)), np.zeros(len(table))
    for slot in _slots(table, "modifier"):
        kind, amount = _words(table, f"modifier{slot}"), _numbers(table, f"modifier_owf{slot}")
        for i, k in enumerate(kind):
            if k in IRONS:
                iron[i] += amount[i]
            elif k not in (None, "none") and slot == "":
                other[i] = amount[i]
    return iron, other


def dyes_of(table: pd.DataFrame, with_form: bool) -> tuple[list[str], dict[str, Array]]:
    """What dyed each row, as one word, and the amount of each dyestuff (n,), by its form or not."""
    n = len(table)
    pots: list[list[list[str]]] = [[[]] for _ in range(n)]
    amounts: dict[str, Array] = {}
    for slot in _slots(table, "dyestuff"):
        kind, form = _words(table, f"dyestuff{slot}"), _words(table, f"dyestuff_form{slot}")
        owf = _numbers(table, f"dye_owf{slot}")
        manner = _manner(table, slot)
        for i, k in enumerate(kind):
            if k is None or (k == "none" and slot):
                continue
            key = f"{form[i]} {k}" if form[i] and with_form else k
            if manner[i] == "over":
                pots[i].append([])
            pots[i][-1].append(key)
            amounts.setdefault(key, np.zeros(n))[i] += owf[i]
    # Dyed over one another the order matters, in one bath it does not.
    names = [" then ".join(" with ".join(sorted(pot)) for pot in row if pot) for row in pots]
    return names, amounts


def _manner(table: pd.DataFrame, slot: str) -> list[str | None]:
    """Whether each row's dyestuff of a slot went in together with the one before it, or over."""
    name = f"dye{slot}_how"
    if not slot or name not in table:
        return [None] * len(table)
    # One set of words for all the slots.
    return [None if w is None else meaning("dye_2_how", w) for w in table[name]]


def _earlier(table: pd.DataFrame) -> list[str | None]:
    """After-baths before the last one, in one word, or none."""
    slots = _slots(table, "modifier")[1:]
    kinds = [_words(table, f"modifier{slot}") for slot in slots]
    rows = [[k for k in row if k not in (None, "none")] for row in zip(*kinds, strict=True)]
    return [", ".join(str(k) for k in row) or "none" for row in rows] or ["none"] * len(table)


def is_factor(name: str) -> bool:
    """Whether a column acts in the regression, by itself or through what is derived from it."""
    if name in _PLAIN_NUMBERS or name in _PLAIN_WORDS:
        return True
    made_of = r"(dyestuff|dyestuff_form|dye_owf|modifier|modifier_owf|modifier_pH)(_[2-9])?"
    return re.fullmatch(rf"{made_of}|dye_[2-9]_how", name) is not None


def factors_of(table: pd.DataFrame, mix: tuple[str, ...]) -> tuple[Numbers, Words]:
    """Every possible factor of a table: numbers (n,) with their scale, NaN unknown, and words.

    mix : the dyestuffs that have an amount each, empty where no row has more than one.
    """
    numbers: Numbers = {}
    words: Words = {name: _words(table, name) for name in _PLAIN_WORDS}
    for name in _PLAIN_NUMBERS:
        values = _numbers(table, name).copy()
        if name in _AMOUNT_OF:
            values[[k == "none" for k in words[_AMOUNT_OF[name]]]] = 0.0
        if name == "modifier_minutes":  # no after-bath has no time; the middle says nothing
            values[[k == "none" for k in words["modifier"]]] = float(_scale(name).from_unit(0.5))
        numbers[name] = (values, _scale(name))
    pH, final = numbers["pH"][0], final_pH(table)[0]
    numbers["final_pH"] = (final, _FINAL_PH)
    numbers["pH_step"] = (np.where(_unmoved(table), 0.0, final - pH), _PH_STEP)
    iron, other = _after_amounts(table)
    numbers["iron_owf"], numbers["other_after_owf"] = (iron, _IRON), (other, _OTHER)
    words["modifier_2"] = _earlier(table)
    dyed, amounts = dyes_of(table, with_form=bool(mix))
    words["dyestuff"] = list(dyed)
    if mix:
        for key in mix:
            numbers[f"amount of {key}"] = (amounts.get(key, np.zeros(len(table))), _IN_MIX)
    else:
        words["dyestuff_form"] = _words(table, "dyestuff_form")
        numbers["dye_owf"] = (_numbers(table, "dye_owf"), _scale("dye_owf"))
    return numbers, words


def taken_variance(table: pd.DataFrame) -> dict[str, Array]:
    """Of the factors that are taken to be typical where they were not read: the variance (n,), in
    scale units, of each; 0 where it was read."""
    variance = final_pH(table)[1]
    moved = np.where(_unmoved(table), 0.0, variance)
    return {
        "final_pH": variance / (_FINAL_PH.hi - _FINAL_PH.lo) ** 2,
        "pH_step": moved / (_PH_STEP.hi - _PH_STEP.lo) ** 2,
    }


def _scale(name: str) -> Scale:
    about = column(name)
    if about is None or about.scale is None:
        raise BadValue(f"The column {name} has no scale; add one to the columns.")
    return about.scale


def has_mixtures(table: pd.DataFrame) -> bool:
    """Whether any row was dyed with more than one dyestuff."""
    return any(
        k not in (None, "none")
        for slot in _slots(table, "dyestuff")[1:]
        for k in _words(table, f"dyestuff{slot}")
    )
