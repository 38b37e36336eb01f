"""What is on record is read by its owner alone."""

import os
import sqlite3
import stat
from contextlib import closing

import pytest

from command import run
from library_made import a_photo, filled
from swatchbath import desk
from swatchbath.library import Library, back_up, restore
from swatchbath.library.schema import migrate

pytestmark = pytest.mark.skipif(os.name == "nt", reason="files have other rights there")


def modes(folder):
    return {
        str(p.relative_to(folder.parent)): stat.S_IMODE(p.stat().st_mode)
        for p in (folder, *folder.rglob("*"))
    }


def are_private(found, folder):
    return all(
        mode == (0o700 if (folder.parent / name).is_dir() else 0o600)
        for name, mode in found.items()
    )


@pytest.fixture(autouse=True)
def open_to_all():
    """As where new files may be read by all."""
    before = os.umask(0o000)
    yield
    os.umask(before)


@pytest.fixture
def folder(tmp_path):
    with Library(tmp_path / "house", create=True) as lib:
        filled(lib)
        lib.add_photo(a_photo(tmp_path / "a.png"))
        # While it is open, what SQLite writes beside it too.
        assert are_private(modes(lib.folder), lib.folder), modes(lib.folder)
    return tmp_path / "house"


def test_a_library_its_backup_and_what_it_is_written_out_to(folder, tmp_path):
    assert are_private(modes(folder), folder), modes(folder)
    with Library(folder) as lib:
        (tmp_path / "stick").mkdir(mode=0o700)
        file = back_up(lib, tmp_path / "stick").file
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    for made in ("again", "out", "taken"):
        {
            "again": lambda: restore(file, tmp_path / "again"),
            "out": lambda: desk.export(folder, tmp_path / "out"),
            "taken": lambda: desk.take(tmp_path / "taken", tmp_path / "out"),
        }[made]()
        assert are_private(modes(tmp_path / made), tmp_path / made), modes(tmp_path / made)


def test_an_older_one_becomes_so_once(tmp_path):
    (tmp_path / "old" / "photos").mkdir(parents=True)
    file = tmp_path / "old" / "library.sqlite"
    with closing(sqlite3.connect(file, isolation_level=None)) as db:
        migrate(db, upto=5)
    Library(tmp_path / "old").close()
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert stat.S_IMODE((tmp_path / "old" / "photos").stat().st_mode) == 0o700
    for copy in (tmp_path / "old").glob("library-before-*"):
        assert stat.S_IMODE(copy.stat().st_mode) == 0o600
    file.chmod(0o644)  # she lets others read it
    run("codes", 1, "--library", tmp_path / "old")
    assert stat.S_IMODE(file.stat().st_mode) == 0o644
