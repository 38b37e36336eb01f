"""Verdicts are equivalence tests: on drawn readings with known truth."""

import numpy as np
import pytest

import swatchbath as sb
from swatchbath.colorimetry.conversion import to_d65_2
from swatchbath.match.compare import degrees_of_difference

# Three binomial standard errors of 100 trials at 5 %.
LEVEL_SLACK = 0.07


def reading(lab, sd=1.0, **more):
    return sb.Measurement(lab, np.eye(3) * sd**2, rung="card", **more)


def test_sharp_equal_colours_match_and_sharp_unlike_ones_do_not():
    assert sb.compare([50, 10, 30], [50.3, 10, 30]).verdict == "match"
    assert sb.compare([50, 10, 30], [58, 10, 30]).verdict == "no match"


def test_doubt_gives_cannot_tell_with_what_would_settle_it():
    r = sb.compare(reading([50, 10, 30], 3), reading([51, 10, 30], 3))
    assert r.verdict == "cannot tell"
    assert r.smallest_tolerance > r.tolerance
    assert "one photo" in r.would_settle
    again = sb.compare(
        reading([50, 10, 30], 3), reading([51, 10, 30], 3), tolerance=r.smallest_tolerance * 1.3
    )
    assert again.verdict == "match"


def test_errors_shared_in_one_photo_cancel():
    source = {"photo:a": np.eye(3) * 4}
    apart = sb.compare(
        reading([50, 10, 30], 0.3, shared={"photo:a": np.eye(3) * 4}, photo="a"),
        reading([51, 10, 30], 0.3, shared={"photo:b": np.eye(3) * 4}, photo="b"),
    )
    together = sb.compare(
        reading([50, 10, 30], 0.3, shared=source, photo="a"),
        reading([51, 10, 30], 0.3, shared=source, photo="a"),
    )
    assert together.same_photo
    assert together.verdict == "match"
    assert apart.verdict == "cannot tell"


def test_false_matches_are_rarer_than_the_level_allows():
    # True difference exactly at the tolerance: "match" may be said in at most 1 of 20.
    rng = np.random.default_rng(2)
    standard = np.array([50.0, 15.0, 35.0])
    sample = standard + [0, 0, 0]
    while float(sb.delta_e2000(sample, standard)) < 2:
        sample = sample + [0.01, 0, 0]
    wrong = sum(
        sb.compare(sample + rng.normal(0, 0.5, 3), reading(standard, 0.5), tolerance=2).verdict
        == "match"
        for _ in range(100)
    )
    assert wrong / 100 < 0.05 + LEVEL_SLACK


def test_the_order_turns_the_words_and_nothing_else():
    one, two = reading([50, 10, 30]), reading([58, 10, 30])
    there, back = sb.compare(one, two), sb.compare(two, one)
    assert there.delta_e2000 == pytest.approx(back.delta_e2000)
    assert there.interval == pytest.approx(back.interval, rel=0.01)
    assert "darker" in there.words
    assert "lighter" in back.words


def test_unlike_observers_are_converted_and_not_differenced_as_numbers():
    """A lilac reads otherwise by 10 degrees."""
    by_ten = sb.Measurement([50, 25, -30], observer="10")
    there = to_d65_2(by_ten)
    assert sb.delta_e2000(there.lab, by_ten.lab) > 0.5
    assert sb.compare(by_ten, there).delta_e2000 == pytest.approx(0, abs=1e-9)
    # Readings of one kind are differenced as they are, without the conversion's doubt.
    alike = sb.compare(by_ten, sb.Measurement([50, 25, -30], observer="10"))
    unlike = sb.compare(by_ten, sb.Measurement(there.lab))
    assert alike.interval[1] < unlike.interval[1]


def test_an_impossible_tolerance_is_refused():
    for tolerance in (0, -1, float("nan")):
        with pytest.raises(sb.ValueOutOfRange, match="tolerance"):
            sb.compare([50, 0, 0], [50, 0, 0], tolerance=tolerance)


def test_the_verdict_is_by_the_interval_and_not_by_what_was_read():
    """Over the tolerance or under it as read, neither is told before the interval is past it."""
    standard, verdicts = reading([50, 10, 30], 0.5), set()
    for step in np.arange(0, 6, 0.25):
        found = sb.compare(reading([50 + step, 10, 30], 0.5), standard, tolerance=2)
        low, high = found.interval
        assert low <= found.difference <= high
        wanted = "match" if high <= 2 else "no match" if low > 2 else "cannot tell"
        assert found.verdict == wanted
        verdicts.add((found.verdict, found.difference > 2))
    assert {("cannot tell", True), ("cannot tell", False), ("no match", True)} <= verdicts
    sharp = sb.compare(reading([51, 10, 30], 0.2), reading([50, 10, 30], 0.2), tolerance=2)
    assert sharp.verdict == "match"


def test_it_leans_to_what_is_more_likely_and_only_where_it_cannot_tell():
    leanings = []
    for step in np.arange(0, 6, 0.5):
        found = sb.compare(reading([50 + step, 10, 30], 0.7), reading([50, 10, 30], 0.7))
        undecided = found.verdict == "cannot tell"
        wanted = ("match" if found.chance_within >= 0.5 else "apart") if undecided else ""
        assert found.leaning == wanted
        leanings.append((found.leaning, round(found.chance_within, 1)))
    assert {"match", "apart", ""} == {name for name, _ in leanings}
    assert any(name == "match" and chance < 0.85 for name, chance in leanings)


def test_the_least_sure_reading_of_a_photo_speaks_for_both():
    """Errors of one photo have one scale, which is known no better than the worse of both."""
    one, two = (reading([50, 10, 30], 1, photo="p", degrees=d) for d in (6.0, 40.0))
    assert degrees_of_difference(one, two) == degrees_of_difference(two, one) == 6


def test_what_would_settle_it_is_told_by_what_such_readings_can():
    standard = reading([50, 10, 30], 3)
    blunt = sb.compare(reading([51, 10, 30], 3), standard)
    assert blunt.verdict == "cannot tell" and blunt.smallest_tolerance > blunt.tolerance
    assert "at the least" in blunt.would_settle
    almost = 0.8 * blunt.smallest_tolerance
    wider = sb.compare(reading([51, 10, 30], 3), standard, tolerance=almost)
    assert wider.verdict == "cannot tell" and "at the least" in wider.would_settle
    near = sb.compare(reading([56, 10, 30], 3), standard, tolerance=blunt.smallest_tolerance + 0.1)
    assert near.verdict == "cannot tell" and near.smallest_tolerance <= near.tolerance
    assert "too near the limit" in " ".join(near.would_settle.split())
