"""Her own swatches beside what is read: which they are, and what is said of them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ...colorimetry.difference import delta_e2000
from ...colorimetry.measurement import Measurement
from ...errors import BadValue, NotFound
from ...library import Library, Swatch
from ...library.codes import is_code
from ...photo import Region, Shot
from ...photo.correction.own_frame import MOST_BESIDE
from ...photo.correction.which_beside import off_from_record
from .places import Places


@dataclass(frozen=True, eq=False)
class OwnSwatch:
    """A swatch on record that lies in a photo: its code, its place there, and its colour on
    record."""

    code: str
    place: Region
    on_record: Measurement


def own_swatches(
    library: Library | None, photo: str, places: Mapping[str, Region]
) -> dict[str, OwnSwatch]:
    """The swatches on record that were said to lie in a photo (its id), by code or name as typed.

    Raises NotFound or BadValue where one is not on record, or has no dry reading from elsewhere.
    """
    if places and library is None:
        raise BadValue(
            "There is no library to look for the swatches in that lie beside. Name its folder with "
            "--library, or leave --beside out."
        )
    out: dict[str, OwnSwatch] = {}
    for name, place in places.items():
        assert library is not None
        swatch = library.swatch(name)
        reading = reading_elsewhere(swatch, photo)
        if reading is None:
            raise BadValue(
                f"Swatch {name} has no dry reading from another photo, so nothing can be read by "
                "it. Lay another one beside."
            )
        if any(o.code == swatch.code for o in out.values()):
            raise BadValue(f"Swatch {name} is said to lie beside twice; name it once.")
        out[name] = OwnSwatch(swatch.code, place, reading)
    return out


def own_in(library: Library | None, photo: str, places: Places) -> dict[str, OwnSwatch]:
    """The swatches on record that lie beside what is to be read in a photo (its id): those that
    were said to, and those on the photo sheet by their codes.

    Where all that is to be read is on record, none of it lies beside: it is read anew.
    """
    own = own_swatches(library, photo, places.beside)
    wanted, sheet = places.swatches, dict(places.on_sheet)
    if any(sheet.get(name) != place for name, place in wanted.items()):
        # Places were pointed at: what lies there is read, whatever the sheet says of it.
        spots = [np.array([[r.x], [r.y]]) for r in wanted.values()]
        there = {n for n, r in sheet.items() if any(r.covers(*s).any() for s in spots)}
        sheet = {n: r for n, r in sheet.items() if n not in there | wanted.keys()}
    codes = {o.code for o in own.values()}
    by_code = {n: o for n, o in _on_sheet(library, photo, sheet).items() if o.code not in codes}
    if wanted.keys() <= by_code.keys():
        # The sheet's own yarn is there to be read by.
        return own | {n: o for n, o in by_code.items() if n in places.carried}
    return own | by_code


def _on_sheet(
    library: Library | None, photo: str, places: Mapping[str, Region]
) -> dict[str, OwnSwatch]:
    out = {}
    for name in (n for n in places if library is not None and is_code(n)):
        try:
            assert library is not None
            swatch = library.swatch(name)
        except (NotFound, BadValue):
            continue  # a code of another library
        reading = reading_elsewhere(swatch, photo)
        if reading is not None:
            out[name] = OwnSwatch(swatch.code, places[name], reading)
    return out


def reading_elsewhere(swatch: Swatch, photo: str) -> Measurement | None:
    """The latest dry reading of a swatch from another photo than this (its id), or None."""
    dry = [m for state, _, m in swatch.measurements if state != "wet" and m.photo != photo]
    return dry[-1] if dry else None


def nearest_own(
    own: Mapping[str, OwnSwatch], seen: Mapping[str, Measurement], wanted: Iterable[str]
) -> dict[str, OwnSwatch]:
    """As many of them as help, the nearest in colour to what is to be read. seen : every swatch as
    the card alone shows it; wanted : those that are to be read."""
    targets = [seen[n].lab for n in wanted if n in seen]
    if len(own) <= MOST_BESIDE or not targets:
        return dict(list(own.items())[:MOST_BESIDE])

    def off(name: str) -> float:
        if name not in seen:
            return np.inf
        return float(min(delta_e2000(seen[name].lab, t) for t in targets))

    near = set(sorted(own, key=off)[:MOST_BESIDE])
    return {n: o for n, o in own.items() if n in near}


def beside_words(
    shot: Shot, notes: Sequence[str], alone: Mapping[str, Measurement],
    own: Mapping[str, OwnSwatch],
) -> list[str]:  # fmt: skip
    """What to say of a photo that was read beside swatches on record: by which, how sure that makes
    a colour among those on record, and what is wrong with others.

    notes : what the shot notes of it. alone : what the frame shows without them.
    """
    said = [f"{note[0].upper()}{note[1:]}." for note in notes]
    if not shot.beside:
        return said
    read = [n for n in shot if n not in own and n in alone]
    on_record = [own[n].on_record for n in shot.beside]
    words = f"Read beside {listed(shot.beside)}"
    if read:
        now, before = (
            float(np.median([_among(of[n], on_record) for n in read])) for of in (shot, alone)
        )
        card = "with the card alone" if alone[read[0]].rung == "card" else "without them"
        words += f": among your swatches give or take {now:.0f} ({card} {before:.0f})"
    return [f"{words}.", *said]


def _among(reading: Measurement, on_record: Sequence[Measurement]) -> float:
    """A reading's doubt as a colour among those on record: without what is wrong with all alike."""
    return off_from_record(reading, min(on_record, key=lambda m: delta_e2000(m.lab, reading.lab)))


def listed(names: Iterable[str]) -> str:
    """Names in a row: 22a, 07 and 14b."""
    *rest, last = names
    return f"{', '.join(rest)} and {last}" if rest else last
