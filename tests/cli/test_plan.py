"""plan and explain on the sample's library: by Python, command and JSON with the same numbers."""

import json
import re

import numpy as np
import pytest
from click.testing import CliRunner

import command
import swatchbath as sb
from swatchbath import desk
from swatchbath.cli import main

STATISTICS = re.compile(r"posterior|likelihood|kernel|REML|p-value|sigma|covariance|improvement")


@pytest.fixture(scope="module")
def folder(sample_house):
    return sample_house


def run(folder, *words, ok=0):
    return command.run(*words, "--library", folder, ok=ok).output


def test_a_plan_tells_pots_hours_grams_and_when_it_is_dry(folder):
    limits = ["--limit", "fibre=silk", "--limit", "modifier=iron"]
    said = run(folder, "plan", "22a", *limits, "--pots", "2", "--jars", "3")
    assert said.index("Take care:") < said.index("Pot 1") < said.index("Sample a")
    assert said.index("iron") < said.index(" g of fibre in ")
    assert re.search(r"hours?( \d+ minutes)? at the stove", said)
    assert "dry" in said and "next" in said
    assert re.search(r"madder: \d", said)
    assert not STATISTICS.search(said) and "!" not in said
    assert max(map(len, said.splitlines())) <= 80


def test_the_plan_in_json_is_that_in_python(folder):
    told = json.loads(run(folder, "plan", "48,38,30", "--json"))
    with sb.Library(folder) as lib:
        found = desk.plan(lib, "48,38,30")
    assert told["use"] == "plan" and list(told)[2] == "cautions"
    day = found.day
    assert told["day"]["stove_hours"] == day.stove_hours
    assert [p["fibre_g"] for p in told["day"]["pots"]] == [p.fibre_g for p in day.pots]
    assert len(found.day.pots) <= 2 and len(day.samples) <= 6
    for pot in day.pots:
        for amount in pot.dye:
            if amount.role == "dyestuff" and "of it" not in amount.how:
                assert amount.grams % 1 == pytest.approx(0)  # her scale's step
    for sample in day.samples:
        assert sample.delta_e2000 is not None
    # every caution of any sample stands before all
    for pot in told["day"]["pots"]:
        for sample in pot["samples"]:
            assert set(sample["cautions"]) <= set(told["cautions"])


def test_without_a_shade_it_goes_to_the_thin_places(folder):
    with sb.Library(folder) as lib:
        found = desk.plan(lib, pots=1, jars=2, sample_g=5.0, scale_g=0.1)
        whole = desk.learn(lib).model
    assert found.target is None and len(found.day.pots) == 1
    table = whole.fit_.table
    usual = np.median(np.trace(whole.predict(table).pot_covariance, axis1=1, axis2=2))
    assert np.trace(found.day.samples[0].pot_covariance) > usual
    assert "5 g in 1 dye pot" in found.summary


def test_what_is_foreseen_is_what_is_weighed(folder):
    """The percent that is shown and foreseen is that of the grams, not the one rounded away."""
    asked = ["dyestuff=weld", "fibre=silk", "dye_owf=65..145"]
    with sb.Library(folder) as lib:
        found = desk.plan(lib, "75,-2,60", limits=asked, jars=0, pots=3, k=3)
        model = desk.learn(lib).model
    for pot in found.day.pots:
        weld = next(a for a in pot.dye if a.what == "weld")
        for sample in pot.samples:
            assert sample.conditions["dye_owf"] == pytest.approx(
                100 * weld.grams / pot.fibre_g, rel=0.006
            )
            lab = model.predict([sample.conditions]).lab[0]
            assert sample.lab == pytest.approx(lab, abs=1e-6)
    told = found.as_dict()
    for shown, pot in zip(told["day"]["pots"], found.day.pots, strict=True):
        assert f"{pot.samples[0].conditions['dye_owf']:g} % weld" in " ".join(shown["bath"])


def test_samples_are_heavier_where_the_scale_needs_it_and_it_is_said(folder):
    words = ("plan", "--limit", "dye_owf=1", "--limit", "mordant=none", "--limit", "tannin=none")
    words += ("--limit", "assist=none", "--sample", "4", "-k", "1", "--jars", "0")
    said = " ".join(run(folder, *words).split())
    assert "Your scale cannot weigh what samples of 4 g take, so they are planned at" in said


def test_a_shade_out_of_reach_is_said_first_as_by_suggest(folder):
    words = ("30,40,-70", "--limit", "dyestuff=weld")
    said = run(folder, "plan", *words, "-k", "2")
    first = json.loads(run(folder, "suggest", *words, "--json"))["out_of_reach"]
    assert first.startswith("Not with what is recorded so far")
    assert first in " ".join(said.split()) and said.index("Not with") < said.index("Take care:")
    assert "0.0 nearer" not in said
    assert json.loads(run(folder, "plan", "22a", "--json"))["out_of_reach"] == ""


def test_fibre_without_a_mordant_is_not_mordanted_together(folder):
    said = run(folder, "plan", "55,26,16", "--limit", "mordant=none", "--limit", "tannin=none",
               "--limit", "fibre=wool", "--jars", "0", "--pots", "3")  # fmt: skip
    assert said.count("without a mordant") >= 2 and "no mordant baths" in said
    assert "mordanted together" not in " ".join(said.split())


def test_the_slip_that_explain_asks_about_sets_no_time(folder):
    """Swatch 23a is recorded with 6 minutes; all others lay for 60."""
    with sb.Library(folder) as lib:
        found = desk.plan(lib)
    assert {s.conditions["minutes"] for s in found.day.samples} == {60.0}


def test_what_cannot_be_planned_is_one_sentence(folder):
    for words in (
        ("plan", "--limit", "modifier=iron", "--limit", "fibre=wool", "--jars", "0"),
        ("plan", "--scale", "100"),
        ("plan", "--limit", "dye_owf=1", "--sample", "1"),
        ("plan", "--sample", "0"),
        ("plan", "--scale", "-1"),
        ("plan", "no such swatch"),
        ("plan", "--limit", "fibre=paper"),
        ("explain", "--limit", "fibre=hemp"),
        ("explain", "--page", str(folder)),
    ):
        result = CliRunner().invoke(main, [*words, "--library", str(folder), "--json"])
        assert result.exit_code == 2, words
        sentence = json.loads(result.stdout)["error"]["sentence"]
        assert sentence.endswith(".") and "Traceback" not in result.output
