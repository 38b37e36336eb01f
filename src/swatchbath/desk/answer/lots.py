"""Swatches of one lot as one: which bath they had, and their colour together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from ...colorimetry.conversion import to_d65_2
from ...colorimetry.measurement import Measurement, is_lasting
from ...conditions.columns import column
from ...errors import BadValue
from ...library import Library, Swatch
from ...match.mean import mean_reading

# Facts of a bath that may differ between repeats of one recipe.
_APART = ("fibre_g", "base_L", "base_a", "base_b", "pot_position", "stock_days", "vat_days")
Bath = tuple[tuple[str, str], ...]


def bath_facts(swatch: Swatch) -> dict[str, Any]:
    """The conditions of a swatch that make its recipe and its deliveries: no groups, no notes."""
    return {
        n: v
        for n, v in swatch.conditions.items()
        if (about := column(n)) is not None and about.kind != "group" and n not in _APART
    }


def recipe_of(swatch: Swatch) -> tuple[Bath, Bath]:
    """Its recipe, and the deliveries of dyestuffs that went into it."""
    facts = [(n, str(v)) for n, v in sorted(bath_facts(swatch).items())]
    delivery = tuple(f for f in facts if "_lot" in f[0])
    return tuple(f for f in facts if "_lot" not in f[0]), delivery


def of_one_lot(library: Library, called: str) -> list[Swatch]:
    """The swatches that a code, a name or a lot means, with a dry reading each. Raises NotFound,
    and BadValue where none is read yet or a lot came out in unlike parts."""
    found = library.swatches(library.codes_of(called))
    read = [s for s in found if s.measured is not None]
    if not read:
        raise BadValue(
            f"{found[0].code if len(found) == 1 else 'The lot ' + called} has no dry reading yet; "
            "photograph it first."
        )
    if len({recipe_of(s) for s in read}) > 1:
        parts = ", ".join(s.name or s.code for s in read)
        raise BadValue(
            f"The lot {called} came out in parts that were not treated alike ({parts}). Name one "
            "of them."
        )
    return read


def dry_readings(swatch: Swatch) -> dict[str | None, Measurement]:
    """Its latest dry reading from each photo (its id), by D65/2; None: from none."""
    return {m.photo: to_d65_2(m) for state, _, m in swatch.measurements if state != "wet"}


def together_of(swatches: Sequence[Swatch], photo: str | None = None) -> Measurement:
    """The colour of swatches with a dry reading as one: by their latest readings, or by those from
    a photo, of those that are in it."""
    if photo is None:
        return mean_reading([to_d65_2(m) for s in swatches if (m := s.measured) is not None])
    seen = [dry_readings(s) for s in swatches]
    return mean_reading([m[photo] for m in seen if photo in m])


def way_of(reading: Measurement) -> tuple[str, tuple[str, ...]]:
    """How a colour was read: on which rung, with which camera and card."""
    return reading.rung, tuple(sorted(s for s in reading.shared if is_lasting(s)))


def side_by_side(
    lot: Sequence[Swatch], piece: Sequence[Swatch], told: Measurement
) -> tuple[Measurement, Measurement, bool]:
    """A lot and a kept piece as they were read, and whether in one photo: in the latest that shows
    both; else each by its latest reading, the piece's rather one that was read as the lot was.

    told : the piece's colour where none of its swatches is on record any more.
    """
    both = photo_of_both(piece, lot)
    if both is not None:
        return together_of(lot, both), together_of(piece, both), True
    seen = together_of(lot)
    if not piece:
        return seen, told, False
    read = []
    for swatch in piece:
        dry = [to_d65_2(m) for state, _, m in swatch.measurements if state != "wet"]
        alike = [m for m in dry if way_of(m) == way_of(seen)]
        read += (alike or dry)[-1:]
    return seen, mean_reading(read), False


def photo_of_both(one: Sequence[Swatch], other: Sequence[Swatch]) -> str | None:
    """The latest photo that shows dry swatches of both, or None."""
    seen: Mapping[str | None, Any] = {p: None for s in one for p in dry_readings(s)}
    both = [p for s in other for p in dry_readings(s) if p is not None and p in seen]
    return both[-1] if both else None
