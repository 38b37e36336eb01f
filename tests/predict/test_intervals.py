"""What is told of a suggestion's pots holds as often as it says, near its shade and far from it."""

import numpy as np
import pytest

from baths_made import record
from swatchbath.colorimetry import delta_e2000
from swatchbath.predict import ShadeModel


@pytest.fixture(scope="module")
def model():
    table, lab = record(40)
    return ShadeModel().fit(table, lab)


@pytest.mark.parametrize("target", [[67, -6, 52], [55, 25, 20], [40, 5, 10], [80, -60, 20]])
def test_the_interval_holds_nine_in_ten_of_the_pots(model, target):
    """Pots drawn anew from the stated covariance (normal in Lab, so only nearly the same)."""
    for idea in model.suggest(target, k=3):
        pots = np.random.default_rng(0).multivariate_normal(idea.lab, idea.pot_covariance, 4000)
        off = delta_e2000(pots, np.array(target, float))
        low, high = idea.interval
        assert 0.85 < np.mean((off >= low) & (off <= high)) < 0.95
        assert low <= idea.expected <= high
        assert idea.expected == pytest.approx(off.mean(), rel=0.1)
