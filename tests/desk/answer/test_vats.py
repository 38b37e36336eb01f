"""Blue and what is made of it."""

import numpy as np
import pytest

import swatchbath as sb
from swatchbath import desk
from swatchbath.desk.answer.dyeings import dyeings_of
from swatchbath.desk.answer.vats import NO_VAT, vat_colour, vats_for
from vat_house import plant_baths, vat_strips


@pytest.fixture(scope="module")
def house(tmp_path_factory):
    folder = tmp_path_factory.mktemp("vats") / "library"
    with sb.Library(folder, create=True) as lib:
        codes = {"vat": vat_strips(lib)} | plant_baths(lib)
        table, measured, _ = lib.table()
    return folder, codes, dyeings_of(table, measured)


@pytest.mark.parametrize(
    ("lab", "named"),
    [([18, 2, -20], "blue"), ([55, -10, -20], "blue"), ([45, -22, 16], "green"),
     ([35, 22, -16], "violet"), ([15, 0, -2], "black"), ([60, 20, 40], ""), ([70, 0, 2], ""),
     ([80, -6, 50], "")],
)  # fmt: skip
def test_which_colours_are_of_the_vat(lab, named):
    assert vat_colour(np.array(lab, float)) == named


@pytest.mark.parametrize(
    ("lab", "dips", "said"), [([39, -5, -22], 3, "one dip more"), ([71, -7, -10], 1, None)]
)
def test_blue_leads_with_the_nearest_vat_swatch(house, lab, dips, said):
    _, codes, dyeings = house
    told = vats_for(dyeings, np.array(lab, float))
    assert told.leads
    assert codes["vat"][dips] in told.said[0]
    if said is None:  # nothing is fewer than one dip
        assert not told.ideas
        assert "Dip as you did then" in told.said[1]
    else:
        assert said in told.ideas[0]["words"]
        assert told.ideas[0]["delta_e2000"] < 3
        assert told.ideas[0]["give_or_take"] > 3  # it is foretold widely
        assert told.ideas[0]["cautions"]


def test_a_paler_blue_takes_fewer_dips(house):
    _, codes, dyeings = house
    only = [d for d in dyeings if d.code == codes["vat"][3]]
    told = vats_for(only, np.array([50.0, -7, -21]))
    assert "one dip fewer" in told.ideas[0]["words"]


@pytest.mark.parametrize(
    ("lab", "plant", "usual"), [([48, -18, 14], "weld", "Green is"), ([32, 14, -8], "madder", "")]
)
def test_green_and_violet_are_laid_over_a_blue_and_never_dyed(house, lab, plant, usual):
    _, codes, dyeings = house
    told = vats_for(dyeings, np.array(lab, float))
    assert not told.leads
    idea = told.ideas[0]
    assert told.said[0].startswith(usual)
    assert idea["words"].startswith("Never dyed: the vat as ")
    assert set(idea["codes"]) & set(codes["vat"].values())
    assert set(idea["codes"]) & set(codes[plant])


def test_without_a_vat_on_record_it_says_how_to_get_one():
    assert vats_for([], np.array([18.0, 2, -20])).said == (NO_VAT,)
    assert vats_for([], np.array([18.0, 2, -20])).leads
    green = vats_for([], np.array([45.0, -22, 16]))
    assert NO_VAT in green.said[0]
    assert not green.leads


def test_for_navy_nothing_of_walnut_and_iron_is_weighed(sample_house):
    with sb.Library(sample_house) as lib:
        told = desk.suggest(lib, "26,4,-9", k=3).as_dict()
    assert told["vat"]["said"] == [NO_VAT]
    assert told["ideas"]
    for idea in told["ideas"]:
        assert idea["weigh"] == []
        assert idea["far_off"]
