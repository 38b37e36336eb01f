"""Her own recipe for another weight, and how far what is left of a material goes."""

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from command import run, run_json
from swatchbath.bath.diary.reading import read_step
from swatchbath.bath.recipe import fibre_for, weighed_steps
from swatchbath.desk import pot, show
from swatchbath.desk.answer.recipe import weigh_lines, weighed
from swatchbath.desk.text.wording import grams_words, litres_words
from swatchbath.errors import BadValue
from swatchbath.library import Library

LINES = (
    "mordant: alum 12 %, cream of tartar 6 %, 80 C, 1 h",
    "dye: madder 50 %, 60 C, 1 h, liquor 1:30",
    "after-bath: vinegar to pH 4, 10 min",
    "rinse: soda 2 g/l",
)


@pytest.fixture
def lib(tmp_path):
    with Library(tmp_path / "lib", create=True) as lib:
        yield lib


def test_each_treatment_is_weighed_in_order_and_the_water_told(lib):
    (code,) = pot(lib, LINES, fibres=["wool"], weight="200 g").codes
    recipe = show(lib, code, grams="1.2 kg")["recipe"]
    assert [t["step"]["kind"] for t in recipe["treatments"]] == [
        "mordant", "dye", "after-bath", "rinse",
    ]  # fmt: skip
    mordant, dye, after, rinse = (t["weigh"] for t in recipe["treatments"])
    assert mordant == ["alum: 144 g", "cream of tartar: 72 g"]
    assert dye == ["madder: 600 g", "water: 36 litres"]
    assert after == ["vinegar: to pH 4, by the spoon, stir, wait 5 minutes, test again"]
    assert rinse[0].startswith("soda: 2 g/l, as you typed it; it goes by the water")
    assert "200 g" in recipe["full_pot"] and "Dye 100 g first" in recipe["full_pot"]
    assert show(lib, code, grams=300)["recipe"]["full_pot"] == ""


def test_litres_that_were_told_grow_with_the_fibre_and_a_vat_is_not_weighed(lib):
    lines = ["dye: weld 80 %, 5 litres water", "vat: indigo, fructose, lime, 3 dips of 10 min"]
    (code,) = pot(lib, lines, fibres=["wool"], weight="100 g").codes
    dye, vat = show(lib, code, grams=250)["recipe"]["treatments"]
    assert dye["weigh"] == ["weld: 200 g", "water: 12.5 litres"]
    assert vat["weigh"] == ["indigo: nothing to weigh; it is in the vat"]


def test_what_is_left_of_a_material_dyes_so_much_fibre(lib):
    (code,) = pot(lib, LINES, fibres=["wool"]).codes
    told = [a["words"] for a in show(lib, code, left=["madder root 300 g", "alum 0.6 kg"])["left"]]
    assert told == [
        "300 g of madder dyes 600 g of wool as this was.",
        "600 g of alum is enough for 5 kg of wool as this was.",
    ]
    for typed, said in [
        ("weld 300 g", "no weld"),
        ("vinegar 1 kg", "not on record"),
        ("300 g", "madder 300 g"),
        ("madder a handful", "madder 300 g"),
        ("madder 3 pints", "no weight"),
    ]:
        with pytest.raises(BadValue, match=said):
            show(lib, code, left=[typed])


def test_a_code_without_a_bath_has_no_recipe(lib):
    with pytest.raises(BadValue, match="pot --codes"):
        show(lib, lib.add_swatch(), grams=100)


@given(
    owf=st.lists(st.floats(0.1, 400), min_size=1, max_size=4),
    grams=st.floats(1, 1e5),
    times=st.floats(0.01, 100),
)
def test_weights_go_with_the_fibre_and_what_is_left_with_them(owf, grams, times):
    steps = [read_step(f"dye: weld {round(p, 3)} %, liquor 1:30") for p in owf]
    once, more = (weighed_steps(steps, g) for g in (grams, grams * times))
    for a, b in zip(once, more, strict=True):
        assert b.amounts[0].grams == pytest.approx(times * a.amounts[0].grams)
        assert b.litres == pytest.approx(times * a.litres)
    whole = sum(t.amounts[0].grams for t in once)
    assert fibre_for(steps, "weld", whole) == pytest.approx(grams)


@given(st.floats(1e-3, 1e6), st.floats(1e-3, 1e6))
def test_weights_are_said_as_they_are_weighed(grams, litres):
    for words in (grams_words(grams), litres_words(litres)):
        number, unit = words.split(" ")
        assert "e" not in number and len(re.sub(r"^0\.0*|\.", "", number).rstrip("0")) <= 3
        factor = {"kg": 1000, "g": 1, "ml": 0.001, "litre": 1, "litres": 1}[unit]
        meant = litres if "l" in unit.replace("kg", "") else grams
        assert float(number) * factor == pytest.approx(meant, rel=0.006)


@pytest.mark.parametrize(
    ("grams", "said"), [(1200.0, "1.2 kg"), (0.35, "0.35 g"), (84.0, "84 g"), (12345.0, "12.3 kg")]
)
def test_as_a_dyer_weighs(grams, said):
    assert grams_words(grams) == said


def test_an_idea_is_weighed_from_its_steps():
    idea = {"fibre": "wool", "dyestuff": "weld", "dye_owf": 95.0, "mordant": "alum",
            "mordant_owf": 7.0, "liquor_ratio": 30.0, "tannin": "none"}  # fmt: skip
    assert weighed(idea, 1200) == ["alum: 84 g", "weld: 1.14 kg", "water: 36 litres"]


def test_one_thing_in_two_baths_is_weighed_for_each():
    idea = {"fibre": "wool", "dyestuff": "cochineal", "dye_owf": 8.0, "assist": "vinegar",
            "assist_owf": 6.0, "modifier": "vinegar", "modifier_owf": 5.0}  # fmt: skip
    assert weighed(idea, 100) == [
        "cochineal: 8 g", "vinegar 6 % in the dye bath: 6 g",
        "vinegar 5 % in the after-bath: 5 g",
    ]  # fmt: skip


def test_what_is_typed_and_what_is_shown(tmp_path):
    house = tmp_path / "house"
    dye = ("--step", "dye: weld 80 %, liquor 1:30", "--after", "iron 2 %, 10 min")
    done = run_json("pot", "--fibre", "wool", "--weight", "100 g", *dye, folder=house)
    code = done["swatches"][0]["code"]
    shown = run("show", code, "--grams", "2.5 lb", "--library", house).output
    flat = " ".join(shown.split())
    assert flat.index("Keep iron salts") < flat.index("weld: 907 g") < flat.index("iron: 23 g")
    assert "1.13 kg of wool" in flat and "What happened" not in flat
    left = run("show", code, "--left", "weld 300 g", "--library", house).output
    assert "300 g of weld dyes 375 g of wool as this was." in left
    refused = run("show", code, "--grams", "heavy", "--library", house, ok=2).output
    assert "no weight of fibre" in refused


def test_lines_without_an_amount_say_so():
    (treatment,) = weighed_steps([read_step("dye: weld, 80 C")], 100)
    assert weigh_lines(treatment) == ["weld: its amount is not on record"]


def test_a_pot_whose_litres_are_on_record_is_told_where_it_does_not_hold_so_much():
    step = replace(read_step("dye: weld 80 %, liquor 1:30"), vessel="steel, 20 litres")
    (treatment,) = weighed_steps([step], 1000)
    assert weigh_lines(treatment)[-1].startswith("A pot of 20 litres does not hold 30 litres")
    (small,) = weighed_steps([step], 400)
    assert weigh_lines(small)[-1] == "water: 12 litres"
