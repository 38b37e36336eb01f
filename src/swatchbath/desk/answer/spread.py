"""How much spread is normal in a dye house: measured from what was repeated there."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from ...colorimetry.conversion import to_d65_2
from ...colorimetry.difference import local_metric
from ...colorimetry.lab import Array
from ...library import Library, Swatch
from ...match.spread import Component, variance_components
from .lots import recipe_of

# Readings that are gone by at the most, those of the recipes repeated most: some seconds.
_MOST = 250
# Swatches named in one sentence.
_NAMED = 6
# How sure the intervals are.
LEVEL = 0.9
# Half of the differences of two, each of three axes with variance 1, are shorter than this: the
# root of twice the median of a chi-square with 3 degrees.
_USUALLY = float(np.sqrt(2 * 2.366))
# What a lot differs by from lot to lot where nothing was repeated yet: standard deviation on each
# axis in units of CIEDE2000. As pots scatter in the made-up houses that the priors of the
# regression were fitted on (tests/studies); common practice, no source. It counts as so many
# repeats beside hers, so that a few of hers that happen to agree do not decide: of 4, 6, 10 and 20
# the one with which a drift is caught best at under 5 % false alarms where lots really scatter by
# 1.6 (tests/studies/score_drift.py).
STARTING_SD, _COUNTS_AS = 1.0, 10
# Of her own repeats so many make the spread hers. Our own choice.
_HERS = 3
# Source of spread -> what it is called, and what it does, with {} for how far.
SOURCES = {
    "reading": ("measuring", "one swatch photographed twice usually reads {} apart"),
    "swatch": ("within a lot", "two swatches of one lot usually lie {} apart"),
    "lot": ("between lots", "two lots of one recipe usually lie {} apart"),
    "delivery": ("between dyestuff lots", "two deliveries of the dyestuff make {} of difference"),
}
_ORDER = ("delivery", "lot", "swatch", "photo")


@dataclass(frozen=True)
class Source:
    """One source of spread. name : of SOURCES. variance : on each axis, in CIEDE2000 squared, with
    its interval at LEVEL; NaN where it cannot be told. apart : how far two usually lie apart by it
    alone, (likely, low, high), CIEDE2000; None where it cannot be told. words : all of it in a
    sentence. again : codes of what to photograph or dye again."""

    name: str
    variance: float
    interval: tuple[float, float]
    words: str
    again: tuple[str, ...] = ()

    @property
    def apart(self) -> tuple[float, float, float] | None:
        """How far two usually lie apart by it alone: likely, low, high."""
        if np.isnan(self.variance):
            return None
        low, high = (_apart(v) for v in self.interval)
        return _apart(self.variance), low, high

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        apart = self.apart
        return {
            "source": SOURCES[self.name][0],
            "usually_apart": None if apart is None else apart[0],
            "interval": None if apart is None else [_finite(apart[1]), _finite(apart[2])],
            "words": self.words,
            "codes": list(self.again),
        }


@dataclass(frozen=True)
class SpreadAnswer:
    """What is normal. sources : as SOURCES has them; none where nothing was repeated. readings,
    recipes, lots : how many it rests on. pot : variance of a lot on each axis, its swatch with it,
    CIEDE2000 squared, hers and the starting value together, and degrees its degrees of freedom;
    repeats : how many repeated lots of hers are in it. left_out : readings that were not gone by.
    """

    sources: tuple[Source, ...]
    readings: int
    recipes: int
    lots: int
    pot: float
    degrees: float
    repeats: int = 0
    left_out: int = 0

    @property
    def is_hers(self) -> bool:
        """Whether the spread of lots is from her own repeats."""
        return self.repeats >= _HERS

    @property
    def lots_apart(self) -> float:
        """How far two lots of one recipe usually lie apart, CIEDE2000."""
        return _apart(self.pot)

    def covariance_at(self, lab: Array) -> Array:
        """(3, 3): what a lot of this colour differs by from lot to lot, in Lab."""
        return np.asarray(self.pot * np.linalg.inv(local_metric(lab)))

    @property
    def words(self) -> tuple[str, ...]:
        """What it rests on, or what to do first."""
        if not self.sources:
            return (
                "Nothing was repeated yet, so nothing tells how much spread is normal for you.",
                "Photograph three of your swatches a second time, on another day; and dye one "
                "recipe again: swatchbath record --like CODE. Then ask again.",
            )
        rests = (
            f"From {self.readings} readings of {self.lots} lots by {self.recipes} "
            f"recipe{'s that were' if self.recipes > 1 else ' that was'} repeated."
        )
        more = f" {self.left_out} further readings were not needed." if self.left_out else ""
        return (
            rests + more,
            "Each line is what that alone does (CIEDE2000, 9 in 10 sure); what you see of two "
            "skeins is all of them together.",
        )

    def tight_words(self, within: float) -> str:
        """That a closeness is tighter than her own spread, or ""."""
        if not self.is_hers or within >= self.lots_apart:
            return ""
        return (
            f"Two of your lots of one recipe usually lie {self.lots_apart:.1f} apart, so closer "
            f"than {within:g} will often be missed however well you dye; dye what must match in "
            "one pot."
        )

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "sources": [s.as_dict() for s in self.sources],
            "readings": self.readings,
            "recipes": self.recipes,
            "lots": self.lots,
            "from_her_repeats": self.is_hers,
            "lots_usually_apart": self.lots_apart,
            "words": list(self.words),
        }


@dataclass(frozen=True, eq=False)
class _Row:
    """A reading of what was repeated: its recipe, delivery, lot, swatch and photo, its Lab."""

    recipe: tuple[Any, ...]
    delivery: tuple[Any, ...]
    lot: str
    swatch: str
    photo: str
    lab: Array


def spread(library: Library) -> SpreadAnswer:
    """How much spread is normal: of measuring, within a lot, between lots and between deliveries
    of a dyestuff, from swatches of equal baths and swatches read more than once."""
    every = _rows(library.swatches(library.codes()))
    rows, left_out = _repeated(every)
    counts = (len(rows), len({r.recipe for r in rows}), len({(r.recipe, r.lot) for r in rows}))
    nothing = SpreadAnswer((), *counts, STARTING_SD**2, _COUNTS_AS, left_out=left_out)
    if len(rows) - counts[1] < 2:
        return nothing
    y = _in_units(rows)
    ids: dict[str, list[object]] = {
        "delivery": [(r.recipe, r.delivery) for r in rows],
        "lot": [(r.recipe, r.lot) for r in rows],
        "swatch": [r.swatch for r in rows],
        "photo": [(r.recipe, r.photo) for r in rows],
    }
    recipe = [r.recipe for r in rows]
    found = _told(y, ids, recipe)
    sources = tuple(_source(name, found, rows) for name in SOURCES)
    pot, repeats = _of_pots(y, ids, recipe)
    pot = (STARTING_SD**2 * _COUNTS_AS + pot * repeats) / (_COUNTS_AS + repeats)
    return SpreadAnswer(sources, *counts, pot, _COUNTS_AS + repeats, repeats, left_out)


def _rows(swatches: Sequence[Swatch]) -> list[_Row]:
    out = []
    for swatch in swatches:
        if "dyestuff" not in swatch.conditions or "fibre" not in swatch.conditions:
            continue
        bath, delivery = recipe_of(swatch)
        for i, (state, photo, reading) in enumerate(swatch.measurements):
            if state == "wet":
                continue
            shown = reading.photo or photo or f"{swatch.code} {i}"
            lot = swatch.lot or swatch.code
            lab = to_d65_2(reading).lab
            out.append(_Row((state, *bath), delivery, lot, swatch.code, shown, lab))
    return out


def _repeated(rows: Sequence[_Row]) -> tuple[list[_Row], int]:
    """Those of recipes with two readings or more, the most repeated first; and how many more there
    are than are gone by."""
    by: dict[tuple[Any, ...], list[_Row]] = {}
    for row in rows:
        by.setdefault(row.recipe, []).append(row)
    many = sorted((g for g in by.values() if len(g) > 1), key=len, reverse=True)
    every = [row for group in many for row in group]
    return every[:_MOST], max(len(every) - _MOST, 0)


def _in_units(rows: Sequence[_Row]) -> Array:
    """(n, 3): off the mean of its recipe, in units of equal difference there."""
    labs = np.array([r.lab for r in rows])
    out = np.empty_like(labs)
    for recipe in {r.recipe for r in rows}:
        of = [i for i, r in enumerate(rows) if r.recipe == recipe]
        middle = labs[of].mean(axis=0)
        out[of] = (labs[of] - middle) @ np.linalg.cholesky(local_metric(middle))
    return out


def _told(
    y: Array, ids: Mapping[str, Sequence[object]], recipe: Sequence[object]
) -> dict[str, Component]:
    """The components by name. Photos that cannot be told from the readings in them, or of which
    each recipe has one, are left out."""
    found = {c.name: c for c in variance_components(y, ids, fixed=recipe, level=LEVEL)}
    other = set(found["photo"].not_told_from)
    if other and not other & {"delivery", "lot", "swatch"}:
        less = {n: v for n, v in ids.items() if n != "photo"}
        found = {c.name: c for c in variance_components(y, less, fixed=recipe, level=LEVEL)}
    return found


def _source(name: str, found: Mapping[str, Component], rows: Sequence[_Row]) -> Source:
    called, does = SOURCES[name]
    parts = [found[n] for n in (("rest", "photo") if name == "reading" else (name,)) if n in found]
    other = {o for c in parts for o in c.not_told_from}
    title = called[0].upper() + called[1:]
    if other:
        how, again = _remedy(name, other - {c.name for c in parts}, rows)
        nan = float("nan")
        return Source(name, nan, (nan, nan), f"{title}: {how}", again)
    variance = sum(c.variance for c in parts)
    ends = (sum(c.interval[0] for c in parts), sum(c.interval[1] for c in parts))
    low, high = _apart(ends[0]), _apart(ends[1])
    upto = f"{high:.1f}" if np.isfinite(high) else "more than can be said"
    far = f"{_apart(variance):.1f}"
    return Source(name, variance, ends, f"{title}: {does.format(far)} ({low:.1f} to {upto}).")


def _remedy(name: str, other: set[str], rows: Sequence[_Row]) -> tuple[str, tuple[str, ...]]:
    """Why a source cannot be told, with what would help, and the codes of what to do it with."""
    codes = list(dict.fromkeys(r.swatch for r in rows))
    if other == {"what its recipe gives"} or not other:
        few = {
            "delivery": "no recipe was dyed with two deliveries yet.",
            "lot": "no recipe was dyed in two lots yet.",
            "swatch": "no lot has two swatches of one bath yet.",
        }
        return few.get(name, "no swatch was read twice yet."), ()
    if "photo" in other or name == "reading" and other & {"lot", "delivery"}:
        lots = {r.lot: r.swatch for r in rows}
        again = tuple(list(lots.values())[:_NAMED])
        do = "cannot be told from one photo to the next: photograph these together in one frame"
    elif name == "reading" or "rest" in other:
        read = [r.swatch for r in rows]
        once = [c for c in codes if read.count(c) == 1]
        again = tuple((once or codes)[:_NAMED])
        do = "cannot be told from measuring: photograph these again"
        if name == "reading":
            do = "cannot be told from swatch to swatch: photograph these again"
    elif other & {"swatch", "lot"} and name in ("swatch", "lot"):
        again = tuple(list({r.lot: r.swatch for r in rows}.values())[:_NAMED])
        do = "a lot and its one swatch cannot be told apart: take a second swatch of these lots"
    else:
        again = tuple(list({r.delivery: r.swatch for r in rows}.values())[:_NAMED])
        do = "lots and deliveries cannot be told apart: dye these again with the same delivery"
    return f"{do}: {', '.join(again)}.", again


def _of_pots(
    y: Array, ids: Mapping[str, Sequence[object]], recipe: Sequence[object]
) -> tuple[float, int]:
    """Variance of a lot with its swatch and delivery, and how many repeated lots tell it: none
    where it cannot be told from measuring."""
    repeats = len(set(ids["lot"])) - len(set(recipe))
    if repeats < 1:
        return 0.0, 0
    found = _told(y, {n: ids[n] for n in ("lot", "photo")}, recipe)
    lot = found["lot"]
    return (0.0, 0) if lot.not_told_from else (lot.variance, repeats)


def _apart(variance: float) -> float:
    return _USUALLY * float(np.sqrt(variance))


def _finite(value: float) -> float | None:
    return value if np.isfinite(value) else None
