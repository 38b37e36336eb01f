"""What may be promised: no more than nine in ten, unless swatches left out have earned it; and an
interval that holds nine pots in ten."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import beta

from baths_made import GOLD, fitted
from swatchbath.colorimetry import delta_e2000
from swatchbath.predict.search.suggestion import probability_cap


@pytest.fixture(scope="module")
def model():
    return fitted()


def scored(model, off, *, doubt=0.1, checked=True):
    """Swatches left out and missed by so much, each foreseen with a doubt (sd, Lab)."""
    n = len(off)
    return replace(
        model.cross_validation_,
        lab=np.tile([60.0, 5.0, 40.0], (n, 1)),
        covariance=np.tile(doubt**2 * np.eye(3), (n, 1, 1)),
        delta_e2000=np.asarray(off, float),
        distance=np.ones(n),
        checked=checked,
    )


@pytest.mark.parametrize(("n", "missed"), [(60, 0), (200, 0), (200, 2)])
def test_what_was_earned_is_the_lower_limit_of_how_often_it_came_true(model, n, missed):
    off = np.r_[np.full(missed, 5.0), np.full(n - missed, 0.5)]
    low = beta.ppf(0.05, n - missed, missed + 1)  # Clopper and Pearson
    assert low > 0.92
    assert probability_cap(scored(model, off), 2.0) == pytest.approx(low)


@pytest.mark.parametrize("n", [2, 10, 19])
def test_few_swatches_earn_nothing(model, n):
    assert probability_cap(scored(model, np.full(n, 0.5)), 2.0) == 0.9


def test_from_twenty_on_they_may(model):
    """Twenty hits of twenty have a lower limit of 0.86: no more than the nine in ten."""
    assert probability_cap(scored(model, np.full(20, 0.5)), 2.0) == 0.9
    assert probability_cap(scored(model, np.full(40, 0.5)), 2.0) == pytest.approx(0.05 ** (1 / 40))


def test_what_missed_as_often_as_not_what_was_unsure_and_what_was_not_checked_earn_nothing(model):
    half = np.r_[np.full(100, 0.5), np.full(100, 5.0)]
    assert probability_cap(scored(model, half), 2.0) == 0.9
    hits = np.full(200, 0.5)
    assert probability_cap(scored(model, hits, doubt=3.0), 2.0) == 0.9
    assert probability_cap(scored(model, hits, checked=False), 2.0) == 0.9


def test_an_interval_holds_nine_pots_in_ten(model):
    rng = np.random.default_rng(3)
    for idea in model.suggest(GOLD, k=3):
        pots = rng.multivariate_normal(idea.lab, idea.pot_covariance, 4000)
        off = delta_e2000(pots, GOLD)
        low, high = idea.interval
        assert np.mean((off >= low) & (off <= high)) == pytest.approx(0.9, abs=0.03)
        assert idea.expected == pytest.approx(off.mean(), rel=0.05)
