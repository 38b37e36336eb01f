"""A backup holds all, comes back byte for byte, and is refused where it is damaged."""

import hashlib
import os
import re
import shutil
import sqlite3
import zipfile
from contextlib import closing
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from library_made import DYE, IRON, a_photo, filled, reading
from swatchbath.bath.step import Material, Step
from swatchbath.errors import BadValue, LibraryError, NotFound
from swatchbath.library import (
    Library,
    back_up,
    check_name,
    clock,
    connection,
    reminder,
    restore,
    schema,
    verify,
)
from swatchbath.library.safety import backup
from swatchbath.library.schema import MIGRATIONS, layout

NOON = datetime(2026, 11, 25, 12, 0, 0, tzinfo=UTC)


@pytest.fixture
def lib(tmp_path):
    with Library(tmp_path / "house", create=True) as library:
        yield library


@pytest.fixture
def stick(tmp_path):
    (tmp_path / "stick").mkdir()
    return tmp_path / "stick"


def at(monkeypatch, when):
    monkeypatch.setattr(clock, "now", lambda: when)
    for module in ("safety.backup", "connection"):
        monkeypatch.setattr(f"swatchbath.library.{module}.now", lambda: when)


def dumped(folder):
    """Every row of every table of a library."""
    with closing(sqlite3.connect(folder / "library.sqlite")) as db:
        names = [n for (n,) in db.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")]
        return {n: sorted(map(repr, db.execute(f'SELECT * FROM "{n}"'))) for n in names}


def photos_of(folder):
    return {p.name: p.read_bytes() for p in (folder / "photos").iterdir()}


ODD = [
    '"quoted"', "it's", "two\nlines", "\r\n", "🧶 wool", "שלום", "مرحبا\u202e", "=cmd|' /C c'!A0",
    "00123", "None", "NA", "nan", "null", "1e5", "a;b,c\td", "\ufeff", "%s", "';DROP TABLE swatch;",
]  # fmt: skip
TEXT = st.one_of(
    st.sampled_from(ODD),
    st.text(st.characters(exclude_categories=("Cs",), exclude_characters="\x00"), min_size=1),
)


def named(text):
    try:
        return check_name(text) is not None
    except BadValue:
        return False


@settings(max_examples=25)
@given(st.lists(TEXT, min_size=1, max_size=6), st.integers(0, 99))
def test_odd_text_and_photos_come_back_the_same(tmp_path_factory, texts, seed):
    folder = tmp_path_factory.mktemp("odd")
    (folder / "stick").mkdir()
    with Library(folder / "house", create=True) as lib:
        photo = lib.add_photo(a_photo(folder / "a.png", seed=seed))
        for i, text in enumerate(texts):
            lot = lib.add_lot([DYE], name=text, note=text)
            dye = Step("dye", (Material("dyestuff", f"x{text}", lot=text),), note=text)
            free = named(text) and not lib.has_name(text)
            key = lib.add_swatch(
                name=text if free else f"swatch {i}", lot=lot, part=text,
                steps=[dye], extra={text: text}, fibre={"fibre": text},
            )  # fmt: skip
            lib.add_measurement(key, reading(), photo=photo)
            lib.edit(key, {"part": f"{text}!"}, why=text)
        before = [lib.swatch(k) for k in lib.codes()]
        done = back_up(lib, folder / "stick")
    assert (done.swatches, done.photos, done.left_out) == (len(texts), 1, ())
    said = restore(done.file, folder / "again")
    assert said.ok and said.swatches == len(texts)
    assert photos_of(folder / "again") == photos_of(folder / "house")
    was, now = dumped(folder / "house"), dumped(folder / "again")
    settings_then = was.pop("setting"), now.pop("setting")  # the place is noted after the copy
    assert was == now and len(settings_then[0]) == 5
    assert set(settings_then[1]) < set(settings_then[0])  # its unnamed camera, its codes
    with Library(folder / "again") as lib:
        after = [lib.swatch(k) for k in lib.codes()]
        assert [(s.name, s.lot, s.part, s.steps, s.conditions) for s in after] == [
            (s.name, s.lot, s.part, s.steps, s.conditions) for s in before
        ]
        lib.undo()


def test_it_is_one_dated_file_whose_checksums_any_tool_can_check(lib, stick, tmp_path, monkeypatch):
    at(monkeypatch, NOON)
    lib.add_photo(a_photo(tmp_path / "a.png"))
    done = back_up(lib, stick)
    assert done.file == stick / "house-2026-11-25-120000.zip"
    assert [p.name for p in stick.iterdir()] == [done.file.name]
    with zipfile.ZipFile(done.file) as held:
        lines = held.read("checksums.txt").decode().splitlines()
        assert len(lines) == 2
        for line in lines:
            digest, name = re.fullmatch(r"([0-9a-f]{64})  (.+)", line).groups()
            assert hashlib.sha256(held.read(name)).hexdigest() == digest


def test_the_place_is_named_once(lib, stick, tmp_path):
    filled(lib)
    with pytest.raises(NotFound, match="no place for backups yet"):
        back_up(lib)
    first = back_up(lib, stick)
    lib.close()
    with Library(lib.folder) as again:
        assert back_up(again).file.parent == stick
        assert first.file.exists()
        shutil.rmtree(stick)
        with pytest.raises(NotFound, match="Plug in its disk"):
            back_up(again)
        with pytest.raises(LibraryError, match="lies in the library"):
            back_up(again, again.folder / "photos")


def test_it_reminds_after_a_week(lib, stick, monkeypatch):
    at(monkeypatch, NOON)
    assert reminder(lib) is None  # nothing could be lost
    filled(lib)
    assert reminder(lib) is None
    at(monkeypatch, NOON + timedelta(days=8))
    assert "no backup of this library yet" in reminder(lib)
    back_up(lib, stick)
    assert reminder(lib) is None
    at(monkeypatch, NOON + timedelta(days=15))
    assert reminder(lib) is None
    at(monkeypatch, NOON + timedelta(days=15, seconds=1))
    assert "7 days old" in reminder(lib)


def test_a_photo_that_is_missing_or_altered_is_said_and_the_rest_is_kept(lib, stick, tmp_path):
    kept = [lib.add_photo(a_photo(tmp_path / "a.png", seed=n)) for n in range(3)]
    lib.photo(kept[0]).unlink()
    lib.photo(kept[1]).write_bytes(b"altered")
    done = back_up(lib, stick)
    assert done.photos == 1
    assert done.left_out == tuple(sorted(f"photos/{k}.png" for k in kept[:2]))
    said = restore(done.file, tmp_path / "again")
    assert {f.what for f in said.findings} == {"photo missing"} and not said.ok


def test_a_backup_that_was_not_written_right_does_not_count(lib, stick, monkeypatch):
    filled(lib)

    def written(library, part, progress, write=backup._write):
        told = write(library, part, progress)
        data = bytearray(part.read_bytes())
        data[len(data) // 3] ^= 1  # as a failing stick does
        part.write_bytes(data)
        return told

    monkeypatch.setattr(backup, "_write", written)
    with pytest.raises(LibraryError, match="damaged"):
        back_up(lib, stick)
    assert list(stick.iterdir()) == [] and lib.setting("last backup") is None


def test_parts_a_kill_left_go_and_no_backup_goes_over_another(lib, stick, monkeypatch):
    at(monkeypatch, NOON)
    old, young = (stick / f".house-2026-11-2{n}-120000.zip.part" for n in (1, 2))
    for part, age in ((old, timedelta(days=2)), (young, timedelta(hours=1))):
        part.write_bytes(b"half")
        os.utime(part, ((NOON - age).timestamp(),) * 2)
    first, second = back_up(lib, stick).file, back_up(lib, stick).file
    assert (second.name, first.exists()) == ("house-2026-11-25-120000-2.zip", True)
    assert (old.exists(), young.exists()) == (False, True)


def spoiled(file, name, how):
    """The backup with one of its parts changed, left out or added."""
    with zipfile.ZipFile(file) as held:
        parts = {n: held.read(n) for n in held.namelist()}
    how(parts, name)
    with zipfile.ZipFile(file, "w") as into:
        for n, content in parts.items():
            into.writestr(n, content)


SPOILS = {
    "a photo altered": lambda p, n: p.update({n: p[n] + b"x"}),
    "a photo left out": lambda p, n: p.pop(n),
    "the records altered": lambda p, n: p.update({"library.sqlite": p["library.sqlite"][:-9]}),
    "no list": lambda p, n: p.pop("checksums.txt"),
    "a stranger": lambda p, n: p.update({"photos/../../evil": b"x"}),
    "a stranger on the list": lambda p, n: p.update(
        {"../evil": b"x", "checksums.txt": p["checksums.txt"]
         + f"{hashlib.sha256(b'x').hexdigest()}  ../evil\n".encode()}
    ),
}  # fmt: skip


@pytest.mark.parametrize("how", SPOILS.values(), ids=SPOILS)
def test_a_spoiled_backup_is_refused_and_leaves_nothing(lib, stick, tmp_path, how):
    photo = lib.add_photo(a_photo(tmp_path / "a.png"))
    file = back_up(lib, stick).file
    spoiled(file, f"photos/{photo}.png", how)
    there = sorted(tmp_path.iterdir())
    with pytest.raises(LibraryError, match="Take another|Name another"):
        restore(file, tmp_path / "again")
    assert sorted(tmp_path.iterdir()) == there


@pytest.mark.parametrize("keep", [0.0, 0.3, 0.9, 0.999])
def test_a_backup_that_is_cut_off_or_is_something_else_is_refused(lib, stick, tmp_path, keep):
    filled(lib)
    file = back_up(lib, stick).file
    data = file.read_bytes()
    file.write_bytes(data[: int(len(data) * keep)])
    with pytest.raises(LibraryError, match="damaged or no backup"):
        restore(file, tmp_path / "again")
    assert not (tmp_path / "again").exists()


def test_one_flipped_bit_anywhere_is_noticed_or_does_no_harm(lib, stick, tmp_path):
    filled(lib)
    lib.add_photo(a_photo(tmp_path / "a.png"))
    file = back_up(lib, stick).file
    whole, noticed = file.read_bytes(), 0
    was = dumped(lib.folder) | {"setting": None}
    for n in range(40):
        place = n * len(whole) // 40
        file.write_bytes(whole[:place] + bytes([whole[place] ^ 1 << (n % 8)]) + whole[place + 1 :])
        try:
            restore(file, tmp_path / f"again{n}")
        except LibraryError:
            noticed += 1
        else:
            assert dumped(tmp_path / f"again{n}") | {"setting": None} == was
            assert photos_of(tmp_path / f"again{n}") == photos_of(lib.folder)
    assert noticed > 20


def test_it_never_goes_over_what_is_there(lib, stick, tmp_path):
    filled(lib)
    file = back_up(lib, stick).file
    with pytest.raises(BadValue, match="not empty"):
        restore(file, lib.folder)
    with pytest.raises(NotFound, match="no backup"):
        restore(stick / "other.zip", tmp_path / "again")
    with pytest.raises(NotFound, match="no folder"):
        restore(file, tmp_path / "no" / "where")
    (tmp_path / "empty").mkdir()
    assert restore(file, tmp_path / "empty").ok


def test_a_backup_by_a_newer_program_is_refused_politely(lib, stick, tmp_path, monkeypatch):
    filled(lib)
    file = back_up(lib, stick).file
    monkeypatch.setattr("swatchbath.library.known_schema.MIGRATIONS", MIGRATIONS[:-1])
    with pytest.raises(LibraryError, match="newer swatchbath.*nothing was changed"):
        restore(file, tmp_path / "again")
    assert not (tmp_path / "again").exists()


def test_a_backup_from_before_a_change_of_the_layout_opens(tmp_path, stick, monkeypatch):
    file = made_older(tmp_path / "old", monkeypatch)
    with zipfile.ZipFile(stick / "old.zip", "w") as into:
        data = file.read_bytes()
        into.writestr("library.sqlite", data)
        into.writestr("checksums.txt", f"{hashlib.sha256(data).hexdigest()}  library.sqlite\n")
    assert restore(stick / "old.zip", tmp_path / "again").ok
    with Library(tmp_path / "again") as lib:
        assert lib.swatch("12a").code == "33333"


def made_older(folder, monkeypatch, number=1):
    (folder / "photos").mkdir(parents=True)
    file = folder / "library.sqlite"
    with closing(sqlite3.connect(file, isolation_level=None)) as db:
        with monkeypatch.context() as older:
            older.setattr(schema, "MIGRATIONS", MIGRATIONS[:number])
            schema.migrate(db)
        db.execute("INSERT INTO swatch (code, number, name, added) VALUES ('33333', 0, '12a', '')")
    return file


def test_a_copy_is_kept_before_the_layout_is_changed(tmp_path, monkeypatch):
    at(monkeypatch, NOON)
    made_older(tmp_path, monkeypatch)
    before = dumped(tmp_path)
    for _ in range(2):  # the second opening has nothing to change
        with Library(tmp_path) as lib:
            assert lib.swatch("12a").code == "33333"
    (copy,) = tmp_path.glob("library-before-*")
    assert copy.name == "library-before-layout-1-20261125-120000.sqlite"
    shutil.copy(copy, (tmp_path / "photos") / "library.sqlite")
    assert dumped(tmp_path / "photos") == before
    (tmp_path / "photos" / "library.sqlite").unlink()
    assert [f.what for f in verify(tmp_path).findings] == ["copy"]


def test_a_copy_that_cannot_be_made_leaves_the_layout_as_it_was(tmp_path, monkeypatch):
    file = made_older(tmp_path, monkeypatch)

    def full(folder, to):
        to.write_bytes(b"half")
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(connection, "copy_database", full)
    with Library(tmp_path) as lib:
        assert len(lib) == 1  # read all the same, from a copy in memory
        with pytest.raises(LibraryError, match="is full.*make room"):
            lib.add_swatch(name="new")
    with closing(sqlite3.connect(file)) as db:
        assert layout(db) == 1
    assert not list(tmp_path.glob(".*")) and not list(tmp_path.glob("library-before-*"))


def test_a_new_library_needs_no_copy(lib):
    assert not list(lib.folder.glob("library-before-*"))


def test_two_programs_may_be_writing_while_it_is_made(lib, stick, tmp_path):
    filled(lib)
    with Library(lib.folder) as other:
        with other.atomic():
            other.add_swatch(name="half way")
            lib._database.db.execute("PRAGMA busy_timeout = 0")
            assert not back_up(lib, stick).noted  # the copy is made; its date is not
    (file,) = stick.iterdir()
    restore(file, tmp_path / "again")
    with Library(tmp_path / "again") as again:
        assert again.codes() == lib.codes()[:1]
    assert IRON in lib.swatch("12a").steps
