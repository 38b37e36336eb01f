"""A shade out of reach, and baths that stay within what was dyed."""

import numpy as np
import pytest
from click.testing import CliRunner

import swatchbath as sb
from swatchbath import desk
from swatchbath.bath.steps import steps_of
from swatchbath.cli import main

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
