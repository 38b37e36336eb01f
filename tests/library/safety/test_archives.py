"""Attacks through a backup that somebody else may have made: it is looked at before it is unpacked,
and fills no disk."""

import hashlib
import io
import os
import struct
import zipfile

import pytest

from library_made import a_photo, filled
from swatchbath.errors import LibraryError
from swatchbath.library import Library, back_up, restore
from swatchbath.library.safety import backup
from swatchbath.library.safety import restore as restoring


@pytest.fixture
def made(tmp_path):
    """A backup that is right: its file."""
    with Library(tmp_path / "house", create=True) as lib:
        filled(lib)
        lib.add_photo(a_photo(tmp_path / "a.png"))
        (tmp_path / "stick").mkdir()
        return back_up(lib, tmp_path / "stick").file


def members(file):
    with zipfile.ZipFile(file) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def packed(file, held, how=zipfile.ZIP_DEFLATED):
    """Write an archive whose list of checksums fits what is in it."""
    held = {n: c for n, c in held.items() if n != "checksums.txt"}
    lines = [f"{hashlib.sha256(c).hexdigest()}  {n}\n" for n, c in held.items()]
    with zipfile.ZipFile(file, "w") as into:
        for name, content in held.items():
            into.writestr(name, content, how)
        into.writestr("checksums.txt", "".join(lines), how)
    return file


NAMES = [
    "../evil.png", "/evil.png", "photos/../../evil.png", "photos/evil.png", "evil.sqlite",
    "photos/" + "a" * 64 + ".png/b", "photos/" + "a" * 64 + ".p\u202eng", "photos/", "photos\\evil",
]  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_only_names_of_a_librarys_own_are_unpacked(made, tmp_path, name):
    file = packed(tmp_path / "evil.zip", members(made) | {name: b"evil"})
    before = sorted(tmp_path.rglob("*"))
    with pytest.raises(LibraryError, match="no backup|another"):
        restore(file, tmp_path / "again")
    assert sorted(tmp_path.rglob("*")) == before


def test_what_unpacks_to_hundreds_of_times_its_size_is_not_unpacked(made, tmp_path, monkeypatch):
    written = []
    monkeypatch.setattr(restoring, "_unpack", lambda *a: written.append(a))
    photo = bytes(60_000_000)
    name = f"photos/{hashlib.sha256(photo).hexdigest()}.png"
    file = packed(tmp_path / "evil.zip", members(made) | {name: photo})
    assert file.stat().st_size < 200_000
    with pytest.raises(LibraryError, match="hundreds of times as large"):
        restore(file, tmp_path / "again")
    assert not written


def test_a_member_that_says_less_than_it_holds_is_not_believed(made, tmp_path):
    """Its declared size is changed to a tenth; what is read stops there."""
    held = members(made)
    data = held["library.sqlite"]
    file = packed(tmp_path / "evil.zip", held)
    raw = file.read_bytes()
    size, less = struct.pack("<I", len(data)), struct.pack("<I", len(data) // 10)
    assert size in raw
    file.write_bytes(raw.replace(size, less))
    with pytest.raises(LibraryError, match="damaged|no backup"):
        restore(file, tmp_path / "again")
    assert not (tmp_path / "again").exists()


def test_files_that_lie_over_one_another_are_not_unpacked(made, tmp_path):
    """Many entries of the list point to one packed content: the archive is small, its sum not."""
    photo = os.urandom(300_000)
    file = packed(tmp_path / "evil.zip", members(made) | {f"photos/{'a' * 64}.png": photo})
    with zipfile.ZipFile(file) as archive:
        infos = archive.infolist()
        start = archive.start_dir
    big = next(i for i in infos if i.filename.startswith("photos/a"))
    out = io.BytesIO()
    out.write(file.read_bytes()[:start])
    with zipfile.ZipFile(out, "a") as archive:
        archive.filelist = list(infos)
        for letter in "bcdef":
            twin = zipfile.ZipInfo(f"photos/{letter * 64}.png")
            for name in ("CRC", "compress_size", "file_size", "header_offset", "compress_type"):
                setattr(twin, name, getattr(big, name))
            archive.filelist.append(twin)
        archive._didModify = True
    file.write_bytes(out.getvalue())
    with pytest.raises(LibraryError, match="lie over one another"):
        backup.check(file)


def test_no_more_files_and_bytes_than_a_life_of_swatches(made, tmp_path, monkeypatch):
    monkeypatch.setattr(backup, "_MEMBERS", 2)
    with pytest.raises(LibraryError, match="holds 3 files"):
        restore(made, tmp_path / "again")
    monkeypatch.setattr(backup, "_MEMBERS", 3)
    monkeypatch.setattr(backup, "_TOTAL", 1000)
    with pytest.raises(LibraryError, match="would fill"):
        restore(made, tmp_path / "again")
    assert not (tmp_path / "again").exists()


@pytest.mark.parametrize("how", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_it_is_packed_as_backups_are(made, tmp_path, how):
    file = packed(tmp_path / "evil.zip", members(made), how)
    with pytest.raises(LibraryError, match="packed in a way"):
        restore(file, tmp_path / "again")


def test_two_files_of_one_name_are_not_unpacked(made, tmp_path):
    with zipfile.ZipFile(made, "a") as archive, pytest.warns(UserWarning, match="Duplicate"):
        archive.writestr("library.sqlite", b"another")
    with pytest.raises(LibraryError, match="two files of one name"):
        restore(made, tmp_path / "again")


def test_a_list_of_checksums_without_end_is_not_read(made, tmp_path):
    held = members(made)
    with zipfile.ZipFile(tmp_path / "evil.zip", "w", zipfile.ZIP_DEFLATED) as into:
        into.writestr("library.sqlite", held["library.sqlite"])
        into.writestr("checksums.txt", b" " * 15_000_000)
    with pytest.raises(LibraryError, match="longer than it can be"):
        restore(tmp_path / "evil.zip", tmp_path / "again")
