"""Components of spread: a table of the literature, and records whose truth is known."""

import numpy as np
import pandas as pd
import pytest

from folders import REFERENCE
from swatchbath.errors import BadValue, ShapeError
from swatchbath.match.spread import variance_components


def by_name(found):
    return {c.name: c for c in found}


def test_batches_of_a_dyestuff_as_in_the_literature():
    """Davies and Goldsmith 1972, section 6.4: between 1764.05 (REML), 1388.33 (maximum
    likelihood), within 2451.25."""
    table = pd.read_csv(REFERENCE / "dyestuff_batches.csv", comment="#")
    y, groups = table["yield"].to_numpy(float), {"batch": list(table["batch"])}
    found = by_name(variance_components(y, groups))
    assert found["batch"].variance == pytest.approx(1764.05, abs=0.05)
    assert found["rest"].variance == pytest.approx(2451.25, abs=0.05)
    likely = by_name(variance_components(y, groups, restricted=False))
    assert likely["batch"].variance == pytest.approx(1388.33, abs=0.05)
    low, high = found["batch"].interval
    assert 0 <= low < 1764 < high


def made(rng, sd, *, recipes=4, deliveries=4, lots=3, swatches=3, readings=2):
    """A crossed record: each recipe with each delivery, in lots, swatches and readings, three
    columns; sd of delivery, lot, swatch and reading."""
    rows, y = [], []
    for r in range(recipes):
        for d in range(deliveries):
            of_d = rng.normal(0, sd[0], 3)
            for k in range(lots):
                of_lot = rng.normal(0, sd[1], 3)
                for s in range(swatches):
                    of_swatch = rng.normal(0, sd[2], 3)
                    for _ in range(readings):
                        rows.append((r, (r, d), (r, d, k), (r, d, k, s)))
                        y.append(r + of_d + of_lot + of_swatch + rng.normal(0, sd[3], 3))
    r, d, k, s = zip(*rows, strict=True)
    return np.array(y), {"delivery": d, "lot": k, "swatch": s}, r


def test_known_spreads_are_found():
    sd = (2.0, 1.5, 0.8, 0.4)
    y, groups, recipe = made(np.random.default_rng(1), sd, deliveries=3, swatches=2)
    found = variance_components(y, groups, fixed=recipe, level=0.99)
    for c, true in zip(found, sd, strict=True):
        assert c.interval[0] < true**2 < c.interval[1] and not c.not_told_from
        assert c.interval[0] <= c.variance <= c.interval[1]


def test_what_was_never_repeated_cannot_be_told_apart():
    y, groups, recipe = made(np.random.default_rng(2), (2, 1, 1, 0.5), recipes=2, readings=1)
    found = by_name(variance_components(y, groups, fixed=recipe))
    assert found["swatch"].not_told_from == ("rest",) and np.isnan(found["swatch"].variance)
    assert found["rest"].not_told_from == ("swatch",)
    assert not found["lot"].not_told_from and not found["delivery"].not_told_from
    y, groups, recipe = made(np.random.default_rng(2), (2, 1, 1, 0.5), deliveries=1)
    found = by_name(variance_components(y, groups, fixed=recipe))
    assert found["delivery"].not_told_from and np.isnan(found["delivery"].variance)
    assert found["lot"].interval[0] < 1 < found["lot"].interval[1]


def test_what_makes_no_sense_is_refused():
    with pytest.raises(BadValue, match="Nothing is repeated"):
        variance_components([1.0, 2.0], {"lot": [0, 1]}, fixed=[0, 1])
    with pytest.raises(ShapeError):
        variance_components([1.0, 2.0], {"lot": [0]})
    with pytest.raises(BadValue, match="not a number"):
        variance_components([1.0, np.nan, 2.0], {"lot": [0, 1, 1]})


@pytest.mark.slow
def test_intervals_hold_the_truth_as_often_as_they_say():
    """90 % intervals of 60 records: each component's hold it in 82 to 98 % (two binomial standard
    errors about 85 to 95 %)."""
    sd, held = (1.5, 1.0, 0.7, 0.5), np.zeros(4)
    for seed in range(60):
        y, groups, recipe = made(
            np.random.default_rng(100 + seed), sd, recipes=3, deliveries=4, lots=2, swatches=2
        )
        for i, c in enumerate(variance_components(y, groups, fixed=recipe)):
            held[i] += c.interval[0] <= sd[i] ** 2 <= c.interval[1]
    assert ((held / 60 > 0.82) & (held / 60 < 0.98)).all(), held / 60
