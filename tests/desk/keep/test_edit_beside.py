"""Notes and columns of her own, on swatches, lots and deliveries of dyestuffs."""

import csv

import pytest

import swatchbath as sb
from command import run
from swatchbath import desk
from swatchbath.errors import BadValue, NotFound


@pytest.fixture
def lib(tmp_path):
    desk.pot(
        tmp_path / "lib", ["dye: madder (M25) 40 %, 60 C"], fibres=["wool", "silk"], lot="12",
        after=["none", "iron liquor, jar J2, 10 min"],
    )  # fmt: skip
    desk.pot(tmp_path / "lib", ["dye: weld 80 %"], fibres=["wool"])
    with sb.Library(tmp_path / "lib") as library:
        yield library


def found(lib, words):
    return {s.swatch.code for s in desk.find(lib, words)}


def test_a_note_and_a_column_of_her_own_are_kept_with_a_swatch_and_found(lib):
    code, other = lib.codes()[:2]
    desk.edit(lib, code, ["note=fades in the window", "Shelf number=3b"])
    kept = desk.show(lib, code)["kept"]
    assert kept == {"note": "fades in the window", "Shelf number": "3b"}
    assert found(lib, "fades window") == found(lib, "3B") == {code}
    assert desk.show(lib, other)["kept"] == {}
    desk.edit(lib, code, ["note="])
    assert desk.show(lib, code)["kept"] == {"Shelf number": "3b"}
    desk.undo(lib)
    assert desk.show(lib, code)["kept"] == kept and found(lib, "fades") == {code}
    assert any("note: not known, was fades in the window" in e["what"] for e in lib.history(code))


def test_what_is_kept_with_a_lot_is_told_of_all_its_swatches(lib):
    done = desk.edit_lot(lib, "12", ["note=the kettle boiled over", "session=2026-03-01"])
    pot = set(lib.codes()[:4])
    assert set(done.edited.codes) == pot == found(lib, "boiled over")
    shown = desk.show(lib, lib.codes()[0])
    assert shown["kept_with_lot"] == {"note": "the kettle boiled over"}
    assert shown["session"] == "2026-03-01"
    assert any("boiled over" in e["what"] for e in shown["history"])
    desk.undo(lib)
    assert found(lib, "boiled over") == set()
    assert desk.show(lib, lib.codes()[0])["session"] is None


def test_what_is_kept_with_a_delivery_or_a_jar_is_told_of_all_that_was_dyed_with_it(lib):
    desk.edit_dyestuff_lot(lib, "M25", ["season=autumn", "price=14 a kg", "grower=the mill"])
    pot = lib.codes()[:4]
    assert found(lib, "autumn mill") == set(pot)
    assert desk.show(lib, pot[0])["kept_with_dyestuff_lots"] == {
        "M25": {"season": "autumn", "price": "14 a kg", "grower": "the mill"}
    }
    desk.edit_dyestuff_lot(lib, "J2", ["note=a year old"])
    iron = {c for c in pot if lib.swatch(c).conditions.get("modifier") == "iron liquor"}
    assert found(lib, "year old") == iron and len(iron) == 2
    desk.undo(lib)
    assert found(lib, "year old") == set() and found(lib, "autumn") == set(pot)
    desk.undo(lib)
    assert found(lib, "autumn") == set()


def test_a_delivery_may_be_noted_before_it_is_dyed_with(lib):
    done = desk.edit_dyestuff_lot(lib, "W26", ["season=summer"])
    assert done.sentences[-1] == "No swatch on record comes of it yet."
    (code,) = desk.pot(lib, ["dye: weld (W26) 50 %"], fibres=["wool"]).codes
    assert found(lib, "summer") == {code}


@pytest.mark.parametrize(
    ("do", "error", "says"),
    [
        (lambda lib: desk.edit_lot(lib, "13", ["note=x"]), NotFound, "no lot 13"),
        (lambda lib: desk.edit_lot(lib, "12", ["pH=5"]), BadValue, "a fact of a bath"),
        (lambda lib: desk.edit_lot(lib, "12", []), BadValue, "Nothing is told"),
        (lambda lib: desk.edit_dyestuff_lot(lib, " ", ["note=x"]), BadValue, "Name the lot"),
        (lambda lib: desk.edit_lot(lib, "12", ["notes=x"]), BadValue, "Did you mean note"),
        (lambda lib: lib.edit_lot("12", {"dyestuf": "x"}), BadValue, "Did you mean dyestuff"),
        (
            lambda lib: lib.edit_lot("12", {"dyestuff_2_owf": "55"}),
            BadValue,
            "Did you mean dye_owf_2",
        ),
    ],
)
def test_what_cannot_be_kept_is_refused(lib, do, error, says):
    before = lib.as_values()
    with pytest.raises(error, match=says):
        do(lib)
    assert lib.as_values() == before


def test_all_of_it_goes_out_and_comes_in_again_and_is_backed_up(lib, tmp_path):
    code = lib.codes()[0]
    desk.edit(lib, code, ["note=kept", "place=tin 3"])
    desk.edit_lot(lib, "12", ["note=of the lot", "cat=sat on it"])
    desk.edit_dyestuff_lot(lib, "M25", ["season=autumn"])
    desk.export(lib, tmp_path / "out")
    with open(tmp_path / "out" / "lots.csv", encoding="utf-8", newline="") as file:
        rows = {row["name"]: row for row in csv.DictReader(file)}
    assert rows["12"]["cat"] == "sat on it" and rows["12"]["kind"] == "dye lot"
    assert rows["M25"]["season"] == "autumn" and rows["M25"]["kind"] == "dyestuff lot"
    with open(tmp_path / "out" / "swatches.csv", encoding="utf-8", newline="") as file:
        assert next(csv.DictReader(file))["note"] == "kept"
    desk.take(tmp_path / "in", tmp_path / "out")
    (tmp_path / "disk").mkdir()
    desk.backup(lib, tmp_path / "disk")
    desk.restore(next((tmp_path / "disk").iterdir()), tmp_path / "back")
    for place in ("in", "back"):
        with sb.Library(tmp_path / place) as again:
            assert desk.show(again, code)["kept"] == {"note": "kept", "place": "tin 3"}
            assert found(again, "sat on it autumn kept") == {code}


def test_at_the_command(lib):
    place = ["--library", lib.folder]
    run("edit", lib.codes()[0], "--set", "note=soft", *place)
    run("edit", "--lot", "12", "--set", "note=boiled over", *place)
    said = run("edit", "--dyestuff-lot", "M25", "--set", "season=autumn", *place).stdout
    assert "4 swatches come of it" in said
    said = run("show", lib.codes()[0], *place).stdout
    assert "note: soft" in said and "Of the whole lot 12, note: boiled over" in said
    assert "Of M25, season: autumn" in said
    said = run("edit", "--lot", "12", "--where", "fibre=wool", "--set", "a=b", *place, ok=2).stderr
    assert "leave all but one out" in " ".join(said.split())
