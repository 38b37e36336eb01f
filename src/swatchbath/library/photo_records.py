"""The photos of a library: kept, whose camera they count under, and read anew."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

from ..characters import shown
from ..colorimetry.measurement import Measurement
from ..errors import BadValue, LibraryError
from .clock import stamp
from .database import Database
from .history import cameras
from .history.changes import Value
from .history.fields import COLOUR, read_colour, write
from .rows import photo_files, photos
from .rows.measurements import colour_columns
from .rows.photo_links import photos_of, shown_in
from .rows.photos import PhotoOnRecord, PhotoReading
from .rows.swatch import check_text

# A setting: what she last called a camera that a photo does not name.
_CAMERA = "camera name"


class PhotoRecords:
    """What a `Library` can do about its photos; not for use by itself."""

    folder: Path
    _database: Database

    def add_photo(
        self,
        path: str | Path,
        *,
        camera: str | None = None,
        camera_name: str | None = None,
        sitting: str | None = None,
        taken: datetime | None = None,
        frame: Mapping[str, Any] | None = None,
        called: str | None = None,
    ) -> str:
        """Keep a copy of a photo under its content's hash; returns the hash (the photo's id).

        path : of the file. called : the name she knows it by, where its file has another. camera :
        as the file says. camera_name : what to call one that it does not name, for the readings
        from it that are on record already as well. sitting : what she calls the photos taken at
        one go. taken : by the camera's clock. frame : what of known colour lies in it, as values
        JSON can hold. The same file added twice is kept once, and what is new about it. The copy
        is complete before the record is made. Raises NotFound, or PhotoRefused when the file is no
        photo.
        """
        photo = photo_files.read(path)
        if called is not None:
            photo = replace(photo, called=shown(called))
        camera = check_text(camera, "The camera's name")
        sitting = check_text(sitting, "The sitting")
        text = photos.frame_as_json(frame)
        # The file is written under the database's lock: a part that is found there by whoever
        # holds the lock is a leftover.
        with self._database.writing() as db:
            if self.has_photo(photo.digest):  # under the name it came by first
                photo = replace(photo, file=self.photo_on_record(photo.digest).file)
            if photo_files.write(self.folder, photo):
                self._database.new_files.append(self.folder / photo.file)
            photos.add_photo(
                db, photo, camera=camera, sitting=sitting, taken=taken, frame=text, now=stamp()
            )
            if camera_name is not None and camera is None:
                self.call_camera([photo.digest], camera_name)
        return photo.digest

    def call_camera(
        self, ids: Sequence[str], name: str | None, *, why: str = ""
    ) -> tuple[str, ...]:
        """Say what the camera is called that took some photos (by id), of which their files do not
        tell. name : None is the unnamed one. why : in her words. Their readings count under it from
        now on.

        Returns the ids of readings that this cannot be done for, because they were read beside
        swatches of both these and other photos of the same camera; they are to be read anew.
        Raises NotFound, or BadValue for a photo whose file names its camera.
        """
        called = check_text(name, "The camera's name")
        if called is not None and not called.strip():
            raise BadValue("The camera's name is empty. Give a few words, such as my phone.")
        why = check_text(why, "The reason") or ""
        with self._database.writing() as db:
            for photo in (photos.read_photo_row(db, digest) for digest in ids):
                if photo.camera is not None:
                    raise BadValue(
                        f"{photo.name} says itself that it was taken by {photo.camera}, so its "
                        "camera needs no name. Leave it out."
                    )
            note = lambda value: self._database.note("edit", [value], why)  # noqa: E731
            mixed = cameras.call_camera(db, ids, called and called.strip(), note)
        return tuple(mixed)

    @property
    def unnamed_camera(self) -> str:
        """What the camera is called that took the photos which do not say whose they are: one of
        this library, and never that of another library."""
        with self._database.reading() as db:
            return cameras.unnamed_camera(db)

    def start_unnamed_camera(self, name: str) -> None:
        """Say what the unnamed camera is called (name), in a library that is new. Raises
        LibraryError where photos are on record already."""
        with self._database.writing() as db:
            if db.execute("SELECT 1 FROM photo").fetchone():
                raise LibraryError(
                    f"Another program has put photos into {self.folder} meanwhile. Nothing was "
                    "recorded; do it again."
                )
            db.execute("UPDATE setting SET value = ? WHERE name = ?", (name, cameras.UNNAMED))

    @property
    def last_camera_name(self) -> str | None:
        """What she last called a camera that a photo does not name."""
        with self._database.reading() as db:
            row = db.execute("SELECT value FROM setting WHERE name = ?", (_CAMERA,)).fetchone()
        return None if row is None else str(row["value"])

    def camera_names(self) -> list[str]:
        """What the cameras of photos on record are called, by their files or by her."""
        with self._database.reading() as db:
            rows = db.execute(
                "SELECT DISTINCT coalesce(camera, camera_name) AS called FROM photo "
                "WHERE called IS NOT NULL ORDER BY called"
            )
            return [str(r["called"]) for r in rows]

    def keep_camera_name(self, name: str) -> None:
        """Remember what she calls the camera (name), to be offered next time."""
        if name != self.last_camera_name:
            with self._database.writing() as db:
                db.execute("INSERT OR REPLACE INTO setting VALUES (?, ?)", (_CAMERA, name))

    def has_photo(self, digest: str) -> bool:
        """Whether a photo of this id (digest) is on record."""
        with self._database.reading() as db:
            return db.execute("SELECT 1 FROM photo WHERE id = ?", (digest,)).fetchone() is not None

    def photo(self, digest: str) -> Path:
        """Where the library keeps a photo. digest : its id. Raises NotFound."""
        return self.folder / self.photo_on_record(digest).file

    def photo_on_record(self, digest: str) -> PhotoOnRecord:
        """What is on record about a photo. digest : its id. Raises NotFound."""
        check_text(digest, "A photo's id")
        with self._database.reading() as db:
            return photos.read_photo_row(db, digest)

    def photos(self) -> list[PhotoOnRecord]:
        """All photos on record, in the order they were added."""
        with self._database.reading() as db:
            return photos.read_photos(db)

    def readings_from(self, photo: str) -> list[PhotoReading]:
        """The readings from a photo (its id), oldest first, those in the bin left out."""
        with self._database.reading() as db:
            return photos.readings_from(db, photo)

    def reading_before(self, swatch: str, reading: str, photo: str) -> PhotoReading | None:
        """The dry reading of a swatch (its code) that was the latest one ahead of another reading
        (its id), and not from the same photo (its id)."""
        with self._database.reading() as db:
            return photos.reading_before(db, swatch, reading, photo)

    def latest_places(
        self, codes: Iterable[str]
    ) -> dict[str, tuple[str, tuple[float, float, float]]]:
        """Where swatches (by codes) are seen: the photo's id and x, y, half in it, of the latest
        dry reading that has both; those without one are left out."""
        with self._database.reading() as db:
            return photos.latest_places(db, codes)

    def photos_of(self, swatch: str) -> list[tuple[str, str, str]]:
        """The photos of a swatch (its code), read or only seen, oldest first: the photo's id, its
        file's name, and what it shows: "swatch" or "pot sheet"."""
        with self._database.reading() as db:
            return photos_of(db, swatch)

    def shown_in(self, photo: str) -> list[str]:
        """Codes of the swatches a photo (its id) shows, oldest first."""
        with self._database.reading() as db:
            return shown_in(db, photo)

    def orphans(self) -> list[Path]:
        """Photos in the folder that no record names: a kill may leave one whole and unused."""
        with self._database.reading() as db:
            return photo_files.orphans(self.folder, db)

    # Readings made anew from their photos

    @property
    def to_read(self) -> int | None:
        """The layout this library had when it was brought up to date, while its readings are still
        those of the version that wrote it; else None."""
        waiting = self._to_read()
        return None if waiting is None else int(waiting["layout"])

    def read_anew(
        self, colours: Mapping[str, Measurement], *, why: str, whole: bool = False
    ) -> None:
        """Put colours in the place of readings, by the readings' ids, as one change that keeps the
        old ones. why : in words. whole : they are all that could be made anew; then they are one
        change together with what was done when the library was brought up to date."""
        waiting = self._to_read() if whole else None
        with self._database.writing() as db:
            if waiting is not None:
                self._database.go_on(waiting["change"])
                db.execute("DELETE FROM setting WHERE name = ?", (cameras.TO_READ,))
            for key, colour in colours.items():
                if not db.execute("SELECT 1 FROM measurement WHERE id = ?", (key,)).fetchone():
                    continue  # gone for good meanwhile
                old, new = read_colour(db, key), colour_columns(colour)
                write(db, "reading", key, {COLOUR: new})
                lab = {axis: new[axis] for axis in "Lab"}
                self._database.note("edit", [Value("reading", key, COLOUR, old, lab, {})], why)

    def _to_read(self) -> dict[str, Any] | None:
        with self._database.reading() as db:
            row = db.execute(
                "SELECT value FROM setting WHERE name = ?", (cameras.TO_READ,)
            ).fetchone()
        return None if row is None else dict(json.loads(row["value"]))
