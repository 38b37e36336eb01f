"""A library as an earlier layout kept it, with real readings of photos."""

import json
import shutil
import sqlite3
from contextlib import closing

from swatchbath.library.rows.measurements import colour_columns
from swatchbath.library.schema import migrate
from swatchbath.photo.file.read import read_photo


def older_library(folder, layout, readings):
    """Make one. readings : (code, number, path of its photo, mark, Measurement); the mark is None
    where none was kept."""
    (folder / "photos").mkdir(parents=True)
    with closing(sqlite3.connect(folder / "library.sqlite", isolation_level=None)) as db:
        migrate(db, upto=layout)
        have = {r[1] for r in db.execute("PRAGMA table_info(measurement)")}
        for code, number, path, mark, measured in readings:
            photo = read_photo(path)
            file = f"photos/{photo.id}{path.suffix}"
            shutil.copy(path, folder / file)
            db.execute(
                "INSERT OR IGNORE INTO photo (id, name, file, camera, added) "
                "VALUES (?, ?, ?, ?, '2026-01-01T10:00:00+00:00')",
                (photo.id, path.name, file, photo.camera),
            )
            db.execute(
                "INSERT OR IGNORE INTO swatch (code, number, added) "
                "VALUES (?, ?, '2026-01-01T10:00:00+00:00')",
                (code, number),
            )
            columns = {
                "swatch": code, "photo": photo.id, "state": "dry", **colour_columns(measured),
                "mark": None if mark is None else json.dumps(mark),
                "added": "2026-01-01T10:00:00+00:00",
            }  # fmt: skip
            columns = {n: v for n, v in columns.items() if n in have}
            db.execute(
                f"INSERT INTO measurement ({', '.join(columns)}) "
                f"VALUES ({', '.join('?' * len(columns))})",
                tuple(columns.values()),
            )
    return folder
