"""A Prediction is read as a table, by index and as an array."""

import numpy as np
import pytest

from swatchbath.predict import Prediction


@pytest.fixture
def three():
    lab = np.array([[60.0, 1, 2], [50, 3, 4], [40, 5, 6]])
    cov = np.stack([np.diag([1.0, 4.0, 9.0]) * k for k in (1, 2, 3)])
    flags = np.array([False, True, False])
    return Prediction(lab, 2 * cov, cov, flags, ~flags, [["a"], [], ["b", "c"]], [[], ["n"], []])


def test_rows_are_taken_by_index_slice_list_and_mask(three):
    assert len(three) == 3
    for rows, where in ((1, [1]), (-1, [2]), (slice(0, 2), [0, 1]), ([2, 0], [2, 0]),
                        (np.array([True, False, True]), [0, 2])):  # fmt: skip
        got = three[rows]
        assert isinstance(got, Prediction) and len(got) == len(where)
        assert np.array_equal(got.lab, three.lab[where])
        assert np.array_equal(got.covariance, three.covariance[where])
        assert np.array_equal(got.pot_covariance, three.pot_covariance[where])
        assert np.array_equal(got.unsure, three.unsure[where])
        assert np.array_equal(got.outside, three.outside[where])
        assert got.reasons == [three.reasons[i] for i in where]
        assert got.notes == [three.notes[i] for i in where]
    with pytest.raises(IndexError):
        three[3]
    assert [float(p.lab[0, 0]) for p in three] == [60, 50, 40]


def test_as_an_array_it_is_the_lab_and_a_copy(three):
    array = np.asarray(three)
    assert np.array_equal(array, three.lab)
    array[0, 0] = 0
    assert three.lab[0, 0] == 60
    assert np.array(three, dtype=np.float32).dtype == np.float32
    assert np.array_equal(np.concatenate([three, three[:1]]), np.vstack([three.lab, three.lab[:1]]))


def test_as_a_table_each_bath_is_a_row(three):
    table = three.to_frame()
    assert list(table.columns) == [
        "L", "a", "b", "L_sd", "a_sd", "b_sd", "unsure", "outside", "reasons", "notes",
    ]  # fmt: skip
    assert table["a_sd"].tolist() == pytest.approx([2, np.sqrt(8), np.sqrt(12)])
    assert table["reasons"].tolist() == ["a", "", "b; c"]
    assert len(three[:0].to_frame()) == 0


def test_it_says_what_it_is(three):
    assert repr(three) == "Prediction(3 baths; 2 outside, 1 unsure)"
    assert repr(three[0]) == "Prediction(Lab 60.0, 1.0, 2.0; a)"
