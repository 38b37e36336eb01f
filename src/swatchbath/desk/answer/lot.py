"""A lot as one colour: the mean of its swatches."""

from __future__ import annotations

import re

import numpy as np

from ...colorimetry.conversion import to_d65_2
from ...colorimetry.difference import delta_e2000
from ...colorimetry.measurement import Measurement
from ...errors import BadValue
from ...library import Library
from ...match.mean import mean_reading
from ..text.parse import Target

_LOT = re.compile(r"lot\s+(.+)", re.IGNORECASE)


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
    codes = library.codes_of_lot(lot)
    if not codes:
        raise BadValue(f"There is no lot {lot} on record; swatchbath find lists what there is.")
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
