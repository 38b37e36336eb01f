"""A shade out of reach, and baths that stay within what was dyed."""

from dataclasses import replace

import numpy as np
import pytest
from click.testing import CliRunner

import swatchbath as sb
from swatchbath import desk
from swatchbath.bath.steps import steps_of
from swatchbath.cli import main
from swatchbath.colorimetry.words import colour_words
from swatchbath.desk.text.wording import pots_words
from swatchbath.predict import Suggestions

ROW = {"fibre": "wool", "dyestuff": "weld", "mordant": "alum", "mordant_owf": 14.0}


def dyed(lib, bath, lab, *, name=None):
    fibre = {k: v for k, v in bath.items() if k == "fibre"}
    code = lib.add_swatch(name=name, fibre=fibre, steps=steps_of(bath))
    lib.add_measurement(code, sb.Measurement(lab, 0.1 * np.eye(3)))
    return code


@pytest.fixture(scope="module")
def yellows(tmp_path_factory):
    """Thirty weld swatches, so that blue is out of reach."""
    rng = np.random.default_rng(0)
    folder = tmp_path_factory.mktemp("yellows") / "library"
    with sb.Library(folder, create=True) as lib:
        for i in range(30):
            owf = float(rng.uniform(20, 120))
            lab = [85 - owf / 10, -5, 30 + owf / 4]
            bath = ROW | {"dye_owf": owf, "pH": 6.0 + (i % 3)}
            dyed(lib, bath, lab)
    return folder


def test_a_shade_out_of_reach_is_said_first(yellows):
    run = CliRunner().invoke(main, ["suggest", "35,10,-40", "--library", str(yellows)])
    assert run.exit_code == 0, run.output
    first = " ".join(run.stdout.split())[:400]
    # Of a blue the vat is told first, and that nothing on record comes near.
    assert first.index("Blue comes from indigo") < first.index("Not with what is recorded so far")
    assert "away" in first and "For 100 g" not in run.stdout
    near = CliRunner().invoke(main, ["suggest", "78,-5,47", "--library", str(yellows)])
    assert "Not with what is recorded" not in near.stdout


def shown(yellows, *words):
    run = CliRunner().invoke(main, ["suggest", *words, "--library", str(yellows)])
    assert run.exit_code == 0, run.output
    return " ".join(run.stdout.split())


def test_it_is_said_what_the_nearest_is_and_which_way_it_falls_short(yellows):
    said = shown(yellows, "35,10,-40")
    with sb.Library(yellows) as lib:
        found = desk.suggest(lib, "35,10,-40")
    told, best = found.as_dict(), found.ideas.nearest
    assert told["reach"] == found.ideas.reach == "out of reach"
    assert told["ideas"][told["nearest_idea"] - 1]["lab"] == best.lab.tolist()
    assert f"{best.delta_e2000:.0f} away (CIEDE2000): much" in said
    assert "much yellower" in said.partition(" away")[2][:80]
    assert colour_words(best.lab) in said.partition(" away")[0]
    with sb.Library(yellows) as lib:
        near = desk.suggest(lib, "78,-5,47").as_dict()
    assert near["reach"] == "in reach" and near["out_of_reach"] == ""


def test_a_bath_of_another_colour_is_given_no_amounts(yellows):
    """Its conditions stay in the JSON; no screen shows a weight or a percent of it."""
    with sb.Library(yellows) as lib:
        far, near = (desk.suggest(lib, c).as_dict()["ideas"] for c in ("35,10,-40", "78,-5,47"))
    for idea in far:
        assert idea["delta_e2000"] > 10 and "no amounts" in idea["far_off"]
        assert idea["weigh"] == [] and idea["conditions"]["dye_owf"] > 0
        assert idea["bath"] and not any("%" in line for line in idea["bath"])
    for idea in near:
        assert idea["far_off"] == "" and idea["weigh"]
        assert any("% weld" in line for line in idea["bath"])
    said = shown(yellows, "35,10,-40").partition("Real swatches")[0]
    assert " % weld" not in said and "For 100 g" not in said and "no amounts" in said


@pytest.mark.parametrize(("off", "told"), [(9.99, True), (10.01, False)])
def test_ten_away_is_the_end_of_amounts(yellows, off, told):
    with sb.Library(yellows) as lib:
        found = desk.suggest(lib, "78,-5,47", k=1)
    moved = Suggestions([replace(found.ideas[0], delta_e2000=off)])
    idea = replace(found, ideas=moved).as_dict()["ideas"][0]
    assert bool(idea["weigh"]) == told == (idea["far_off"] == "")


def test_what_could_be_had_at_best_stands_on_the_screen(yellows):
    with sb.Library(yellows) as lib:
        exact = desk.suggest(lib, "78,-5,47")
        wish = desk.suggest(lib, "#d9c46a")
    assert exact.as_dict()["best_chance"] == exact.ideas.best_chance > wish.ideas.best_chance
    pots = pots_words(wish.ideas.best_chance)
    assert f"At best {pots} can come out close enough (within 2)" in wish.at_best
    assert "known only so well" in wish.at_best and "known only" not in exact.at_best
    assert wish.at_best in shown(yellows, "#d9c46a")


def test_baths_stay_within_what_was_dyed_where_that_is_as_good(yellows):
    """The deepest yellow is at the most weld that was dyed; a little more is no clear gain."""
    with sb.Library(yellows) as lib:
        most = max(lib.swatch(c).conditions["dye_owf"] for c in lib.codes())
        idea = desk.suggest(lib, "78,-5,47").ideas[0]
    assert idea.conditions["dye_owf"] <= most
