"""The codes of one library are unlike another's; a code of another one is noticed."""

import sqlite3
import sys
from contextlib import closing

import pytest

from command import run
from swatchbath import desk
from swatchbath.errors import LibraryError, NotFound
from swatchbath.library import Library, restore, verify
from swatchbath.library.codes import MOST, code, is_code
from swatchbath.library.schema import IDENTIFIED, migrate


def given(folder, count=30):
    with Library(folder, create=True) as lib:
        return [lib.add_swatch() for _ in range(count)]


def test_twelve_libraries_share_no_code(tmp_path):
    every = [given(tmp_path / str(n)) for n in range(12)]
    codes = [c for some in every for c in some]
    # By chance two of 66 pairs would meet in one run of this test out of 33.
    assert len(set(codes)) > len(codes) - 31
    assert len({some[0] for some in every}) > 10
    assert all(map(is_code, codes))
    assert all(verify(tmp_path / str(n)).findings == () for n in range(12))


def test_all_codes_are_given_once_wherever_it_starts():
    for start in (0, 1, MOST // 2, MOST - 1):
        assert len({code(n, start) for n in range(0, MOST, 7)}) == len(range(0, MOST, 7))
    assert {code(n, 77) for n in range(MOST)} == {code(n) for n in range(MOST)}


def test_what_comes_next_is_told_and_then_given(tmp_path):
    with Library(tmp_path, create=True) as lib:
        for count in (1, 3):
            told = lib.next_codes(count)
            assert [lib.add_swatch() for _ in range(count)] == told
        with pytest.raises(NotFound, match="yet; it is among the codes"):
            lib.swatch(lib.next_codes(20)[-1])


@pytest.mark.parametrize("layout", range(1, IDENTIFIED))  # later ones begin where they drew
def test_an_older_library_keeps_its_codes_and_goes_on_with_them(tmp_path, layout):
    with closing(sqlite3.connect(tmp_path / "library.sqlite", isolation_level=None)) as db:
        migrate(db, upto=layout)
        for n in range(3):
            db.execute("INSERT INTO swatch (code, number, added) VALUES (?, ?, '')", (code(n), n))
    with Library(tmp_path) as lib:
        assert lib.codes() == [code(0), code(1), code(2)]
        assert lib.add_swatch() == code(3)
    assert verify(tmp_path).ok


def test_an_older_one_whose_swatches_are_all_gone_gives_none_again(tmp_path):
    with closing(sqlite3.connect(tmp_path / "library.sqlite", isolation_level=None)) as db:
        migrate(db, upto=4)
        db.execute("INSERT INTO spent_code VALUES (?, 0, '')", (code(0),))
    with Library(tmp_path) as lib:
        assert lib.add_swatch() == code(1)


def test_a_copy_goes_on_as_the_library_would(tmp_path):
    given(tmp_path / "house", 2)
    (tmp_path / "stick").mkdir()
    with Library(tmp_path / "house") as lib:
        file = desk.backup(lib, tmp_path / "stick").file
        coming = lib.next_codes(3)
    restore(file, tmp_path / "again")
    desk.export(tmp_path / "house", tmp_path / "out")
    desk.take(tmp_path / "taken", tmp_path / "out")
    for copy in ("again", "taken"):
        with Library(tmp_path / copy) as lib:
            assert lib.next_codes(3) == coming
        assert verify(tmp_path / copy).ok


def test_a_start_is_set_before_the_first_code_only(tmp_path):
    with Library(tmp_path, create=True) as lib:
        lib.start_codes(0)
        assert lib.add_swatch() == "33333"
        with pytest.raises(LibraryError, match="has given out codes"):
            lib.start_codes(5)


def test_a_code_of_another_library_is_noticed_where_it_is_typed(tmp_path):
    given(tmp_path / "house", 3)
    with Library(tmp_path / "house") as lib:
        other = next(c for c in map(code, range(MOST)) if c not in lib.next_codes(500)
                     and c not in lib.codes())  # fmt: skip
    for words in (["show", other], ["edit", other, "--set", "pH=6"], ["bin", other],
                  ["find", "--colour", other], ["suggest", other]):  # fmt: skip
        said = " ".join(run(*words, "--library", tmp_path / "house", ok=2).stderr.split())
        assert f"{other} is no code that it gave out" in said and "another library" in said


def test_the_sample_has_the_codes_that_the_guide_shows(tmp_path, monkeypatch):
    module = sys.modules[desk.record_sample.__module__]
    monkeypatch.setattr(module, "record_table", lambda library, *a, **k: library.add_swatch())
    with Library(tmp_path, create=True) as lib:
        assert [desk.record_sample(lib) for _ in range(2)] == ["33333", "NJCE3"]


def test_tags_say_what_to_print_on(tmp_path):
    said = run("codes", 2, "--out", tmp_path / "tags.pdf", "--library", tmp_path / "lib").output
    words = " ".join(said.split())
    assert "spun-bonded or waterproof paper" in words and "tied on after dyeing" in words
    assert "pencil" in words and "knots" in words
