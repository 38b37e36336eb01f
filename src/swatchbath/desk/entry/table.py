"""A table of swatches put on record, with the photos that show them. All or nothing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import ExitStack
from dataclasses import replace
from pathlib import Path

from ...errors import BadTable, BadValue
from ...library import Library, Swatch, read_table
from ..photo.in_frame import NOTHING_MORE, InFrame
from ..photo.marks import Marks, read_cards, read_marks
from ..photo.measure import Progress, measure_all
from ..photo.measured import MeasuredPhoto
from ..photo.whose_camera import camera_words, new_unnamed_camera
from . import row_writer
from .agreement import check_agree, check_on_record
from .came_out import all_came_out
from .row import Row, bad, check_names, rows_of


def record_table(
    library: Library | str | Path,
    baths: str | Path,
    *,
    marks: str | Path | None = None,
    photos: str | Path | None = None,
    cards: str | Path | None = None,
    in_frame: InFrame = NOTHING_MORE,
    progress: Progress | None = None,
) -> row_writer.RecordAnswer:
    """Put a table of swatches on record, one row a photographed swatch.

    library : one that is open, or its folder, where one is made once all else is checked.
    baths : a CSV with the condition columns, and photo, name, state, lot, session where known. A
    row whose cell `swatch` holds the code of a swatch on record adds a reading to it; its bath may
    be left out, and must agree where it is told.
    marks : a CSV of places (photo, name, kind, x, y, half; see `read_marks`); without it only baths
    are recorded. photos : the folder of the photos, next to `baths` unless said. cards : the cards'
    own Lab. in_frame : what is told of all photos alike; places stand in the table of marks.
    Every cell and photo is read before the first is written; then all is written, or nothing.
    """
    if not marks and (photos or cards):
        raise BadValue(
            "The folder of photos and the cards' colours are used together with a table of "
            "marks. Give it with --marks, or leave them out."
        )
    if not marks and in_frame.given:
        raise BadValue(
            f"{in_frame.given[0]} tells of photos, and no table of marks says where their swatches "
            "are. Give it with --marks, or leave it out."
        )
    if in_frame.places:
        raise BadValue(
            f"{in_frame.places[0]} says where something lies in one photo, and --baths names a "
            "table of them. Put the place into the table of marks."
        )
    table = read_table(baths)
    rows, questions = rows_of(table)
    rows = check_names(rows)
    check_agree(rows)
    folder = Path(photos) if photos else Path(baths).parent
    unnamed = new_unnamed_camera()
    with ExitStack() as stack:
        lib = row_writer.existing(stack, library)
        known = check_on_record(rows, lib)
        for row in rows:
            if row.code and not (marks and row.photo) and not _fills_in(row, known):
                raise bad(
                    row,
                    "photo",
                    f"swatch {row.code} is on record, and no marked photo is there to add.",
                    "Name the photo and give its marks with --marks, or take the row out.",
                )
        places: dict[str, Marks] = {}
        shots: dict[str, MeasuredPhoto] = {}
        refused: dict[str, str] = {}
        if marks:
            if "photo" not in table.columns:
                raise BadTable(f"{Path(baths).name} has no column photo, so the marks fit no row.")
            places = read_marks(marks)
            rows = _marked(rows, places, known)
            shots, refused = measure_all(
                folder,
                places,
                [row.photo for row in rows if row.photo],
                card_labs=read_cards(cards) if cards else None,
                in_frame=in_frame,
                library=lib,
                unnamed=unnamed,
                progress=progress,
            )
        why = [_not_read(row, bool(marks), shots, refused) for row in rows]
        rows = _keep_unread(rows, why)
        lib = row_writer.made(stack, library, lib, unnamed=unnamed)
        codes: dict[str, str] = {}
        with lib.atomic():
            named: dict[str, dict[str, str]] = {name: {} for name in shots}
            pairs = []
            for row, reason in zip(rows, why, strict=True):
                swatch = known[row.code] if row.code else None
                if swatch is not None:
                    code = swatch.code
                    if _fills_in(row, known) and code not in codes.values():
                        row_writer.describe(lib, code, row)
                elif row.name in codes:
                    code = codes[row.name]
                else:
                    code = row_writer.add(lib, row)
                codes[row.name or code] = code
                if row.photo in shots and row.mark is not None:
                    named[row.photo][row.mark] = code
                if reason is None:
                    pairs.append((row, code, swatch))
            kept = {n: shot.keep(lib, folder / n, named[n]) for n, shot in shots.items()}
            for row, code, swatch in pairs:
                _add_reading(lib, row, code, swatch, places, shots, kept)
        came = all_came_out(lib, (code for _, code, swatch in pairs if swatch is not None))
    special, general = row_writer.cautions_of(
        row for row in rows if not row.code or _fills_in(row, known)
    )
    return row_writer.RecordAnswer(
        codes,
        readings=sum(reason is None for reason in why),
        photos=len(shots),
        questions=(*questions, *row_writer.questions_of(row for row in rows if not row.code)),
        left_out=_left_out(rows, why, bool(marks), places),
        cautions=special,
        general=general,
        notes=(
            *camera_words(shot.camera for shot in shots.values()),
            *(f"{name}: {said}" for name, shot in shots.items() for said in shot.beside),
        ),
        shots={name: shot.shot for name, shot in shots.items()},
        came_out=tuple(came),
    )


def _fills_in(row: Row, known: Mapping[str, Swatch]) -> bool:
    """Whether a row tells the bath of a swatch that only has a code or a photo yet."""
    return bool(row.code and row.bath and not known[row.code].has_bath)


def _add_reading(
    library: Library,
    row: Row,
    code: str,
    swatch: Swatch | None,
    places: Mapping[str, Marks],
    shots: Mapping[str, MeasuredPhoto],
    kept: Mapping[str, str],
) -> None:
    assert row.photo is not None and row.mark is not None
    state = row.state or "dry"
    row_writer.refuse_twice(swatch, kept[row.photo], state, row.photo)
    place = places[row.photo].swatches[row.mark]
    library.add_measurement(
        code,
        shots[row.photo].shot[row.mark],
        state=state,
        photo=kept[row.photo],
        mark=(place.x, place.y, place.half),
        days=row.days,
    )


def _marked(
    rows: Sequence[Row], places: Mapping[str, Marks], known: Mapping[str, Swatch]
) -> list[Row]:
    """The rows with the name of their mark, where there is one."""
    out: list[Row] = []
    taken: dict[tuple[str, str], Row] = {}
    for row in rows:
        if row.photo is None:
            out.append(row)
            continue
        if row.photo not in places:
            raise bad(
                row,
                "photo",
                f"the photo {row.photo} has no marks.",
                "Add rows for its card and swatches to the table of marks.",
            )
        there = places[row.photo].swatches
        if not there:
            raise bad(
                row,
                "photo",
                f"the photo {row.photo} has marks for no swatch.",
                "Add a row for each of its swatches to the table of marks.",
            )
        called = [row.name, row.code]
        if row.code:
            called += [known[row.code].code, known[row.code].name]
        mark = next((c for c in called if c in there), None)
        if mark is None and not any(called):
            if len(there) != 1:
                raise bad(
                    row,
                    "name",
                    f"{row.photo} has marks for {len(there)} swatches, and no name says which of "
                    "them this row tells of.",
                    "Add a column name with the names that stand in the table of marks.",
                )
            mark = next(iter(there))
        if mark is not None:
            first = taken.setdefault((row.photo, mark), row)
            if first is not row:
                raise bad(
                    row,
                    "photo",
                    f"row {first.number} tells of the mark {mark} in {row.photo} already.",
                    "Keep one of the two rows.",
                )
        out.append(replace(row, mark=mark))
    return out


def _not_read(
    row: Row, marks: bool, shots: Mapping[str, MeasuredPhoto], refused: Mapping[str, str]
) -> str | None:
    """Why a row gives no reading; empty where it names no photo, None where it gives one."""
    if row.photo is None or not marks:
        return ""
    if row.photo in refused:
        return refused[row.photo]
    if row.mark is None:
        return f"{row.photo} has no mark for {row.name or row.code}."
    return shots[row.photo].shot.refused.get(row.mark)


def _keep_unread(rows: Sequence[Row], why: Sequence[str | None]) -> list[Row]:
    """The rows with the photo and state of what was not read, kept beside the bath."""
    unread: dict[int, dict[str, list[str]]] = {}
    first: dict[str, int] = {}
    for i, (row, reason) in enumerate(zip(rows, why, strict=True)):
        if reason is None or row.code:
            continue
        to = unread.setdefault(first.setdefault(row.name, i) if row.name else i, {})
        for name, value in (("photo", row.photo), ("state", row.state)):
            if value and value not in to.setdefault(name, []):
                to[name].append(value)
    return [
        replace(row, extra=row.extra | {k: "; ".join(v) for k, v in unread.get(i, {}).items() if v})
        for i, row in enumerate(rows)
    ]


def _left_out(
    rows: Sequence[Row], why: Sequence[str | None], marks: bool, places: Mapping[str, Marks]
) -> tuple[str, ...]:
    """One sentence for each reading that is not on record."""
    named = sum(1 for row in rows if row.photo)
    if not marks:
        if not named:
            return ()
        return (
            f"No table of marks was given, so no colour was read from the photos that {named} "
            f"row{'s name' if named > 1 else ' names'}; their names are kept with the swatches.",
        )
    out = [
        f"Row {row.number}, {row.name or row.code or row.mark}: {reason}"
        for row, reason in zip(rows, why, strict=True)
        if reason
    ]
    used = {(row.photo, row.mark) for row in rows}
    for photo, there in places.items():
        if all(row.photo != photo for row in rows):
            out.append(f"{photo} has marks, and no row names it.")
            continue
        out += [
            f"{photo} has a mark for {name}, and no row tells of that swatch in it."
            for name in there.swatches
            if (photo, name) not in used
        ]
    return tuple(out)
