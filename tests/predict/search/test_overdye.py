"""Two dyeings on one fibre together."""

import numpy as np
import pytest

from swatchbath.colorimetry import delta_e2000, lab_to_lch
from swatchbath.predict.search.overdye import UNDYED, diluted, overdye_covariance, overdyed

BLUE, YELLOW, RED = np.array([[55, -8, -22], [78, -2, 58], [42, 42, 2]])


def test_nothing_over_it_changes_nothing_and_order_does_not_matter():
    assert delta_e2000(overdyed(BLUE, UNDYED), BLUE) < 1e-6
    assert np.allclose(overdyed(BLUE, YELLOW), overdyed(YELLOW, BLUE))


def test_it_is_darker_than_either():
    for over in (YELLOW, RED):
        assert overdyed(BLUE, over)[0] < min(BLUE[0], over[0])


@pytest.mark.parametrize(("over", "low", "high"), [(YELLOW, 110, 190), (RED, 290, 380)])
def test_blue_and_yellow_is_green_blue_and_red_is_violet(over, low, high):
    hue = lab_to_lch(overdyed(diluted(BLUE, 0.7), diluted(over, 0.7)))[2]
    assert low < (hue if hue > 90 else hue + 360) < high


def test_diluted_runs_from_the_bare_fibre_to_the_dyeing():
    both = diluted(RED, np.array([0.0, 1.0]))
    assert delta_e2000(both, np.array([UNDYED, RED])).max() < 1e-6
    lightness = diluted(RED, np.linspace(0, 1, 5))[:, 0]
    assert (np.diff(lightness) < 0).all()


def test_the_doubt_is_wide_and_proper():
    cov = overdye_covariance(overdyed(BLUE, YELLOW))
    assert np.linalg.eigvalsh(cov).min() > 0
    assert np.sqrt(np.trace(cov)) > 5
