"""Every refusal is one sentence of ours, and leaves what is on record as it was."""

import sqlite3
import traceback

import numpy as np
import pytest

from library_made import DYE, filled, reading
from swatchbath.errors import BadValue, LibraryError, SwatchbathError
from swatchbath.library import Library
from swatchbath.library.schema import MIGRATIONS, layout, migrate


@pytest.fixture
def lib(tmp_path):
    with Library(tmp_path / "house", create=True) as library:
        yield library


CALLS = {
    "folder None": lambda lib: Library(None),
    "swatch None": lambda lib: lib.swatch(None),
    "swatch empty": lambda lib: lib.swatch(" "),
    "swatch 5": lambda lib: lib.swatch(5),
    "steps of dicts": lambda lib: lib.add_lot([{}]),
    "steps a text": lambda lib: lib.add_lot("weld"),
    "steps one step": lambda lib: lib.add_lot(DYE),
    "steps None": lambda lib: lib.add_lot(None),
    "lot's name a number": lambda lib: lib.add_lot([DYE], name=12),
    "lot's unknown field": lambda lib: lib.add_lot([DYE], colour="red"),
    "name a number": lambda lib: lib.add_swatch(name=12),
    "name broken": lambda lib: lib.add_swatch(name="\ud800"),
    "lot a number": lambda lib: lib.add_swatch(lot=12),
    "swatch steps": lambda lib: lib.add_swatch(steps=[None]),
    "fibre_g words": lambda lib: lib.add_swatch(fibre={"fibre_g": "ten"}),
    "fibre_g endless": lambda lib: lib.add_swatch(fibre={"fibre_g": float("inf")}),
    "fibre a number": lambda lib: lib.add_swatch(fibre={"fibre": 3}),
    "fibre strange": lambda lib: lib.add_swatch(fibre={"dyestuff": "weld"}),
    "extra": lambda lib: lib.add_swatch(extra={"a": object()}),
    "measured": lambda lib: lib.add_measurement(filled(lib), [60, 5, 50]),
    "mark": lambda lib: lib.add_measurement(filled(lib), reading(), mark=[1, 2]),
    "mark words": lambda lib: lib.add_measurement(filled(lib), reading(), mark="here"),
    "find k": lambda lib: lib.find(k="many"),
    "find text": lambda lib: lib.find(text=5),
    "find lab": lambda lib: lib.find(lab="red"),
    "photo's id": lambda lib: lib.photo(5),
    "camera": lambda lib: lib.add_photo(__file__, camera=5),
}


@pytest.mark.parametrize("call", CALLS.values(), ids=CALLS)
def test_what_cannot_be_gets_a_sentence_from_python_too(lib, call):
    with pytest.raises(SwatchbathError) as error:
        call(lib)
    said = str(error.value)
    assert said.endswith(".")
    for word in ("sqlite", "constraint", "datatype", "parameter", "FOREIGN", "binding"):
        assert word not in said


def test_numbers_of_any_library_are_numbers(lib):
    key = lib.add_swatch(fibre={"fibre": "wool", "fibre_g": np.float32(10), "base_L": np.int64(90)})
    assert lib.swatch(key).conditions == {"fibre": "wool", "fibre_g": 10.0, "base_L": 90.0}


@pytest.mark.parametrize(
    "use",
    [len, Library.codes, Library.table, lambda lib: lib.find(text="a"),
     lambda lib: lib.add_swatch(name="a"), lambda lib: lib.swatch("a")],
)  # fmt: skip
def test_a_closed_library_says_so(lib, use):
    lib.close()
    lib.close()
    with pytest.raises(BadValue, match="is closed"):
        use(lib)


@pytest.mark.parametrize("name", ["", "  ", "62,12,48", "62 12 48", "62;-1.5;+48", "#c8a050"])
def test_a_name_that_is_empty_or_reads_as_a_colour_is_refused(lib, name):
    with pytest.raises(BadValue, match="name"):
        lib.add_swatch(name=name)


def test_a_name_that_reads_as_a_code_is_refused(lib):
    key = lib.add_swatch(name="first")
    for name in (key, key.lower(), f" {key} "):
        with pytest.raises(BadValue, match="code"):
            lib.add_swatch(name=name)


def test_blanks_around_a_name_go(lib):
    key = lib.add_swatch(name="  12a\t")
    assert lib.swatch(key).name == "12a"
    assert lib.swatch(" 12a ").code == key
    with pytest.raises(BadValue, match="already"):
        lib.add_swatch(name="12a ")


def test_a_lot_of_two_dye_days_is_refused_by_their_names(lib):
    lib.add_lot([], name="12")
    lib.add_lot([], name="12", session="2026-03-14")
    assert lib.session_of("12") == "2026-03-14"
    assert lib.add_lot([], name="12") == "12"
    with pytest.raises(BadValue, match="2026-03-14.*2026-03-15.*name of its own"):
        lib.add_lot([], name="12", session="2026-03-15")


def test_a_dye_day_without_a_lot_is_kept(lib):
    key = lib.add_swatch(session="2026-03-14", steps=[DYE], fibre={"fibre": "wool"})
    lib.add_measurement(key, reading())
    assert lib.swatch(key).session == "2026-03-14"
    assert lib.table()[0]["session"].tolist() == ["2026-03-14"]


def test_a_failing_commit_is_taken_back_and_said(lib):
    filled(lib)
    with pytest.raises(BadValue, match="does not fit"):
        with lib.atomic():
            db = lib._database.db
            # A reference that is looked at only by the commit, which then fails.
            db.execute("PRAGMA defer_foreign_keys = ON")
            db.execute("INSERT INTO lot (name, added) VALUES ('x', '')")
            db.execute("INSERT INTO step (lot, position, kind) VALUES ('nowhere', 0, 'dye')")
    assert not lib._database.db.in_transaction
    lib.add_swatch(name="next")
    with Library(lib.folder) as again:
        assert len(again) == 2
        assert again.session_of("x") is None


class Failing:
    """A connection that refuses one statement as SQLite would."""

    def __init__(self, db, statement, error):
        self.db, self.statement, self.error = db, statement, error

    def execute(self, text, *more):
        if text.startswith(self.statement):
            raise self.error
        return self.db.execute(text, *more)

    def __getattr__(self, name):
        return getattr(self.db, name)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("database is locked", "Another program"),
        ("database or disk is full", "full or failing"),
        ("disk I/O error", "full or failing"),
        ("attempt to write a readonly database", "cannot be written"),
        ("something new", "could not do this"),
    ],
)
@pytest.mark.parametrize("statement", ["COMMIT", "INSERT INTO swatch", "BEGIN"])
def test_what_sqlite_says_does_not_reach_her(lib, text, says, statement):
    database = lib._database
    assert database.writable
    database._writer = Failing(database.db, statement, sqlite3.OperationalError(text))
    with pytest.raises(LibraryError, match=says) as error:
        lib.add_swatch(name="a")
    assert text not in str(error.value)
    assert text in "".join(traceback.format_exception(error.value))  # kept as the cause
    database._writer = database.db.db
    assert not database.db.in_transaction
    assert lib.add_swatch(name="a")


def test_an_error_of_the_callers_own_passes_unchanged(lib):
    with pytest.raises(FileNotFoundError):
        with lib.atomic():
            open("there is no such file")  # noqa: SIM115


def test_a_library_of_the_first_layout_is_brought_up_to_date(tmp_path, monkeypatch):
    from swatchbath.library import schema

    (tmp_path / "photos").mkdir()
    db = sqlite3.connect(tmp_path / "library.sqlite", isolation_level=None)
    monkeypatch.setattr(schema, "MIGRATIONS", MIGRATIONS[:1])
    migrate(db)
    db.execute("INSERT INTO lot VALUES ('12', '2026-03-14', '', '')")
    db.execute("INSERT INTO swatch (code, number, lot, added) VALUES ('33333', 0, '12', '')")
    db.execute("INSERT INTO step (id, swatch, position, kind) VALUES (1, '33333', 0, 'dye')")
    for place, dye in enumerate(("weld", "madder")):
        db.execute(
            "INSERT INTO material VALUES (1, ?, 'dyestuff', ?, NULL, NULL, NULL)", (place, dye)
        )
    db.close()
    monkeypatch.undo()
    with Library(tmp_path) as lib:
        assert layout(lib._database.db) == len(MIGRATIONS)
        swatch = lib.swatch("33333")
        assert swatch.session == "2026-03-14"
        assert swatch.conditions["dye_2_how"] == "together"


def test_a_manner_that_is_not_known_is_kept_so(lib):
    from swatchbath.bath.steps import steps_of

    row = {"dyestuff": "weld", "dyestuff_2": "madder", "dyestuff_3": "lac", "dye_3_how": "over"}
    assert lib.swatch(lib.add_swatch(steps=steps_of(row))).conditions == row
