"""Hydrates, iron and pH against figures worked out elsewhere."""

import json
from importlib.resources import files

import pytest

from swatchbath.bath import chemistry as ch


@pytest.mark.parametrize(
    ("formula", "grams"),
    # Molar masses as the CRC Handbook prints them (from memory).
    [
        ("Na2CO3", 105.99),
        ("Na2CO3.10H2O", 286.14),
        ("FeSO4.7H2O", 278.01),
        ("FeSO4", 151.91),
        ("KAl(SO4)2.12H2O", 474.39),
        ("CaCO3", 100.09),
    ],
)
def test_molar_masses(formula, grams):
    assert ch.molar_mass(formula) == pytest.approx(grams, abs=0.02)


def test_hydrate_factors_and_iron_content():
    assert ch.strength(ch.WASHING_SODA, ch.SODA_ASH) == pytest.approx(0.370, abs=5e-4)
    assert ch.strength(ch.ALUM, ch.ALUM_BURNT) == pytest.approx(0.544, abs=1e-3)
    assert ch.iron_share() == pytest.approx(0.2009, abs=1e-4)
    # What the README says of children: 600 mg of iron is in three grams of crystals.
    assert 0.6 / ch.iron_share() == pytest.approx(3.0, abs=0.02)


def test_pH_of_one_percent_soda_ash_and_of_household_vinegar():
    # Supplier's sheets give 11.6 for 1 % soda ash; vinegar of 5 % reads 2.4 (as computed from
    # the handbook's pKa), half as strong 2.6.
    assert ch.pH_of_soda(10) == pytest.approx(11.6, abs=0.1)
    assert ch.pH_of_soda(1) == pytest.approx(11.1, abs=0.1)
    acetic = ch.molar_mass("C2H4O2")
    assert ch.pH_of_acid(50 / acetic) == pytest.approx(2.4, abs=0.05)
    assert ch.pH_of_acid(25 / acetic) == pytest.approx(2.6, abs=0.05)


def test_soda_is_asked_about_only_where_it_is_not_said_which():
    assert "27 %" in ch.soda_question({"assist": "soda", "assist_owf": 10.0})
    assert not ch.soda_question({"assist": "soda ash", "assist_owf": 10.0})
    assert not ch.soda_question({"assist": "soda"})


def test_an_amount_of_home_made_iron_is_asked_about_unless_a_strip_tells_of_it():
    bath = {"modifier": "iron liquor", "modifier_owf": 2.0}
    assert "test strip" in ch.liquor_question(bath)
    assert not ch.liquor_question(bath | {"modifier_strip": "NJCE3"})
    assert not ch.liquor_question({"modifier": "iron", "modifier_owf": 2.0})


def test_every_cap_and_caution_names_its_origin():
    data = json.loads((files("swatchbath.bath") / "cautions.json").read_text(encoding="utf-8"))
    for entry in [*data["caps"], *data["cautions"]]:
        assert entry["origin"].strip()
    for entry in data["caps"]:
        assert "common practice" in entry["origin"]
