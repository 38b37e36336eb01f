"""The history of a shade: the lots judged by its kept piece, in order, and whether it drifts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

import numpy as np

from ...colorimetry.difference import delta_e2000, local_metric
from ...colorimetry.lab import Array
from ...colorimetry.measurement import FROM_PHOTO_TO_PHOTO, Measurement, cross_covariance
from ...library import KeptPiece, Library, Swatch
from ...match.drift import Point, history
from ...predict.search.precedents import differs_in
from ..text.bath_words import bath_words
from ..text.wording import counted, screen
from .lots import bath_facts, recipe_of, side_by_side, way_of
from .spread import SpreadAnswer

# So few lots do not tell a drift: the smoothed difference has not reached a lasting one yet. Our
# own choice.
_FEW = 3
# A direction that makes up this share of a difference (CIEDE2000 squared) is what it mostly is.
_MOSTLY = 0.6


@dataclass(frozen=True, eq=False)
class HungLot:
    """A lot of the history. called : as lots are. swatches : of it. lab : as read. point : how the
    shade stands by then. in_one_photo : whether it lay beside the kept piece."""

    called: str
    swatches: tuple[Swatch, ...]
    lab: Array
    point: Point
    in_one_photo: bool

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "called": self.called,
            "codes": [s.code for s in self.swatches],
            "lab": self.lab.tolist(),
            "drifts": self.point.drifts,
            "words": self.point.words,
            "dL_dC_dH": list(self.point.parts),
            "begins_anew": self.point.first,
            "in_one_photo": self.in_one_photo,
        } | screen(self.lab)


@dataclass(frozen=True, eq=False)
class ShadeHistory:
    """The lots judged by a kept piece, oldest first. leads : what sets the bath of the lot that
    drifted apart, on record."""

    lots: tuple[HungLot, ...]
    leads: tuple[str, ...] = ()

    @property
    def drifts(self) -> bool:
        """Whether the shade has drifted by the last lot."""
        return bool(self.lots) and self.lots[-1].point.drifts

    @property
    def words(self) -> str:
        """Whether the shade drifts, in words."""
        if not self.lots:
            return ""
        last, count = self.lots[-1], counted(len(self.lots), "lot")
        if last.point.drifts:
            since = next(
                x for i, x in enumerate(self.lots) if all(y.point.drifts for y in self.lots[i:])
            )
            when = "" if since is last else f" since {_lot(since.called)}"
            return (
                f"The shade has drifted{when}: of late its lots come out {last.point.words} than "
                f"the kept piece{_mostly(last.point)}."
            )
        run = 0
        for lot in reversed(self.lots):
            run += 1
            if lot.point.first:
                break
        if run < _FEW:
            anew = (
                " They are read in another way than those before, so the history begins anew; lay "
                "the kept piece beside each lot, and it goes on."
                if run < len(self.lots)
                else ""
            )
            return f"{counted(run, 'lot')} do{'es' if run == 1 else ''} not tell a drift yet.{anew}"
        return f"The shade holds: none of its {count} shows it drifting from the kept piece."

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "lots": [lot.as_dict() for lot in self.lots],
            "drifts": self.drifts,
            "words": self.words,
            "leads": list(self.leads),
        }


def shade_history(library: Library, piece: KeptPiece, normal: SpreadAnswer) -> ShadeHistory:
    """The history of a shade. normal : how much lots usually differ."""
    by: dict[str, list[Swatch]] = {}
    for swatch in library.swatches(_there(library, piece.judged)):
        if swatch.measured is not None:
            by.setdefault(swatch.lot or swatch.name or swatch.code, []).append(swatch)
    lots = _in_time(by)
    kept = library.swatches(_there(library, piece.codes))
    kept = [s for s in kept if s.measured is not None]
    if not lots:
        return ShadeHistory(())
    read = [side_by_side(swatches, kept, piece.colour) for _, swatches in lots]
    anew = [
        i > 0 and not beside and way_of(lot) != way_of(read[i - 1][0])
        for i, (lot, _, beside) in enumerate(read)
    ]
    points: list[Point] = []
    starts = [i for i in range(len(read)) if i == 0 or anew[i]]
    for start, end in zip(starts, [*starts[1:], len(read)], strict=True):
        points += points_of(read[start:end], normal)
    hung = tuple(
        HungLot(called, tuple(swatches), lot.lab, point, beside)
        for (called, swatches), (lot, _, beside), point in zip(lots, read, points, strict=True)
    )
    leads = _leads(hung[-1].swatches[0], kept, hung) if hung and hung[-1].point.drifts else ()
    return ShadeHistory(hung, leads)


def _lot(called: str) -> str:
    """A lot in a sentence; one that is called "lot 7" already as it is."""
    return called if called.casefold().startswith("lot ") else f"lot {called}"


def _there(library: Library, codes: Sequence[str]) -> list[str]:
    on_record = set(library.codes())
    return [c for c in codes if c in on_record]


def _in_time(by: dict[str, list[Swatch]]) -> list[tuple[str, list[Swatch]]]:
    """Lots by their dye days where all of them are known, else as they were judged."""
    lots = list(by.items())
    days = []
    for _, swatches in lots:
        try:
            days.append(date.fromisoformat(swatches[0].session or ""))
        except ValueError:
            return lots
    order = sorted(range(len(lots)), key=lambda i: days[i])
    return [lots[i] for i in order]


def points_of(
    read: Sequence[tuple[Measurement, Measurement, bool]], normal: SpreadAnswer
) -> list[Point]:
    """One stretch of the history, on the differences to the kept piece: what is wrong with both
    alike cancels, and what is wrong with all differences alike counts once. Each lot is judged by
    what was known of the spread by then."""
    n = len(read)
    errors = np.zeros((n, n, 3, 3))
    for i in range(n):
        for j in range(i + 1):
            (a, s, _), (b, t, _) = read[i], read[j]
            one = _in_common(a, b) - _in_common(a, t)
            errors[i, j] = one - _in_common(s, b) + _in_common(s, t)
            errors[j, i] = errors[i, j].T
    off = ~np.eye(n, dtype=bool)
    common = _proper(errors[off].mean(axis=0)) if n > 1 else np.zeros((3, 3))
    own = np.array([_proper(errors[i, i] - common) for i in range(n)])
    standard = read[-1][1].lab
    labs = np.array([standard + lot.lab - kept.lab for lot, kept, _ in read])
    points = []
    for k in range(1, n + 1):
        usual = _with_its_own(normal, standard, labs[:k], own[:k])
        spread = own[:k] + usual.covariance_at(standard)
        points.append(history(standard, labs[:k], spread, common=common, degrees=usual.degrees)[-1])
    return points


def _in_common(a: Measurement, b: Measurement) -> Array:
    """(3, 3): what the errors of two readings have in common, with that of the photo both are from,
    as `difference_covariance` counts it."""
    one = a.photo is not None and a.photo == b.photo
    return cross_covariance(a, b) + FROM_PHOTO_TO_PHOTO**2 * one * np.eye(3)


def _with_its_own(normal: SpreadAnswer, standard: Array, labs: Array, own: Array) -> SpreadAnswer:
    """How much lots differ, by what is usual and by how far each lies from the one before it, which
    a lasting change moves once. labs (k, 3); own (k, 3, 3) : of the readings. Together they give
    under 5 % false alarms in 20 lots that scatter by 1.6 where 1.0 is usual, and catch 96 % of
    shifts of 3 within 6 lots that scatter by 1.0, 72 % by 1.6 (tests/studies/score_drift.py)."""
    steps = len(labs) - 1
    if steps < 1:
        return normal
    metric = local_metric(standard)
    apart = np.diff(labs, axis=0)
    read = np.einsum("kij,ij->k", own[1:] + own[:-1], metric).sum()
    seen = (np.einsum("ki,ij,kj->", apart, metric, apart) - read) / (6 * steps)
    # Neighbours share a lot, so that they tell as much as two thirds of as many repeats.
    count = 2 / 3 * steps
    pot = (normal.pot * normal.degrees + max(float(seen), 0.0) * count) / (normal.degrees + count)
    return replace(normal, pot=pot, degrees=normal.degrees + count)


def _proper(matrix: Array) -> Array:
    """The nearest covariance."""
    values, vectors = np.linalg.eigh((matrix + matrix.T) / 2)
    return np.asarray(vectors * np.maximum(values, 0) @ vectors.T)


def _mostly(point: Point) -> str:
    """What of depth, strength and hue most of it is; "" where no one of them."""
    at, (dL, dC, dH) = point.standard, point.parts
    chroma = max(float(np.hypot(at[1], at[2])), 1e-6)
    way = np.array([0, at[1], at[2]]) / chroma
    turn = np.array([0, -at[2], at[1]]) / chroma
    steps = {"depth": np.array([dL, 0, 0]), "strength of colour": dC * way, "hue": dH * turn}
    size = {name: float(delta_e2000(at, at + step)) ** 2 for name, step in steps.items()}
    name, most = max(size.items(), key=lambda item: item[1])
    return f", mostly in {name}" if most > _MOSTLY * sum(size.values()) else ""


def _leads(newest: Swatch, kept: Sequence[Swatch], hung: Sequence[HungLot]) -> tuple[str, ...]:
    """What sets the newest lot's bath apart from the kept piece's, or the first lot's."""
    before = kept[0] if kept else hung[0].swatches[0]
    whose = "the kept piece" if kept else _lot(hung[0].called)
    if before.code == newest.code:
        return ()
    found = differs_in(bath_facts(newest), bath_facts(before))
    if not found:
        same = recipe_of(newest) == recipe_of(before)
        return (
            "Nothing in the bath records tells why: they are the same."
            if same
            else "What differs in the bath records was told of one of them only: "
            f"{' '.join(bath_words(newest.conditions, newest.steps, brief=True))}",
        )
    return (
        f"In the bath records the latest lot has, beside {whose}: {', '.join(found)}. These are "
        "leads, not causes.",
    )
