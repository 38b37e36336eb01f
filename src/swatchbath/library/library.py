"""The library: one folder that holds library.sqlite and photos/ (originals, by content hash)."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Mapping, Sequence
from contextlib import AbstractContextManager, closing, nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from ..bath.step import Step
from ..characters import kept as cleaned
from ..colorimetry.lab import Array
from ..colorimetry.measurement import Measurement
from ..errors import BadValue, NotFound
from .beside import Beside
from .clock import stamp
from .connection import copy_database, is_library, reader, refuse_to_make, translate_errors
from .database import Database
from .dump import as_values
from .find import FoundList, check_request, nearest, newest
from .given_out import GivenOut
from .history.changes import NEW, Value
from .judged import Judged
from .kept_pieces import KeptPieces
from .listing import Listing
from .memory import Memory
from .photo_records import PhotoRecords
from .rows import lots, search_index, stages, swatches
from .rows.measurements import add_measurement, check_days, check_mark
from .rows.photo_links import add_shown
from .rows.steps import check_steps
from .rows.swatch import STATES, Swatch, as_json, check_fibre, check_name, check_text

if TYPE_CHECKING:
    import pandas as pd


class Library(Memory, PhotoRecords, GivenOut, KeptPieces, Judged, Listing, Beside):
    """A folder of swatches with their photos, baths and measurements.

    It is opened for writing when something is first written; `writable` says whether it can be. Use
    it as a context manager; several programs may have it open at once.

    Parameters
    ----------
    folder : path
    create : bool
        Make it where it is not there.
    read_only : bool
        Never write to it.

    Raises
    ------
    NotFound
        Where there is none.
    LibraryError
        Where it cannot be opened or written.

    Examples
    --------
    >>> import tempfile
    >>> from swatchbath import Measurement
    >>> folder = tempfile.TemporaryDirectory()
    >>> with Library(folder.name, create=True) as library:
    ...     code = library.add_swatch(name="20a", fibre={"fibre": "wool"})
    ...     library.add_measurement(code, Measurement([62, 12, 48]))
    ...     library.find(lab=[62, 12, 47], k=1)[0][0].name
    '20a'
    >>> folder.cleanup()
    """

    def __init__(
        self, folder: str | Path, create: bool = False, *, read_only: bool = False
    ) -> None:
        if not isinstance(folder, str | os.PathLike):
            raise BadValue(f"{folder!r} is no folder; give the library's path as text.")
        self.folder = Path(folder)
        if not is_library(self.folder) and not create:
            refuse_to_make(self.folder)  # what is left of one is told otherwise
            raise NotFound(
                f"There is no library in {self.folder}. Record a first swatch to start one, or "
                "name the folder with --library."
            )
        self._database = Database(self.folder, create=create, read_only=read_only)
        self._issues: dict[str, None] = {}

    @property
    def writable(self) -> bool:
        """Whether it can be written, or only read."""
        return self._database.writable

    @property
    def issues(self) -> tuple[str, ...]:
        """What was left out so far because it could not be read, one sentence each."""
        return tuple(self._issues)

    def close(self) -> None:
        """Close it; afterwards the folder can be copied as it is."""
        self._database.close()

    def __enter__(self) -> Library:
        return self

    def __exit__(self, *error: object) -> None:
        self.close()

    def atomic(self) -> AbstractContextManager[None]:
        """Everything written inside is kept whole, or nothing of it is. May be nested."""
        return self._database.atomic()

    # Writing

    def add_lot(self, steps: Sequence[Step], **fields: Any) -> str:
        """Record what one pot did; returns the lot's name.

        steps : those of the whole pot, in order. fields : name (given out when absent), session
        (the dye day), note. A lot that is on record already is left as it is when it agrees (a
        dye day that was not known is filled in), and refused when it does not: a name never
        changes meaning.
        """
        whole, given = check_steps(steps), lots.check_fields(fields)
        with self._database.writing() as db:
            name = given["name"]
            there = name is not None and lots.is_lot(db, name) and not lots.all_in_bin(db, name)
            with self._watched("lot", str(name)) if there else nullcontext():
                return lots.add_lot(db, whole, now=stamp(), **given)

    def add_swatch(
        self,
        *,
        name: str | None = None,
        lot: str | None = None,
        part: str | None = None,
        session: str | None = None,
        steps: Sequence[Step] = (),
        fibre: Mapping[str, Any] | None = None,
        extra: Mapping[str, Any] | None = None,
        typed: Mapping[str, str] | None = None,
    ) -> str:
        """Record a swatch and give it a code; returns the code.

        part : a, b, c of a lot split among baths. session : the dye day of a swatch without a lot
        (a lot has its own). steps : its own, after those of its lot. fibre : the columns that
        describe the fibre. extra : columns that are kept and not used. typed : cells as they were
        typed, where that was in other units. Raises BadValue when the name is that of another
        swatch already, or reads as a code or a colour.
        """
        given: dict[str, Any] = {
            "name": check_name(name),
            "lot": check_text(lot, "A swatch's lot"),
            "part": check_text(part, "A swatch's part"),
            "session": check_text(session, "A swatch's session"),
            "steps": check_steps(steps),
            "fibre": check_fibre(fibre),
            "extra": as_json(extra),
            "typed": as_json(typed),
        }
        with self._database.writing() as db:
            key = swatches.add_swatch(db, now=stamp(), **given)
            self._database.note("record", [Value("swatch", key, NEW, None, True, {})])
            self._database.touched.add(key)
            return key

    def describe_swatch(self, swatch: str, **told: Any) -> None:
        """Fill in the bath of a swatch that has a code and nothing told of its bath yet.

        told : what `add_swatch` takes. Raises BadValue where its bath is on record already.
        """
        with self._database.writing() as db:
            key = self._code(db, swatch)
            with self._watched("swatch", key):
                swatches.describe(db, key, **told)

    def continue_swatch(
        self,
        swatch: str,
        steps: Sequence[Step],
        *,
        lot: str | None = None,
        part: str | None = None,
        session: str | None = None,
    ) -> None:
        """Add steps after those of a swatch on record, whose bath is told in stages. lot, part,
        session : as in `add_swatch`, where they were not told yet."""
        with self._database.writing() as db:
            key = self._code(db, swatch)
            with self._watched("swatch", key):
                stages.go_on(db, key, steps, lot=lot, part=part, session=session)

    def add_shown(self, swatch: str, photo: str, what: str = "swatch") -> None:
        """Note that a photo (the id `add_photo` gave) shows a swatch or its pot sheet. what :
        "swatch" or "pot sheet"."""
        with self._database.writing() as db:
            key = self._code(db, swatch)
            self.photo(photo)  # says when it is not there
            with self._watched("swatch", key):
                add_shown(db, key, photo, what, stamp())

    def add_measurement(
        self,
        swatch: str,
        measured: Measurement,
        *,
        state: str = "dry",
        photo: str | None = None,
        mark: Sequence[float] | None = None,
        days: float | None = None,
    ) -> None:
        """Record a reading of a swatch. measured : the reading. state : dry, dry washed, dry
        unwashed or wet. photo : the id `add_photo` gave. mark : x, y, half in that photo, pixels.
        days : since dyeing."""
        if state not in STATES:
            raise BadValue(f"'{state}' is no state of a swatch; use {', '.join(STATES)}.")
        if not isinstance(measured, Measurement):
            raise BadValue("A reading is a Measurement; say Measurement([62, 12, 48]).")
        place, age = check_mark(mark), check_days(days)
        with self._database.writing() as db:
            key = self._code(db, swatch)
            if photo is not None:
                self.photo(photo)  # says when it is not there
            reading = add_measurement(
                db, key, measured, state=state, photo=photo, mark=place, days=age, now=stamp()
            )
            self._database.note("record", [Value("reading", reading, NEW, None, True, {})])
            self._database.touched.add(key)

    # Reading

    def reading(self) -> AbstractContextManager[sqlite3.Connection]:
        """The connection, for reading it through; what SQLite refuses are our sentences."""
        return self._database.reading()

    def copy_database(self, to: Path) -> None:
        """Copy library.sqlite as it is now, without what is half-way through being written. to :
        the new file."""
        with translate_errors(self.folder):
            if not self._database.is_written_to:
                return copy_database(self._database.db, to)
            with closing(reader(self.folder)) as source:
                return copy_database(source, to)

    def __len__(self) -> int:
        with self._database.reading() as db:
            return int(db.execute("SELECT count(*) FROM swatch WHERE binned IS NULL").fetchone()[0])

    def codes(self) -> list[str]:
        """All codes, oldest first."""
        with self._database.reading() as db:
            rows = db.execute("SELECT code FROM swatch WHERE binned IS NULL ORDER BY number")
            return [r["code"] for r in rows]

    def next_codes(self, count: int) -> list[str]:
        """The codes that the next swatches on record will get, in order; count : how many. They are
        not kept free: a swatch recorded meanwhile takes the first."""
        with self._database.reading() as db:
            return swatches.next_codes(db, count)

    def start_codes(self, start: int) -> None:
        """Let the codes of a new library begin at a place of their ring in place of the one it drew
        for itself. start : 0 to 130320. LibraryError once it has given one out."""
        with self._database.writing() as db:
            swatches.start_codes(db, start)

    def swatch(self, key: str) -> Swatch:
        """A swatch. key : its code, or the name the dyer gave it. Raises NotFound."""
        with self._database.reading() as db:
            found = swatches.read_swatch(db, self._code(db, key))
        self._issues |= dict.fromkeys(found.issues)
        return found

    def swatches(self, codes: Sequence[str]) -> list[Swatch]:
        """Swatches by their codes, in their order; those that are not there are left out."""
        with self._database.reading() as db:
            found = swatches.read_swatches(db, codes)
        self._issues |= dict.fromkeys(issue for s in found for issue in s.issues)
        return found

    def has_name(self, name: str) -> bool:
        """Whether a swatch on record is called so (name)."""
        with self._database.reading() as db:
            return swatches.by_name(db, cleaned(name).strip()) is not None

    def as_values(self) -> dict[str, Any]:
        """Every record as values JSON can hold; `from_values` makes a library of them."""
        with self._database.reading() as db:
            return as_values(db)

    def table(self) -> tuple[pd.DataFrame, list[Measurement], Array]:
        """What can be learned from: one row a dry measurement of a swatch with a bath.

        Returns conditions (the contract's columns, with swatch, lot, session and photo), the
        measurements, and their covariances (n, 3, 3). Wet readings are left out: the colour wet
        is not the colour dry.
        """
        import pandas as pd

        rows: list[dict[str, Any]] = []
        measured: list[Measurement] = []
        with self._database.reading() as db:
            on_record = swatches.read_swatches(db, self.codes())
        self._issues |= dict.fromkeys(issue for s in on_record for issue in s.issues)
        for swatch in on_record:
            if "dyestuff" not in swatch.conditions or "fibre" not in swatch.conditions:
                continue
            for state, _, reading in swatch.measurements:
                if state == "wet":
                    continue
                groups = {
                    "swatch": swatch.code,
                    "lot": swatch.lot,
                    "session": swatch.session,
                    "photo": reading.photo,
                }
                rows.append(swatch.conditions | groups)
                measured.append(reading)
        table = pd.DataFrame(rows)
        covariances = np.array([m.covariance for m in measured]).reshape(-1, 3, 3)
        return table, measured, covariances

    def find(self, text: str | None = None, *, lab: Any = None, k: int = 10) -> FoundList:
        """Swatches that hold all the words of a text, or nearest to a colour, or both; nearest or
        newest first, at most k. lab : (3,), CIELAB D65/2. Raises BadValue."""
        colour, words = check_request(lab, text, k)
        with self._database.reading() as db:
            known = not words and self._database.colours.is_current(db)
            asked = words or colour is not None
            to_make = search_index.missing(db) if asked and not known else []
            unkept = self._database.make_entries(to_make)
            if colour is None:
                found = newest(db, words, unkept, k)
            else:
                found = nearest(db, colour, words, unkept, k, self._database.colours)
        self._issues |= dict.fromkeys(issue for s, _ in found for issue in s.issues)
        if colour is None:
            return found
        # A reading that was damaged since it was noted how near it is, is an issue and no answer.
        return FoundList(both for both in found if both[0].measured is not None)
