"""Whether a shade can be had: all baths together."""

from dataclasses import replace

import numpy as np
import pytest

from baths_made import GOLD, fitted, record
from swatchbath.predict.search.ranking import encode, space_for
from swatchbath.predict.search.reach import hardly_any, nearest_in_draws
from swatchbath.predict.search.request import parse_target
from swatchbath.predict.search.suggested import Suggestions


@pytest.fixture(scope="module")
def model():
    return fitted()


def near(model, lab, n=200):
    fit, shade = model.fit_, parse_target(lab)
    space = space_for(fit, shade.lab, None, None)
    f = encode(fit, space.draw(n, np.random.default_rng(0)))
    return nearest_in_draws(fit, f, shade, np.random.default_rng(1))


def test_more_baths_only_help(model):
    few, many = near(model, GOLD, 12), near(model, GOLD, 400)
    assert np.median(many) < np.median(few) and np.median(many) < 2


def test_hardly_is_a_share_and_larger_for_a_shade_that_was_read():
    one_in_ten = np.r_[1.0, np.full(9, 5.0)]
    assert not hardly_any(one_in_ten, 2.0, exact=True)
    assert hardly_any(one_in_ten, 2.0, exact=False)
    assert hardly_any(one_in_ten, 0.5, exact=True)
    assert not hardly_any(one_in_ten, 6.0, exact=False)


def test_many_doubtful_baths_do_not_make_a_far_shade_near(model):
    assert hardly_any(near(model, [35, 20, -60]), 2.0, exact=True)
    assert not hardly_any(near(model, record()[1][3]), 4.0, exact=True)


def test_it_is_said_of_every_idea_and_decides_the_reach(model):
    ideas = model.suggest(GOLD, k=3)
    assert not any(i.hardly_any for i in ideas) and ideas.reach == "in reach"
    hardly = Suggestions(replace(i, hardly_any=True) for i in ideas)
    assert hardly.reach == Suggestions(hardly[:1]).reach == "out of reach"
