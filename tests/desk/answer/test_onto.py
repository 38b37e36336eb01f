"""A bath over yarn that is dyed already."""

import pytest

import swatchbath as sb
from swatchbath import desk
from swatchbath.errors import BadValue
from vat_house import plant_baths, vat_strips


@pytest.fixture(scope="module")
def house(tmp_path_factory):
    folder = tmp_path_factory.mktemp("onto") / "library"
    with sb.Library(folder, create=True) as lib:
        codes = {"vat": vat_strips(lib)} | plant_baths(lib)
    return folder, codes


def asked(house, shade, yarn):
    with sb.Library(house[0]) as lib:
        return desk.suggest(lib, shade, onto=yarn).as_dict()


def test_yarn_cannot_be_lightened(house):
    told = asked(house, "85,-2,30", house[1]["madder"][7])["onto"]
    assert "not lightened" in told["refused"]
    assert told["refused"].count(". ") == 0  # one sentence
    assert not told["ideas"]


@pytest.mark.parametrize(
    ("shade", "plant"), [("60,18,52", "madder"), ("46,-20,18", "vat"), ("70,0,62", "weld")]
)
def test_what_goes_over_weld_to_orange_green_and_deeper_yellow(house, shade, plant):
    _, codes = house
    told = asked(house, shade, codes["weld"][5])
    over = told["onto"]["ideas"][0]
    mine = codes["vat"].values() if plant == "vat" else codes[plant]
    assert set(over["codes"][1:]) <= set(mine)
    assert over["words"].startswith(f"Never dyed: over {codes['weld'][5]}, ")
    assert over["cautions"]
    assert not told["ideas"]  # a bath on undyed yarn is no answer here


def test_yarn_that_was_not_read_is_told_of(house):
    with sb.Library(house[0]) as lib:
        bare = lib.add_swatch(name="bare", fibre={"fibre": "wool"})
        with pytest.raises(BadValue, match="no dry reading"):
            desk.suggest(lib, "40,10,10", onto=bare)
