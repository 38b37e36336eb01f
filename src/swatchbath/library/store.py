"""The library: one folder that holds library.sqlite and photos/ (originals, by content hash)."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from contextlib import AbstractContextManager
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any

import numpy as np

from ..bath.steps import Step
from ..colorimetry.lab import Array
from ..colorimetry.measured import Measurement
from ..errors import BadValue, NotFound
from . import lots, photos, swatches
from .baths import check_steps
from .connection import is_library
from .database import Database
from .find import Found, rank
from .measurements import add_measurement, check_mark
from .swatch import STATES, Swatch, as_json, check_fibre, check_name, check_text

if TYPE_CHECKING:
    import pandas as pd


def _now() -> str:
    return datetime.now(UTC).isoformat(timespec="seconds")


class Library:
    """A folder of swatches with their photos, baths and measurements.

    folder : where it is. create : make it when it is not there.
    A folder that may not be written in can be read; `writable` says which it is.
    Raises NotFound when there is none, LibraryError when it cannot be opened or written.
    Use it as a context manager; several programs may have it open at once.
    """

    def __init__(self, folder: str | Path, create: bool = False) -> None:
        if not isinstance(folder, str | os.PathLike):
            raise BadValue(f"{folder!r} is no folder; give the library's path as text.")
        self.folder = Path(folder)
        if not is_library(self.folder) and not create:
            raise NotFound(
                f"There is no library in {self.folder}. Record a first swatch to start one, or "
                "name the folder with --library."
            )
        self._database = Database(self.folder)

    @property
    def writable(self) -> bool:
        """Whether it can be written, or only read."""
        return self._database.writable

    def close(self) -> None:
        """Close it; afterwards the folder can be copied as it is."""
        self._database.close()

    def __enter__(self) -> Library:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def atomic(self) -> AbstractContextManager[None]:
        """Everything written inside is kept whole, or nothing of it is. May be nested."""
        return self._database.atomic()

    # Writing

    def add_photo(self, path: str | Path, *, camera: str | None = None) -> str:
        """Keep a copy of a photo under its content's hash; returns the hash (the photo's id).

        The same file added twice is kept once. The copy is complete before the record is made.
        Raises NotFound, or PhotoRefused when the file is no photo.
        """
        photo = photos.read(path)
        check_text(camera, "The camera's name")
        # The file is written under the database's lock: a part that is found there by whoever
        # holds the lock is a leftover.
        with self._database.writing() as db:
            if photos.write(self.folder, photo):
                self._database.added_file(self.folder / photo.file)
            db.execute(
                "INSERT INTO photo VALUES (?, ?, ?, ?, ?) ON CONFLICT (id) DO NOTHING",
                (photo.digest, photo.called, photo.file, camera, _now()),
            )
        return photo.digest

    def add_lot(self, steps: Sequence[Step], **fields: Any) -> str:
        """Record what one pot did; returns the lot's name.

        steps : those of the whole pot, in order. fields : name (given out when absent), session
        (the dye day), note. A lot that is on record already is left as it is when it agrees (a
        dye day that was not known is filled in), and refused when it does not: a name never
        changes meaning.
        """
        whole, given = check_steps(steps), lots.check_fields(fields)
        with self._database.writing() as db:
            return lots.add_lot(db, whole, now=_now(), **given)

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
    ) -> str:
        """Record a swatch and give it a code; returns the code.

        session : the dye day of a swatch without a lot (a lot has its own). steps : its own,
        after those of its lot. fibre : the columns that describe the fibre. extra : columns that
        are kept and not used.
        Raises BadValue when the name is that of another swatch already, or reads as a code or a
        colour.
        """
        given: dict[str, Any] = {
            "name": check_name(name),
            "lot": check_text(lot, "A swatch's lot"),
            "part": check_text(part, "A swatch's part"),
            "session": check_text(session, "A swatch's session"),
            "steps": check_steps(steps),
            "fibre": check_fibre(fibre),
            "extra": as_json(extra),
        }
        with self._database.writing() as db:
            return swatches.add_swatch(db, now=_now(), **given)

    def add_measurement(
        self,
        swatch: str,
        measured: Measurement,
        *,
        state: str = "dry",
        photo: str | None = None,
        mark: Sequence[float] | None = None,
    ) -> None:
        """Record a reading of a swatch. state : one of dry, dry washed, dry unwashed, wet.
        photo : the id `add_photo` gave. mark : x, y, half in that photo."""
        if state not in STATES:
            raise BadValue(f"'{state}' is no state of a swatch; use {', '.join(STATES)}.")
        if not isinstance(measured, Measurement):
            raise BadValue("A reading is a Measurement; say Measurement([62, 12, 48]).")
        place = check_mark(mark)
        with self._database.writing() as db:
            key = swatches.code_of(db, swatch, str(self.folder))
            if photo is not None:
                self.photo(photo)  # says when it is not there
            add_measurement(db, key, measured, state=state, photo=photo, mark=place, now=_now())

    # Reading

    def __len__(self) -> int:
        with self._database.reading() as db:
            return int(db.execute("SELECT count(*) FROM swatch").fetchone()[0])

    def codes(self) -> list[str]:
        """All codes, oldest first."""
        with self._database.reading() as db:
            return [r["code"] for r in db.execute("SELECT code FROM swatch ORDER BY number")]

    def swatch(self, key: str) -> Swatch:
        """A swatch by its code, or by the name the dyer gave it. Raises NotFound."""
        with self._database.reading() as db:
            return swatches.read_swatch(db, swatches.code_of(db, key, str(self.folder)))

    def has_name(self, name: str) -> bool:
        """Whether a swatch on record is called so."""
        with self._database.reading() as db:
            return swatches.by_name(db, name.strip()) is not None

    def session_of(self, lot: str) -> str | None:
        """The dye day of a lot; None where the lot or its day is not on record."""
        with self._database.reading() as db:
            return lots.session_of(db, lot)

    def photo(self, digest: str) -> Path:
        """Where the library keeps a photo."""
        check_text(digest, "A photo's id")
        with self._database.reading() as db:
            row = db.execute("SELECT file FROM photo WHERE id = ?", (digest,)).fetchone()
        if not row:
            raise NotFound(f"There is no photo {str(digest)[:12]} in this library.")
        return self.folder / str(row["file"])

    def orphans(self) -> list[Path]:
        """Photos in the folder that no record names: a kill may leave one whole and unused."""
        with self._database.reading() as db:
            return photos.orphans(self.folder, db)

    def history(self, key: str) -> list[dict[str, Any]]:
        """What is on record about a swatch, oldest first: when, what."""
        found = self.swatch(key)
        events: list[dict[str, Any]] = [{"when": found.added, "what": "recorded"}]
        with self._database.reading() as db:
            for row in db.execute(
                "SELECT added, state, rung FROM measurement WHERE swatch = ? ORDER BY id",
                (found.code,),
            ):
                what = f"measured {row['state']}, rung {row['rung']}"
                events.append({"when": row["added"], "what": what})
        return events

    def table(self) -> tuple[pd.DataFrame, list[Measurement], Array]:
        """What can be learned from: one row a dry measurement of a swatch with a bath.

        Returns conditions (the contract's columns, with swatch, lot, session and photo), the
        measurements, and their covariances (n, 3, 3). Wet readings are left out: the colour wet
        is not the colour dry.
        """
        import pandas as pd

        rows: list[dict[str, Any]] = []
        measured: list[Measurement] = []
        for swatch in self._all():
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

    def find(
        self, lab: Any = None, text: str | None = None, k: int = 10
    ) -> list[tuple[Swatch, Found]]:
        """Swatches nearest to a colour (D65/2 Lab), or that hold all the words of a text, or
        both; nearest or newest first, at most k."""
        return rank(self._all(), lab=lab, text=text, k=k)

    def _all(self) -> list[Swatch]:
        with self._database.reading() as db:
            return [swatches.read_swatch(db, key) for key in self.codes()]
