"""What about a bath was never tried, in a dyer's words."""

from __future__ import annotations

import re

import numpy as np
import pandas as pd

from .derived import Words
from .encoder import Encoder, Factors
from .labels import label_of, shown, spellings

# How far beyond the rows, in scale units, a number counts as never tried; from trials on a
# made-up dye house.
BEYOND = 0.1

_UNSEEN = {
    "fibre": "no {} has been dyed",
    "dyestuff": "no {} has been dyed",
    "dyestuff_form": "no {} dyestuff has been used",
    "dyestuff_lot": "the dyestuff lot {} has not been dyed",
    "mordant": "no swatch has {} as its mordant",
    "tannin": "no swatch has {} as its tannin",
    "modifier": "no swatch had {} as its after-bath",
    "modifier_2": "no swatch had {} as an earlier after-bath",
    "assist": "no swatch had {} in the bath",
    "mordant_assist": "no swatch had {} in the mordant bath",
    "fibre_form": "no fibre described as {} has been dyed",
    "water": "no swatch was dyed in {} water",
    "vessel": "no swatch was dyed in a vessel of {}",
}
_SOME = {"modifier": "after-bath", "modifier_2": "earlier after-bath", "assist": "assistant",
         "mordant_assist": "assistant in the mordant bath"}  # fmt: skip
_AFTER_NUMBER = re.compile(r"modifier_(?:owf|pH|minutes)(_[2-9])?")
# Pairs of words that make a shade together; said when both were dyed but never together.
_PAIRS = (
    ("dyestuff", "fibre", "no {} on {} has been dyed"),
    ("dyestuff", "mordant", "no {} over {} mordant has been dyed"),
    ("dyestuff", "modifier", "no {} with an after-bath of {} has been dyed"),
    ("mordant", "fibre", "no {} mordant on {} has been tried"),
    ("modifier", "fibre", "no after-bath of {} on {} has been tried"),
)


def never_tried(
    encoder: Encoder, recorded: Words, table: pd.DataFrame, f: Factors, written: pd.DataFrame
) -> tuple[list[list[str]], np.ndarray]:
    """For each row, sentences about what was never tried, and whether it lies outside (n,).

    recorded : the words of the rows learnt from; written : their table. A row is outside if a word
    or the pair of dyestuff and fibre was never dyed, or a number lies beyond the recorded ones.
    """
    own, words = encoder.values(table)
    spelled = spellings(written, table)
    n = len(table)
    reasons: list[list[str]] = [[] for _ in range(n)]
    outside = np.zeros(n, bool)
    for j, name in enumerate(encoder.words):
        for i in np.flatnonzero(f.levels[:, j] < 0).tolist():
            outside[i] = True
            word = words[name][i]
            if word == "none":
                reasons[i].append(f"every swatch so far had some {_SOME.get(name, name)}")
            else:
                word = spelled.get((name, word or ""), word)
                reasons[i].append(_UNSEEN.get(name, "{} is new").format(word))
    for first, second, sentence in _PAIRS:
        if first not in encoder.words or second not in encoder.words:
            continue
        seen = set(zip(recorded[first], recorded[second], strict=True))
        firsts, seconds = {a for a, _ in seen}, {b for _, b in seen}
        for i in range(n):
            a, b = words[first][i], words[second][i]
            if a in firsts and b in seconds and (a, b) not in seen and a and b:
                both = spelled.get((first, a), a), spelled.get((second, b), b)
                if "none" in (a, b):
                    reasons[i].append(_without(first, second, a, b))
                else:
                    reasons[i].append(sentence.format(*both))
                if first == "dyestuff" and second == "fibre":
                    outside[i] = True
    for j, name in enumerate(encoder.numbers):
        scale = encoder.scales[j]
        low, high = scale.to_unit(encoder.low[j]), scale.to_unit(encoder.high[j])
        label, unit = label_of(name)
        for i in range(n):
            # An after-bath that there is none of has no time that could be new.
            if np.isnan(own[i, j]) or _of_none(name, words, i):
                continue
            if f.x[i, j] > high + BEYOND:
                reasons[i].append(f"{label} above {shown(encoder.high[j], unit)} was never tried")
            elif f.x[i, j] < low - BEYOND:
                reasons[i].append(f"{label} under {shown(encoder.low[j], unit)} was never tried")
            else:
                continue
            outside[i] = True
    for i, rests_on in enumerate(encoder.trade.said(f.trade, words)):
        reasons[i] += rests_on
    for i in _with_a_fibre_colour(encoder, table):
        reasons[i].append("the colour of the undyed fibre was never recorded")
        outside[i] = True
    return reasons, outside


def _of_none(name: str, words: Words, row: int) -> bool:
    """Whether a number is that of an after-bath which a row says there was none of."""
    found = _AFTER_NUMBER.fullmatch(name)
    owner = f"modifier{found[1] or ''}" if found else ""
    return owner in words and words[owner][row] == "none"


def _with_a_fibre_colour(encoder: Encoder, table: pd.DataFrame) -> list[int]:
    """Rows that give the undyed fibre's colour where none learnt from did: a dark fleece gives
    another shade."""
    given = [n for n in ("base_L", "base_a", "base_b") if n in encoder.never and n in table]
    found = np.zeros(len(table), bool)
    for name in given:
        found |= ~np.isnan(np.asarray(table[name], dtype=float))
    return np.flatnonzero(found).tolist()


def _without(first: str, second: str, a: str, b: str) -> str:
    what, other, kind = (b, a, first) if a == "none" else (a, b, second)
    kind = {"modifier": "after-bath"}.get(kind, kind)
    return f"no {what} without {kind} has been dyed" if other == "none" else f"{a}, {b} is new"
