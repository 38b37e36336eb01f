"""Left out and foreseen: nothing leaks across a split, lots count alike, and doubt is widened as
much as what was left out asks for."""

import numpy as np
import pytest
from scipy.stats import chi2

from baths_made import record
from swatchbath.predict import ShadeModel
from swatchbath.predict.regression.cross_validation import folds_of, inflation_for
from swatchbath.predict.regression.groups import Groups


def groups(lots, sessions=None, photos=None, others=None):
    """Groups of rows; -1 where a dye day or a photo is not known."""
    n = len(lots)
    unknown = [-1] * n
    return Groups(
        np.arange(n),
        np.array(lots),
        np.array(sessions or unknown),
        (np.array(photos or unknown), np.array(others or unknown)),
    )


def folds(some):
    return folds_of(some, np.random.default_rng(0))


LOTS = [i // 2 for i in range(40)]  # twenty lots of two


@pytest.mark.parametrize("shared", ["sessions", "photos", "others"])
def test_no_part_learns_from_the_dye_day_or_a_photo_of_what_it_foresees(shared):
    """Each day, or photo, holds rows of two lots."""
    of_two = [((i + 2) % 40) // 4 for i in range(40)]
    found, blocks, strict = folds(groups(LOTS, **{shared: of_two}))
    assert strict and blocks == 20
    seen = np.zeros(40, int)
    for test, train in found:
        seen[test] += 1
        assert not set(test) & set(train)
        assert not {LOTS[i] for i in test} & {LOTS[i] for i in train}
        assert not {of_two[i] for i in test} & {of_two[i] for i in train}
        # And nothing more than has to is left out: what is neither of its lots nor of its days.
        apart = {of_two[i] for i in test}
        assert set(train) >= {i for i in range(40) if of_two[i] not in apart} - set(test)
    assert (seen == 1).all()


def test_what_is_not_known_is_shared_with_nothing():
    found, blocks, strict = folds(groups(LOTS))
    assert strict and blocks == 20
    assert all(len(test) + len(train) == 40 for test, train in found)


def test_where_one_photo_holds_all_only_lots_are_held_apart_and_it_is_told():
    found, blocks, strict = folds(groups(LOTS, photos=[0] * 40))
    assert not strict and blocks == 20
    for test, train in found:
        assert not {LOTS[i] for i in test} & {LOTS[i] for i in train} and len(train)


def test_lots_count_alike_however_many_swatches_each_has():
    """One lot in twenty is far off, with as many swatches as all others together."""
    lots = np.r_[np.arange(20), np.full(19, 19)]
    squared = np.r_[np.full(19, 1.0), np.full(20, 60.0)]
    assert inflation_for(lambda by: squared / by, lots) == 1.0
    alone = np.arange(39)
    assert inflation_for(lambda by: squared / by, alone) > 8


@pytest.mark.parametrize("times", [1.7, 4.0, 9.0])
def test_the_doubt_is_widened_by_as_much_as_it_was_too_small(times):
    """Squared distances are chi-square with three degrees, times what was forgotten."""
    squared = times * chi2.ppf((np.arange(400) + 0.5) / 400, 3)
    found = inflation_for(lambda by: squared / by, np.arange(400))
    assert found == pytest.approx(times, rel=0.03)


def test_it_is_never_made_smaller_and_never_more_than_sixteen_times():
    lots = np.arange(50)
    assert inflation_for(lambda by: np.full(50, 0.1) / by, lots) == 1.0
    assert inflation_for(lambda by: np.full(50, 1e6) / by, lots) == 16.0


def in_lots(number):
    table, lab = record(36)
    return ShadeModel().fit(table.assign(lot=[str(i % number) for i in range(36)]), lab)


@pytest.mark.parametrize(("lots", "checked"), [(9, True), (8, False)])
def test_from_nine_lots_on_the_doubt_was_checked_and_else_it_is_widened(lots, checked):
    scored = in_lots(lots).cross_validation_
    assert scored.blocks == lots and scored.checked == checked
    assert checked or scored.covariance_inflation >= 1.5
    assert ("Checked on 9 lots" in scored.note) == checked


def test_its_figures_are_those_of_its_rows():
    scored = in_lots(12).cross_validation_
    off = scored.delta_e2000
    assert np.isfinite(off).all()
    assert scored.median == pytest.approx(np.median(off))
    assert scored.p95 == pytest.approx(np.quantile(off, 0.95))
    within = scored.distance <= chi2.ppf(0.9, 3)
    assert 0 < within.mean() and scored.coverage == pytest.approx(within.mean())
