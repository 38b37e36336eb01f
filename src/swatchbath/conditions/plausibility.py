"""What is worth asking about once in a table of conditions: slips, contradictions, far numbers."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import pandas as pd

from ..errors import BadTable
from .columns import Column, column
from .vocabulary import meaning, resembles

# A number is asked about when it lies further from the middle of its column than both of these, in
# units of its scale and in standard deviations of the column; among at least so many. Our own
# choice: 6 minutes among 60 is, any ordinary recipe is not.
_FAR, _FAR_SDS, _ENOUGH_TO_TELL = 0.6, 6.0, 8


# Mordants that are leaves or milk and no salt, and how much of them is usual, percent on the weight
# of fibre: symplocos 50, rhubarb leaf 100, clubmoss 200 (common practice, no source).
_PLANT_MORDANTS, _OF_A_PLANT = ("symplocos", "clubmoss", "rhubarb leaf", "soya milk"), (1.0, 300.0)


def of_mordant(about: Column, mordant: Any) -> Column:
    """The amount of a mordant, with what is usual of a plant where it is one."""
    if about.name != "mordant_owf" or not isinstance(mordant, str):
        return about
    plant = meaning("mordant", mordant) in _PLANT_MORDANTS
    return replace(about, usual=_OF_A_PLANT) if plant else about


def bad_cell(about: Column, row: Any, what: str, remedy: str) -> BadTable:
    """The error for one cell, with its row and column."""
    sentence = f"Row {row}, column {about.name}: {what} {remedy}"
    return BadTable(sentence, row=row, column=about.name)


def look_at_words(
    words: list[str | None], about: Column, numbers: Sequence[Any], unusual: list[str]
) -> None:
    """Ask once about a word that looks like a slip of a known one."""
    if about.kind != "category" or not about.words or about.name == "fibre":
        return
    base = re.sub(r"_[2-9]$", "", about.name)
    seen: set[str] = set()
    for i, word in enumerate(words):
        if word is None or word in seen:
            continue
        seen.add(word)
        like = resembles(base, word)
        if like:
            unusual.append(
                f"Row {numbers[i]}, column {about.name}: '{word}' is taken as its own kind. "
                f"Did you mean {like}?"
            )


def look_across(
    table: pd.DataFrame,
    numbers: Sequence[Any],
    unusual: list[str],
    refused: dict[Any, BadTable] | None,
) -> None:
    """Ask about cells that contradict each other, and refuse no dye at all."""
    pairs = {
        "dye_owf": "dyestuff",
        "mordant_owf": "mordant",
        "modifier_owf": "modifier",
        "tannin_owf": "tannin",
        "assist_owf": "assist",
        "mordant_assist_owf": "mordant_assist",
    }
    for amount_name in table.columns:
        base = re.sub(r"_[2-9]$", "", str(amount_name))
        kind_name = str(amount_name).replace(base, pairs.get(base, base), 1)
        if base not in pairs or kind_name not in table.columns:
            continue
        for i, (kind, amount) in enumerate(zip(table[kind_name], table[amount_name], strict=True)):
            row = numbers[i]
            if kind is not None and meaning(base, kind) == "none" and amount > 0:
                unusual.append(
                    f"Row {row}: {kind_name} is none, yet {amount_name} is {amount:g}. "
                    "The amount is not used."
                )
            elif base == "dye_owf" and amount == 0 and kind is not None and kind != "none":
                about = column(str(amount_name))
                assert about is not None
                remedy = "Type the amount, or leave the cell empty if it is not known."
                error = bad_cell(about, row, f"0 % of {kind} dyes nothing.", remedy)
                if refused is None:
                    raise error
                refused.setdefault(row, error)


def look_along(table: pd.DataFrame, numbers: Sequence[Any], unusual: list[str]) -> None:
    """Ask about a number far from all others of its column, as a slip of the decimal point is."""
    for name in table.columns:
        about = column(str(name))
        if about is None or about.scale is None:
            continue
        values = np.asarray(table[name], dtype=float)
        known = np.flatnonzero(~np.isnan(values) & ~((values == 0) & (about.none_is == 0)))
        if len(known) < _ENOUGH_TO_TELL:
            continue
        units = about.scale.to_unit(values[known])
        far = np.abs(units - np.median(units))
        usual = 1.4826 * np.median(far)  # a normal spread's standard deviation
        for i in known[(far > _FAR) & (far > _FAR_SDS * usual)]:
            unusual.append(
                f"Row {numbers[i]}, column {name}: {values[i]:g} lies far from the others in its "
                f"column (mostly about {np.median(values[known]):g}). Is it right?"
            )
