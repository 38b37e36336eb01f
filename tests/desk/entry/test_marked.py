"""A marked photo on record in one go: what each place is, and all of it or nothing."""

import numpy as np
import pytest

import sheet_drawing as drawn
from swatchbath import desk
from swatchbath.errors import BadValue, NotFound, PhotoRefused
from web_marks import PHOTO, SPOTS

CARD = "{:.0f},{:.0f}".format(*SPOTS["card"][0])
AT = [f"{i}={x:.0f},{y:.0f}" for i, (x, y) in enumerate(SPOTS["swatch"], start=1)]
MADDER = ["mordant: alum 12 %", "dye: madder 40 %, 60 C, 1 h"]


def of(folder):
    with desk.open_library(folder) as library:
        return {s.code: s for s, _ in library.find(k=50)}


def test_each_place_becomes_what_was_said(tmp_path):
    folder = tmp_path / "house"
    (waiting,) = desk.codes(folder, 1)["codes"]
    said = {"1": desk.MarkedAs(bath="lines", name="first"), "2": desk.MarkedAs(code=waiting),
            "3": desk.MarkedAs(name="17")}  # fmt: skip
    done = desk.record_marked(
        folder, PHOTO, said, card=CARD, swatches=AT[:3], fibre="wool", lines=MADDER, called="a.jpg"
    )
    swatches = of(folder)
    assert done.readings == 3 and set(done.codes) == {"1", "2", "3"}
    first, second, third = (swatches[done.codes[n]] for n in "123")
    assert (first.name, third.name, second.code) == ("first", "17", waiting)
    assert [s.kind for s in first.steps] == ["mordant", "dye"]
    assert not second.has_bath and not third.has_bath
    assert all(s.shown == (("a.jpg", "swatch"),) for s in (first, second, third))
    # As the command reads them.
    told = desk.measure_typed(str(PHOTO), card=CARD, swatches=AT[:3],
                              preview=str(tmp_path / "p.jpg"))  # fmt: skip
    for row, swatch in zip(told["swatches"], (first, second, third), strict=True):
        assert np.allclose(row["lab"], swatch.measured.lab, atol=1e-9)


def test_the_last_bath_is_the_last_before_the_photo(tmp_path):
    folder = tmp_path / "house"
    last = desk.pot(folder, MADDER, fibres=["wool"]).codes[0]
    said = {"1": desk.MarkedAs(bath="last", but=("pH=5",)), "2": desk.MarkedAs(bath="last")}
    done = desk.record_marked(folder, PHOTO, said, card=CARD, swatches=AT[:2])
    swatches = of(folder)
    one, two = (swatches[done.codes[n]] for n in "12")
    assert one.conditions["pH"] == 5 and "pH" not in two.conditions
    assert two.steps == swatches[last].steps


def test_one_undo_takes_all_of_it_back(tmp_path):
    folder = tmp_path / "house"
    said = {"1": desk.MarkedAs(bath="lines"), "2": desk.MarkedAs(name="b")}
    desk.record_marked(folder, PHOTO, said, card=CARD, swatches=AT[:2], fibre="wool", lines=MADDER)
    with desk.open_library(folder) as library:
        desk.undo(library)
        assert len(library) == 0


@pytest.mark.parametrize(
    ("said", "more"),
    [
        ({}, {}),
        ({"9": desk.MarkedAs()}, {}),
        ({"1": desk.MarkedAs(code="ZZZZZ")}, {}),
        ({"1": desk.MarkedAs(bath="lines")}, {"fibre": "wool", "lines": ["foo"]}),
        ({"1": desk.MarkedAs(bath="lines")}, {"lines": MADDER}),
        ({"1": desk.MarkedAs(bath="last")}, {}),
        ({"1": desk.MarkedAs()}, {"state": "damp"}),
        ({"1": desk.MarkedAs()}, {"swatches": ["1=5,5"]}),
    ],
    ids=str,
)
def test_what_cannot_be_leaves_nothing(tmp_path, said, more):
    folder = tmp_path / "house"
    desk.codes(folder, 1)
    how = {"card": CARD, "swatches": AT[:1]} | more
    with pytest.raises((BadValue, NotFound, PhotoRefused)):
        desk.record_marked(folder, PHOTO, said, **how)
    assert len(of(folder)) == 1
    assert list((folder / "photos").iterdir()) == []


def test_a_refusal_makes_no_library(tmp_path):
    with pytest.raises(PhotoRefused):
        desk.record_marked(
            tmp_path / "new", PHOTO, {"1": desk.MarkedAs()}, card="5,5", swatches=AT[:1]
        )
    assert not (tmp_path / "new").exists()


def test_without_a_card_the_photo_is_kept_and_no_colour_read(tmp_path):
    folder = tmp_path / "house"
    done = desk.record_marked(folder, PHOTO, {"1": desk.MarkedAs(name="4")}, card="none",
                              swatches=AT[:1])  # fmt: skip
    (one,) = of(folder).values()
    assert done.readings == 0 and one.measured is None and one.shown[0][1] == "swatch"


def test_the_same_photo_twice_for_one_swatch_is_refused(tmp_path):
    folder = tmp_path / "house"
    how = {"card": CARD, "swatches": AT[:1]}
    code = desk.record_marked(folder, PHOTO, {"1": desk.MarkedAs()}, **how).codes["1"]
    with pytest.raises(BadValue, match="already"):
        desk.record_marked(folder, PHOTO, {"1": desk.MarkedAs(code=code)}, **how)


def test_on_the_printed_sheet_nothing_is_marked(tmp_path):
    codes = desk.codes(tmp_path / "house", 2)["codes"]
    layout, light = drawn.draw_sheet(4, "A4", codes=codes, rng=np.random.default_rng(5))
    camera = drawn.Camera(size=(1500, 2000))
    drawn.take(layout, light, camera, np.random.default_rng(0), tmp_path, "sheet.jpg")
    found = desk.measure_typed(str(tmp_path / "sheet.jpg"), preview=str(tmp_path / "p.jpg"))
    names = [s["name"] for s in found["swatches"]]
    assert set(codes) <= set(names)
    said = {n: desk.MarkedAs(code=n) if n in codes else desk.MarkedAs() for n in names}
    done = desk.record_marked(tmp_path / "house", tmp_path / "sheet.jpg", said)
    swatches = of(tmp_path / "house")
    assert all(swatches[c].measured is not None for c in done.codes.values())


def test_a_bath_is_told_as_it_is_understood():
    told = desk.understood(["mordant: alum 12 %", "", "gibberish", "dye: weld 80 %"], "silk")
    assert len(told["read"]) == 2 and "silk" in told["read"][0] and "weld" in told["read"][1]
    assert len(told["wrong"]) == 1 and "gibberish" in told["wrong"][0]
    assert desk.understood([]) == {"read": [], "wrong": []}


def test_the_last_dyed(tmp_path):
    folder = tmp_path / "house"
    desk.codes(folder, 1)
    with desk.open_library(folder) as library:
        assert desk.last_dyed(library) is None
    code = desk.pot(folder, MADDER, fibres=["wool"]).codes[0]
    with desk.open_library(folder) as library:
        assert desk.last_dyed(library) == code
