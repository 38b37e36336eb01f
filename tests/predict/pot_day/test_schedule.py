"""Hours of a pot day, and when its samples are dry."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from baths_made import fitted
from swatchbath.predict.pot_day.schedule import pot_day
from swatchbath.predict.search.batch import Room

ROUND = {"pH": 1.0, "dye_owf": 5.0, "mordant_owf": 1.0, "temperature_C": 5.0, "minutes": 5.0,
         "modifier_owf": 0.5, "modifier_pH": 1.0}  # fmt: skip


@pytest.fixture(scope="module")
def model():
    return fitted()


@pytest.fixture(scope="module")
def samples(model):
    return model.next_samples(6, rounding=ROUND, room=Room(2, 4))


def test_the_day_ends_after_its_parts_and_dries_for_about_a_day(samples):
    day = pot_day(samples, pots=2)
    longest = max(s.conditions["minutes"] for s in samples) / 60
    assert longest + 1 <= day.stove_hours < day.work_hours
    assert day.dry_hours == pytest.approx(day.work_hours + 24)
    alone = pot_day(samples, pots=1)
    assert alone.stove_hours >= day.stove_hours


@given(pots=st.integers(1, 5), count=st.integers(1, 8))
def test_more_room_on_the_stove_is_never_slower(samples, pots, count):
    some = samples[:count]
    assert pot_day(some, pots=pots + 1).stove_hours <= pot_day(some, pots=pots).stove_hours
