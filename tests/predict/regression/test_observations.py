"""The swatches' colours, what their errors share, and which rows hang together."""

import numpy as np
import pandas as pd
import pytest

from swatchbath.colorimetry import Measurement, cross_covariance
from swatchbath.conditions.table import check_conditions
from swatchbath.errors import BadValue, ShapeError
from swatchbath.predict.regression.depth import lab_to_depth
from swatchbath.predict.regression.observations import parse_labs

TABLE = check_conditions(
    pd.DataFrame(
        {
            "fibre": ["wool"] * 6,
            "dyestuff": ["weld"] * 6,
            "modifier": ["none", "none", "iron", "none", "none", "none"],
            "lot": ["1", "1", "1", None, None, None],
            "swatch": ["a", "b", "c", "d", "d", None],
            "mood": list("uvwxyz"),
        }
    )
).table


def labs():
    rng = np.random.default_rng(0)
    loads = rng.normal(0, 1, (5, 3, 2))
    return [
        Measurement(
            [50, i, 20],
            np.eye(3) * 0.1,
            rung="card",
            shared={"camera": loads[i], f"photo {i // 2}": loads[-i]},
            photo=f"photo {i // 2}",
        )
        for i in range(5)
    ]


def test_errors_are_those_of_each_pair_of_measurements():
    """What differs by photo and what lasts make up what the measurements say they share."""
    items = labs()
    readings = parse_labs(items, None, 5)
    assert set(readings.lasting) == {"camera"}
    camera = readings.lasting["camera"]
    for i, a in enumerate(items):
        for j, b in enumerate(items):
            whole = readings.errors[i, j] + camera[i] @ camera[j].T
            assert np.allclose(whole, cross_covariance(a, b))


def test_in_depth_is_a_covariance():
    readings = parse_labs(labs(), None, 5)
    noise = readings.in_depth(np.array([0.5, 1.0, 2.0]))
    assert noise.shape == (15, 15) and np.allclose(noise, noise.T)
    assert np.linalg.eigvalsh(noise).min() > -1e-9


def test_what_lasts_in_depth_moves_depths_as_it_moves_colours():
    readings, sd = parse_labs(labs(), None, 5), np.array([0.5, 1.0, 2.0])
    (told,) = readings.lasting_in_depth(sd).values()
    step = 1e-3 * readings.lasting["camera"][:, :, 1]
    moved = lab_to_depth(readings.lab + step) - lab_to_depth(readings.lab - step)
    assert np.allclose(told[:, :, 1], moved / 2e-3 / sd, rtol=1e-3, atol=1e-6)


def test_arrays_know_nothing_about_errors_unless_told():
    lab = np.full((4, 3), 20.0)
    assert parse_labs(lab, None, 4).errors is None
    told = parse_labs(lab, np.repeat(2 * np.eye(3)[None], 4, axis=0), 4)
    assert np.allclose(told.own(), 2 * np.eye(3)) and not told.errors[0, 1].any()


def test_what_cannot_be():
    with pytest.raises(ShapeError):
        parse_labs(labs(), None, 4)
    with pytest.raises(BadValue, match="carry their own doubt"):
        parse_labs(labs(), np.zeros((5, 3, 3)), 5)
    with pytest.raises(BadValue):
        parse_labs([*labs()[:4], [50, 0, 0]], None, 5)
