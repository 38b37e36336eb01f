"""A library of each earlier layout: a copy first, then what is learnt from otherwise is told;
codes, typed lines and steps stay as they were."""

import json
import sqlite3
from contextlib import closing

import pytest

from command import run
from swatchbath.bath.steps import FIBRE_COLUMNS
from swatchbath.library import Library, back_up, restore, verify
from swatchbath.library.history import derived
from swatchbath.library.history.earlier_columns import earlier_columns
from swatchbath.library.schema import IDENTIFIED, migrate

TYPED = "dye: 80 % weld, 80 C, 1 h"


def older(folder, layout):
    """Three swatches of one pot, the second with an after-bath of its own."""
    folder.mkdir()
    with closing(sqlite3.connect(folder / "library.sqlite", isolation_level=None)) as db:
        migrate(db, upto=layout)
        have = {r[1] for r in db.execute("PRAGMA table_info(step)")}
        db.execute(
            "INSERT INTO lot VALUES ('12', '2026-03-14', 'Krapp', '2026-03-14T10:00:00+00:00')"
        )
        for n, code in enumerate(("33333", "NJCE3", "E6KPC")):
            db.execute(
                "INSERT INTO swatch (code, number, name, lot, fibre, fibre_g, added) "
                "VALUES (?, ?, ?, '12', 'wool', 10.0, '2026-03-14T10:00:00+00:00')",
                (code, n, f"12{'abc'[n]}"),
            )
        steps = [
            (1, "12", None, 0, "mordant", [("mordant", "alum", 12.0), ("assist", "tartar", 6.0)]),
            (2, "12", None, 1, "dye", [("dyestuff", "weld", 80.0)]),
            (3, None, "NJCE3", 0, "after-bath", [("modifier", "iron", 2.0)]),
        ]
        for key, lot, swatch, position, kind, held in steps:
            more = {"typed": TYPED} if kind == "dye" and "typed" in have else {}
            names = ["id", "lot", "swatch", "position", "kind", "temperature_C", *more]
            db.execute(
                f"INSERT INTO step ({', '.join(names)}) VALUES ({', '.join('?' * len(names))})",
                (key, lot, swatch, position, kind, 80.0, *more.values()),
            )
            for place, (role, name, owf) in enumerate(held):
                db.execute(
                    "INSERT INTO material (step, position, role, name, owf) VALUES (?, ?, ?, ?, ?)",
                    (key, place, role, name, owf),
                )
    return folder


def told(folder):
    with Library(folder) as lib:
        return [(s.code, s.name, s.lot, s.session, s.steps) for s in map(lib.swatch, lib.codes())]


@pytest.mark.parametrize("layout", range(1, IDENTIFIED))  # those of the earlier rule
def test_what_was_told_stays_and_what_is_learnt_otherwise_is_listed(tmp_path, layout):
    folder = older(tmp_path / "old", layout)
    original = (folder / "library.sqlite").read_bytes()
    before = told(older(tmp_path / "same", layout))

    said = run("show", "33333", "--library", folder)
    words = " ".join(said.stderr.split())
    assert "3 swatches are learnt from otherwise" in words
    # Then, what was added to the mordant counted as added to the dye bath.
    assert "NJCE3: assistant in the dye bath: not known, was tartar; amount of the assi" in words
    assert "assistant in the mordant bath: tartar, was not known; amount of the assista" in words
    assert "learnt from otherwise" not in run("find", "--library", folder).stderr  # once
    notes = [f for f in verify(folder).findings if f.what == "derived anew"]
    assert len(notes) == 3 and all(f.level == "note" for f in notes)
    (copy,) = folder.glob(f"library-before-layout-{layout}-*.sqlite")
    with closing(sqlite3.connect(copy)) as db, closing(sqlite3.connect(":memory:")) as was:
        was.deserialize(original)
        assert list(db.iterdump()) == list(was.iterdump())
    assert told(folder) == before
    assert [c for c, *_ in before] == ["33333", "NJCE3", "E6KPC"]
    assert before[1][4][-1].materials[0].name == "iron"
    assert layout < 3 or before[0][4][1].typed == TYPED
    assert verify(folder).ok


@pytest.mark.parametrize("layout", range(1, IDENTIFIED))  # those of the earlier rule
def test_a_backup_from_then_is_put_back_and_told_of_as_well(tmp_path, layout):
    import hashlib
    import zipfile

    folder = older(tmp_path / "old", layout)
    data = (folder / "library.sqlite").read_bytes()
    with zipfile.ZipFile(tmp_path / "b.zip", "w") as into:
        into.writestr("library.sqlite", data)
        into.writestr("checksums.txt", f"{hashlib.sha256(data).hexdigest()}  library.sqlite\n")
    assert restore(tmp_path / "b.zip", tmp_path / "again").ok
    assert told(tmp_path / "again") == told(folder)
    (tmp_path / "stick").mkdir()
    with Library(tmp_path / "again") as lib:
        file = back_up(lib, tmp_path / "stick").file
    with zipfile.ZipFile(file) as archive:
        assert sorted(archive.namelist()) == ["checksums.txt", "library.sqlite"]


def test_nothing_is_told_where_nothing_is_otherwise(tmp_path, monkeypatch):
    monkeypatch.setattr(derived, "conditions_of", earlier_columns)
    folder = older(tmp_path / "old", 5)
    assert "otherwise" not in run("show", "33333", "--library", folder).stderr
    with Library(folder) as lib:
        assert lib.columns_changed() == {}
    with Library(tmp_path / "new", create=True) as lib:
        lib.add_swatch(fibre={"fibre": "wool"})
    monkeypatch.setattr(derived, "conditions_of", lambda *_: {"fibre": "silk"})
    with Library(tmp_path / "new") as lib:  # made by this version, by its own rule
        lib.add_swatch()
        assert lib.columns_changed() == {}


def test_a_swatch_that_cannot_be_read_stands_in_no_ones_way(tmp_path, monkeypatch):
    folder = older(tmp_path / "old", 5)
    with closing(sqlite3.connect(folder / "library.sqlite", isolation_level=None)) as db:
        db.execute("UPDATE swatch SET extra = 'no json' WHERE code = 'E6KPC'")
    monkeypatch.setattr(derived, "conditions_of", lambda *_: {})
    with Library(folder) as lib:
        assert sorted(lib.columns_changed()) == ["33333", "NJCE3"]
        old = earlier_columns(lib.swatch("33333").steps, dict.fromkeys(FIBRE_COLUMNS))
        assert json.loads(json.dumps(old)) == old
