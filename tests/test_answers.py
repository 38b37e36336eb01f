"""What the shells say of suggestions, comparisons and mistyped commands."""

import json

import numpy as np
import pytest
from click.testing import CliRunner

import swatchbath as sb
from swatchbath import desk
from swatchbath.bath.steps import steps_of
from swatchbath.cli import main
from swatchbath.desk.text.parse import parse_bath, parse_lab, parse_limits, parse_target
from swatchbath.desk.text.wording import bath_words
from swatchbath.errors import BadValue

ROW = {"fibre": "wool", "dyestuff": "weld", "mordant": "alum", "mordant_owf": 14.0}


def dyed(lib, bath, lab, *, name=None):
    fibre = {k: v for k, v in bath.items() if k == "fibre"}
    code = lib.add_swatch(name=name, fibre=fibre, steps=steps_of(bath))
    lib.add_measurement(code, sb.Measurement(lab, 0.1 * np.eye(3)))
    return code


def test_a_bath_is_told_in_the_order_it_is_done():
    told = bath_words(
        ROW
        | {"fibre_form": "untreated", "tannin": "gallnut", "tannin_owf": 8.0, "modifier": "iron",
           "dyestuff_2": "madder", "dye_2_how": "over", "dyestuff_3": "cutch",
           "dye_3_how": "together",
           "modifier_owf": 1.0, "modifier_2": "vinegar", "modifier_pH_2": 4.0, "wash_pH": 7.0,
           "water": "soft", "vessel": "enamel", "fibre_g": 10.0}
    )  # fmt: skip
    assert told == [
        "Mordant 10 g of untreated wool with 8 % gallnut, then 14 % alum.",
        "Dye with weld, soft water, in enamel.",
        "Dye over with madder and cutch.",
        "After-bath of vinegar, pH 4.",
        "After-bath of 1 % iron.",
        "Wash at pH 7.",
    ]
    assert bath_words(ROW | {"fibre_form": "yarn"})[0] == "Mordant wool (yarn) with 14 % alum."


def test_limits_may_be_open_at_an_end_and_are_given_once():
    assert parse_limits(["pH=..5", "temperature_C=60.."]) == {
        "pH": (0.0, 5.0), "temperature_C": (60.0, 100.0)
    }  # fmt: skip
    with pytest.raises(BadValue, match="twice"):
        parse_limits(["pH=5", "pH=6"])
    with pytest.raises(BadValue, match="twice"):
        parse_bath(["pH=5", "pH=6"])


def test_a_screen_colour_needs_its_sign():
    assert parse_target("#c8a050", None).note
    with pytest.raises(BadValue, match="#c8a050"):
        parse_target("c8a050", None)


def test_a_swatch_is_not_compared_with_itself(tmp_path):
    with sb.Library(tmp_path / "lib", create=True) as lib:
        code = dyed(lib, ROW, [60, 0, 50], name="a")
        with pytest.raises(BadValue, match="Both are swatch"):
            desk.compare(lib, "a", code)
        told = desk.compare(lib, "a", "#c8a050").as_dict()
    assert "screen colour is too doubtful" in told["would_settle"]


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
    first = " ".join(run.stdout.split())[:200]
    assert "Not with what is recorded so far" in first and "away" in first
    near = CliRunner().invoke(main, ["suggest", "78,-5,47", "--library", str(yellows)])
    assert "Not with what is recorded" not in near.stdout


def test_baths_stay_within_what_was_dyed_where_that_is_as_good(yellows):
    """The deepest yellow is at the most weld that was dyed; a little more is no clear gain."""
    with sb.Library(yellows) as lib:
        most = max(lib.swatch(c).conditions["dye_owf"] for c in lib.codes())
        idea = desk.suggest(lib, "78,-5,47").ideas[0]
    assert idea.conditions["dye_owf"] <= most


@pytest.mark.parametrize(
    "arguments", [["nosuch"], ["show"], ["suggest", "x", "--nosuch"], ["--nosuch"],
                  ["suggest", "62,12,48", "-k", "many"]],
)  # fmt: skip
def test_a_mistyped_command_is_one_sentence_and_exit_2(arguments):
    plain = CliRunner().invoke(main, arguments)
    assert plain.exit_code == 2 and plain.stderr.startswith("swatchbath: ")
    assert len(plain.stderr.strip().splitlines()) == 1 and plain.stderr.rstrip().endswith("--help.")
    told = CliRunner().invoke(main, [*arguments, "--json"])
    assert json.loads(told.stdout)["error"]["sentence"]


def test_a_typed_colour_may_have_decimal_commas_between_semicolons():
    assert parse_lab("50,5;10,1;-3,2").tolist() == [50.5, 10.1, -3.2]
    assert parse_lab("50.5, 10.1 -3.2").tolist() == [50.5, 10.1, -3.2]
    for text in ("50,5,10,1,3,2", "red", "1;2", ""):
        with pytest.raises(BadValue) as refused:
            parse_lab(text)
        assert f"'{text}' is no colour" in str(refused.value)
