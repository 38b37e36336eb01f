"""Of many readings each keeps its own error, and a few of them know their pairs again."""

import numpy as np
import pytest

from swatchbath.colorimetry import Measurement
from swatchbath.errors import BadValue, ShapeError
from swatchbath.predict.regression import many_observations as many
from swatchbath.predict.regression.many_observations import parse_any_labs
from swatchbath.predict.regression.observations import parse_labs


def measurements(n, seed=0):
    """Readings by one camera in photos of four, as the ladder gives them."""
    rng = np.random.default_rng(seed)
    out = []
    for i in range(n):
        loads = {
            "camera": rng.normal(0, 0.6, (3, 2)),
            f"photo {i // 4}": rng.normal(0, 0.4, (3, 2)),
        }
        cov = 0.2 * np.eye(3) + sum(v @ v.T for v in loads.values())
        lab = [rng.uniform(30, 80), rng.uniform(-10, 40), rng.uniform(0, 60)]
        out.append(Measurement(lab, cov, shared=loads, photo=f"p{i // 4}"))
    return out


def test_a_few_of_many_readings_know_their_pairs_as_a_few_do(monkeypatch):
    items = measurements(24)
    few = parse_labs(items, None, 24)
    monkeypatch.setattr(many, "WHOLE_ROWS", 10)
    lots = parse_any_labs(items, None, 24)
    assert np.allclose(lots.own(), few.own())
    rows = np.arange(3, 11)
    assert np.allclose(lots.take(rows).errors, few.take(rows).errors)
    assert np.allclose(lots.lasting["camera"], few.lasting["camera"])
    assert np.allclose(lots.take(np.arange(20)).own(), few.take(np.arange(20)).own())


def test_many_are_refused_as_a_few_are(monkeypatch):
    monkeypatch.setattr(many, "WHOLE_ROWS", 10)
    with pytest.raises(ShapeError):
        parse_any_labs(np.zeros((20, 3)), np.zeros((19, 3, 3)), 20)
    with pytest.raises(BadValue, match="carry their own doubt"):
        parse_any_labs(measurements(20), np.zeros((20, 3, 3)), 20)
    with pytest.raises(BadValue):
        parse_any_labs(measurements(19), None, 20)


def test_many_are_converted_as_a_few_are(monkeypatch):
    other = [Measurement([50, 20, 0], np.eye(3), light="D50", observer="2")] * 20
    few = parse_labs(other, None, 20)
    monkeypatch.setattr(many, "WHOLE_ROWS", 10)
    lots = parse_any_labs(other, None, 20)
    assert np.allclose(lots.lab, few.lab) and np.allclose(lots.own(), few.own())
