"""Covariances of colours."""

import numpy as np
import pytest

from swatchbath.colorimetry import nearest_covariance
from swatchbath.errors import BadValue, ShapeError


def test_what_is_no_covariance_is_refused():
    with pytest.raises(ShapeError, match="shape"):
        nearest_covariance(np.eye(2))
    with pytest.raises(BadValue, match="symmetric"):
        nearest_covariance([[1, 1, 0], [0, 1, 0], [0, 0, 1]])
    with pytest.raises(BadValue, match="negative"):
        nearest_covariance(-np.eye(3))
    with pytest.raises(BadValue, match="not a number"):
        nearest_covariance(np.full((3, 3), np.nan))
