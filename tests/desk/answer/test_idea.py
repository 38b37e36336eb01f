"""One suggested bath as it is told, and the code that keeps it."""

from dataclasses import replace

import numpy as np
import pytest

import swatchbath as sb
from swatchbath import desk
from swatchbath.bath.care import Lived
from swatchbath.bath.steps import steps_of
from swatchbath.desk.answer.idea import Habits, idea_as_dict, idea_title, lived_in
from swatchbath.errors import BadValue
from swatchbath.library import Library

SHADE = "70,0,50"


@pytest.fixture(scope="module")
def library(tmp_path_factory):
    """Thirty swatches of weld, a third of them after iron; a tannin only on cotton."""
    rng = np.random.default_rng(0)
    with Library(tmp_path_factory.mktemp("welds") / "library", create=True) as lib:
        for i in range(36):
            owf, iron = float(rng.uniform(20, 120)), [0.0, 0.0, float(rng.uniform(0.5, 3))][i % 3]
            fibre = "cotton" if i % 4 == 3 else "wool"
            bath = {"fibre": fibre, "dyestuff": "weld", "dye_owf": owf, "mordant": "alum",
                    "mordant_owf": [8.0, 12.0, 14.7][i % 3], "liquor_ratio": 30.0,
                    "temperature_C": 80.0, "minutes": 60.0, "mordant_assist": "cream of tartar",
                    "mordant_assist_owf": 6.0,
                    "tannin": "oak gall" if fibre == "cotton" else "none",
                    "modifier": "iron" if iron else "none", "modifier_owf": iron}  # fmt: skip
            if fibre == "cotton":
                bath["tannin_owf"] = 10.0
            code = lib.add_swatch(fibre={"fibre": fibre}, steps=steps_of(bath))
            lab = [85 - owf / 10 - 8 * iron, -5 + iron, 30 + owf / 4 - 3 * iron]
            lib.add_measurement(code, sb.Measurement(lab, 0.1 * np.eye(3)))
        yield lib


@pytest.fixture(scope="module")
def answer(library):
    return desk.suggest(library, SHADE, limits=["fibre=wool"], tolerance=4, grams=1000)


def test_bath_colour_and_chance_come_first_then_cautions_then_amounts_then_why(answer):
    order = list(answer.as_dict()["ideas"][0])
    told = ["title", "bath_in_short", "expect", "odds", "cautions", "weigh", "procedure",
            "precedents"]  # fmt: skip
    assert [n for n in order if n in told] == told
    assert order.index("weigh") < order.index("reasons")


def test_assistants_are_weighed_and_percents_are_whole(answer):
    for idea in answer.as_dict()["ideas"]:
        assert any(line.startswith("cream of tartar: ") for line in idea["weigh"])
        for line in idea["bath"]:
            for percent in [float(w) for w, u in zip(line.split(), line.split()[1:], strict=False)
                            if u == "%"]:  # fmt: skip
                assert percent % 1 == 0 or percent < 5


def test_no_tannin_under_alum_on_wool_that_she_never_did(library, answer):
    assert all(i.conditions.get("tannin") in (None, "none") for i in answer.ideas)
    cotton = desk.suggest(library, SHADE, limits=["fibre=cotton"])
    assert any(i.conditions.get("tannin") == "oak gall" for i in cotton.ideas)


def test_a_pot_that_does_not_hold_it_is_said_to_be_two_lots(library):
    def said(pot):
        told = desk.suggest(library, SHADE, limits=["fibre=wool"], k=1, grams=1000, pot=pot)
        return told.as_dict()["ideas"][0]["pots"]

    assert said("40 litres") == "" and said(None) == ""
    assert "two pots of 15 litres each" in said("20 l")
    assert said(20).endswith("These are then two lots; mix skeins of both.")
    with pytest.raises(BadValue, match="12 litres"):
        said("a big one")


def test_her_stock_is_what_is_measured(answer):
    idea = replace(answer.ideas[0], conditions=answer.ideas[0].conditions
                   | {"modifier": "iron", "modifier_owf": 1.0})  # fmt: skip
    lab = answer.target.lab
    plain, stock = (
        idea_as_dict(idea, lab, None, Habits(stock=frozenset(held)), 1000)["weigh"]
        for held in ((), ("iron",))
    )
    assert "iron 1 %: 10 g" in plain and "iron 1 %: 1 litre of 1 % stock" in stock
    small = idea_as_dict(idea, lab, None, Habits(), 150)["weigh"]
    assert "iron 1 %: 150 ml of 1 % stock" in small


def test_where_an_idea_comes_from(answer):
    idea, learnt = answer.ideas[0], answer.learnt
    assert idea_title(idea, learnt) == ""
    own = replace(idea, of_row=3)
    assert idea_title(own, learnt) == f"your own {learnt.name(3)}"
    assert idea_title(replace(own, scaled=4 / 3), learnt).endswith("a third more weld")


def test_a_pot_of_her_own_that_has_dried_is_lived_with_and_a_table_is_not(library, answer):
    assert lived_in(library, answer.learnt) == Lived()
    lines = ["mordant: alum 12 %", "dye: weld 50 %, 80 C, 1 h", "after-bath: iron 1 %"]
    (code,) = desk.pot(library, lines, fibres=["wool"]).codes
    assert lived_in(library, desk.learn(library)) == Lived()  # not dry yet
    library.add_measurement(code, sb.Measurement([60, 0, 30], 0.1 * np.eye(3)))
    lived = lived_in(library, desk.learn(library))
    assert {"iron", "alum"} <= lived.materials and "iron weighing" in lived.cautions
    library.put_in_bin(code)


def test_a_code_keeps_what_was_said_and_none_is_given_for_another_colour(tmp_path, library):
    before = len(library)
    told = desk.suggest_typed(library, SHADE, k=2, tolerance=4, dye=2)
    code = told.given_out["code"]
    said, idea = library.suggestion(code), told.as_dict()["ideas"][1]
    for name in ("conditions", "lab", "chance_within", "bath"):
        assert said[name] == idea[name]
    assert said["tolerance"] == 4 and said["asked"]["lab"] == [70.0, 0.0, 50.0]
    library.undo()
    with pytest.raises(BadValue, match="No idea 3"):
        desk.suggest_typed(library, SHADE, k=2, dye=3)
    with pytest.raises(BadValue, match="another colour"):
        desk.suggest_typed(library, "30,40,-70", k=1, dye=1)
    assert len(library) == before
