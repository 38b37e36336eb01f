"""A plan's amounts as a dyer says them, and no sample that another one already is."""

import re
from unittest.mock import patch

import numpy as np
import pytest

import swatchbath as sb
from swatchbath import desk
from swatchbath.bath.steps import steps_of
from swatchbath.desk.answer import plan as answer
from swatchbath.predict.pot_day.weighing import weighed


@pytest.fixture(scope="module")
def library(tmp_path_factory):
    """Thirty swatches of weld, a third of them after iron."""
    rng = np.random.default_rng(0)
    with sb.Library(tmp_path_factory.mktemp("welds") / "library", create=True) as lib:
        for i in range(30):
            owf, iron = float(rng.uniform(20, 120)), [0.0, 0.0, float(rng.uniform(0.5, 3))][i % 3]
            bath = {"fibre": "wool", "dyestuff": "weld", "dye_owf": owf, "mordant": "alum",
                    "mordant_owf": [8.0, 12.0, 14.7][i % 3], "pH": 5.0 + i % 4,
                    "modifier": "iron" if iron else "none", "modifier_owf": iron}  # fmt: skip
            code = lib.add_swatch(fibre={"fibre": "wool"}, steps=steps_of(bath))
            lab = [85 - owf / 10 - 8 * iron, -5 + iron, 30 + owf / 4 - 3 * iron]
            lib.add_measurement(code, sb.Measurement(lab, 0.1 * np.eye(3)))
        yield lib


def percents(told):
    lines = [
        line
        for pot in told["day"]["pots"]
        for line in [*pot["bath"], *(x for s in pot["samples"] for x in s["after_bath"])]
    ]
    return [float(p) for line in lines for p in re.findall(r"([\d.]+) %", line)]


@pytest.mark.parametrize(("sample_g", "scale_g"), [(10, 1), (7, 0.1)])
def test_percents_are_said_whole_from_five_up_and_to_a_tenth_below(library, sample_g, scale_g):
    found = desk.plan(library, "70,0,50", sample_g=sample_g, scale_g=scale_g)
    said = percents(found.as_dict())
    assert said and all(p % 1 == 0 for p in said if p >= 5)
    assert all(abs(p * 10 - round(p * 10)) < 1e-9 for p in said)
    # The bath that is foreseen is the one that is weighed.
    for pot in found.day.pots:
        for amount in pot.dye:
            percent = pot.samples[0].conditions["dye_owf"]
            assert amount.grams == pytest.approx(percent / 100 * pot.fibre_g, rel=0.01)


@pytest.mark.parametrize("shade", [None, "70,0,50"])
def test_no_two_samples_are_alike(library, shade):
    samples = desk.plan(library, shade, pots=4, jars=4).day.samples
    baths = [s.conditions for s in samples]
    assert len(baths) > 1 and all(b not in baths[:i] for i, b in enumerate(baths))


def test_of_two_that_a_scale_makes_one_bath_one_is_dyed(library):
    def coarse(samples, **how):
        """A scale on which all dyestuff weighs the same, and nothing else is to be seen."""
        plain = {"dye_owf": 50.0, "mordant_owf": 12.0, "pH": 6.0}
        none = {"modifier": "none", "modifier_owf": 0.0, "modifier_pH": 6.0}
        return [{**b, **plain, **none} for b in weighed(samples, **how)]

    with patch.object(answer, "weighed", coarse):
        one = desk.plan(library, "70,0,50", pots=4, jars=4)
    assert len(one.day.samples) == 1 and "could be dyed" in one.spare
