"""What was never dyed is told beside the model's ideas, after the first and marked."""

import pytest

import swatchbath as sb
from swatchbath import desk
from vat_house import plant_baths


@pytest.fixture(scope="module")
def house(tmp_path_factory):
    folder = tmp_path_factory.mktemp("more") / "library"
    with sb.Library(folder, create=True) as lib:
        plant_baths(lib, ("weld", "madder"))
    return folder


def first(folder, shade, **how):
    with sb.Library(folder) as lib:
        told = desk.suggest(lib, shade, **how).as_dict()
    return told, told["ideas"][0]


def test_two_of_hers_over_one_another_are_offered_after_the_first_and_marked(house):
    told, idea = first(house, "58,24,44", k=1)
    assert idea["conditions"]["dyestuff"] in ("madder", "weld")
    over = told["beyond"]
    assert len(over) == 1
    assert over[0]["words"].startswith("Never dyed: as ")
    assert over[0]["delta_e2000"] < idea["delta_e2000"] - 2
    assert len(over[0]["codes"]) == 2


def test_nothing_is_laid_over_where_one_bath_comes_near(house):
    told, idea = first(house, "46,40,26", k=1)
    assert idea["delta_e2000"] < 3
    assert told["beyond"] == []
