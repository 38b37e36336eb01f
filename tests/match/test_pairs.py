"""Many pairs at once are judged as each pair alone."""

from itertools import combinations

import numpy as np
import pytest

import swatchbath as sb
from piles_made import pile
from swatchbath.match import compare
from swatchbath.match.pairs import compare_all


@pytest.mark.parametrize("every", [3, pytest.param(1, marks=pytest.mark.slow)])
@pytest.mark.parametrize("degrees", [np.inf, 12.0])
@pytest.mark.parametrize("tolerance", [1.0, 2.0, 4.0])
def test_verdicts_are_those_of_each_pair(degrees, tolerance, every):
    readings = pile(14, seed=int(tolerance), degrees=degrees, spread=0.45 * tolerance)
    found = compare_all(readings, tolerance=tolerance)
    for i, j in list(combinations(range(14), 2))[::every]:
        one = compare(readings[i], readings[j], tolerance=tolerance)
        assert found.match[i, j] == (one.verdict == "match"), one
        assert found.no_match[i, j] == (one.verdict == "no match"), one
        assert found.delta_e2000[i, j] == pytest.approx(one.delta_e2000)
    pairs = np.triu_indices(14, 1)
    undecided = ~found.match[pairs] & ~found.no_match[pairs]
    assert found.match[pairs].any() and found.no_match[pairs].any() and undecided.any()
    assert np.array_equal(found.match, found.match.T) and found.match.diagonal().all()


def test_exact_readings_are_settled_by_their_difference():
    labs = [[50, 0, 0], [51, 0, 0], [60, 0, 0]]
    found = compare_all([sb.Measurement(x, np.zeros((3, 3))) for x in labs], tolerance=2)
    assert found.match.tolist() == [[True, True, False], [True, True, False], [False, False, True]]
    assert (found.no_match == ~found.match).all()


def test_none_and_one_have_no_pairs():
    assert compare_all([]).match.shape == (0, 0)
    assert compare_all(pile(1)).match.tolist() == [[True]]
