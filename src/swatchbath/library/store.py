"""The library: one folder that holds library.sqlite and photos/ (originals, by content hash)."""

from __future__ import annotations

import base64
import errno
import hashlib
import json
import os
import sqlite3
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any

import numpy as np

from ..bath.steps import FIBRE_COLUMNS, Material, Step, conditions_of
from ..colorimetry.lab import Array
from ..colorimetry.measured import Check, Measurement
from ..errors import BadValue, LibraryError, NotFound
from .codes import code, is_code, read_code
from .find import Found, rank
from .schema import migrate

if TYPE_CHECKING:
    import pandas as pd

STATES = ("dry", "dry washed", "dry unwashed", "wet")
_STEP_COLUMNS = (
    "pH",
    "temperature_C",
    "minutes",
    "liquor_ratio",
    "bath_number",
    "water",
    "vessel",
)
# How long a writer waits for another program, in milliseconds. Common practice, no source.
_BUSY_MS = 5000


@dataclass(frozen=True)
class Swatch:
    """One swatch on record: its code, name, lot, bath and measurements (oldest first)."""

    code: str
    name: str | None
    lot: str | None
    part: str | None
    session: str | None
    steps: tuple[Step, ...]
    conditions: dict[str, Any]
    measurements: tuple[tuple[str, str | None, Measurement], ...]  # state, photo's file name, it
    added: str

    @property
    def measured(self) -> Measurement | None:
        """The latest dry reading, or None."""
        dry = [m for state, _, m in self.measurements if state != "wet"]
        return dry[-1] if dry else None


def _now() -> str:
    return datetime.now(UTC).isoformat(timespec="seconds")


class Library:
    """A folder of swatches with their photos, baths and measurements.

    folder : where it is. create : make it when it is not there.
    Raises NotFound when there is none, LibraryError when it cannot be opened or written.
    Use it as a context manager; several programs may have it open at once.
    """

    def __init__(self, folder: str | Path, create: bool = False) -> None:
        self.folder = Path(folder)
        self._depth = 0
        file = self.folder / "library.sqlite"
        if not file.is_file() and not create:
            raise NotFound(
                f"There is no library in {self.folder}. Record a first swatch to start one, or "
                "name the folder with --library."
            )
        try:
            (self.folder / "photos").mkdir(parents=True, exist_ok=True)
            self._db = sqlite3.connect(
                file, timeout=_BUSY_MS / 1000, isolation_level=None, check_same_thread=False
            )
        except (OSError, sqlite3.Error) as error:
            raise LibraryError(
                f"The library folder {self.folder} cannot be opened for writing ({error}). Check "
                "that it exists and is yours to write in."
            ) from error
        self._db.row_factory = sqlite3.Row
        try:
            with _plainly(self.folder):
                # Outside any transaction, where SQLite would ignore it in silence.
                self._db.execute("PRAGMA foreign_keys = ON")
                self._db.execute("PRAGMA journal_mode = WAL")
                self._db.execute("PRAGMA synchronous = FULL")
                migrate(self._db)
        except BaseException:
            self._db.close()
            raise

    def close(self) -> None:
        """Close it; afterwards the folder can be copied as it is."""
        self._db.close()

    def __enter__(self) -> Library:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    @contextmanager
    def atomic(self) -> Iterator[None]:
        """Everything written inside is kept whole, or nothing of it is. May be nested."""
        with _plainly(self.folder):
            mark = f"level{self._depth}"
            self._db.execute("BEGIN IMMEDIATE" if self._depth == 0 else f"SAVEPOINT {mark}")
            self._depth += 1
            try:
                yield
            except BaseException:
                self._depth -= 1
                if self._depth == 0:
                    if self._db.in_transaction:
                        self._db.execute("ROLLBACK")
                else:
                    self._db.execute(f"ROLLBACK TO {mark}")
                raise
            self._depth -= 1
            self._db.execute("COMMIT" if self._depth == 0 else f"RELEASE {mark}")

    # Writing

    def add_photo(self, path: str | Path, *, camera: str | None = None) -> str:
        """Keep a copy of a photo under its content's hash; returns the hash (the photo's id).

        The same file added twice is kept once. The copy is complete before the record is made.
        """
        path = Path(path)
        try:
            data = path.read_bytes()
        except OSError as error:
            raise NotFound(f"The photo {path} cannot be read: {error.strerror}.") from error
        digest = hashlib.sha256(data).hexdigest()
        name = digest + path.suffix.lower()
        with _plainly(self.folder):
            _write_whole(self.folder / "photos" / name, data)
        with self.atomic():
            self._db.execute(
                "INSERT INTO photo VALUES (?, ?, ?, ?, ?) ON CONFLICT (id) DO NOTHING",
                (digest, path.name, f"photos/{name}", camera, _now()),
            )
        return digest

    def add_lot(self, steps: Sequence[Step], **fields: Any) -> str:
        """Record what one pot did; returns the lot's name.

        steps : those of the whole pot, in order. fields : name (given out when absent), session
        (the dye day), note. A lot that is on record already is left as it is when it agrees, and
        refused when it does not: a name never changes meaning.
        """
        unknown = set(fields) - {"name", "session", "note"}
        if unknown:
            raise BadValue(f"A lot has no field {sorted(unknown)[0]}; it has name, session, note.")
        with self.atomic():
            name = fields.get("name") or self._free_lot_name()
            row = self._db.execute("SELECT session FROM lot WHERE name = ?", (name,)).fetchone()
            if row:
                if self._steps("lot", name) != tuple(steps) or (
                    fields.get("session") and row["session"] != fields["session"]
                ):
                    raise BadValue(
                        f"The lot {name} is on record with other steps. Give this pot a name of "
                        "its own."
                    )
                return str(name)
            self._db.execute(
                "INSERT INTO lot VALUES (?, ?, ?, ?)",
                (name, fields.get("session"), fields.get("note", ""), _now()),
            )
            self._add_steps("lot", name, steps)
        return str(name)

    def add_swatch(
        self,
        *,
        name: str | None = None,
        lot: str | None = None,
        part: str | None = None,
        steps: Sequence[Step] = (),
        fibre: Mapping[str, Any] | None = None,
        extra: Mapping[str, Any] | None = None,
    ) -> str:
        """Record a swatch and give it a code; returns the code.

        steps : its own, after those of its lot. fibre : the columns that describe the fibre.
        Raises BadValue when the name is that of another swatch already.
        """
        described = dict(fibre or {})
        strange = set(described) - set(FIBRE_COLUMNS)
        if strange:
            raise BadValue(f"{sorted(strange)[0]} does not describe the fibre.")
        with self.atomic():
            if name is not None and self._by_name(name):
                raise BadValue(
                    f"There is a swatch called {name} already. Give this one another name."
                )
            if lot is not None and not self._has("lot", "name", lot):
                raise NotFound(f"There is no lot {lot}; record the lot first.")
            row = self._db.execute("SELECT coalesce(max(number) + 1, 0) FROM swatch").fetchone()
            number = row[0]
            self._db.execute(
                "INSERT INTO swatch (code, number, name, lot, part, extra, added, "
                f"{', '.join(FIBRE_COLUMNS)}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                (
                    code(number),
                    number,
                    name,
                    lot,
                    part,
                    json.dumps(dict(extra or {}), ensure_ascii=False),
                    _now(),
                    *(described.get(k) for k in FIBRE_COLUMNS),
                ),
            )
            self._add_steps("swatch", code(number), steps)
        return code(number)

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
        with self.atomic():
            key = self._code(swatch)
            self._db.execute(
                "INSERT INTO measurement (swatch, photo, state, rung, light, observer, L, a, b, "
                "repeatability, trueness, shared, checks, notes, mark, added) "
                "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                (
                    key,
                    photo,
                    state,
                    measured.rung,
                    measured.light,
                    measured.observer,
                    *(float(v) for v in measured.lab),
                    json.dumps(measured.repeatability.tolist()),
                    json.dumps(measured.trueness.tolist()),
                    json.dumps({k: _packed(v) for k, v in measured.shared.items()}),
                    json.dumps(
                        [[c.name, c.level, c.sentence, c.remedy] for c in measured.checks],
                        ensure_ascii=False,
                    ),
                    json.dumps(measured.notes, ensure_ascii=False),
                    None if mark is None else json.dumps([float(v) for v in mark]),
                    _now(),
                ),
            )

    # Reading

    def __len__(self) -> int:
        return int(self._db.execute("SELECT count(*) FROM swatch").fetchone()[0])

    def codes(self) -> list[str]:
        """All codes, oldest first."""
        return [r[0] for r in self._db.execute("SELECT code FROM swatch ORDER BY number")]

    def swatch(self, key: str) -> Swatch:
        """A swatch by its code, or by the name the dyer gave it. Raises NotFound."""
        return self._swatch(self._code(key))

    def photo(self, digest: str) -> Path:
        """Where the library keeps a photo."""
        row = self._db.execute("SELECT file FROM photo WHERE id = ?", (digest,)).fetchone()
        if not row:
            raise NotFound(f"There is no photo {digest[:12]} in this library.")
        return self.folder / str(row["file"])

    def history(self, key: str) -> list[dict[str, Any]]:
        """What is on record about a swatch, oldest first: when, what."""
        found = self.swatch(key)
        events: list[dict[str, Any]] = [{"when": found.added, "what": "recorded"}]
        rows = self._db.execute(
            "SELECT added, state, rung FROM measurement WHERE swatch = ? ORDER BY id",
            (found.code,),
        )
        events += [
            {"when": r["added"], "what": f"measured {r['state']}, rung {r['rung']}"} for r in rows
        ]
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
        for key in self.codes():
            swatch = self._swatch(key)
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
        swatches = [self._swatch(key) for key in self.codes()]
        return rank(swatches, lab=lab, text=text, k=k)

    # Inside

    def _swatch(self, key: str) -> Swatch:
        row = self._db.execute("SELECT * FROM swatch WHERE code = ?", (key,)).fetchone()
        session = None
        own: tuple[Step, ...] = ()
        if row["lot"] is not None:
            lot = self._db.execute(
                "SELECT session FROM lot WHERE name = ?", (row["lot"],)
            ).fetchone()
            session = lot["session"]
            own = self._steps("lot", row["lot"])
        own += self._steps("swatch", key)
        readings = self._db.execute(
            "SELECT measurement.*, photo.name AS photo_name FROM measurement "
            "LEFT JOIN photo ON photo.id = measurement.photo WHERE swatch = ? "
            "ORDER BY measurement.id",
            (key,),
        )
        conditions = conditions_of(own, {k: row[k] for k in FIBRE_COLUMNS})
        return Swatch(
            code=row["code"],
            name=row["name"],
            lot=row["lot"],
            part=row["part"],
            session=session,
            steps=own,
            conditions=conditions | json.loads(row["extra"]),
            measurements=tuple((r["state"], r["photo_name"], _measurement(r)) for r in readings),
            added=row["added"],
        )

    def _steps(self, owner: str, key: str) -> tuple[Step, ...]:
        steps = []
        for row in self._db.execute(
            f"SELECT * FROM step WHERE {owner} = ? ORDER BY position", (key,)
        ):
            materials = tuple(
                Material(m["role"], m["name"], m["owf"], m["form"], m["dyestuff_lot"])
                for m in self._db.execute(
                    "SELECT * FROM material WHERE step = ? ORDER BY position", (row["id"],)
                )
            )
            bath = {name: row[name] for name in _STEP_COLUMNS}
            steps.append(Step(row["kind"], materials, note=row["note"], **bath))
        return tuple(steps)

    def _add_steps(self, owner: str, key: str, steps: Sequence[Step]) -> None:
        for position, step in enumerate(steps):
            cursor = self._db.execute(
                f"INSERT INTO step ({owner}, position, kind, note, {', '.join(_STEP_COLUMNS)}) "
                "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                (key, position, step.kind, step.note, *(getattr(step, n) for n in _STEP_COLUMNS)),
            )
            for place, m in enumerate(step.materials):
                self._db.execute(
                    "INSERT INTO material VALUES (?, ?, ?, ?, ?, ?, ?)",
                    (cursor.lastrowid, place, m.role, m.name, m.owf, m.form, m.lot),
                )

    def _code(self, key: str) -> str:
        """The code of a swatch named by its code or by its own name."""
        named = self._by_name(key)
        if named:
            return named
        if is_code(key):
            typed = read_code(key)
            if self._has("swatch", "code", typed):
                return typed
            raise NotFound(f"There is no swatch {typed} in the library {self.folder}.")
        if len(key) == 5:
            read_code(key)  # says which character cannot be right
        raise NotFound(
            f"There is no swatch with the code or name '{key}' in the library {self.folder}."
        )

    def _by_name(self, name: str) -> str | None:
        row = self._db.execute("SELECT code FROM swatch WHERE name = ?", (name,)).fetchone()
        return None if row is None else str(row["code"])

    def _has(self, table: str, column: str, value: str) -> bool:
        query = f"SELECT 1 FROM {table} WHERE {column} = ?"
        return self._db.execute(query, (value,)).fetchone() is not None

    def _free_lot_name(self) -> str:
        day = datetime.now(UTC).date().isoformat()
        number = 1
        while self._has("lot", "name", f"{day}-{number}"):
            number += 1
        return f"{day}-{number}"


def _measurement(row: sqlite3.Row) -> Measurement:
    return Measurement(
        [row["L"], row["a"], row["b"]],
        json.loads(row["repeatability"]),
        trueness=json.loads(row["trueness"]),
        shared={k: _unpacked(v) for k, v in json.loads(row["shared"]).items()},
        rung=row["rung"],
        light=row["light"],
        observer=row["observer"],
        photo=row["photo"],
        checks=tuple(Check(*c) for c in json.loads(row["checks"])),
        notes=tuple(json.loads(row["notes"])),
    )


def _packed(loading: Array) -> str:
    """A loading (3, K) as text a fifth as long as its figures; exact to 7 digits."""
    return base64.b64encode(loading.astype("<f4").tobytes()).decode("ascii")


def _unpacked(text: str) -> Array:
    return np.frombuffer(base64.b64decode(text), dtype="<f4").reshape(3, -1).astype(float)


def _write_whole(path: Path, data: bytes) -> None:
    """Write a file so that it is there whole or not at all, also after a power cut."""
    if path.is_file() and path.stat().st_size == len(data):
        return
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=".part-")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.replace(name, path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


@contextmanager
def _plainly(folder: Path) -> Iterator[None]:
    """SQLite's and the disk's refusals as one sentence of ours."""
    try:
        yield
    except sqlite3.OperationalError as error:
        text = str(error)
        if "locked" in text or "busy" in text:
            raise LibraryError(
                f"Another program is writing to the library {folder}. Nothing was changed; try "
                "again in a moment."
            ) from error
        if "readonly" in text or "unable to open" in text:
            raise LibraryError(
                f"The library {folder} cannot be written to. Nothing was changed; check that the "
                "folder is yours to write in."
            ) from error
        if "full" in text or "disk I/O" in text:
            raise LibraryError(
                f"The disk that holds the library {folder} is full or failing. Nothing was "
                "changed; make room and try again."
            ) from error
        raise LibraryError(
            f"The library {folder} could not do this ({text}). Nothing was changed."
        ) from error
    except sqlite3.DatabaseError as error:
        if isinstance(error, sqlite3.IntegrityError):
            raise BadValue(f"This does not fit what is on record ({error}).") from error
        raise LibraryError(
            f"{folder / 'library.sqlite'} is damaged or no library ({error}). Restore the last "
            "backup into a new folder."
        ) from error
    except OSError as error:
        if isinstance(error, LibraryError | NotFound) or error.errno is None:
            raise
        why = "is full" if error.errno in (errno.ENOSPC, errno.EFBIG) else "cannot be written to"
        raise LibraryError(
            f"The folder {folder} {why} ({error.strerror}). Nothing was changed."
        ) from error
