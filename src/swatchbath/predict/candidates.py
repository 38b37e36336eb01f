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
from functools import lru_cache
from typing import Any

import numpy as np
import pandas as pd

from ..bath.caps import Cap, breaks_caps, caps_of
from ..bath.materials import number
from ..errors import BadValue
from .asked import Allowed
from .columns import Scale, column
from .ranges import (
    Bath,
    absent,
    base_of,
    is_unknown,
    is_word,
    owner_of,
    ranges_of,
    spellings,
)
from .vocabulary import meaning
from .wording import BEYOND

__all__ = ["Bath", "Space", "kind_of"]

_PACKS = (
    ("fibre", r"fibre|fibre_form|base_[Lab]"),
    ("dyestuff", r"dyestuff(_form|_lot)?(_\d)?|dye_owf(_\d)?|dye_\d_how"),
    ("mordant", r"tannin(_owf)?|mordant(_owf)?"),
    ("modifier", r"modifier(_owf|_pH|_minutes)?(_\d)?"),
    (
        "bath",
        r"assist(_owf)?|pH|temperature_C|minutes|liquor_ratio|bath_number|wash_pH|water|vessel",
    ),
)
_STEADY = ("base_L", "base_a", "base_b", "fibre_g", "wash_pH")  # not the dyer's to choose per bath
# Share of the numbers drawn anew rather than kept from a recorded bath, when making one and when
# moving one; and how wide a step of pH is in units of its scale (3 to 10). Our own choices.
_REDRAW, _MOVE, _pH_WIDTH = 0.7, 0.6, 7.0


def kind_of(bath: Mapping[str, Any]) -> tuple[str, ...]:
    """What makes two baths different in kind: fibre, dyestuffs, tannin, mordant, after-bath."""
    return tuple(meaning(n, str(bath.get(n) or "none")) for n in _kind_names(tuple(bath)))


@lru_cache(maxsize=512)
def _kind_names(names: tuple[str, ...]) -> tuple[str, ...]:
    more = sorted(n for n in names if re.fullmatch(r"dyestuff(_\d)?|modifier_\d", n))
    return ("fibre", "tannin", "mordant", "modifier", *more)


class Space:
    """The baths that may be suggested, from the recorded ones, limits, rounding and caps."""

    def __init__(
        self,
        table: pd.DataFrame,
        limits: Mapping[str, Allowed],
        rounding: Mapping[str, float],
        *,
        browns: bool = False,
        beyond: float = 0.99 * BEYOND,
    ) -> None:
        names = [str(c) for c in table.columns]
        self.columns = [n for n in names if (a := column(n)) and a.kind != "group"]
        self.columns = [n for n in self.columns if n != "fibre_g"]
        self.rows: list[Bath] = [
            {str(n): v for n, v in row.items() if not is_unknown(v)}
            for row in table[self.columns].to_dict("records")
        ]
        self._limits, self._rounding, self._browns = dict(limits), dict(rounding), browns
        self._spelling = spellings(self.rows)
        self._ranges = ranges_of(self.rows, beyond)
        self._packs = {name: self._pack(name, pattern) for name, pattern in _PACKS}

    def _pack(self, name: str, pattern: str) -> list[list[Bath]]:
        """Parts of recorded baths that keep to the word limits, grouped by their words."""
        mine = re.compile(pattern)
        groups: dict[tuple[Any, ...], list[Bath]] = {}
        parts = [{n: v for n, v in row.items() if mine.fullmatch(n)} for row in self.rows]
        words = [n for n in self._limits if mine.fullmatch(n) and is_word(n)]
        kept = [p for p in parts if all(self._limits[n].holds(n, p.get(n, "")) for n in words)]
        # A word that was never used: put in place of the recorded one, which takes the amounts.
        for n in words:
            for choice in self._limits[n].choices:
                if any(meaning(n, str(p.get(n, ""))) == meaning(n, choice) for p in kept):
                    continue
                self._dyed(n, choice)
                kept += [self._replaced(p, n, choice, words) for p in parts]
        for part in kept:
            key = tuple((n, v) for n, v in sorted(part.items()) if isinstance(v, str))
            groups.setdefault(key, []).append(part)
        return list(groups.values())

    def _dyed(self, name: str, choice: str) -> None:
        """Refuse a dyestuff that is not on record: nothing can be said of its colour."""
        if base_of(name) != "dyestuff" or meaning(name, choice) == "none":
            return
        slots = [n for n in self.columns if base_of(n) == "dyestuff"]
        wanted = meaning(name, choice)
        if not any(meaning(n, str(r.get(n, ""))) == wanted for r in self.rows for n in slots):
            raise BadValue(
                f"'{choice}' is on none of your swatches, so nothing can be said of its colours. "
                "Dye a few samples with it first, or name a dyestuff you have used."
            )

    def _replaced(self, part: Bath, name: str, choice: str, words: list[str]) -> Bath:
        """The part of a bath with another word in it, without what described the old one."""
        out = {**part, name: choice}
        for other in words:
            if other != name and not self._limits[other].holds(other, out.get(other, "")):
                out[other] = self._limits[other].choices[0]
        if name == "fibre":
            return {n: v for n, v in out.items() if n in words or n == "fibre"}
        if base_of(name) == "dyestuff":
            told = [name.replace("dyestuff", f"dyestuff_{k}", 1) for k in ("form", "lot")]
            out = {n: v for n, v in out.items() if n not in told or n in words}
        return out

    # -- making candidates -------------------------------------------------------------------

    def recorded(self) -> list[Bath]:
        """The recorded baths themselves, as far as they may be suggested."""
        return self._allowed([dict(r) for r in self.rows])

    def draw(self, n: int, rng: np.random.Generator) -> list[Bath]:
        """n tries at new baths; those that may not be suggested are left out."""
        return self._allowed([self._one(rng) for _ in range(n)])

    def near(self, bath: Bath, n: int, width: float, rng: np.random.Generator) -> list[Bath]:
        """n tries at baths like this one, its numbers moved by `width` in scale units (sd)."""
        return self._allowed([self._moved(bath, width, rng) for _ in range(n)])

    def why_none(self) -> BadValue:
        """The error for limits and caps that leave nothing."""
        rng = np.random.default_rng(0)
        tries = [self._limited(self._one(rng), rng, capped=False) for _ in range(200)]
        found = [breaks_caps(t, browns=self._browns) for t in tries]
        fewest = min(len(f) for f in found)  # what stands in the way even of the best try
        reasons = Counter(reason for f in found if len(f) == fewest for reason in f)
        most = f": {reasons.most_common(1)[0][0]}" if reasons else ""
        return BadValue(f"No bath within these limits may be suggested{most}. Change that limit.")

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
        """The numbers of a bath that may be chosen: those that vary among the recorded ones."""
        names = []
        for name in sorted(n for n, v in bath.items() if not isinstance(v, str) and n[0] != "_"):
            if base_of(name) in _STEADY or (base_of(name) == "modifier_pH" and "pH" in bath):
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
        low, high = self._ranges.get(key, self._ranges.get((base_of(name), ""), (0.5, 0.5)))
        about = column(name)
        assert about is not None and about.scale is not None
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

    def _allowed(self, baths: Sequence[Bath]) -> list[Bath]:
        out = []
        rng = np.random.default_rng(0)
        for bath in baths:
            done = self._limited(bath, rng)
            if self._keeps(done) and not breaks_caps(done, browns=self._browns):
                out.append(done)
        return out

    def _keeps(self, bath: Bath) -> bool:
        """Whether a bath keeps to the limits; one on an after-bath that there is not, is moot."""
        for name, limit in self._limits.items():
            if name not in bath and absent(bath, name):
                continue
            if not limit.holds(name, bath.get(name, math.nan)):
                return False
        return True

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
            out[name] = self._rounded(name, out[name])
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
            step = self._rounding.get(rule.column, 0.0)
            low, high = rule.low, rule.high
            if step and math.isfinite(high):
                high = math.floor(high / step + 1e-9) * step
            if step and math.isfinite(low):
                low = math.ceil(low / step - 1e-9) * step
            bath[rule.column] = min(max(bath[rule.column], low), high)

    @staticmethod
    def _limit_number(bath: Bath, name: str, limit: Allowed, rng: np.random.Generator) -> None:
        if absent(bath, name):
            if base_of(name).endswith("_owf"):
                bath[name] = 0.0
        elif limit.choices:
            if not limit.holds(name, bath.get(name, math.nan)):
                bath[name] = limit.choices[int(rng.integers(len(limit.choices)))]
        elif name not in bath:
            bath[name] = (limit.low + limit.high) / 2
        elif name != "modifier_pH" or limit.low == limit.high:
            bath[name] = min(max(bath[name], limit.low), limit.high)

    def _place(self, name: str) -> tuple[int, str]:
        return (self.columns.index(name) if name in self.columns else 999, name)

    def _rounded(self, name: str, value: float) -> float:
        about = column(name)
        step = self._rounding.get(name) or (1.0 if about and about.whole else None)
        if not step:
            return float(value)
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
