"""A small dose of tests/studies/score_sheet.py: pairs in drawn frames whose truth is known."""

import sys
from pathlib import Path

import numpy as np
import pytest

STUDIES = str(Path(__file__).resolve().parents[1] / "studies")
if STUDIES not in sys.path:
    sys.path.append(STUDIES)

from printed_sheet import printed_frame  # noqa: E402
from score_copies import interval_of, pair_of, scenes  # noqa: E402
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
def test_equals_match_within_two(rows):
    match, _, n = told(rows, 2.0)[0.0]
    assert at_least(match, n, 0.80)


@pytest.mark.slow
@pytest.mark.xfail(
    strict=True,
    reason="by a grey card a photo may stretch a difference by a third: see FIGURES.md, One frame",
)
def test_six_apart_are_told_within_two(rows):
    _, apart, n = told(rows, 2.0)[6.0]
    assert at_least(apart, n, 0.85)


@pytest.mark.slow
def test_on_the_printed_sheet_equals_match_within_two(tmp_path):
    rows = []
    for seed in range(4000, 4004):
        frame = printed_frame(seed, tmp_path, true=(0.0, 0.0, 0.0, 0.0, 3.0, 3.0, 6.0))
        assert frame is not None
        rows += [p for p in pairs(frame, seed, "printed") if p.true in (0.0, 3.0, 6.0)]
    verdicts = told(rows, 2.0)
    match, apart, n = verdicts[0.0]
    assert n >= 12 and at_least(match, n, 0.80) and apart == 0
    assert verdicts[3.0][0] == 0 and verdicts[6.0][0] == 0


@pytest.mark.slow
def test_copies_of_real_patches_are_told_alike_in_other_light(reference, tmp_path):
    photos = reference / "photos"
    rng, found = np.random.default_rng(1), []
    for name, scene in list(scenes(photos))[:3]:
        for patch in (2, 9):
            file = tmp_path / f"{name}.jpg"
            at = pair_of(scene, patch, 0.0, 0.15, rng, file)
            found.append(interval_of(file, at, "paper"))
    read = [f for f in found if f is not None]
    assert len(read) >= 4
    assert not any(low > 2 for low, _ in read)
    assert at_least(sum(low == 0 for low, _ in read), len(read), 0.88)
    assert at_least(sum(high <= 2 for _, high in read), len(read), 0.80)


@pytest.mark.slow
def test_intervals_hold_the_true_difference(rows):
    for true in (0.0, 2.0, 3.0, 6.0):
        held = [r.low <= true <= r.high for r in rows if r.true == true]
        assert at_least(sum(held), len(held), 0.88), true
