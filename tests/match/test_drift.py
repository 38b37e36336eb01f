"""False alarms and shifts caught, by simulation."""

import numpy as np
import pytest

from swatchbath.errors import ShapeError
from swatchbath.match.drift import history

STANDARD = np.array([62.0, 12.0, 48.0])


def runs(many, lots, sd, shift=0.0, after=0, seed=0, common=0.0, anew_at=None, degrees=np.inf):
    """How many lots after the shift each of many histories alarms; lots + 1 for never."""
    rng = np.random.default_rng(seed)
    out = []
    for _ in range(many):
        way = rng.normal(size=3)
        way *= shift / np.linalg.norm(way)
        of_all = rng.normal(0, common, 3) if common else np.zeros(3)
        labs = STANDARD + of_all + rng.normal(0, sd, (lots, 3))
        labs[after:] += way
        spread = sd**2 * np.eye(3)
        if np.isfinite(degrees):
            repeats = rng.normal(0, sd, (int(degrees), 3))
            spread = repeats.T @ repeats / degrees
        points = history(
            STANDARD, labs, np.repeat(spread[None], lots, 0), common=common**2 * np.eye(3),
            degrees=degrees, anew=None if anew_at is None else np.arange(lots) == anew_at,
        )  # fmt: skip
        alarms = [i for i, p in enumerate(points) if p.drifts]
        out.append(alarms[0] - after + 1 if alarms else lots + 1)
    return np.array(out)


@pytest.mark.parametrize("how", [{}, {"common": 1.0}, {"degrees": 12}, {"anew_at": 9}], ids=repr)
def test_a_steady_shade_seldom_alarms(how):
    """Under 5 % in 20 lots; of 300 histories 24 is the 99 % point of a binomial of 5 %."""
    assert (runs(300, 20, 1.2, **how) <= 20).sum() <= 24


def test_a_shift_of_three_is_caught_within_six_lots():
    found = runs(300, 14, 1.4, shift=3.0, after=6, seed=1)
    assert np.mean((found >= 1) & (found <= 6)) >= 0.8
    assert np.mean(found < 1) < 0.03


def test_differences_to_the_kept_piece_outlast_a_new_camera():
    """In the frame's own difference nothing begins anew, and the shift is caught all the same."""
    found = runs(300, 14, 1.2, shift=3.0, after=6, seed=2, common=0.3)
    assert np.mean((found >= 1) & (found <= 6)) >= 0.8


def test_what_has_changed_is_told():
    labs = np.repeat(STANDARD[None] + [-6, 0, 0], 8, 0)
    points = history(STANDARD, labs, np.repeat(np.eye(3)[None], 8, 0))
    assert points[-1].drifts and "darker" in points[-1].words
    assert points[-1].parts[0] == pytest.approx(-6, abs=0.01)
    assert [p.first for p in points] == [True] + [False] * 7
    assert not points[0].drifts or points[0].t2 > points[0].limit
    with pytest.raises(ShapeError, match="8 lots"):
        history(STANDARD, labs, np.eye(3))
