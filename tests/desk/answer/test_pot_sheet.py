"""The sheet beside the pot: every caution in full, and amounts for the fibre asked for."""

import pytest

from swatchbath import desk
from swatchbath.errors import BadValue


@pytest.fixture
def house(tmp_path):
    folder = tmp_path / "house"
    done = desk.pot(
        folder,
        ["mordant: alum 12 %", "dye: weld 80 %, 80 C, 1 h, liquor 1:30"],
        fibres=["wool 60 g"],
        after=["iron 2 %, 10 min"],
    )
    with desk.open_library(folder) as library:
        yield library, done.codes[0]


def test_it_is_weighed_for_the_fibre_asked_for_or_as_it_was(house):
    library, code = house
    assert "weld: 800 g" in desk.pot_sheet(library, code, grams="1 kg")["weigh"]
    as_was = desk.pot_sheet(library, code)
    assert as_was["grams"] == 60 and "weld: 48 g" in as_was["weigh"]
    assert not any("60 g" in line for line in desk.pot_sheet(library, code, grams="1 kg")["bath"])


def test_every_caution_stands_in_full_and_iron_is_among_them(house):
    library, code = house
    sheet = desk.pot_sheet(library, code)
    assert sheet["cautions"] == desk.show(library, code)["cautions"]
    assert any("iron" in c for c in sheet["cautions"])


def test_what_the_pot_does_not_hold_is_said(house):
    library, code = house
    assert "does not hold" in desk.pot_sheet(library, code, grams="1 kg", pot="12 litres")["pots"]
    assert desk.pot_sheet(library, code, grams="100 g", pot="12 litres")["pots"] == ""


def test_its_steps_are_hers_where_she_told_them(house):
    library, code = house
    steps = desk.pot_sheet(library, code)["procedure"]
    assert {s["hers"] for s in steps} == {True, False}
    assert any("80 °C" in s["words"] and s["hers"] for s in steps)


def test_a_code_without_a_bath_has_no_sheet(house):
    library, _ = house
    code = desk.codes(library, 1)["codes"][0]
    with pytest.raises(BadValue, match="Nothing is told of the bath"):
        desk.pot_sheet(library, code)
