"""Rows must agree: with each other about one swatch or lot, and with what is on record."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from ...conditions.vocabulary import meaning
from ...errors import BadTable, BadValue, NotFound
from ...library import Library, Swatch
from .row import Row, bad, cell_words, or_empty


def check_agree(rows: Iterable[Row]) -> None:
    """A swatch seen in several photos has one bath: its rows must agree; so must those of a lot
    about the dye day."""
    swatches: dict[str, Row] = {}
    days: dict[str, Row] = {}
    shown: dict[tuple[str, str], Row] = {}
    for row in rows:
        if row.photo and (row.code or row.name):
            seen = shown.setdefault((str(row.code or row.name), row.photo), row)
            if seen is not row:
                raise bad(
                    row,
                    "photo",
                    f"row {seen.number} tells of {row.code or row.name} in {row.photo} already.",
                    "Keep one of the two rows.",
                )
        if row.lot and row.session:
            first = days.setdefault(row.lot, row)
            if first.session != row.session:
                raise BadTable(
                    f"Rows {first.number} and {row.number} are both of lot {row.lot}, but on two "
                    f"dye days ({first.session} and {row.session}). A lot is one pot on one day: "
                    "mend the column session, or give one of the pots another name in the column "
                    "lot.",
                    row=row.number,
                    column="session",
                )
        if row.code or not row.name:
            continue
        first = swatches.setdefault(row.name, row)
        ours, theirs = row.facts, first.facts
        differs = sorted(k for k in ours | theirs if ours.get(k) != theirs.get(k))
        if differs:
            one, two = (or_empty(r.get(differs[0])) for r in (theirs, ours))
            raise BadTable(
                f"Rows {first.number} and {row.number} both tell of {row.name}, but differ in "
                f"{differs[0]} ({one} and {two}). Make them agree, or give one another name.",
                row=row.number,
                column=differs[0],
            )


def check_on_record(rows: Iterable[Row], library: Library | None) -> dict[str, Swatch]:
    """The swatches on record that rows name, by what was typed; every row must agree with what
    is on record. library : None where there is none yet."""
    found: dict[str, Swatch] = {}
    for row in rows:
        if row.code:
            found[row.code] = _on_record(row, library)
            continue
        if library is None:
            continue
        if row.name and library.has_name(row.name):
            code = library.swatch(row.name).code
            raise bad(
                row,
                "name",
                f"there is a swatch called {row.name} on record already.",
                f"To add a reading to it, name its code {code} "
                + ("with --code" if row.number is None else "in a column swatch")
                + "; else give this one another name.",
            )
        day = library.session_of(row.lot) if row.lot else None
        if day and row.session and day != row.session:
            raise bad(
                row,
                "session",
                f"the lot {row.lot} is on record with the dye day {day}, not {row.session}.",
                "A lot is one pot on one day: mend the day, or give this pot another lot name.",
            )
    return found


def _on_record(row: Row, library: Library | None) -> Swatch:
    try:
        if library is None:
            raise NotFound(f"There is no swatch {row.code} yet, for there is no library yet.")
        swatch = library.swatch(str(row.code))
    except (NotFound, BadValue) as error:
        if row.number is None:
            raise
        raise BadTable(
            f"Row {row.number}, column swatch: {error} The cell names a swatch on record; leave "
            "it empty for a new one.",
            row=row.number,
            column="swatch",
        ) from error
    if not swatch.has_bath:  # only a code or a photo yet: nothing can disagree
        return swatch
    groups = {"lot": swatch.lot, "part": swatch.part, "session": swatch.session}
    recorded = swatch.conditions | groups
    if row.name is not None:
        recorded["name"] = swatch.name
    given = row.facts | ({"name": row.name} if row.name is not None else {})
    for name, value in given.items():
        if value is None or _same(name, value, recorded.get(name)):
            continue
        raise bad(
            row,
            name,
            f"{cell_words(value)} is given, but {swatch.code} is on record with "
            f"{or_empty(recorded.get(name)).replace('empty', 'nothing there')}.",
            "A further reading does not change the bath: leave the cell empty.",
        )
    return swatch


def _same(name: str, one: Any, two: Any) -> bool:
    if isinstance(one, str) and isinstance(two, str):
        return one == two or meaning(name, one) == meaning(name, two)
    return bool(one == two)
