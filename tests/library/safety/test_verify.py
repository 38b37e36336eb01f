"""`verify` finds what is wrong and says what to do; a library that is right is clean."""

import os
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from library_made import a_photo, filled, reading
from swatchbath.errors import LibraryError, NotFound
from swatchbath.library import Library, verify
from swatchbath.library.safety import synced_folder
from swatchbath.library.safety.strays import LEARNT


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


def test_a_library_that_is_right_is_clean(folder):
    said = verify(folder)
    assert said.ok and said.findings == ()
    assert (said.swatches, said.readings, said.photos) == (2, 1, 1)


def photo_of(folder):
    return next((folder / "photos").iterdir())


SPOILS = {
    "photo missing": lambda f: photo_of(f).unlink(),
    "photo altered": lambda f: photo_of(f).write_bytes(photo_of(f).read_bytes() + b"x"),
    "code": lambda f: changed(f, "UPDATE swatch SET code = '3467A' WHERE name = 'second'"),
    "record": lambda f: changed(f, "UPDATE swatch SET extra = 'no json' WHERE name = 'second'"),
    "astray": lambda f: changed(f, "UPDATE swatch SET lot = 'nowhere' WHERE name = 'second'"),
    "photo unread": lambda f: (p := photo_of(f), p.unlink(), p.mkdir()),
}
LOOKS = {
    "orphan": lambda f: (f / "photos" / "stranger.jpg").write_bytes(b"x"),
    "name": lambda f: changed(f, "UPDATE swatch SET name = '12A' WHERE name = 'second'"),
    "clash": lambda f: (f / "library (conflicted copy).sqlite").write_bytes(b"x"),
    "kept in step": lambda f: (f.parent / ".syncmarks").mkdir(),
    "lot": lambda f: changed(f, "INSERT INTO lot (name, added) VALUES ('empty', '')"),
    "strange": lambda f: (f / "shopping.txt").write_text("wool"),
}


@pytest.mark.parametrize("what", SPOILS)
def test_what_is_wrong_is_found_and_told_with_what_to_do(folder, what):
    SPOILS[what](folder)
    said = verify(folder)
    assert not said.ok
    assert what in [f.what for f in said.findings if f.level == "wrong"]
    assert all(f.sentence and f.remedy for f in said.findings)


@pytest.mark.parametrize("what", LOOKS)
def test_what_is_worth_a_look_is_found_and_is_not_wrong(folder, what):
    LOOKS[what](folder)
    said = verify(folder)
    assert said.ok
    assert what in [f.what for f in said.findings if f.level != "wrong"]


def test_a_missing_photo_is_told_with_the_swatch_it_shows(folder):
    photo_of(folder).unlink()
    with Library(folder) as lib:
        key = lib.swatch("12a").code
    (finding,) = verify(folder).findings
    assert f"a.png of {key} is missing" in finding.sentence


def test_missing_and_altered_photos_are_put_back_by_their_content(folder, tmp_path):
    with Library(folder) as lib:
        lib.add_photo(a_photo(tmp_path / "b.png", seed=2))
        lib.add_photo(a_photo(tmp_path / "c.png", seed=3))
    camera = tmp_path / "camera" / "deep"
    camera.mkdir(parents=True)
    (tmp_path / "a.png").rename(camera / "IMG_1.png")
    (tmp_path / "b.png").rename(camera / "IMG_2")
    (camera / "notes.txt").write_text("no photo")
    for path in (folder / "photos").iterdir():
        path.unlink() if path.stat().st_size % 2 else path.write_bytes(b"altered")
    said = verify(folder, search=tmp_path / "camera")
    assert sorted(said.photos_restored) == ["a.png", "b.png"]
    assert [f.sentence.split()[2] for f in said.findings] == ["c.png"]
    assert verify(folder, search=tmp_path / "camera").photos_restored == ()
    with pytest.raises(NotFound, match="no folder"):
        verify(folder, search=tmp_path / "nowhere")


def test_a_code_given_twice_is_found(folder):
    with Library(folder) as lib:
        key = lib.swatch("second").code
    changed(folder, f"INSERT INTO spent_code VALUES ('{key}', 99, '')")
    assert [f.what for f in verify(folder).findings] == ["code"]


@pytest.mark.parametrize("start", [0, 100, 4096, 20000])
def test_a_damaged_database_is_a_finding_and_not_a_crash(folder, start):
    file = folder / "library.sqlite"
    data = bytearray(file.read_bytes())
    data[start : start + 4000] = os.urandom(4000)
    file.write_bytes(data)
    said = verify(folder)
    assert not said.ok
    assert "damaged" in {f.what for f in said.findings}
    assert any("swatchbath restore" in f.remedy for f in said.findings)


def test_what_is_no_library_or_is_newer_is_said(folder, tmp_path):
    with pytest.raises(NotFound, match="no library"):
        verify(tmp_path / "nowhere")
    changed(folder, "PRAGMA user_version = 99")
    with pytest.raises(LibraryError, match="newer"):
        verify(folder)


@pytest.mark.parametrize(
    ("path", "mark", "is_one"),
    [
        ("home/ana/wool", None, False),
        ("home/ana/Swatch box", None, False),
        ("home/ana/driveway colours", None, False),
        ("home/ana/My Drive/wool", None, True),
        ("home/ana/SomeCloud/wool/deep", None, True),
        ("home/ana/Library/CloudStorage/x", None, True),
        ("home/ana/wool", "home/ana/wool/.stfolder", True),
        ("home/ana/wool/in", "home/ana/wool/.sync_1234.db", True),
        ("home/ana/wool", "home/ana/.cloudmarks", False),  # beside it, not around it
        ("media/drive/wool", None, False),
    ],
)
def test_a_folder_kept_in_step_is_known_by_general_signs(tmp_path, monkeypatch, path, mark, is_one):
    monkeypatch.setattr(
        synced_folder.os.path, "expanduser", lambda _: str(tmp_path / "home" / "ana")
    )
    (tmp_path / path).mkdir(parents=True)
    if mark:
        (tmp_path / mark).mkdir()
    assert synced_folder.is_kept_in_step(Path(tmp_path / path)) is is_one


def test_what_was_learnt_lies_beside_the_record_and_is_no_stranger(folder):
    (folder / LEARNT).write_text("{}")
    assert verify(folder).findings == ()
