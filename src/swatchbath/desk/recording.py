"""Putting swatches with their baths on record: one, or a table of them. All or nothing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pandas as pd

from ..bath.cautions import cautions_for
from ..bath.steps import FIBRE_COLUMNS, steps_of
from ..errors import BadTable, BadValue
from ..library import STATES, Library, read_table
from ..photo import Card, Region, Shot
from ..photo import measure as measure_photo
from ..predict import COLUMNS, check_conditions, column
from .measuring import Progress, measure_all, read_cards, read_marks
from .typed import check_bath, parse_bath, parse_lab, parse_mark
from .wording import records

# Columns of a record's table that are no conditions.
_OURS = ("photo", "name", "state", "lot", "session", "swatch")


@dataclass(frozen=True)
class Recorded:
    """What was put on record. codes : name -> code. questions : things worth a second look.
    left_out : rows whose colour could not be read, with the reason (their bath is on record)."""

    codes: dict[str, str]
    readings: int
    photos: int
    questions: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    shots: Mapping[str, Shot] = field(default_factory=dict, repr=False)

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "codes": self.codes,
            "readings": self.readings,
            "photos": self.photos,
            "questions": list(self.questions),
            "left_out": list(self.left_out),
            "cautions": list(self.cautions),
        }


def record(
    library: Library,
    bath: Mapping[str, str],
    *,
    photo: str | Path | None = None,
    card: Region | None = None,
    card_lab: Any = None,
    swatch: Region | None = None,
    name: str | None = None,
    state: str = "dry",
    encoding: str | None = None,
) -> Recorded:
    """Put one swatch on record with its bath, and its colour when a photo is given."""
    if state not in STATES:
        raise BadValue(f"'{state}' is no state of a swatch; use {', '.join(STATES)}.")
    if (photo is None) != (swatch is None):
        raise BadValue("Give a photo and the swatch's place in it together, or neither.")
    checked = check_bath(bath)
    row = records(checked.table)[0]
    shot = None
    if photo is not None and swatch is not None:
        place = {"swatch": swatch}
        given = None if card is None else Card(card, lab=card_lab)
        shot = measure_photo(photo, card=given, swatches=place, encoding=encoding)
        if "swatch" in shot.refused:
            raise BadValue(f"{shot.refused['swatch']} Nothing was recorded.")
    with library.atomic():
        code, _ = _add(library, row, name)
        if shot is not None and photo is not None and swatch is not None:
            kept = library.add_photo(photo, camera=shot.camera)
            mark = (swatch.x, swatch.y, swatch.half)
            library.add_measurement(code, shot["swatch"], state=state, photo=kept, mark=mark)
    return Recorded(
        {name or code: code},
        readings=int(shot is not None),
        photos=int(shot is not None),
        questions=tuple(_questions(checked.sentences)),
        cautions=tuple(c.sentence for c in cautions_for(row)),
    )


def record_typed(
    library: Library,
    cells: Iterable[str],
    *,
    photo: str | None = None,
    card: str | None = None,
    card_lab: str | None = None,
    swatch: str | None = None,
    name: str | None = None,
    state: str = "dry",
) -> Recorded:
    """`record` with the bath typed as column=value and places as x,y,half."""
    return record(
        library,
        parse_bath(cells),
        photo=photo,
        card=None if card is None else parse_mark(card, what="the card"),
        card_lab=None if card_lab is None else parse_lab(card_lab),
        swatch=None if swatch is None else parse_mark(swatch, what="the swatch"),
        name=name,
        state=state,
    )


def bath_columns() -> list[dict[str, str]]:
    """The columns a bath may have, for help: name, what may stand in it, what it means."""
    return [{"name": c.name, "allowed": c.allowed, "help": c.help} for c in COLUMNS]


def record_table(
    library: Library,
    baths: str | Path,
    *,
    marks: str | Path | None = None,
    photos: str | Path | None = None,
    cards: str | Path | None = None,
    progress: Progress | None = None,
) -> Recorded:
    """Put a table of swatches on record, one row a photographed swatch.

    baths : a CSV with the condition columns, and photo, name, state, lot, session where known.
    marks : a CSV of places (photo, name, kind, x, y, half); without it only baths are recorded.
    photos : the folder of the photos, next to `baths` unless said. cards : the cards' own Lab.
    Every cell and photo is read before the first is written; then all is written, or nothing.
    """
    table = read_table(baths)
    checked = check_conditions(
        table.drop(columns=[c for c in ("state",) if c in table]), first_row=2
    )
    rows = records(checked.table)
    states = [s.strip() or "dry" for s in table.get("state", pd.Series("dry", table.index))]
    names = _names(table)
    for number, state in zip(table.index, states, strict=True):
        if state not in STATES:
            raise BadTable(
                f"Row {number}, column state: '{state}' is not one of {', '.join(STATES)}.",
                row=number,
                column="state",
            )
    _one_bath_each(names, rows, list(table.index))

    shots: dict[str, Shot] = {}
    refused: dict[str, str] = {}
    folder = Path(photos) if photos else Path(baths).parent
    places = read_marks(marks) if marks else {}
    if marks:
        if "photo" not in table.columns:
            raise BadTable(f"{Path(baths).name} has no column photo, so the marks fit no row.")
        wanted = [str(r["photo"]) for r in rows if r.get("photo")]
        shots, refused = measure_all(
            folder,
            places,
            wanted,
            card_labs=read_cards(cards) if cards else None,
            progress=progress,
        )
    codes: dict[str, str] = {}
    left_out: list[str] = []
    readings = 0
    with library.atomic():
        kept = {
            name: library.add_photo(folder / name, camera=shot.camera)
            for name, shot in shots.items()
        }
        for number, row, name, state in zip(table.index, rows, names, states, strict=True):
            if name not in codes:
                codes[name], _ = _add(library, row, name)
            photo = row.get("photo")
            if not marks or not photo:
                continue
            shot = shots.get(photo)
            why = refused.get(photo) if shot is None else shot.refused.get(name)
            if shot is not None and not why and name not in shot:
                why = f"{photo} has no mark for {name}."
            if shot is None or why:
                left_out.append(f"Row {number}, {name}: {why}")
                continue
            place = places[photo].swatches[name]
            mark = (place.x, place.y, place.half)
            library.add_measurement(
                codes[name], shot[name], state=state, photo=kept[photo], mark=mark
            )
            readings += 1
    return Recorded(
        codes,
        readings=readings,
        photos=len(shots),
        questions=tuple(_questions(checked.sentences)),
        left_out=tuple(left_out),
        shots=shots,
    )


def _names(table: pd.DataFrame) -> list[str]:
    if "name" not in table.columns:
        return [f"row {n}" for n in table.index]
    names = [str(n).strip() for n in table["name"]]
    for number, name in zip(table.index, names, strict=True):
        if not name:
            raise BadTable(
                f"Row {number}, column name: the cell is empty. Give every swatch a name, the "
                "same one in every row that shows it.",
                row=number,
                column="name",
            )
    return names


def _one_bath_each(names: list[str], rows: list[dict[str, Any]], numbers: list[int]) -> None:
    """A swatch seen in several photos has one bath: its rows must agree."""
    first: dict[str, tuple[int, dict[str, Any]]] = {}
    for name, row, number in zip(names, rows, numbers, strict=True):
        bath = {k: v for k, v in row.items() if k != "photo" and v == v and v is not None}
        if name not in first:
            first[name] = number, bath
            continue
        other, seen = first[name]
        differs = sorted(k for k in bath.keys() | seen.keys() if bath.get(k) != seen.get(k))
        if differs:
            raise BadTable(
                f"Rows {other} and {number} both tell of {name}, but differ in {differs[0]} "
                f"({seen.get(differs[0], 'empty')} and {bath.get(differs[0], 'empty')}). Make "
                "them agree, or give one another name.",
                row=number,
                column=differs[0],
            )


def _add(library: Library, row: Mapping[str, Any], name: str | None) -> tuple[str, str | None]:
    """One swatch and its lot. The steps go with the swatch: skeins of one pot may have been
    mordanted apart, and a part's after-bath is its own."""
    known = {k: v for k, v in row.items() if v is not None and v == v and k not in _OURS}
    lot = row.get("lot") or None
    if lot:
        library.add_lot([], name=str(lot), session=row.get("session") or None)
    conditions = {k: v for k, v in known.items() if column(k) is not None}
    extra = {k: v for k, v in known.items() if column(k) is None and v != ""}
    code = library.add_swatch(
        name=name,
        lot=str(lot) if lot else None,
        steps=steps_of(conditions),
        fibre={k: v for k, v in conditions.items() if k in FIBRE_COLUMNS},
        extra=extra,
    )
    return code, str(lot) if lot else None


def _questions(sentences: tuple[str, ...]) -> list[str]:
    # name is ours, and needs no word about being kept.
    return [s for s in sentences if not any(f"'{c}'" in s for c in _OURS)]
