"""Attacks through a library that somebody else may have made: nothing in it is run, and nothing
outside its folder is read or written."""

import json
import shutil
import sqlite3
from contextlib import closing

import pytest

from command import run
from library_made import a_photo, filled, reading
from swatchbath import desk
from swatchbath.errors import BadTable, LibraryError, NotFound
from swatchbath.library import Library, back_up, restore, verify
from swatchbath.library.schema import APPLICATION_ID, IDENTIFIED, MIGRATIONS, layout, migrate


@pytest.fixture
def folder(tmp_path):
    with Library(tmp_path / "house", create=True) as lib:
        key = filled(lib)
        lib.add_measurement(key, reading(), photo=lib.add_photo(a_photo(tmp_path / "a.png")))
        lib.add_swatch(name="second")
    return tmp_path / "house"


def changed(folder, *statements):
    with closing(sqlite3.connect(folder / "library.sqlite", isolation_level=None)) as db:
        for statement in statements:
            db.execute(statement)


def all_files(folder):
    return {
        p.relative_to(folder): p.read_bytes()
        for p in folder.rglob("*")
        if p.is_file() and not p.name.endswith(("-shm", "-wal"))
    }


SMUGGLED = {
    "trigger": "CREATE TRIGGER evil AFTER INSERT ON swatch BEGIN DELETE FROM swatch; END",
    "trigger on reading made": "CREATE TRIGGER evil AFTER INSERT ON said BEGIN "
    "UPDATE swatch SET name = 'hacked'; END",
    "view": "CREATE VIEW evil AS SELECT * FROM swatch",
    "virtual table": "CREATE VIRTUAL TABLE evil USING fts5(words)",
    "table": "CREATE TABLE evil (x)",
    "column": "ALTER TABLE swatch ADD COLUMN evil TEXT",
    "column that is worked out": "ALTER TABLE lot ADD COLUMN evil TEXT AS (upper(name))",
    "index": "CREATE INDEX evil ON swatch(part)",
}


@pytest.mark.parametrize("what", SMUGGLED)
def test_what_is_smuggled_into_a_library_is_never_run(folder, what, tmp_path):
    changed(folder, SMUGGLED[what])
    before = all_files(folder)
    said = verify(folder)
    assert not said.ok and [f.what for f in said.findings] == ["foreign"]
    word = "swatch" if what == "column" else "lot" if "column" in what else "evil"
    assert word in said.findings[0].sentence
    with pytest.raises(LibraryError, match="not as swatchbath makes it"):
        Library(folder)
    with pytest.raises(LibraryError, match="not as swatchbath makes it"):
        desk.export(folder, tmp_path / "out")
    for verb in ("find", "waiting", "undo"):
        assert "not as swatchbath" in run(verb, "--library", folder, ok=2).stderr.replace("\n", "")
    assert all_files(folder) == before
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("number", range(1, len(MIGRATIONS)))
def test_nor_where_it_is_of_an_older_layout(tmp_path, number):
    (tmp_path / "old").mkdir()
    with closing(sqlite3.connect(tmp_path / "old/library.sqlite", isolation_level=None)) as db:
        migrate(db, upto=number)
        db.execute("CREATE TRIGGER evil AFTER UPDATE ON swatch BEGIN DELETE FROM lot; END")
    before = all_files(tmp_path / "old")
    with pytest.raises(LibraryError, match="trigger 'evil'"):
        Library(tmp_path / "old")
    assert all_files(tmp_path / "old") == before


def test_a_trigger_of_ours_made_into_another_is_seen(folder):
    changed(
        folder,
        "DROP TRIGGER said_lot",
        "CREATE TRIGGER said_lot AFTER UPDATE ON lot BEGIN DELETE FROM said; END",
    )
    with pytest.raises(LibraryError, match="trigger said_lot is another"):
        Library(folder)


def test_comments_and_quotation_marks_are_no_difference(folder):
    """Versions of SQLite and of this program put them differently."""
    changed(
        folder,
        "DROP TRIGGER said_reading_out",
        'CREATE TRIGGER "said_reading_out" AFTER DELETE ON measurement BEGIN\n'
        "  DELETE FROM said WHERE /* of the swatch */ swatch = old.swatch; -- so\nEND",
        "ANALYZE",
    )
    assert verify(folder).ok


@pytest.mark.parametrize("number", range(1, len(MIGRATIONS)))
def test_a_library_of_each_earlier_layout_opens_and_gets_its_mark(tmp_path, number):
    with closing(sqlite3.connect(tmp_path / "library.sqlite", isolation_level=None)) as db:
        migrate(db, upto=number)
        if number >= IDENTIFIED:  # as one whose codes begin where those of all once did
            db.execute("UPDATE setting SET value = '0' WHERE name = 'code start'")
        db.execute("INSERT INTO swatch (code, number, name, added) VALUES ('33333', 0, '12a', '')")
    assert [f.what for f in verify(tmp_path).findings] == []
    with Library(tmp_path) as lib:
        assert lib.swatch("12a").code == "33333"
    with closing(sqlite3.connect(tmp_path / "library.sqlite")) as db:
        assert db.execute("PRAGMA application_id").fetchone()[0] == APPLICATION_ID
        assert layout(db) == len(MIGRATIONS)


RECORD = ["record", "--set", "fibre=wool", "--set", "dyestuff=weld"]
NOT_OURS = {
    "of no bytes": lambda file: file.write_bytes(b""),
    "of another program": lambda file: other_program(file, 7),
    "of another program with our layout's number": lambda file: other_program(file, 5),
    "empty and marked": lambda file: other_program(file, 0, mark=APPLICATION_ID, tables=False),
    "no database": lambda file: file.write_bytes(b"dear diary, today I dyed with weld\n" * 300),
}


def other_program(file, number, mark=0, tables=True):
    file.unlink(missing_ok=True)
    with closing(sqlite3.connect(file, isolation_level=None)) as db:
        if tables:
            db.execute("CREATE TABLE bookmarks (url TEXT)")
        db.execute("INSERT INTO bookmarks VALUES ('x')" if tables else "PRAGMA user_version = 0")
        db.execute(f"PRAGMA user_version = {number}")
        db.execute(f"PRAGMA application_id = {mark}")


@pytest.mark.parametrize("what", NOT_OURS)
def test_a_library_sqlite_that_is_none_is_not_taken_for_an_empty_one(folder, what):
    for beside in folder.glob("library.sqlite-*"):
        beside.unlink()
    NOT_OURS[what](folder / "library.sqlite")
    before = all_files(folder)
    for call in (RECORD, ["codes", 3], ["find"], ["backup", folder.parent], ["undo"], ["waiting"]):
        said = " ".join(run(*call, "--library", folder, ok=2).stderr.split())
        assert "restore" in said, said
    verified = verify(folder)
    assert not verified.ok and "restore" in verified.findings[0].remedy
    assert all_files(folder) == before


def test_no_library_is_begun_beside_photos(folder):
    (folder / "library.sqlite").unlink()
    for beside in folder.glob("library.sqlite-*"):
        beside.unlink()
    before = all_files(folder)
    for call in (RECORD, ["codes", 3], ["find"]):
        said = " ".join(run(*call, "--library", folder, ok=2).stderr.split())
        assert "photos of a library" in said and "restore" in said
    assert all_files(folder) == before
    with pytest.raises((LibraryError, NotFound)):
        verify(folder)
    (folder / "photos").rename(folder.parent / "photos put away")
    run("codes", 1, "--library", folder)  # now she has said so


ELSEWHERE = ["photos/../../secret.png", "../secret.png", "{outside}/secret.png"]


@pytest.mark.parametrize("place", ELSEWHERE)
def test_a_photo_path_that_leaves_the_folder_is_not_gone_by(folder, tmp_path, place):
    """Neither read by export and backup nor written by verify --photos."""
    secret = tmp_path / "secret.png"
    secret.write_bytes(b"her diary")
    named = place.format(outside=tmp_path)
    changed(folder, f"UPDATE photo SET file = '{named}'")
    camera = tmp_path / "camera"
    camera.mkdir()
    shutil.copy(tmp_path / "a.png", camera / "a.png")
    (photo,) = (folder / "photos").iterdir()
    photo.unlink()
    said = verify(folder, search=camera)
    assert said.photos_restored == ("a.png",) and said.ok
    assert [p.name for p in (folder / "photos").iterdir()] == [photo.name]
    assert secret.read_bytes() == b"her diary"
    photo.unlink()
    done = desk.export(folder, tmp_path / "out")
    assert done["photos"] == 0 and "missing" in done["issues"][0]
    with Library(folder) as lib:
        (tmp_path / "stick").mkdir()
        assert back_up(lib, tmp_path / "stick").photos == 0
    written = [p for p in tmp_path.rglob("*") if p.is_file() and p.read_bytes() == b"her diary"]
    assert written == [secret]


def test_a_photo_that_is_a_link_to_something_else_is_not_exported(folder, tmp_path):
    secret = tmp_path / "secret.png"
    secret.write_bytes(b"her diary")
    (photo,) = (folder / "photos").iterdir()
    photo.unlink()
    photo.symlink_to(secret)
    assert desk.export(folder, tmp_path / "out")["photos"] == 0
    assert not list((tmp_path / "out" / "photos").iterdir())
    assert "photo altered" in [f.what for f in verify(folder).findings]


def test_an_id_that_is_no_hash_names_no_place(folder, tmp_path):
    odd = ("../" * 30)[:64].ljust(64, "x")
    changed(folder, "PRAGMA foreign_keys = OFF", f"UPDATE photo SET id = '{odd}'",
            f"UPDATE measurement SET photo = '{odd}'")  # fmt: skip
    assert "photo missing" in [f.what for f in verify(folder, search=tmp_path).findings]
    assert desk.export(folder, tmp_path / "out")["photos"] == 0


def exported(folder, tmp_path):
    desk.export(folder, tmp_path / "out")
    return json.loads((tmp_path / "out" / "records.json").read_text(encoding="utf-8"))


def test_a_table_of_another_name_is_not_taken(folder, tmp_path):
    values = exported(folder, tmp_path)
    for name in ("sqlite_master", "evil", 'swatch" WHERE 1 --', "sqlite_sequence"):
        tables = values["tables"] | {name: {"columns": [], "rows": []}}
        (tmp_path / "out" / "records.json").write_text(json.dumps(values | {"tables": tables}))
        with pytest.raises(BadTable, match="no library of its layout has"):
            desk.take(tmp_path / "new", tmp_path / "out")
        assert not (tmp_path / "new").exists()


def test_a_backup_with_a_trigger_in_it_is_not_put_back(folder, tmp_path):
    import hashlib
    import zipfile

    changed(folder, SMUGGLED["trigger"], "PRAGMA journal_mode = DELETE")
    data = (folder / "library.sqlite").read_bytes()
    with zipfile.ZipFile(tmp_path / "b.zip", "w") as into:
        into.writestr("library.sqlite", data)
        into.writestr("checksums.txt", f"{hashlib.sha256(data).hexdigest()}  library.sqlite\n")
    with pytest.raises(LibraryError, match="trigger 'evil'.*Nothing was restored"):
        restore(tmp_path / "b.zip", tmp_path / "again")
    assert not (tmp_path / "again").exists()


def test_a_journal_that_names_another_file_removes_nothing(folder, tmp_path):
    """SQLite removes the file that a journal names as its leader."""
    changed(folder, "PRAGMA journal_mode = DELETE")
    prey = tmp_path / "prey"
    prey.write_bytes(b"")
    name = str(prey).encode()
    journal = bytes.fromhex("d9d505f920a163d7") + bytes(504) + (0).to_bytes(4, "big") + name
    journal += len(name).to_bytes(4, "big") + sum(name).to_bytes(4, "big")
    journal += bytes.fromhex("d9d505f920a163d7")
    (folder / "library.sqlite-journal").write_bytes(journal)
    try:
        with Library(folder) as lib, pytest.raises(LibraryError, match="not written by swatchbath"):
            lib.add_swatch(name="new")
    except LibraryError:
        pass  # refused when it was opened already
    assert prey.exists()
