"""Samples share mordanting and dye pots as far as there is room."""

import pytest

from baths_made import fitted
from swatchbath.bath.caps import breaks_caps
from swatchbath.errors import ValueOutOfRange
from swatchbath.predict.search.batch import Room, mordanting_of, parse_room, pot_of

ROUND = {"pH": 1.0, "dye_owf": 5.0, "mordant_owf": 1.0, "temperature_C": 5.0, "minutes": 5.0,
         "modifier_owf": 0.5, "modifier_pH": 1.0}  # fmt: skip


@pytest.fixture(scope="module")
def model():
    return fitted()


@pytest.fixture(scope="module")
def samples(model):
    return model.next_samples(6, rounding=ROUND, room=Room(2, 4))


def test_samples_keep_to_the_room_and_share_what_they_can(samples):
    assert len({s.pot for s in samples}) <= 2
    with_jar = [s for s in samples if s.conditions["modifier"] != "none"]
    assert len(with_jar) <= 4
    for one in samples:
        for other in samples:
            same = pot_of(one.conditions) == pot_of(other.conditions)
            assert (one.pot == other.pot) == same
            alike = mordanting_of(one.conditions) == mordanting_of(other.conditions)
            assert (one.mordanting == other.mordanting) == alike
            if one is not other and same:
                assert one.conditions["modifier"] != other.conditions["modifier"] or (
                    one.conditions["modifier_owf"] != other.conditions["modifier_owf"]
                )


def test_shared_pots_keep_to_the_caps(samples):
    for sample in samples:
        assert breaks_caps(sample.conditions) == []


@pytest.mark.parametrize("wrong", [0, -1, 1.5, True, "2"])
def test_what_cannot_be_a_number_of_pots_is_refused(wrong):
    with pytest.raises(ValueOutOfRange, match="dye pots"):
        parse_room(wrong, 3)
