"""How deep a vat dyes."""

import numpy as np
import pytest

from swatchbath.predict.regression.depth import depth_to_lab, lab_to_depth
from swatchbath.predict.search.dips import VatDepth

START = np.array([65.0, -8.0, -16.0])


def swatches(slope, dips):
    z = lab_to_depth(START) + np.outer(np.log(dips), [slope, 0.0, 0.0])
    return depth_to_lab(z)


NONE = VatDepth.learn(np.zeros((0, 3)), [], [], [])


def test_without_swatches_one_dip_more_is_darker_and_fewer_lighter_and_both_are_wide():
    more, wide = NONE.after(START, (2, 3))
    fewer, _ = NONE.after(START, (2, 1))
    assert more[0] < START[0] - 3
    assert fewer[0] > START[0] + 3
    assert np.sqrt(wide[0, 0]) > 4


def test_a_longer_dip_is_darker_but_less_than_another_one():
    longer = NONE.after(START, (2, 2), (5, 10))[0]
    assert NONE.after(START, (2, 4))[0][0] < longer[0] < START[0]


@pytest.mark.parametrize("slope", [0.3, 1.8])
def test_her_own_strips_overrule_the_guess(slope):
    dips = np.array([1, 2, 3, 4, 5, 8])
    learnt = VatDepth.learn(swatches(slope, dips), dips, [5.0] * 6, ["fructose, wool"] * 6)
    assert abs(learnt.slope[0] - slope) < abs(NONE.slope[0] - slope) / 3
    assert learnt.covariance[0, 0] < NONE.covariance[0, 0] / 3


def test_two_vats_are_not_compared_and_unknown_dips_say_nothing():
    labs = swatches(1.8, np.array([1, 5]))
    for dips, vats in (([1, 5], ["a", "b"]), ([np.nan, 5], ["a", "a"])):
        assert np.allclose(VatDepth.learn(labs, dips, [5, 5], vats).slope, NONE.slope)
