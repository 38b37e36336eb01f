"""Swatches of one lot as one: which bath they had, and their colour together."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from ...colorimetry.conversion import to_d65_2
from ...colorimetry.difference import delta_e2000
from ...colorimetry.measurement import Measurement, is_lasting
from ...conditions.columns import column
from ...errors import BadValue, NotFound
from ...library import Library, Swatch
from ...match.mean import mean_reading
from ..text.parse import Target

# Facts of a bath that may differ between repeats of one recipe.
_APART = ("fibre_g", "base_L", "base_a", "base_b", "pot_position", "stock_days", "vat_days")
Bath = tuple[tuple[str, str], ...]
_LOT = re.compile(r"lot\s+(.+)", re.IGNORECASE)


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


def lot_named(text: str, library: Library | None) -> str | None:
    """The name of a lot typed as "lot 20"; None where the text is something else."""
    found = _LOT.fullmatch(text.strip())
    if found is None or library is None or library.has_name(text.strip()):
        return None
    return found[1].strip()


def lot_target(library: Library, lot: str, photo: str | None = None) -> Target:
    """The mean of a lot's dry swatches, which have been photographed together with the other's
    where `photo` names such a photo. Raises BadValue where there are none."""
    readings = lot_readings(library, lot)
    if photo is not None:
        readings = [r for r in readings if r.photo == photo]
    readings = [to_d65_2(r) for r in readings]
    n, called = len(readings), f"lot {lot}"
    if n == 1:
        said = f"One swatch stands for {called}; how much it varies is not known."
        return Target(readings[0], readings[0].lab, called, said=(said,))
    labs = np.array([r.lab for r in readings])
    middle = labs.mean(axis=0)
    spread = (labs - middle).T @ (labs - middle) / (n - 1)
    mean = mean_reading(readings, scatter=spread / n)
    apart = float(np.sqrt(np.mean(delta_e2000(labs, middle) ** 2) * n / (n - 1)))
    said = f"Lot {lot} is the mean of {n} swatches, which differ by {apart:.1f} from it."
    return Target(mean, mean.lab, called, said=(said,))


def lot_readings(library: Library, lot: str) -> list[Measurement]:
    """The dry readings of a lot, the latest of each swatch in each photo. Raises BadValue."""
    try:
        codes = library.codes_of(f"lot {lot}")
    except NotFound as error:
        raise BadValue(
            f"There is no lot {lot} on record; swatchbath find lists what there is."
        ) from error
    out: list[Measurement] = []
    for code in codes:
        swatch = library.swatch(code)
        dry = {m.photo: m for state, _, m in swatch.measurements if state != "wet"}
        out.extend(dry.values())
    if not out:
        raise BadValue(f"No swatch of lot {lot} has a dry reading yet; photograph one first.")
    return out


def lots_apart(library: Library, one: str, two: str) -> tuple[Target, Target]:
    """Two lots, by the photo that shows most swatches of both where there is one."""
    first, second = lot_readings(library, one), lot_readings(library, two)
    photos = {m.photo for m in first if m.photo} & {m.photo for m in second if m.photo}

    def shows(photo: str | None) -> int:
        return min(sum(m.photo == photo for m in side) for side in (first, second))

    photo = max(sorted(p for p in photos if p), key=shows, default=None)
    return lot_target(library, one, photo), lot_target(library, two, photo)
