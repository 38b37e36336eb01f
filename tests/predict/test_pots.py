"""A pot day: shared mordanting and dye pots, what goes in by weight, hours, and when it is dry."""

import importlib.util
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swatchbath.bath.caps import breaks_caps
from swatchbath.errors import ValueOutOfRange
from swatchbath.predict.pot_day import pot_day
from swatchbath.predict.pots import Room, mordanting_of, pot_of, read_room

spec = importlib.util.spec_from_file_location(
    "suggestions", Path(__file__).with_name("test_suggest.py")
)
suggestions = importlib.util.module_from_spec(spec)
spec.loader.exec_module(suggestions)
model = suggestions.model  # the same invented record
ROUND = {"pH": 1.0, "dye_owf": 5.0, "mordant_owf": 1.0, "temperature_C": 5.0, "minutes": 5.0,
         "modifier_owf": 0.5, "modifier_pH": 1.0}  # fmt: skip


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


def test_one_pot_holds_more_than_one_sample_when_pots_are_few(model):
    few = model.next_samples(4, target=suggestions.GOLD, rounding=ROUND, room=Room(1, 3))
    assert len(few) >= 2
    assert {s.pot for s in few} == {1}


def test_no_jars_no_after_baths_beyond_none(model):
    for sample in model.next_samples(3, rounding=ROUND, room=Room(3, 0)):
        assert sample.conditions["modifier"] == "none"


def test_shared_pots_keep_to_the_caps(samples):
    for sample in samples:
        assert breaks_caps(sample.conditions) == []


def test_weights_are_percent_of_the_fibre_they_are_for(samples):
    day = pot_day(samples, sample_g=12.0, scale_g=0.1)
    assert sum(p.fibre_g for p in day.pots) == pytest.approx(12.0 * len(samples))
    dyed = sum(a.grams for p in day.pots for a in p.dye if a.role == "dyestuff")
    assert dyed == pytest.approx(sum(0.12 * s.conditions["dye_owf"] for s in samples))
    mordanted = sum(a.grams for p in day.pots for a in p.mordant if a.role == "mordant")
    assert mordanted == pytest.approx(sum(0.12 * s.conditions["mordant_owf"] for s in samples))
    iron = sum(a.grams for p in day.pots for jar in p.jars for a in jar)
    given = [s.conditions.get("modifier_owf") or 0.0 for s in samples]
    assert iron == pytest.approx(0.12 * sum(given))


def test_what_the_scale_cannot_show_is_measured_otherwise(samples):
    day = pot_day(samples, sample_g=10.0, scale_g=1.0)
    for pot in day.pots:
        for jar in pot.jars:
            for amount in jar:
                assert amount.grams < 0.95  # iron on 10 g
                assert amount.how.startswith(f"{amount.grams * 100:.3g} ml of a solution")


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


@pytest.mark.parametrize("wrong", [0, -1, 1.5, True, "2"])
def test_what_cannot_be_a_number_of_pots_is_refused(wrong):
    with pytest.raises(ValueOutOfRange, match="dye pots"):
        read_room(wrong, 3)


def test_what_cannot_be_a_weight_is_refused(samples):
    with pytest.raises(ValueOutOfRange, match="weight of a sample"):
        pot_day(samples, sample_g=0)
    with pytest.raises(ValueOutOfRange, match="scale"):
        pot_day(samples, scale_g=float("nan"))


def test_gains_are_in_order_of_what_is_open(model):
    samples = model.next_samples(3)
    assert all(0 <= s.gain <= 1 for s in samples)
    assert np.isfinite([s.gain for s in samples]).all()
