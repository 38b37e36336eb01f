"""A dyer's own spreadsheet taken in: what its headings mean, what fits, and what is left out."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from contextlib import ExitStack
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from ...conditions.columns import REQUIRED
from ...errors import BadTable, BadValue, NotFound
from ...library import Library
from ...library.rows.taken import digests as digests_of
from ..keep.export import Progress, is_exported, take_exported
from ..text.bath_words import bath_words
from ..text.notes import note_lines
from ..text.parse import parse_bath
from .agreement import check_agree, check_on_record
from .book import read_book
from .cell_words import ToldRow
from .cells import Cells, cells_of
from .headings import Heading, changed_headings, match_headings
from .row import Row, check_names, rows_of
from .row_steps import steps_told
from .row_writer import cautions_of, describe, existing, made, questions_of, swatch_fields

_SHOWN = 3
_EVERY = 200  # rows between two steps of a progress bar


@dataclass(frozen=True)
class TakeAnswer:
    """What came, or would come, of a table. headings : what each was taken for. preview : the
    first rows as they are read. codes : of the swatches, by row number; empty in a dry run.
    taken : how many rows fit. left_out : (row, reason). taken_before : rows that were taken at
    another time, with the swatches they became. alone : lines that stand alone in the table,
    titles and remarks, which are no swatch."""

    headings: tuple[Heading, ...]
    preview: tuple[dict[str, Any], ...]
    codes: dict[int, str]
    taken: int
    left_out: tuple[tuple[int, str], ...]
    questions: tuple[str, ...]
    cautions: tuple[str, ...]
    general: tuple[str, ...]
    dry_run: bool
    taken_before: dict[int, str] = field(default_factory=dict)
    alone: tuple[tuple[int, str], ...] = ()

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "headings": [h.as_dict() for h in self.headings],
            "preview": list(self.preview),
            "codes": {str(k): v for k, v in self.codes.items()},
            "taken": self.taken,
            "left_out": [{"row": row, "reason": reason} for row, reason in self.left_out],
            "taken_before": {str(k): v for k, v in self.taken_before.items()},
            "stand_alone": [{"row": row, "text": text} for row, text in self.alone],
            "questions": list(self.questions),
            "cautions": [*self.cautions, *self.general],
            "dry_run": self.dry_run,
        }


def take(
    library: Library | str | Path,
    table: str | Path,
    *,
    columns: Iterable[str] = (),
    cells: Iterable[str] = (),
    words: Iterable[str] = (),
    prefix: str = "",
    again: bool = False,
    dry_run: bool = False,
    progress: Progress | None = None,
) -> TakeAnswer | dict[str, Any]:
    """Take in a spreadsheet of baths, or a whole library that `export` wrote.

    table : CSV (commas, semicolons or tabs), XLSX or ODS, one row a swatch, headings in the trade's
    words with or without units; or the folder of an export, which needs a library that is not
    there yet. columns : what headings mean where they were taken for something else
    ("Base=note", "Ink=leave out"). cells : what holds for every row that does not say otherwise
    ("fibre=wool"). words : what words of the cells mean ("Corriedale=wool"). prefix : stands
    before every name. again : also rows that were taken before. dry_run : look only. Rows that
    cannot be are left out with their reason; the others are kept together, or none is. Raises
    BadTable where no row could be read at all.
    """
    if is_exported(table):
        if dry_run or isinstance(library, Library):
            raise BadValue(
                "A whole library is taken into a new folder, and checked before it is made. Name "
                "the folder, and leave the dry run out."
            )
        return take_exported(library, table, progress=progress)
    if Path(table).is_dir():
        raise NotFound(f"{table} is a folder, and none that export wrote. Name a CSV or XLSX.")
    book = read_book(table)
    refused: dict[Any, BadTable] = dict(book.refused)
    headings = match_headings(book.headings, book.groups)
    headings = changed_headings(headings, columns, book.called)
    read = cells_of(
        book, headings, refused, every=parse_bath(cells), words=_words(words), prefix=prefix
    )
    _require(read, book.called, bool(refused))
    with ExitStack() as stack:
        lib = existing(stack, library)
        before = {} if again or lib is None else _taken_before(lib, read.texts)
        for number, (code, day) in before.items():
            refused[number] = BadTable(
                f"it was brought in before, as swatch {code} on {day[:10]}. To take it a "
                "second time on purpose, add --again.",
                row=number,
            )
        fresh = read.table[[n not in before for n in read.table.index]]
        rows, questions = rows_of(fresh, refused=refused)
        rows = _agreeing(_with_lines(rows, read.told, refused), lib, refused)
        codes: dict[int, str] = {}
        if not dry_run and rows:
            lib = made(stack, library, lib)
            lots: set[tuple[str, str | None]] = set()
            digests = dict(zip(read.texts, digests_of(read.texts.values()), strict=True))
            with lib.atomic():
                for i, row in enumerate(rows):
                    if progress and i % _EVERY == 0:
                        progress(i, len(rows), "taking in rows")
                    number = row.number or 0
                    codes[number] = _written(lib, row, lots)
                    lib.note_taken(digests[number], codes[number], book.called, number)
            if progress:
                progress(len(rows), len(rows), "taken in")
    special, general = cautions_of(rows)
    return TakeAnswer(
        read.headings,
        tuple(_shown(row) for row in rows[:_SHOWN]),
        codes,
        len(rows),
        tuple(sorted((int(n), _without_row(str(e))) for n, e in refused.items())),
        # That a column is kept and not used its heading tells.
        (
            *(q for q in questions if _still(q, refused) and not q.startswith("The column '")),
            *questions_of(rows),
        ),
        special,
        general,
        dry_run,
        {number: code for number, (code, _) in before.items()},
        book.alone,
    )


def _require(read: Cells, called: str, some_refused: bool) -> None:
    for name in REQUIRED:
        if name not in read.table and not (some_refused and read.table.empty):
            meant = "; ".join(f"{h.given}: {h.words}" for h in read.headings if h.given)
            raise BadTable(
                f"No heading of {called} means the {name}. If one does, say which: --column "
                f'"its heading={name}"; if all rows have the same, say it once: --set {name}=... '
                f"The headings were read so: {meant}.",
                column=name,
            )


def _taken_before(
    library: Library, texts: Mapping[int, Mapping[str, str]]
) -> dict[int, tuple[str, str]]:
    """Rows that became swatches at another time: the code and the day, by row."""
    digests = dict(zip(texts, digests_of(texts.values()), strict=True))
    known = library.taken(list(digests.values()))
    return {number: known[d] for number, d in digests.items() if d in known}


def _with_lines(
    rows: Iterable[Row], told: Mapping[int, ToldRow], refused: dict[Any, BadTable]
) -> list[Row]:
    """The rows with the treatments that lines and words of theirs tell of."""
    out = []
    for row in rows:
        own = told.get(row.number or 0)
        if own is not None and (own.steps or own.words):
            try:
                row = replace(row, steps=steps_told(own.steps, own.words, row.bath))
            except BadValue as error:
                refused[row.number] = BadTable(f"Row {row.number}, {error}", row=row.number)
                continue
        out.append(row)
    return out


def _words(said: Iterable[str]) -> dict[str, str]:
    """What words of her cells mean, typed as word=meaning."""
    out = {}
    for item in said:
        word, sign, meant = item.rpartition("=")
        if not sign or not word.strip() or not meant.strip():
            raise BadValue(
                f"'{item}' does not say what a word means. Write word=meaning, such as --word "
                '"Corriedale=wool".'
            )
        out[word.strip().casefold()] = meant.strip()
    return out


def _written(library: Library, row: Row, lots: set[tuple[str, str | None]]) -> str:
    """One row on record; lots : those that were written before it, with their days."""
    if row.lot:
        if (row.lot, row.session) not in lots:
            library.add_lot([], name=row.lot, session=row.session)
            lots.add((row.lot, row.session))
    if row.code is None:
        return library.add_swatch(**swatch_fields(row))
    # A code given out before, of which nothing was told yet.
    describe(library, row.code, row)
    return library.swatch(row.code).code


def _agreeing(
    rows: Iterable[Row], library: Library | None, refused: dict[Any, BadTable]
) -> list[Row]:
    """The rows that fit what is on record and the rows before them; the others are refused."""
    kept: list[Row] = []
    first: dict[tuple[str, str], Row] = {}
    for row in rows:
        try:
            (row,) = check_names([replace(row, name=row.name or None)])
            known = check_on_record([row], library)
            for key in (("name", row.name), ("lot", row.lot)):
                if key[1] is not None:
                    before = first.setdefault((key[0], key[1]), row)
                    if before is not row:
                        check_agree([before, row])
                        if key[0] == "name":
                            raise BadTable(f"row {before.number} tells of {row.name} already.")
            if row.code and (known[row.code].has_bath or not row.bath):
                raise BadTable(
                    f"swatch {row.code} is on record already. Correct it there, or empty the cell."
                )
        except (BadTable, BadValue) as error:
            name = ""
            if "on record already" in str(error) and "called" in str(error):
                name = " To put a word before all names of this table, add --prefix."
            refused[row.number] = BadTable(f"{error}{name}", row=row.number)
            continue
        kept.append(_photo_kept(row))
    return kept


def _photo_kept(row: Row) -> Row:
    """The names of a photo and a state, which no colour is read from here, kept beside the bath."""
    days = None if row.days is None else f"{row.days:g}"
    facts = {"photo": row.photo, "state": row.state, "days": days}
    more = {k: v for k, v in facts.items() if v}
    return replace(row, extra=row.extra | more) if more else row


def _shown(row: Row) -> dict[str, Any]:
    groups = {"name": row.name, "lot": row.lot, "part": row.part, "session": row.session}
    facts = {k: v for k, v in groups.items() if v is not None} | row.bath | row.extra
    told = {"row": row.number} | facts | ({"as typed": row.typed} if row.typed else {})
    beside = [f"{name}: {value}" for name, value in row.extra.items()]
    recorded = [*bath_words(row.bath, row.steps), *note_lines(row.bath)]
    return told | {"as_recorded": recorded, "beside": beside}


def _without_row(sentence: str) -> str:
    """The reason without the number that stands before it already."""
    head, _, rest = sentence.partition(", ")
    text = rest if head.startswith("Row ") and head[4:].isdigit() else sentence
    word = re.search(r"'([^']+)' is not a fibre known here", text)
    if word:
        text += f' Or say once what it is: --word "{word[1]}=wool".'
    owner = re.search(r"Say what the (\w+) was, or empty both", text)
    if owner:
        text += f" If it was the same in every row, add --set {owner[1]}=..."
    return text[:1].upper() + text[1:]


def _still(question: str, refused: dict[Any, BadTable]) -> bool:
    """Whether a question is not of a row that was left out."""
    head = question.split(",")[0].split(":")[0]
    return not (head.startswith("Row ") and head[4:].isdigit() and int(head[4:]) in refused)
