"""Baths that may be suggested: put together from what was dyed, within caps and limits.

A candidate takes its fibre, dyestuff, mordant, after-bath and the rest each from some recorded
bath, so that what belongs together stays together, and then draws its numbers anew within the
range recorded for such a thing, a little beyond at the most, and within the trade's range.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import pandas as pd

from ...bath.caps import Cap, breaks_caps, caps_of
from ...bath.materials import after_baths, is_a, number
from ...conditions.columns import Scale, column
from ...conditions.vocabulary import meaning
from ...errors import BadValue
from ..features.novelty import BEYOND
from .columns import NAMED, Bath, absent, base_of, is_unknown, is_word, owner_of, there
from .limits import Limit, settled, step_of
from .parts import parts_of
from .ranges import ranges_of, spellings, typical_pH

_PACKS = (
    ("fibre", r"fibre|fibre_form|base_[Lab]"),
    ("dyestuff", r"dyestuff(_form|_lot)?(_\d)?|dye_owf(_\d)?|dye_\d_how"),
    ("mordant", r"tannin(_owf)?|mordant(_assist)?(_owf)?"),
    ("modifier", r"modifier(_owf|_pH|_minutes)?(_\d)?"),
    (
        "bath",
        r"assist(_owf)?|pH|temperature_C|minutes|liquor_ratio|bath_number|wash_pH|water|vessel",
    ),
)
# What an after-bath is made up to a pH with.
_BY_PH = ("lye", "soda", "ammonia", "acid")
# How much was dyed, and how sour the bath was at its end, are no choice of a bath.
_NOT_CHOSEN = ("fibre_g", "pot_g", "pH_end")
_STEADY = (
    "base_L",
    "base_a",
    "base_b",
    "fibre_g",
    "pot_g",
    "wash_pH",
)  # not the dyer's to choose per bath
# Share of the numbers drawn anew rather than kept from a recorded bath, when making one and when
# moving one; and how wide a step of pH is in units of its scale (3 to 10). Our own choices.
_REDRAW, _MOVE, _pH_WIDTH = 0.7, 0.6, 7.0


# A dyestuff under so many percent is told to 1 % at the coarsest: 5 % would be a quarter of it.
# Common practice, no source.
_FINE_UNDER = 20.0


class Space:
    """The baths that may be suggested, from the recorded ones, limits, rounding and caps."""

    def __init__(
        self,
        table: pd.DataFrame,
        limits: Mapping[str, Limit],
        rounding: Mapping[str, float],
        *,
        browns: bool = False,
        beyond: float = 0.99 * BEYOND,
    ) -> None:
        names = [str(c) for c in table.columns if c not in _NOT_CHOSEN]
        self.columns = [n for n in names if (a := column(n)) and a.kind != "group"]
        self.rows: list[Bath] = [
            {str(n): v for n, v in row.items() if not is_unknown(v)}
            for row in table[self.columns].to_dict("records")
        ]
        self._rounding, self._browns = dict(rounding), browns
        acts = re.compile("|".join(pattern for _, pattern in _PACKS))
        self._limits, self._needed = settled(limits, rounding, self.rows, acts)
        self._spelling = spellings(self.rows)
        self._ranges = ranges_of(self.rows, beyond)
        self._packs = {name: self._pack(pattern) for name, pattern in _PACKS}

    def _pack(self, pattern: str) -> list[list[Bath]]:
        """Parts of recorded baths that keep to the word limits, grouped by their words."""
        groups: dict[tuple[Any, ...], list[Bath]] = {}
        mine = re.compile(pattern)
        for part in parts_of(self.rows, mine, self._limits, self._ranges, self._needed):
            key = tuple((n, v) for n, v in sorted(part.items()) if isinstance(v, str))
            groups.setdefault(key, []).append(part)
        return list(groups.values())

    # -- making candidates -------------------------------------------------------------------

    def recorded(self) -> list[Bath]:
        """The recorded baths themselves, as far as they may be suggested."""
        # What a row does not name is not put into it: its amount would be missing.
        names = [n for n in self._limits if base_of(n) in NAMED]
        rows = [r for r in self.rows if all(n in r for n in names)]
        return self.allowed([dict(r) for r in rows])

    def draw(self, n: int, rng: np.random.Generator) -> list[Bath]:
        """n tries at new baths; those that may not be suggested are left out."""
        return self.allowed([self._one(rng) for _ in range(n)])

    def near(self, bath: Bath, n: int, width: float, rng: np.random.Generator) -> list[Bath]:
        """n tries at baths like this one, its numbers moved by `width` in scale units (sd)."""
        return self.allowed([self._moved(bath, width, rng) for _ in range(n)])

    def why_none(self) -> BadValue:
        """The error for limits and caps that leave nothing."""
        rng = np.random.default_rng(0)
        tries = [self._limited(self._one(rng), rng, capped=False) for _ in range(200)]
        unkept = [self._unkept(t) for t in tries]
        kept = [t for t, names in zip(tries, unkept, strict=True) if not names]
        found = [breaks_caps(t, browns=self._browns) + self._too_strong(t) for t in kept]
        fewest = min((len(f) for f in found), default=0)  # what stops even the best try
        reasons = Counter(reason for f in found if len(f) == fewest for reason in f)
        if reasons:
            why = reasons.most_common(1)[0][0]
        else:
            nearest = min(unkept, key=len) or sorted(n for n in self._limits if not is_word(n))
            why = f"nothing that you dyed can keep to the limit on {' and '.join(nearest)}"
        if not self._limits:
            return BadValue(
                f"No bath like those on record may be suggested: {why}. Say with a limit what is "
                "to be instead, such as modifier=none where it is of an after-bath."
            )
        return BadValue(f"No bath within these limits may be suggested: {why}. Change that limit.")

    def _one(self, rng: np.random.Generator) -> Bath:
        bath: Bath = {}
        for groups in self._packs.values():
            group = groups[int(rng.integers(len(groups)))]
            bath |= group[int(rng.integers(len(group)))]
        if "pH" in bath and "modifier_pH" in bath:
            bath["_step"] = self._step(bath, rng)
        for name in self._numbers(bath):
            if rng.random() < _REDRAW:
                low, high, scale = self._range(bath, name)
                bath[name] = float(scale.from_unit(rng.uniform(low, high)))
        return bath

    def _moved(self, bath: Bath, width: float, rng: np.random.Generator) -> Bath:
        out = dict(bath)
        if "pH" in bath and "modifier_pH" in bath:
            low, high = self._step_range(bath)
            step = bath["modifier_pH"] - bath["pH"] + _pH_WIDTH * width * rng.normal()
            out["_step"] = float(np.clip(step, low, high)) if high > low else low
        for name in self._numbers(bath):
            if rng.random() < _MOVE:
                low, high, scale = self._range(bath, name)
                u = float(scale.to_unit(bath[name])) + width * rng.normal()
                out[name] = float(scale.from_unit(np.clip(u, low, high)))
        return out

    def _numbers(self, bath: Bath) -> list[str]:
        """The numbers of a bath that may be chosen: those that vary among the recorded ones. One
        without a scale, as a mordant's heat, says nothing of the colour and stays as recorded."""
        names = []
        for name in sorted(n for n, v in bath.items() if not isinstance(v, str) and n[0] != "_"):
            about = column(name)
            if about is None or about.scale is None or base_of(name) in _STEADY:
                continue
            if base_of(name) == "modifier_pH" and "pH" in bath:
                continue
            if bath[name] == 0 and base_of(name).endswith("_owf"):
                continue
            low, high, _ = self._range(bath, name)
            if high > low or name in self._limits:
                names.append(name)
        return names

    def _range(self, bath: Bath, name: str) -> tuple[float, float, Scale]:
        owner = owner_of(name)
        key = (base_of(name), meaning(owner, str(bath.get(owner, ""))) if owner else "")
        about = column(name)
        assert about is not None and about.scale is not None
        low, high = self._ranges.get(key, self._ranges.get((base_of(name), ""), (0.5, 0.5)))
        if key[0] == "modifier_pH" and key not in self._ranges:
            typical = typical_pH(key[1])
            if typical is not None:
                low = high = float(about.scale.to_unit(typical))
        limit = self._limits.get(name)
        if limit and not limit.choices:
            inside = about.scale.to_unit([max(limit.low, 0.0), min(limit.high, 1e6)])
            low, high = max(low, float(inside[0])), min(high, float(inside[1]))
            if low > high:  # the limit lies beyond all that was dyed
                low = high = float(inside[0] if inside[0] >= low else inside[1])
        return low, high, about.scale

    def _step_range(self, bath: Bath) -> tuple[float, float]:
        return self._ranges.get(
            ("_step", meaning("modifier", str(bath.get("modifier", "")))), (0.0, 0.0)
        )

    def _step(self, bath: Bath, rng: np.random.Generator) -> float:
        low, high = self._step_range(bath)
        return float(rng.uniform(low, high)) if high > low else low

    # -- keeping within caps and limits --------------------------------------------------------

    def allowed(self, baths: Sequence[Bath]) -> list[Bath]:
        """The baths moved to within limits, caps and rounding; without those that cannot be."""
        out = []
        rng = np.random.default_rng(0)
        for bath in baths:
            done = self._limited(bath, rng)
            if self._unkept(done) or self._too_strong(done):
                continue
            if not breaks_caps(done, browns=self._browns):
                out.append(done)
        return out

    def _unkept(self, bath: Bath) -> list[str]:
        """The limits that a bath does not keep to; one on an amount that may be 0 is kept by a
        bath without such a treatment."""
        if not self._limits:
            return []
        out = [n for n in self._needed if not there(bath, n)]
        for name, limit in self._limits.items():
            owner = owner_of(name)
            if name not in bath and absent(bath, name) and owner not in self._needed:
                continue
            none = base_of(name).endswith("_owf") and max(limit.choices or (limit.high,)) <= 0
            if not limit.holds(name, bath.get(name, math.nan)) or (none and there(bath, owner)):
                out.append(name)
        return sorted(set(out))

    def _too_strong(self, bath: Bath) -> list[str]:
        """Why its after-baths of acid or alkali are too strong: more than was dyed with such a
        one, and more than is common."""
        reasons = []
        for slot, word in after_baths(bath):
            owf = number(bath, f"modifier_owf{slot}")
            if math.isnan(owf) or not any(is_a(word, m) for m in _BY_PH):
                continue
            about = column("modifier_owf")
            assert about is not None and about.scale is not None
            _, dyed = self._ranges.get(("modifier_owf", meaning("modifier", str(word))), (0, 0.0))
            most = max(about.scale.hi, float(about.scale.from_unit(dyed)))
            if owf > most + 1e-9:
                reasons.append(f"over {most:.3g} % of {word} in an after-bath is not suggested")
        return reasons

    def _limited(self, bath: Bath, rng: np.random.Generator, *, capped: bool = True) -> Bath:
        """The bath moved to within limits, caps and rounding, as far as that can be done."""
        out: Bath = {
            n: self._spelling.get((n, meaning(n, v)), v) if isinstance(v, str) else v
            for n, v in bath.items()
        }
        step = out.pop("_step", None)
        for name, limit in self._limits.items():
            if is_word(name):
                out.setdefault(name, limit.choices[0])
            else:
                self._limit_number(out, name, limit, rng)
        if step is not None and "modifier_pH" not in self._limits:
            # As far from the dye bath as with such an after-bath before, and as sour or alkaline
            # as such an after-bath ever was.
            low, high, scale = self._range(out, "modifier_pH")
            pH = np.clip(scale.to_unit(out["pH"] + step), low, high)
            out["modifier_pH"] = float(scale.from_unit(pH))
        for name in [n for n, v in out.items() if not isinstance(v, str)]:
            out[name] = self.rounded(name, out[name])
        if capped:
            self._cap(out)
        return {n: out[n] for n in sorted(out, key=self._place)}

    def _cap(self, bath: Bath) -> None:
        """Move the numbers to within their caps: heat first, as pH depends on it; of several
        treatments with iron the last gives way first."""
        for _ in range(8):
            broken = [c for c in caps_of(bath, browns=self._browns) if _breaks(bath, c)]
            if not broken:
                return
            rule = next((c for c in broken if c.column == "temperature_C"), broken[-1])
            step = step_of(rule.column, self._rounding)
            low, high = rule.low, rule.high
            if step and math.isfinite(high):
                high = math.floor(high / step + 1e-9) * step
            if step and math.isfinite(low):
                low = math.ceil(low / step - 1e-9) * step
            bath[rule.column] = min(max(bath[rule.column], low), high)

    def _limit_number(self, bath: Bath, name: str, limit: Limit, rng: np.random.Generator) -> None:
        if absent(bath, name):
            if base_of(name).endswith("_owf"):
                bath[name] = 0.0
        elif limit.choices:
            if not limit.holds(name, bath.get(name, math.nan)):
                bath[name] = limit.choices[int(rng.integers(len(limit.choices)))]
        else:
            if name not in bath:
                low, high, scale = self._range(bath, name)
                bath[name] = float(scale.from_unit((low + high) / 2))
            bath[name] = min(max(bath[name], limit.low), limit.high)

    def _place(self, name: str) -> tuple[int, str]:
        return (self.columns.index(name) if name in self.columns else 999, name)

    def rounded(self, name: str, value: float) -> float:
        """A number in the steps asked for, within its limit."""
        step = step_of(name, self._rounding)
        if not step:
            return float(value)
        if base_of(name) == "dye_owf" and value < _FINE_UNDER:
            step = min(step, 1.0)
        near = round(value / step) * step
        limit = self._limits.get(name)
        if limit and not limit.choices and limit.low < limit.high:
            near += step if near < limit.low - 1e-9 else 0.0
            near -= step if near > limit.high + 1e-9 else 0.0
        elif limit:
            return float(value)  # one value was asked for
        if near <= 0 < value and base_of(name).endswith("_owf"):
            near = step
        return float(f"{near:.10g}")


def _breaks(bath: Bath, rule: Cap) -> bool:
    value = number(bath, rule.column)
    return value > rule.high + 1e-9 or value < rule.low - 1e-9
