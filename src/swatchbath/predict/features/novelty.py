"""Reasons, in a dyer's words: what about a bath was never tried, and what sets two baths apart."""

from __future__ import annotations

import numpy as np
import pandas as pd

from ...conditions.columns import column
from ...conditions.vocabulary import meaning
from .derived import Words, is_factor
from .encoder import Encoder, Factors

__all__ = ["BEYOND", "differs", "never_tried", "not_given", "spellings"]

# How far beyond the rows, in scale units, a number counts as never tried; from trials on a
# made-up dye house.
BEYOND = 0.1

_NUMBERS = {
    "base_L": ("lightness of the undyed fibre", ""),
    "base_a": ("redness of the undyed fibre", ""),
    "base_b": ("yellowness of the undyed fibre", ""),
    "tannin_owf": ("tannin", " %"),
    "mordant_owf": ("mordant", " %"),
    "assist_owf": ("addition to the bath", " %"),
    "pH": ("dye bath pH", ""),
    "temperature_C": ("dye bath heat", " °C"),
    "minutes": ("time in the dye bath", " min"),
    "liquor_ratio": ("liquor ratio", " L per kg"),
    "bath_number": ("bath number", ""),
    "modifier_minutes": ("time in the after-bath", " min"),
    "modifier_owf": ("after-bath amount", " %"),
    "modifier_pH": ("after-bath pH", ""),
    "wash_pH": ("wash pH", ""),
    "final_pH": ("final pH", ""),
    "pH_step": ("pH step from dye bath to after-bath", ""),
    "iron_owf": ("iron", " %"),
    "other_after_owf": ("after-bath amount", " %"),
    "dye_owf": ("dyestuff amount", " %"),
}
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
    "fibre_form": "no fibre described as {} has been dyed",
    "water": "no swatch was dyed in {} water",
    "vessel": "no swatch was dyed in a vessel of {}",
}
# Pairs of words that make a shade together; said when both were dyed but never together.
_PAIRS = (
    ("dyestuff", "fibre", "no {} on {} has been dyed"),
    ("dyestuff", "mordant", "no {} over {} mordant has been dyed"),
    ("dyestuff", "modifier", "no {} with an after-bath of {} has been dyed"),
    ("mordant", "fibre", "no {} mordant on {} has been tried"),
    ("modifier", "fibre", "no after-bath of {} on {} has been tried"),
)


def _label(name: str) -> tuple[str, str]:
    if name.startswith("amount of "):
        return name.removeprefix("amount of "), " %"
    return _NUMBERS.get(name, (name, ""))


def _shown(value: float, unit: str) -> str:
    return f"{float(f'{value:.3g}'):g}{unit}"


def spellings(*tables: pd.DataFrame) -> dict[tuple[str, str], str]:
    """How each word was first written, by column and meaning."""
    out: dict[tuple[str, str], str] = {}
    for table in tables:
        for name in table.columns:
            for word in sorted({w for w in table[name] if isinstance(w, str)}):
                out.setdefault((str(name), meaning(str(name), word)), word)
    return out


def never_tried(
    encoder: Encoder, learnt: Words, table: pd.DataFrame, f: Factors, written: pd.DataFrame
) -> tuple[list[list[str]], np.ndarray]:
    """For each row, sentences about what was never tried, and whether it lies outside (n,).

    learnt : the words of the rows learnt from; written : their table. A row is outside if a word
    or the pair of dyestuff and fibre was never dyed, or a number lies beyond the recorded ones.
    """
    own, words = encoder.values(table)
    spelled = spellings(written, table)
    n = len(table)
    said: list[list[str]] = [[] for _ in range(n)]
    outside = np.zeros(n, bool)
    for j, name in enumerate(encoder.words):
        for i in np.flatnonzero(f.levels[:, j] < 0).tolist():
            outside[i] = True
            word = words[name][i]
            if word == "none":
                said[i].append(f"every swatch so far had some {name.replace('_', ' ')}")
            else:
                word = spelled.get((name, word or ""), word)
                said[i].append(_UNSEEN.get(name, "{} is new").format(word))
    for first, second, sentence in _PAIRS:
        if first not in encoder.words or second not in encoder.words:
            continue
        seen = set(zip(learnt[first], learnt[second], strict=True))
        firsts, seconds = {a for a, _ in seen}, {b for _, b in seen}
        for i in range(n):
            a, b = words[first][i], words[second][i]
            if a in firsts and b in seconds and (a, b) not in seen and a and b:
                shown = spelled.get((first, a), a), spelled.get((second, b), b)
                if "none" in (a, b):
                    said[i].append(_without(first, second, a, b))
                else:
                    said[i].append(sentence.format(*shown))
                if first == "dyestuff" and second == "fibre":
                    outside[i] = True
    for j, name in enumerate(encoder.numbers):
        scale = encoder.scales[j]
        low, high = scale.to_unit(encoder.low[j]), scale.to_unit(encoder.high[j])
        label, unit = _label(name)
        for i in range(n):
            if np.isnan(own[i, j]):
                continue
            if f.x[i, j] > high + BEYOND:
                said[i].append(f"{label} above {_shown(encoder.high[j], unit)} was never tried")
            elif f.x[i, j] < low - BEYOND:
                said[i].append(f"{label} under {_shown(encoder.low[j], unit)} was never tried")
            else:
                continue
            outside[i] = True
    for i in _with_a_fibre_colour(encoder, table):
        said[i].append("the colour of the undyed fibre was never recorded")
        outside[i] = True
    return said, outside


def _with_a_fibre_colour(encoder: Encoder, table: pd.DataFrame) -> list[int]:
    """Rows that tell the undyed fibre's colour where none learnt from did: a dark fleece gives
    another shade."""
    told = [n for n in ("base_L", "base_a", "base_b") if n in encoder.never and n in table]
    found = np.zeros(len(table), bool)
    for name in told:
        found |= ~np.isnan(np.asarray(table[name], dtype=float))
    return np.flatnonzero(found).tolist()


def _without(first: str, second: str, a: str, b: str) -> str:
    what, other, kind = (b, a, first) if a == "none" else (a, b, second)
    kind = {"modifier": "after-bath"}.get(kind, kind)
    return f"no {what} without {kind} has been dyed" if other == "none" else f"{a}, {b} is new"


def not_given(
    encoder: Encoder, table: pd.DataFrame, f: Factors, written: pd.DataFrame
) -> list[list[str]]:
    """For each row, what was not given and had to be assumed, or is given but never recorded."""
    own, words = encoder.values(table)
    spelled = spellings(written, table)
    said: list[list[str]] = [[] for _ in range(len(table))]
    assumed = encoder.assumed(table)
    like = "is assumed, as in your most alike swatches"
    for i, filled in enumerate(assumed):
        for name, word in filled.items():
            if name.startswith("dyestuff_") and _of_new_dyestuff(encoder, f, i):
                continue  # nothing of another dyestuff is told of one that was never dyed
            word = spelled.get((name, word), word)
            said[i].append(f"the {name.replace('_', ' ')} is not given; {word} {like}")
    for j, name in enumerate(encoder.numbers):
        label, unit = _label(name)
        if name.endswith("_owf") and "amount" not in label:
            label = f"amount of {label}"
        if encoder.low[j] == encoder.high[j] or name in ("final_pH", "pH_step"):
            continue  # what never varied says nothing; derived ones are said by what they come of
        for i in np.flatnonzero(np.isnan(own[:, j])).tolist():
            if name.removesuffix("_owf") in assumed[i]:
                continue
            value = _shown(float(encoder.scales[j].from_unit(f.x[i, j])), unit)
            said[i].append(f"the {label} is not given; {value} {like}")
    for name in encoder.never:
        if name in words:
            given = [i for i, w in enumerate(words[name]) if w not in (None, "none")]
        elif name in table:
            given = np.flatnonzero(~np.isnan(np.asarray(table[name], dtype=float))).tolist()
        else:
            continue
        for i in given:
            label = _label(name)[0].replace("_", " ")
            said[i].append(f"the {label} was never recorded, so it says nothing yet")
    for name in [str(c) for c in table.columns if _not_learnt_from(str(c))]:
        for i in np.flatnonzero(table[name].notna().to_numpy()).tolist():
            said[i].append(f"{name} is kept with a swatch; shades are not foreseen by it")
    return said


def _of_new_dyestuff(encoder: Encoder, f: Factors, row: int) -> bool:
    return bool(f.levels[row, encoder.words.index("dyestuff")] < 0)


def _not_learnt_from(name: str) -> bool:
    """Whether a column is recorded and no factor: neither one itself nor what one is made of."""
    about = column(name)
    return about is not None and about.kind != "group" and not is_factor(name)


def differs(ours: dict[str, object], theirs: dict[str, object]) -> tuple[str, ...]:
    """What sets our bath apart from theirs: one short phrase for each condition that differs."""
    said = []
    for name, a in ours.items():
        b = theirs.get(name)
        if name not in theirs or a is None or b is None or a == b:
            continue
        label, unit = _label(name) if name in _NUMBERS else (name.replace("_", " "), "")
        label = {"modifier": "after-bath"}.get(label, label)
        if isinstance(a, int | float) and isinstance(b, int | float):
            if np.isnan(a) or np.isnan(b) or _shown(a, unit) == _shown(b, unit):
                continue
            said.append(f"{label} {_shown(a, unit)} instead of {_shown(b, unit)}")
        else:
            said.append(f"{label} {a} instead of {b}")
    return tuple(said)
