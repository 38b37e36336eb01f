"""Photos in the library: only photos, whole or absent, and what a kill leaves is tidied."""

import random
import sqlite3

import numpy as np
import pytest
from PIL import Image

from library_made import a_photo, filled
from swatchbath.errors import BadValue, NotFound, PhotoRefused
from swatchbath.library import Library
from swatchbath.library.rows import photo_files as store
from swatchbath.photo import read_photo


@pytest.fixture
def lib(tmp_path):
    with Library(tmp_path / "house", create=True) as library:
        yield library


def kept(lib):
    return sorted(p.name for p in (lib.folder / "photos").iterdir())


@pytest.mark.parametrize("content", [b"", b"a shopping list", b"%PDF-1.7 ...", b"\xff\xd8"])
def test_what_is_no_photo_is_not_kept(lib, tmp_path, content):
    (tmp_path / "list.jpg").write_bytes(content)
    with pytest.raises(PhotoRefused, match="list.jpg is not a photo"):
        lib.add_photo(tmp_path / "list.jpg")
    assert kept(lib) == []


def test_a_photo_that_is_not_there_or_no_path_is_said(lib, tmp_path):
    with pytest.raises(NotFound, match="cannot be read"):
        lib.add_photo(tmp_path / "none.jpg")
    with pytest.raises(BadValue, match="path"):
        lib.add_photo(None)


@pytest.mark.parametrize("kind", ["jpg", "png", "tif", "webp"])
def test_the_kinds_that_can_be_measured_are_kept(lib, tmp_path, kind):
    digest = lib.add_photo(a_photo(tmp_path / f"a.{kind}"))
    assert lib.photo(digest).suffix == f".{kind}"


@pytest.mark.parametrize("kind", ["jpg", "png", "tif", "webp", "avif"])
def test_a_damaged_photo_is_kept_or_refused_in_our_words(lib, tmp_path, kind):
    photo = a_photo(tmp_path / f"a.{kind}")
    whole, chance = photo.read_bytes(), random.Random(1)
    refused = 0
    for _ in range(60):
        damaged = bytearray(whole)
        for _ in range(chance.choice([1, 3, 20])):
            damaged[chance.randrange(min(len(whole), 300))] = chance.randrange(256)
        photo.write_bytes(damaged)
        try:
            lib.add_photo(photo)
        except PhotoRefused:
            refused += 1
    assert refused > 0


def test_a_photo_goes_again_when_the_record_is_taken_back(lib, tmp_path):
    before = lib.add_photo(a_photo(tmp_path / "old.png", seed=1))
    with pytest.raises(ZeroDivisionError):
        with lib.atomic():
            lib.add_photo(tmp_path / "old.png")
            lib.add_photo(a_photo(tmp_path / "new.png", seed=2))
            1 / 0  # noqa: B018
    assert kept(lib) == [f"{before}.png"]
    assert lib.orphans() == []


def test_an_inner_failure_takes_back_only_its_own_photo(lib, tmp_path):
    with lib.atomic():
        first = lib.add_photo(a_photo(tmp_path / "a.png", seed=1))
        with pytest.raises(ZeroDivisionError):
            with lib.atomic():
                lib.add_photo(a_photo(tmp_path / "b.png", seed=2))
                1 / 0  # noqa: B018
    assert kept(lib) == [f"{first}.png"]


def test_a_damaged_copy_is_mended_by_adding_the_photo_again(lib, tmp_path):
    photo = a_photo(tmp_path / "a.png")
    where = lib.photo(lib.add_photo(photo))
    where.write_bytes(b"x" * photo.stat().st_size)
    lib.add_photo(photo)
    assert where.read_bytes() == photo.read_bytes()


def test_what_a_kill_left_is_tidied_on_the_next_opening(lib):
    (lib.folder / "photos" / ".part-abc").write_bytes(b"half a ph")
    with Library(lib.folder):
        assert kept(lib) == []


def test_a_part_that_is_being_written_is_left_alone(lib):
    (lib.folder / "photos" / ".part-abc").write_bytes(b"half a ph")
    other = sqlite3.connect(lib.folder / "library.sqlite", isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with Library(lib.folder):
        assert kept(lib) == [".part-abc"]
    other.execute("ROLLBACK")
    other.close()


def test_photos_without_a_record_are_listed_and_never_removed(lib, tmp_path):
    lib.add_photo(a_photo(tmp_path / "a.png"))
    lost = lib.folder / "photos" / "somebody.jpg"
    lost.write_bytes(b"whole")
    with Library(lib.folder) as again:
        assert again.orphans() == [lost]


def test_the_bytes_pass_one_place_before_they_are_hashed(lib, tmp_path, monkeypatch):
    monkeypatch.setattr(store, "to_keep", lambda data: data + b"changed")
    photo = a_photo(tmp_path / "a.png")
    assert lib.photo(lib.add_photo(photo)).read_bytes() == photo.read_bytes() + b"changed"


def test_a_reading_names_a_photo_that_is_there(lib):
    from library_made import reading

    with pytest.raises(NotFound, match="no photo"):
        lib.add_measurement(filled(lib), reading(), photo="0" * 64)


def test_where_a_photo_was_taken_is_not_kept_and_it_stays_the_same_photo(tmp_path):
    exif = Image.Exif()
    exif.get_ifd(0x8825).update({1: "N", 2: (51.0, 30.0, 12.0), 3: "W", 4: (0.0, 7.0, 5.0)})
    path = tmp_path / "pots.jpg"
    Image.fromarray(np.full((40, 40, 3), 120, np.uint8)).save(path, exif=exif)
    with Library(tmp_path / "lib", create=True) as lib:
        kept = lib.add_photo(path)
        with Image.open(lib.photo(kept)) as image:
            assert not image.getexif().get_ifd(0x8825)
    with Image.open(path) as image:
        assert image.getexif().get_ifd(0x8825)  # the person's own file is left alone
    assert read_photo(path).id == kept
