"""Whose errors a photo's are: cameras by name, sittings by time and cast."""

from __future__ import annotations

from datetime import datetime, timedelta
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import swatchbath as sb
from swatchbath.photo.correction.error_model import load_model
from swatchbath.photo.correction.origin import SITTING_SHARE, Sources, sources_of

AT = datetime(2026, 5, 3, 14, 2, 11)


def photo(name: str, camera: str | None = "Ida's phone", taken: datetime | None = AT):
    return SimpleNamespace(id=name * 64, camera=camera, taken=taken)


def of(one, *, cast=(0.0, 0.0), camera_name=None, sitting=None) -> Sources:
    return sources_of(one, "unnamed", np.array(cast), camera_name=camera_name, sitting=sitting)


def shared(a: Sources, b: Sources) -> float:
    """What of the photo's variance two photos have in common."""
    model = load_model("rendered")
    shape = np.ones((1, 3, len(model.photo_sd)))
    one, two = (s.loadings(model, shape, np.zeros((1, 3, 3))) for s in (a, b))
    names = [n for n in one if n in two and n.startswith(("photo:", "sitting:"))]
    common = sum(float(np.sum(one[n] * two[n])) for n in names)
    return common / (3 * float(np.sum(model.photo_sd**2)))


def test_unnamed_photos_share_nothing_until_their_camera_is_named():
    a, b = photo("a", camera=None), photo("b", camera=None)
    assert of(a).camera != of(b).camera
    assert of(a, camera_name="my phone").camera == of(b, camera_name="my phone").camera
    assert of(photo("c"), camera_name="my phone").camera == "Ida's phone"


@given(
    minutes=st.floats(0, 60), start=st.integers(0, 10**6),
    cast=st.tuples(st.floats(-0.6, 0.6), st.floats(-0.6, 0.6)),
)  # fmt: skip
def test_photos_within_the_hour_share_at_least_half_of_the_sittings_part(minutes, start, cast):
    first = AT + timedelta(minutes=start)
    a = of(photo("a", taken=first), cast=cast)
    b = of(photo("b", taken=first + timedelta(minutes=minutes)), cast=cast)
    assert shared(a, b) >= SITTING_SHARE / 2 - 1e-9


@given(hours=st.floats(2, 500), start=st.integers(0, 10**6))
def test_photos_two_hours_apart_share_nothing(hours, start):
    first = AT + timedelta(minutes=start)
    later = first + timedelta(hours=hours, seconds=1)
    assert shared(of(photo("a", taken=first)), of(photo("b", taken=later))) == 0


def test_another_light_another_camera_or_no_time_is_no_sitting():
    a = of(photo("a"))
    assert shared(a, of(photo("b"))) == pytest.approx(SITTING_SHARE)
    assert shared(a, of(photo("b"), cast=(0.3, 0.0))) == 0
    assert shared(a, of(photo("b", camera="another"))) == 0
    assert shared(a, of(photo("b", taken=None))) == 0
    assert shared(of(photo("a", taken=None)), of(photo("b", taken=None))) == 0


def test_a_named_sitting_joins_photos_of_one_camera_whatever_their_times():
    a, b = of(photo("a", taken=None), sitting="noon"), of(photo("b"), sitting="noon")
    assert shared(a, b) == pytest.approx(SITTING_SHARE)
    assert shared(a, of(photo("b"), sitting="evening")) == 0
    with pytest.raises(sb.BadValue, match="sitting"):
        of(photo("a"), sitting=" ")


def test_a_photo_has_as_much_of_its_own_whether_of_a_sitting_or_not():
    a, b = of(photo("a")), of(photo("a", taken=None))
    assert shared(a, a) == pytest.approx(1)
    assert shared(b, b) == pytest.approx(1)


def test_one_sitting_has_four_fifths_of_a_photos_part_in_common_and_two_have_none():
    """By name, so that no clock comes into it; each photo has all of its part, shared or not."""
    here, too, there = (
        of(photo(p), sitting=s) for p, s in (("a", "noon"), ("b", "noon"), ("c", "dusk"))
    )
    assert shared(here, too) == pytest.approx(0.8)
    assert shared(here, there) == 0
    assert shared(here, here) == pytest.approx(1)
