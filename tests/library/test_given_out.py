"""A suggestion kept with its code: through backup, export, undo, the bin and an older layout."""

import sqlite3
from contextlib import closing

import pytest

from swatchbath import desk
from swatchbath.bath.diary.reading import read_step
from swatchbath.colorimetry.measurement import Measurement
from swatchbath.errors import BadValue, NotFound
from swatchbath.library import Library, back_up, restore, verify
from swatchbath.library.schema import MIGRATIONS, migrate

SAID = {"asked": {"lab": [62.0, 12.0, 48.0]}, "tolerance": 3.0, "chance_within": 0.2}


@pytest.fixture
def lib(tmp_path):
    with Library(tmp_path / "lib", create=True) as lib:
        yield lib


def given(lib):
    with lib.atomic():
        code = lib.add_swatch()
        lib.keep_suggestion(code, SAID)
    return code


def test_it_is_kept_with_its_code_and_only_once(lib):
    code, other = given(lib), lib.add_swatch()
    assert lib.suggestion(code) == SAID and lib.suggestion(other) is None
    assert lib.suggestions() == {code: SAID}
    with pytest.raises(BadValue, match="already"):
        lib.keep_suggestion(code, SAID)
    with pytest.raises(BadValue, match="cannot be kept"):
        lib.keep_suggestion(other, {"lab": float("nan")})
    with pytest.raises(NotFound):
        lib.suggestion("nobody")


def test_a_backup_and_an_export_carry_it(lib, tmp_path):
    code = given(lib)
    (tmp_path / "stick").mkdir()
    assert restore(back_up(lib, tmp_path / "stick").file, tmp_path / "again").ok
    desk.export(lib, tmp_path / "out")
    desk.take(tmp_path / "third", tmp_path / "out")
    for folder in ("again", "third"):
        assert verify(tmp_path / folder).ok
        with Library(tmp_path / folder) as other:
            assert other.suggestion(code) == SAID


def test_undo_takes_it_to_the_bin_and_emptying_that_forgets_it(lib):
    code = given(lib)
    lib.undo()
    assert lib.suggestions() == {}
    lib.take_out(code)
    assert lib.suggestions() == {code: SAID}
    lib.put_in_bin(code)
    lib.empty_bin()
    with lib.reading() as db:
        assert db.execute("SELECT count(*) FROM suggested").fetchone()[0] == 0


def test_a_library_from_before_opens_and_takes_one(tmp_path):
    with closing(sqlite3.connect(tmp_path / "library.sqlite", isolation_level=None)) as db:
        migrate(db, upto=len(MIGRATIONS) - 1)
    with Library(tmp_path) as lib:
        assert lib.suggestions() == {}
        assert lib.suggestion(given(lib)) == SAID
    assert verify(tmp_path).ok


def test_only_what_was_dyed_here_and_has_dried_counts_as_lived_with(lib):
    def swatch(*lines, state="dry"):
        code = lib.add_swatch(fibre={"fibre": "wool"}, steps=[read_step(x) for x in lines])
        if state:
            lib.add_measurement(code, Measurement([50, 10, 10]), state=state)
        return code

    own = swatch("dye: weld 50 %")
    swatch("dye: weld 50 %", state="wet")
    swatch("dye: weld 50 %", state=None)
    brought_in = swatch("dye: weld 50 %")
    lib.note_taken("digest", brought_in, "book.csv", 2)
    from_a_table = lib.add_swatch(fibre={"fibre": "wool"})
    lib.add_measurement(from_a_table, Measurement([50, 10, 10]))
    assert lib.dried_by_hand() == [own]
