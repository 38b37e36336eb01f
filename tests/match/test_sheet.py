"""A small dose of tests/studies/score_sheet.py: pairs in drawn frames whose truth is known."""

import sys
from pathlib import Path

import pytest

STUDIES = str(Path(__file__).resolve().parents[1] / "studies")
if STUDIES not in sys.path:
    sys.path.append(STUDIES)

from score_sheet import at_least, at_most, pairs, told  # noqa: E402
from sheet_frames import draw_frame  # noqa: E402

FRAMES = range(4000, 4012)


@pytest.fixture(scope="module")
def rows(tmp_path_factory):
    folder = tmp_path_factory.mktemp("frames")
    return [
        pair
        for seed in FRAMES
        for pair in pairs(draw_frame(seed, folder, true=(0.0, 2.0, 3.0, 6.0)), seed, "paper")
    ]


@pytest.mark.slow
@pytest.mark.parametrize("tolerance", [2.0, 3.0])
def test_verdicts_on_a_sheet_are_seldom_wrong(rows, tolerance):
    for true, (match, apart, n) in told(rows, tolerance).items():
        assert n >= 10
        if true >= tolerance:
            assert at_most(match, n, 0.05), (true, match, n)
        if true <= tolerance:
            assert at_most(apart, n, 0.05), (true, apart, n)


@pytest.mark.slow
def test_like_and_unlike_are_told_within_two(rows):
    verdicts = told(rows, 2.0)
    match, _, n = verdicts[0.0]
    assert at_least(match, n, 0.80)
    _, apart, n = verdicts[6.0]
    assert at_least(apart, n, 0.85)


@pytest.mark.slow
def test_intervals_hold_the_true_difference(rows):
    for true in (0.0, 2.0, 3.0, 6.0):
        held = [r.low <= true <= r.high for r in rows if r.true == true]
        assert at_least(sum(held), len(held), 0.88), true
