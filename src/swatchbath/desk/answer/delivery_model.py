"""Deliveries of dyestuffs on record, and the model for a question that names one.

A delivery with one to five swatches of its own, beside a better-known one of its dyestuff, is
taken as checked: the model learns from the other swatches and is corrected by those few.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from ...colorimetry.measurement import Measurement
from ...conditions.table import in_a_vat
from ...conditions.vocabulary import meaning
from ...errors import BadValue, NotEnoughSwatches
from ...library import Library
from ...predict.delivery.correction import NewLot, unchecked_lot
from ...predict.delivery.lots import CHECKS
from ...predict.shades import Shades
from .learn import LibraryModel, learn_rows


@dataclass(frozen=True, eq=False)
class RecordedDelivery:
    """A delivery on record, as spelled there.

    rows : of the library's table that name it for their first dyestuff. alone : codes of the
    swatches dyed with it and no other dyestuff; together : codes of the others.
    """

    dyestuff: str
    name: str
    rows: np.ndarray[Any, np.dtype[np.intp]]
    alone: tuple[str, ...]
    together: tuple[str, ...]

    def is_of(self, dyestuff: str) -> bool:
        """Whether it is a delivery of this dyestuff, however that is spelled."""
        return meaning("dyestuff", self.dyestuff) == meaning("dyestuff", dyestuff)

    def is_called(self, name: str) -> bool:
        """Whether this is its name, however that is spelled."""
        return meaning("dyestuff_lot", self.name) == meaning("dyestuff_lot", name)

    @property
    def few(self) -> bool:
        """Whether its swatches are few enough to check it and not to be learnt from."""
        return len(self.alone) + len(self.together) <= CHECKS[1] and bool(self.alone)

    def new_beside(self, known: tuple[RecordedDelivery, ...]) -> bool:
        """Whether it has few swatches and another delivery of its dyestuff has more."""
        others = [d for d in known if d.is_of(self.dyestuff) and not d.is_called(self.name)]
        return self.few and any(len(d.alone) > len(self.alone) for d in others)


@dataclass(frozen=True, eq=False)
class DeliveryNote:
    """What a question's answer says of a delivery that it names. lot : what the model was given of
    it; None where it is answered from what is on record as it is."""

    name: str
    words: str
    dyestuff: str | None = None
    checks: tuple[str, ...] = ()
    lot: NewLot | None = None

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "name": self.name,
            "dyestuff": self.dyestuff,
            "words": self.words,
            "corrected": self.lot is not None and self.lot.checks > 0,
            "checks": list(self.checks),
            "new_lot": None if self.lot is None else self.lot.as_dict(),
        }


@dataclass(frozen=True, eq=False)
class DeliveryModel:
    """The model for a question. limits : asked, with the dyestuff of a corrected delivery."""

    learnt: LibraryModel
    limits: dict[str, Any]
    deliveries: tuple[DeliveryNote, ...] = ()


def deliveries_on_record(conditions: pd.DataFrame) -> tuple[RecordedDelivery, ...]:
    """The named deliveries in the library's table; swatches dyed in a vat do not count."""
    if not {"dyestuff", "dyestuff_lot"} <= set(conditions.columns):
        return ()
    found: dict[tuple[str, str], list[int]] = {}
    vats = in_a_vat(conditions)
    both = zip(conditions["dyestuff"], conditions["dyestuff_lot"], strict=True)
    for i, (dyestuff, name) in enumerate(both):
        if isinstance(dyestuff, str) and isinstance(name, str) and not vats[i]:
            key = meaning("dyestuff", dyestuff), meaning("dyestuff_lot", name)
            found.setdefault(key, []).append(i)
    single = alone(conditions)
    codes = [str(c) for c in conditions["swatch"]]
    out = []
    for rows in found.values():
        where = np.array(rows, dtype=np.intp)
        out.append(
            RecordedDelivery(
                str(conditions["dyestuff"].iloc[rows[0]]),
                str(conditions["dyestuff_lot"].iloc[rows[0]]),
                where,
                tuple(dict.fromkeys(codes[i] for i in rows if single[i])),
                tuple(dict.fromkeys(codes[i] for i in rows if not single[i])),
            )
        )
    return tuple(out)


def of_another(known: tuple[RecordedDelivery, ...], dyestuff: str, name: str) -> str:
    """Another dyestuff that has a delivery of this name; "" where there is none."""
    found = [d for d in known if d.is_called(name) and not d.is_of(dyestuff)]
    return found[0].dyestuff if found else ""


def alone(conditions: pd.DataFrame) -> np.ndarray[Any, np.dtype[np.bool_]]:
    """(n,) whether a row was dyed with its first dyestuff and no other."""
    out = np.ones(len(conditions), dtype=bool)
    for name in conditions.columns:
        if re.fullmatch(r"dyestuff_[2-9]", str(name)):
            cells = conditions[name]
            out &= [not isinstance(v, str) or meaning(str(name), v) == "none" for v in cells]
    return out


def corrected(
    library: Library,
    conditions: pd.DataFrame,
    measured: list[Measurement],
    delivery: RecordedDelivery,
) -> tuple[LibraryModel, NewLot]:
    """The model of all but a new delivery's swatches, and what these say of it.

    Of each swatch its latest dry reading counts, for two of one swatch are no two pots. Raises
    NotEnoughSwatches where the others are too few.
    """
    learnt = learn_others(library, conditions, measured, delivery)
    swatches = [library.swatch(code) for code in delivery.alone]
    readings = [s.measured for s in swatches if s.measured is not None]
    lot = learnt.model.new_lot(delivery.name, [s.conditions for s in swatches], readings)
    return learnt, lot


def learn_others(
    library: Library,
    conditions: pd.DataFrame,
    measured: list[Measurement],
    delivery: RecordedDelivery,
) -> LibraryModel:
    """The model of all rows that do not name a delivery."""
    others = np.setdiff1d(np.arange(len(conditions)), delivery.rows)
    return learn_rows(
        library,
        conditions.iloc[others].reset_index(drop=True),
        [measured[i] for i in others],
        whole=False,
    )


def learn_for(library: Library, limits: Mapping[str, Any]) -> DeliveryModel:
    """The model for a question, corrected for a delivery it names that was only checked; one that
    was never checked is predicted as the best known of its dyestuff, with more doubt.

    limits : limits or a bath, as {column: value, choices or range}. A delivery that has enough
    swatches of its own, or none better known beside it, is learnt as all else. Raises
    NotEnoughSwatches under 12 usable swatches, BadValue where a name that is on no swatch comes
    without its dyestuff.
    """
    conditions, measured, _ = library.table()
    named = _words(limits.get("dyestuff_lot"))
    names = [w for w in named if meaning("dyestuff_lot", w) != "none"]
    if not names or conditions.empty:
        return DeliveryModel(learn_rows(library, conditions, measured), dict(limits))
    on_record = deliveries_on_record(conditions)
    dyestuffs = _words(limits.get("dyestuff"))
    mine = [d for d in on_record if not dyestuffs or any(d.is_of(w) for w in dyestuffs)]
    unseen = [n for n in names if not any(d.is_called(n) for d in on_record)]
    dyed = sorted({d.dyestuff for d in on_record})
    if unseen and not dyestuffs and len(dyed) > 1:
        raise BadValue(
            f"No swatch on record was dyed with {unseen[0]}, and it is not said of which dyestuff "
            f"it is a delivery; add dyestuff={dyed[0]} or another of {', '.join(dyed)}."
        )
    notes: list[DeliveryNote] = []
    chosen: list[RecordedDelivery] = []
    for name in names:
        here = [d for d in mine if d.is_called(name)]
        if not any(d.alone for d in here):
            notes.append(_never_checked(name, dyestuffs))
            continue
        chosen += here
    new = [d for d in chosen if d.new_beside(on_record)]
    why = _not_corrected(new, chosen, on_record) if new else ""
    if new and not why:
        try:
            learnt, lot = corrected(library, conditions, measured, new[0])
        except NotEnoughSwatches:
            why = "without them too few are left to learn from"
        else:
            found = DeliveryNote(
                new[0].name, _corrected_words(new[0], lot), lot.dyestuff, new[0].alone, lot
            )
            return DeliveryModel(
                replace(learnt, model=Shades.of(lot.fit)),
                dict(limits) | {"dyestuff": new[0].dyestuff},
                (found, *notes),
            )
    learnt = learn_rows(library, conditions, measured)
    if len(names) == 1 and len(dyestuffs) == 1 and _unseen(on_record, dyestuffs[0], names[0]):
        lot = unchecked_lot(learnt.model.fit_, dyestuffs[0], names[0])
        found = replace(notes[0], words=_unchecked_words(lot), lot=lot)
        return DeliveryModel(replace(learnt, model=Shades.of(lot.fit)), dict(limits), (found,))
    notes = [
        *(DeliveryNote(d.name, _plain_words(d, why), d.dyestuff, d.alone) for d in new),
        *notes,
    ]
    return DeliveryModel(learnt, dict(limits), tuple(notes))


def _unseen(known: tuple[RecordedDelivery, ...], dyestuff: str, name: str) -> bool:
    """Whether a name is on no swatch, and another delivery of the dyestuff can stand for it."""
    others = any(d.is_of(dyestuff) and d.alone for d in known)
    return others and not any(d.is_called(name) for d in known)


def _unchecked_words(lot: NewLot) -> str:
    verb = f"swatchbath delivery {quoted(lot.dyestuff)} {quoted(lot.name)}"
    return (
        f"{lot.dyestuff} {lot.name} was never checked: it is taken to be as {lot.like}, with the "
        f"doubt of how deliveries differ; {verb} names check swatches for it."
    )


def _words(given: Any) -> list[str]:
    """The words of a limit or a cell."""
    if isinstance(given, str):
        return [given]
    return [w for w in given if isinstance(w, str)] if isinstance(given, list | tuple) else []


def _never_checked(name: str, dyestuffs: list[str]) -> DeliveryNote:
    dyestuff = dyestuffs[0] if len(dyestuffs) == 1 else None
    called = f"{dyestuff} {name}" if dyestuff else name
    verb = f"swatchbath delivery {quoted(dyestuff or 'DYESTUFF')} {quoted(name)}"
    return DeliveryNote(
        name,
        f"{called} was never checked: no swatch on record was dyed with it alone, so what it gives "
        f"is told as for what is on record; {verb} names check swatches for it.",
        dyestuff,
    )


def quoted(word: str) -> str:
    """A word as it is typed in a shell."""
    return f'"{word}"' if " " in word else word


def _not_corrected(
    new: list[RecordedDelivery], chosen: list[RecordedDelivery], known: tuple[RecordedDelivery, ...]
) -> str:
    """Why a new delivery among those chosen is not corrected for; "" where it is."""
    if len(new) > 1 or len({meaning("dyestuff", d.dyestuff) for d in chosen}) > 1:
        return "one new delivery of one dyestuff can be corrected for at a time"
    other = of_another(known, new[0].dyestuff, new[0].name)
    return f"a delivery of {other} has the same name" if other else ""


def _corrected_words(delivery: RecordedDelivery, lot: NewLot) -> str:
    if lot.strange:
        return f"{lot.dyestuff} {delivery.name} {lot.how}."
    count = len(delivery.alone)
    swatches = "check swatch" if count == 1 else "check swatches"
    return f"Corrected for {lot.dyestuff} {delivery.name} by its {count} {swatches}: it {lot.how}."


def _plain_words(delivery: RecordedDelivery, why: str) -> str:
    count = len(delivery.alone)
    swatches = "swatch is" if count == 1 else "swatches are"
    return (
        f"Not corrected for {delivery.dyestuff} {delivery.name}, because {why}; its {count} "
        f"{swatches} learnt from as all others."
    )
