"""A kept piece: through undo, the bin, backup, export and an older layout."""

import sqlite3
from contextlib import closing

import numpy as np
import pytest

import swatchbath as sb
from swatchbath import desk
from swatchbath.errors import BadValue, LibraryError, NotFound
from swatchbath.library import Library, back_up, restore, verify
from swatchbath.library.schema import MIGRATIONS, layout, migrate

COLOUR = sb.Measurement([62.0, 12.0, 48.0], np.diag([1.0, 2.0, 3.0]))


@pytest.fixture
def lib(tmp_path):
    with Library(tmp_path / "lib", create=True) as lib:
        yield lib


def kept(lib, name="autumn gold", **more):
    return lib.keep_piece(name, COLOUR, codes=[lib.add_swatch()], within=4, lies="tin 3", **more)


def facts(piece):
    return piece.name, piece.codes, piece.lab.tolist(), piece.covariance.tolist(), piece.within, (
        piece.lies, piece.judged
    )  # fmt: skip


def test_it_is_kept_with_all_that_was_told(lib):
    piece = kept(lib)
    assert facts(lib.kept_piece(" AUTUMN gold ")) == facts(piece)
    assert piece.lies == "tin 3" and piece.codes == tuple(lib.codes()) and piece.within == 4.0
    np.testing.assert_allclose(piece.colour.covariance, COLOUR.covariance)
    with pytest.raises(BadValue, match="already"):
        kept(lib, "Autumn Gold")
    for wrong in (0, -1, 31, float("nan"), "4", True):
        with pytest.raises(BadValue, match="How close"):
            lib.keep_piece("other", COLOUR, within=wrong)
    with pytest.raises(BadValue, match="no name"):
        lib.keep_piece("  ", COLOUR, within=2)
    with pytest.raises(NotFound, match="autumn gold"):
        lib.kept_piece("spring")
    assert len(lib.kept_pieces()) == 1


def test_undo_takes_back_every_change_of_it(lib):
    kept(lib)
    code = lib.add_swatch()
    lib.change_kept_piece("autumn gold", judged=[code])
    lib.change_kept_piece("autumn gold", within=2.0)
    lib.change_kept_piece("autumn gold", lies="tin 5")
    lib.let_piece_go("autumn gold")
    assert lib.kept_pieces() == []
    assert "kept again" in lib.undo().sentences[0]
    assert lib.kept_piece("autumn gold").lies == "tin 5"
    assert "tin 3" in lib.undo().sentences[0]
    assert "4" in lib.undo().sentences[0] and lib.kept_piece("autumn gold").within == 4
    assert "out of the history" in lib.undo().sentences[0]
    assert lib.kept_piece("autumn gold").judged == ()
    lib.undo()  # the swatch that was judged
    assert lib.undo().sentences == [
        "The piece that was kept last is kept no more; keep it again to have it."
    ]
    assert lib.kept_pieces() == [] and lib.in_bin()[0].code == code
    kept(lib)  # the name is free again


def test_a_backup_and_an_export_carry_it(lib, tmp_path):
    piece = kept(lib)
    (tmp_path / "stick").mkdir()
    assert restore(back_up(lib, tmp_path / "stick").file, tmp_path / "again").ok
    desk.export(lib, tmp_path / "out")
    desk.take(tmp_path / "third", tmp_path / "out")
    for folder in ("again", "third"):
        assert verify(tmp_path / folder).ok
        with Library(tmp_path / folder) as other:
            assert facts(other.kept_piece("autumn gold")) == facts(piece)


def test_it_outlasts_its_swatch(lib):
    piece = kept(lib)
    lib.put_in_bin(piece.codes[0])
    lib.empty_bin()
    assert facts(lib.kept_piece("autumn gold")) == facts(piece)
    assert verify(lib.folder).ok


def test_a_damaged_one_is_found_and_told(lib):
    kept(lib)
    lib.close()
    with closing(sqlite3.connect(lib.folder / "library.sqlite")) as db, db:
        db.execute("UPDATE kept_piece SET covariance = '[[1'")
    found = [f for f in verify(lib.folder).findings if f.level == "wrong"]
    assert [f.what for f in found] == ["kept piece"] and "autumn gold" in found[0].sentence
    with Library(lib.folder) as again, pytest.raises(LibraryError, match="swatchbath verify"):
        again.kept_pieces()


def test_a_library_of_the_layout_before_opens_with_a_backup_and_keeps_its_changes(tmp_path):
    folder = tmp_path / "old"
    with Library(folder, create=True) as lib:
        code = lib.add_swatch(fibre={"fibre": "wool"})
        lib.edit(code, {"fibre": "silk"})
        values = lib.as_values()
    (tmp_path / "older" / "photos").mkdir(parents=True)
    file = tmp_path / "older" / "library.sqlite"
    with closing(sqlite3.connect(file, isolation_level=None)) as db:
        db.row_factory = sqlite3.Row
        migrate(db, upto=7)
        for name, table in values["tables"].items():
            if name == "kept_piece":
                continue
            db.execute(f'DELETE FROM "{name}"')
            there = {r["name"] for r in db.execute(f'PRAGMA table_info("{name}")')}
            at = [i for i, column in enumerate(table["columns"]) if column in there]
            db.executemany(
                f'INSERT INTO "{name}" VALUES ({", ".join("?" * len(at))})',
                [[row[i] for i in at] for row in table["rows"]],
            )
    assert verify(tmp_path / "older").ok  # read only, as it is
    with Library(tmp_path / "older") as lib:
        assert lib.kept_pieces() == [] and lib.writable
        kept(lib)
        for _ in range(3):
            lib.undo()
        assert lib.swatch(code).conditions["fibre"] == "wool"
    assert any(p.name.startswith("library-before-layout-7") for p in (tmp_path / "older").iterdir())
    with closing(sqlite3.connect(file)) as db:
        assert layout(db) == len(MIGRATIONS) >= 8
