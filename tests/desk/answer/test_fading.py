"""What fades fast never leads where a lasting dye comes near, and says so."""

import pytest

import swatchbath as sb
from swatchbath import desk
from vat_house import plant_baths


def made(folder, fastness=None):
    with sb.Library(folder, create=True) as lib:
        plant_baths(lib, ("weld", "madder"))
        plant_baths(lib, ("turmeric",), extra=None if fastness is None else {"fastness": fastness})
    return folder


@pytest.fixture(scope="module")
def house(tmp_path_factory):
    return made(tmp_path_factory.mktemp("more") / "library")


def first(folder, shade, **how):
    with sb.Library(folder) as lib:
        told = desk.suggest(lib, shade, **how).as_dict()
    return told, told["ideas"][0]


def test_a_lasting_dye_leads_where_it_comes_near(house):
    _, idea = first(house, "75,-1,60", k=2)
    assert idea["conditions"]["dyestuff"] == "weld"
    assert idea["fades"] == ""


def test_one_that_fades_leads_only_where_nothing_lasting_comes_near_and_says_so(house):
    _, idea = first(house, "78,7,68", k=2)
    assert idea["conditions"]["dyestuff"] == "turmeric"
    assert idea["fades"] == "Turmeric fades fast in light, by common practice."


@pytest.mark.parametrize(("shade", "leads"), [("77,2.5,63", "weld"), ("77,3.4,63", "turmeric")])
def test_the_lasting_one_leads_while_it_is_within_so_much_of_the_best(house, shade, leads):
    """Turmeric is nearer to both; weld by under 1.5 to the first, by more to the second."""
    with sb.Library(house) as lib:
        told = desk.suggest(lib, shade, k=2).as_dict()["ideas"]
    by = {i["conditions"]["dyestuff"]: i["expected"] for i in told}
    assert by["turmeric"] < by["weld"]
    assert (by["weld"] - by["turmeric"] < 1.5) is (leads == "weld")
    assert told[0]["conditions"]["dyestuff"] == leads


@pytest.mark.parametrize(("note", "fades"), [("5", False), ("faded in a week", True)])
def test_her_own_window_test_overrules(tmp_path, note, fades):
    _, idea = first(made(tmp_path / "library", note), "78,7,68", k=1)
    assert idea["conditions"]["dyestuff"] == "turmeric"
    assert (idea["fades"] != "") is fades
    assert ("own test" in idea["fades"]) is fades


def test_a_test_kept_with_the_delivery_counts_too(tmp_path):
    folder = made(tmp_path / "library")
    with sb.Library(folder) as lib:
        code = lib.find("turmeric", k=1)[0][0].code
        desk.edit(lib, code, ["dyestuff_lot=T26"])
        desk.edit_dyestuff_lot(lib, "T26", ["fastness=held two months"])
    _, idea = first(folder, "78,7,68", k=1)
    assert idea["conditions"]["dyestuff"] == "turmeric"
    assert idea["fades"] == ""
