"""A pile sorted at the desk: what is named, what is said, and in how much time."""

import numpy as np
import pytest

import swatchbath as sb
from folders import SAMPLE
from shades_made import GOLD, photo_in, put_lot, reading
from swatchbath import desk
from swatchbath.desk.answer.pile import Skein, pile, skeins_of
from swatchbath.errors import BadValue, NotFound, ValueOutOfRange

PHOTO = SAMPLE / "photos" / "photo_01.jpg"


@pytest.fixture
def lib(tmp_path):
    with sb.Library(tmp_path / "lib", create=True) as lib:
        yield lib


def skeins(labs, sd=0.05):
    return [
        Skein(chr(97 + i), sb.Measurement(lab, sd**2 * np.eye(3), photo="p"))
        for i, lab in enumerate(labs)
    ]


def test_what_differs_is_apart_and_what_cannot_be_told_is_named():
    sure = pile(skeins([GOLD, GOLD + [0.5, 0, 0], GOLD + [12, 0, 0]]))
    assert sure.groups == ((0, 1), (2,)) and "2 groups that go together" in sure.summary
    assert sure.group_words((0, 1)) == "All of them match each other."
    assert "no other" in sure.group_words((2,))
    told = sure.as_dict()
    assert told["groups"][0]["skeins"] == ["a", "b"] and not told["groups"][0]["cannot_tell"]
    doubt = pile(skeins([GOLD, GOLD + [0.5, 0, 0]], sd=2))
    assert "may go together" in doubt.summary and "cannot be told" in doubt.group_words((0, 1))
    assert doubt.as_dict()["groups"][0]["cannot_tell"][0]["pair"] == ["a", "b"]
    wide = pile(skeins([GOLD, GOLD + [12, 0, 0]]), purpose="family")
    assert wide.pairs.tolerance == 8 and "no two of them go together" in wide.summary


def test_the_row_the_best_and_the_odd_one_are_said():
    at = [GOLD + [x, 0, 0] for x in (4, 0, 9, 1, 30)]
    found = pile(skeins(at), row=True, best=2)
    assert found.called(found.row) in (list("bdace"), list("ecadb"))
    assert "c to e" in found.row_words or "e to c" in found.row_words
    assert found.called(found.best) == ["b", "d"] and "match each other" in found.best_words
    near = pile(skeins([GOLD, GOLD + [0.2, 0, 0], GOLD + [0.1, 0, 0], GOLD + [0, -20, 0]]))
    assert near.odd == 3 and "d is the odd one out" in near.odd_words
    assert "greener" in near.odd_words
    assert pile(skeins([GOLD, GOLD])).odd_words == ""
    with pytest.raises(ValueOutOfRange):
        pile(skeins([GOLD, GOLD]), best=3)
    with pytest.raises(BadValue, match="two skeins"):
        pile(skeins([GOLD]))
    with pytest.raises(BadValue, match="twice"):
        pile([*skeins([GOLD]), *skeins([GOLD])])


def test_swatches_lots_and_what_is_alike_are_found(lib):
    a = put_lot(lib, "12", [GOLD, GOLD + [0.3, 0, 0]])
    b = put_lot(lib, "13", [GOLD + [15, 0, 0]], delivery="W26")
    bare = lib.add_swatch(fibre={"fibre": "wool"}, steps=[])
    both = desk.pile_typed(lib.folder, ["12", b[0]])
    assert [s.code for s in both.skeins] == [*a, *b]
    alike = desk.pile_typed(lib.folder, where=["dyestuff_lot=W25"])
    assert [s.code for s in alike.skeins] == a
    left = desk.pile_typed(lib.folder, ["12", bare])
    assert bare in left.left_out[0] and "Photograph" in left.left_out[0]
    with pytest.raises(BadValue, match="No swatch on record is so"):
        desk.pile_typed(lib.folder, where=["dyestuff=madder"])
    with pytest.raises(BadValue, match="Say which skeins"):
        desk.pile_typed(lib.folder)
    with pytest.raises(BadValue, match="not by both"):
        desk.pile_typed(lib.folder, ["12"], where=["fibre=wool"])
    with pytest.raises(NotFound, match="no swatch"):
        desk.pile_typed(lib.folder, ["nobody", "12"])
    with pytest.raises(NotFound, match="--photo"):
        desk.pile_typed(lib.folder / "elsewhere", ["12", "13"])


def test_the_photo_that_shows_all_is_gone_by(lib, tmp_path):
    codes = put_lot(lib, "12", [GOLD, GOLD + [1, 0, 0]])
    one, other = photo_in(lib, tmp_path, 1), photo_in(lib, tmp_path, 2)
    for code in codes:
        lib.add_measurement(code, reading(GOLD + [5, 0, 0]), photo=one)
    lib.add_measurement(codes[0], reading(GOLD), photo=other)
    found, _ = skeins_of(lib.swatches(codes))
    assert {s.reading.photo for s in found} == {one}
    lib.add_measurement(codes[1], reading(GOLD), photo=photo_in(lib, tmp_path, 3), state="wet")
    found, _ = skeins_of(lib.swatches(codes))
    assert {s.reading.photo for s in found} == {one}


def test_a_pile_in_a_photo_needs_no_library(tmp_path):
    at = ["261,250,49", "261,250,30", "far=798,250,49"]
    found = desk.pile_typed(
        tmp_path / "none", photo=str(PHOTO), card="798,900,97", at=at, tolerance=3.0
    )
    assert [s.called for s in found.skeins] == ["1", "2", "far"] and found.one_photo
    assert any({0, 1} <= set(g) for g in found.groups)
    with pytest.raises(BadValue, match="--photo"):
        desk.pile_typed(tmp_path / "none", at=at)
    with pytest.raises(BadValue, match="one pile"):
        desk.pile_typed(tmp_path / "none", ["12"], photo=str(PHOTO), at=at)


def test_the_page_shows_every_skein_once_in_each_order(tmp_path):
    found = pile(skeins([GOLD + [x, 0, 0] for x in (4, 0, 12, 1)]), row=True, best=2)
    page = desk.write_pile(found, tmp_path / "pile.html").read_text()
    assert page.count('class="patch"') == 4 + 2 + 4
    assert "Figures" in page or not found.doubtful(found.groups[0])
    desk.write_pile(found, tmp_path / "pile.html")  # its own page is replaced
    (tmp_path / "notes.html").write_text("mine")
    with pytest.raises(BadValue, match="already"):
        desk.write_pile(found, tmp_path / "notes.html")
    with pytest.raises(BadValue, match=r"\.html"):
        desk.write_pile(found, tmp_path / "pile.txt")
    assert (tmp_path / "notes.html").read_text() == "mine"


def test_progress_is_told():
    told = []
    pile(skeins([GOLD, GOLD]), progress=lambda done, of, what: told.append((done, of)))
    assert told[0][0] == 0 and told[-1][0] == told[-1][1]
