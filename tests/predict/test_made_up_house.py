"""A small dose of the scores on a made-up dye house; the whole is tests/studies."""

import importlib.util
from pathlib import Path

import numpy as np
import pytest

STUDY = Path(__file__).resolve().parents[1] / "studies" / "score_shade_model.py"


@pytest.fixture(scope="module")
def study():
    spec = importlib.util.spec_from_file_location("score_shade_model", STUDY)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def house(reference, study):
    if not (reference / "virtual_dyehouse.py").is_file():
        pytest.skip("The made-up dye house is not among the reference material.")
    return study.load_house(reference)


def test_colours_are_foretold(house, study):
    """Limits: 1.8 in the median for one dyestuff and 48 swatches; 0.45 of the nearest swatch's
    error and 0.85 of a quadratic ridge's for four dyestuffs and 96."""
    narrow = study.colour_scores(house, "narrow", "clustered", 48, [0, 1, 2, 3])
    broad = study.colour_scores(house, "broad", "random", 96, [0, 1, 2])
    assert narrow["m"] < 1.8
    assert broad["m"] < 4.1
    assert broad["to_near"] < 0.45 and broad["to_ridge"] < 0.85
    assert 0.85 <= np.mean([narrow["cover"], broad["cover"]]) <= 0.95


def test_suggestions_beat_the_nearest_precedent(house, study):
    got = study.suggest_scores(house, "narrow", "clustered", 48, [0, 1], targets=5)
    assert got["ratio"] < 0.7
    assert got["interval_holds"] > 0.8
