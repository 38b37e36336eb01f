"""CIEDE2000 and CMC against published pairs; properties."""

import csv

import colour
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from folders import REFERENCE
from swatchbath.colorimetry import cmc, delta_e76, delta_e2000, lightness_chroma_hue
from swatchbath.colorimetry.difference import local_metric
from swatchbath.errors import ShapeError, ValueOutOfRange

labs = st.tuples(st.floats(0, 100), st.floats(-100, 100), st.floats(-100, 100))


def rows(name):
    with open(REFERENCE / name, encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def test_all_34_published_pairs_in_both_orders():
    # Sharma, Wu and Dalal (2005), table 1; four decimals.
    pairs = rows("sharma_pairs.csv")
    assert len(pairs) == 34
    one = np.array([[float(p[k]) for k in ("L1", "a1", "b1")] for p in pairs])
    two = np.array([[float(p[k]) for k in ("L2", "a2", "b2")] for p in pairs])
    published = np.array([float(p["dE00"]) for p in pairs])
    assert np.abs(delta_e2000(one, two) - published).max() < 1e-4
    assert np.abs(delta_e2000(two, one) - published).max() < 1e-4


def test_textile_weight_agrees_with_colour_science():
    rng = np.random.default_rng(1)
    one, two = rng.uniform([0, -60, -60], [100, 60, 60], (2, 500, 3))
    ours = delta_e2000(one, two, k_L=2)
    theirs = colour.delta_E(one, two, method="CIE 2000", textiles=True)
    assert np.abs(ours - theirs).max() < 1e-9


def test_cmc_against_published_pairs():
    # Values published with an open colour library's tests; first line of the file.
    for row in rows("cmc_pairs.csv"):
        one = [float(row[k]) for k in ("L1", "a1", "b1")]
        two = [float(row[k]) for k in ("L2", "a2", "b2")]
        assert float(cmc(one, two, lightness=1)) == pytest.approx(float(row["dECMC_1_1"]), abs=1e-5)
        assert float(cmc(one, two)) == pytest.approx(float(row["dECMC_2_1"]), abs=1e-5)


@given(labs, labs)
def test_a_difference_is_symmetric_not_negative_and_zero_for_equals(one, two):
    assert delta_e2000(one, two) == pytest.approx(float(delta_e2000(two, one)), abs=1e-9)
    assert delta_e2000(one, two) >= 0
    assert delta_e2000(one, one) == 0


@given(labs, labs)
def test_the_three_parts_add_up_to_the_plain_distance(one, two):
    # ISO/CIE 11664-4: dE*ab squared = dL squared + dC squared + dH squared.
    parts = lightness_chroma_hue(one, two)
    assert np.linalg.norm(parts) == pytest.approx(float(delta_e76(one, two)), abs=1e-6)


def test_hue_step_has_the_sign_of_the_shorter_way():
    # From 350 to 10 degrees is +20.
    at = lambda h: [50, 30 * np.cos(np.radians(h)), 30 * np.sin(np.radians(h))]  # noqa: E731
    assert lightness_chroma_hue(at(350), at(10))[2] > 0
    assert lightness_chroma_hue(at(10), at(350))[2] < 0


def test_not_a_number_stays_not_a_number():
    assert np.isnan(delta_e2000([50, np.nan, 0], [50, 0, 0]))


def test_bad_input_is_refused():
    with pytest.raises(ShapeError, match="three numbers"):
        delta_e2000([50, 0], [50, 0])
    with pytest.raises(ValueOutOfRange, match="k_L"):
        delta_e2000([50, 0, 0], [50, 0, 0], k_L=0)


@pytest.mark.parametrize("lab", [[62, 12, 48], [30, 20, -25], [50, 0.5, 0.5], [85, -30, 60]])
def test_a_small_step_by_the_local_metric_is_as_long_as_by_the_formula(lab):
    metric = local_metric(lab)
    assert np.allclose(metric, metric.T) and (np.linalg.eigvalsh(metric) > 0).all()
    for step in np.random.default_rng(0).normal(0, 0.05, (20, 3)):
        straight = float(delta_e2000(np.array(lab), np.array(lab) + step))
        assert np.sqrt(step @ metric @ step) == pytest.approx(straight, rel=0.03)


def test_cmc_agrees_with_colour_science_on_both_sides_of_its_borders():
    """L* 16 in lightness, 164 and 345 degrees in hue."""
    for L in (10.0, 15.9, 16.1, 19.0, 25.0, 60.0):
        for hue in (10.0, 100.0, 163.9, 164.1, 200.0, 344.9, 345.1, 350.0, 354.0):
            turn = np.radians([hue, hue + 4])
            pair = np.stack([[L, L + 2], 40 * np.cos(turn), 40 * np.sin(turn)], axis=1)
            theirs = colour.delta_E(*pair, method="CMC", l=2, c=1)
            assert cmc(*pair) == pytest.approx(theirs, rel=1e-9), (L, hue)


@given(st.floats(0, 360), st.floats(5, 80), st.floats(5, 80))
def test_opposite_hues_differ_alike_whichever_is_named_first(hue, one, two):
    """Rounding decides on neither side of the half turn which mean hue counts."""
    c, s = np.cos(np.radians(hue)), np.sin(np.radians(hue))
    first, second = [50, one * c, one * s], [50, -two * c, -two * s]
    there, back = delta_e2000(first, second), delta_e2000(second, first)
    assert there == pytest.approx(back, rel=1e-9)
    tilted = [50, -two * c * (1 + 1e-15), -two * s]
    assert delta_e2000(first, tilted) == pytest.approx(there, rel=1e-6)
