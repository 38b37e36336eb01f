"""Many corrected at once: shown first, then made, and taken back as one."""

import pytest

import swatchbath as sb
from command import run
from swatchbath import desk
from swatchbath.errors import BadValue

POTS = [
    (["mordant: alum 12 %", "dye: madder 40 %, 60 C, 1 h"], ["wool", "silk"]),
    (["dye: weld 80 %, 80 C, 1 h", "dye: madder 10 %, 60 C"], ["wool"]),
    (["dye: weld 80 %, 80 C, 1 h"], ["wool"]),
    (["dye: Madder (M24) 40 %, 60 C"], ["linen"]),
]


@pytest.fixture
def lib(tmp_path):
    for steps, fibres in POTS:
        desk.pot(tmp_path, steps, fibres=fibres)
    with sb.Library(tmp_path) as library:
        yield library


def lots(lib):
    wanted = ("dyestuff_lot", "dyestuff_lot_2")
    return [tuple(lib.swatch(c).conditions.get(n) for n in wanted) for c in lib.codes()]


def test_it_is_shown_and_not_done_until_she_says_so(lib):
    before = lots(lib)
    looked = desk.edit_many(lib, ["dyestuff=madder"], ["dyestuff_lot=M25"])
    assert len(looked.found) == len(looked.changed) == 4 and not looked.written
    assert "4 swatches found; 4 of them would change." in looked.sentences[0]
    assert lots(lib) == before
    assert not any("corrected" in e["what"] for c in lib.codes() for e in lib.history(c))


def test_the_lot_goes_to_the_dyestuff_that_was_asked_for_and_one_undo_takes_all_back(lib):
    before = lots(lib)
    done = desk.edit_many(lib, ["dyestuff=madder"], ["dyestuff_lot=M25"], yes=True)
    assert done.written
    assert lots(lib) == [
        ("M25", None), ("M25", None), (None, "M25"), (None, None), ("M25", None),
    ]  # fmt: skip
    desk.undo(lib)
    assert lots(lib) == before


def test_all_that_is_asked_must_hold(lib):
    def found(*where):
        return len(desk.edit_many(lib, where, ["note=x"]).found)

    assert found("dyestuff=madder", "fibre=wool") == 2
    assert found("dyestuff=madder", "dyestuff_lot=") == 3
    assert found("dyestuff=madder", "dyestuff_lot=M24") == 1
    assert found("dyestuff=MADDER ", "temperature_C=140 F") == 3
    assert found("mordant=potash alum") == 2
    assert found("mordant=") == 3
    with pytest.raises(BadValue, match="No swatch on record is so"):
        found("dyestuff=weld", "dyestuff_lot=M24")


@pytest.mark.parametrize(
    ("where", "cells", "says"),
    [
        (["dyestuff"], ["note=x"], "column=value"),
        (["dyestuff=madder"], [], "Nothing is told"),
        (["dyestuff=madder"], ["name=x"], "one swatch's own"),
        (["temp=60"], ["note=x"], "Did you mean temperature_C"),
        (["pH=sour"], ["note=x"], "is no pH"),
        (["dyestuff=madder"], ["pH=19"], "outside"),
        ([], ["note=x"], "which swatches"),
    ],
)
def test_what_cannot_be_changes_nothing(lib, where, cells, says):
    before = lib.as_values()
    with pytest.raises(BadValue, match=says):
        desk.edit_many(lib, where, cells, yes=True)
    assert lib.as_values() == before


def test_at_the_command(lib):
    how = ["edit", "--where", "dyestuff=madder", "--where", "fibre=wool", "--set", "season=autumn"]
    said = run(*how, "--library", lib.folder).stdout
    assert "2 swatches found" in said and "--yes" in said
    assert "season: autumn, was not known." in " ".join(said.split())
    said = run(*how, "--yes", "--library", lib.folder).stdout
    assert "2 of them were changed" in said and "undo" in said
    assert "autumn" in run("find", "autumn", "--json", "--library", lib.folder).stdout
    run("undo", "--library", lib.folder)
    assert "None of the 5" in run("find", "autumn", "--library", lib.folder).stdout
    assert "Leave them or --where out" in " ".join(
        run(*how, "--state", "wet", "--library", lib.folder, ok=2).stderr.split()
    )
