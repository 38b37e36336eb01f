"""A library in a folder that may not be written in can be read, and says so when written to."""

import json
import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

from library_made import filled, reading
from swatchbath.errors import LibraryError
from swatchbath.library import Library, connection, database, schema
from swatchbath.library.schema import MIGRATIONS


@pytest.fixture
def folder(tmp_path):
    with Library(tmp_path / "house", create=True) as lib:
        lib.add_measurement(filled(lib), reading())
    return tmp_path / "house"


@pytest.fixture
def no_writing(monkeypatch):
    """As on a disk that is mounted for reading: opening to write fails, then the shared file."""

    def refuse(folder):
        raise sqlite3.OperationalError("unable to open database file")

    def only_alone(file, mode, opened=connection._open):
        if mode == "mode=ro":
            opened = lambda *_: Unshared()  # noqa: E731
        return opened(file, mode)

    monkeypatch.setattr(database, "for_writing", refuse)
    monkeypatch.setattr(connection, "_open", only_alone)


class Unshared:
    def cursor(self):
        raise sqlite3.OperationalError("unable to open database file")

    def close(self):
        pass


def test_it_is_read_and_not_written(folder, no_writing):
    with Library(folder) as lib:
        assert not lib.writable
        assert lib.swatch("12a").measured.lab.tolist() == [60, 5, 50]
        assert len(lib.table()[0]) == 1
        with pytest.raises(LibraryError, match="reading only.*yours to write in"):
            lib.add_swatch(name="b")
        assert len(lib) == 1


def test_an_older_layout_is_read_from_a_copy_in_memory(tmp_path, no_writing, monkeypatch):
    file = tmp_path / "library.sqlite"
    db = sqlite3.connect(file, isolation_level=None)
    with monkeypatch.context() as older:
        older.setattr(schema, "MIGRATIONS", MIGRATIONS[:1])
        schema.migrate(db)
    db.execute("INSERT INTO swatch (code, number, name, added) VALUES ('33333', 0, '12a', '')")
    db.close()
    before = file.read_bytes()
    with Library(tmp_path) as lib:
        assert lib.swatch("12a").code == "33333"
        assert [s.code for s, _ in lib.find(text="12a")] == ["33333"]
        assert not lib.writable
    assert file.read_bytes() == before
    assert [p.name for p in tmp_path.iterdir()] == ["library.sqlite"]
    assert len(MIGRATIONS) > 1


def test_a_write_that_waits_beside_it_is_not_passed_over(folder, no_writing):
    (folder / "library.sqlite-wal").write_bytes(b"a write")
    with pytest.raises(LibraryError, match="cannot be"):
        Library(folder)


def test_a_folder_that_cannot_be_made_is_said(tmp_path):
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(LibraryError, match="cannot be"):
        Library(tmp_path / "file" / "library", create=True)


READER = """
import sys, json, os
from swatchbath.library import Library
def read(folder):
    with Library(folder) as lib:
        return [lib.writable, len(lib), lib.swatch("12a").measured.lab.tolist()]
read(sys.argv[1])        # whatever is imported late is imported now
if os.geteuid() == 0:    # to whom rights do not apply
    os.setgroups([])
    os.setgid(65534)
    os.setuid(65534)
print(json.dumps(read(sys.argv[1])))
"""


@pytest.mark.skipif(os.name == "nt", reason="folders have other rights there")
def test_by_somebody_who_may_only_read(folder):
    public = Path(tempfile.mkdtemp())
    try:
        mine = public / "house"
        shutil.copytree(folder, mine)
        for path in (public, mine, mine / "photos"):
            path.chmod(0o555)
        (mine / "library.sqlite").chmod(0o444)
        run = subprocess.run(
            [sys.executable, "-c", READER, str(mine)], capture_output=True, text=True, timeout=60
        )
        assert json.loads(run.stdout) == [False, 1, [60, 5, 50]], run.stderr
    finally:
        for path in (public, mine, mine / "photos"):
            path.chmod(0o755)
        shutil.rmtree(public)
