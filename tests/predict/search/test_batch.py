"""A pot day: shared mordanting and dye pots, what goes in by weight, hours, and when it is dry."""

import importlib.util
import re
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from folders import TESTS
from swatchbath.bath.caps import breaks_caps
from swatchbath.colorimetry.difference import delta_e2000
from swatchbath.conditions.table import check_conditions
from swatchbath.errors import BadValue, ValueOutOfRange
from swatchbath.predict import ShadeModel
from swatchbath.predict.pot_day.schedule import pot_day
from swatchbath.predict.pot_day.weighing import weighable_sample, weighed
from swatchbath.predict.regression.kernel import kernel_similarity
from swatchbath.predict.search.batch import Room, mordanting_of, parse_room, pot_of
from swatchbath.predict.search.ranges import without_lone

spec = importlib.util.spec_from_file_location(
    "suggestions", TESTS / "predict" / "search" / "test_suggestion.py"
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


@pytest.mark.parametrize("target", [None, suggestions.GOLD])
def test_limits_that_call_for_a_jar_that_is_not_there_are_refused(model, target):
    with pytest.raises(BadValue, match="0 jars"):
        model.next_samples(2, target=target, limits={"modifier": "iron"}, room=Room(2, 0))


def test_a_second_pot_does_not_test_the_same_as_the_first(model):
    """With no jars each sample costs a pot; none may be nearly another in bath and in colour."""
    for target in (suggestions.GOLD, [60, 5, 40]):
        made = model.next_samples(4, target=target, rounding=ROUND, room=Room(4, 0))
        table = check_conditions(pd.DataFrame([s.conditions for s in made])).table
        f = model.fit_.encoder.encode(table)
        alike = kernel_similarity(model.fit_.regression.hyper, f, f)
        lab = np.array([s.lab for s in made])
        same = (alike > 0.9) & (delta_e2000(lab[:, None], lab[None]) < 2)
        assert len(made) >= 2
        assert not [
            (made[i].gain, made[j].gain) for i, j in zip(*np.nonzero(np.triu(same, 1)), strict=True)
        ]


def test_a_slip_of_the_pen_does_not_widen_where_thin_places_are_looked_for():
    table, lab = suggestions.record()
    table = table.assign(minutes=60.0)
    table.loc[3, "minutes"] = 6.0
    slipped = ShadeModel().fit(table, lab)
    found = slipped.next_samples(4)
    assert [s.conditions["minutes"] for s in found] == [60.0] * 4
    assert slipped.fit_.table["minutes"].min() == 6.0  # the record itself stays
    asked = slipped.next_samples(1, limits={"minutes": 6.0})
    assert asked[0].conditions["minutes"] == 6.0


def test_ends_of_a_range_are_no_slips():
    table, _ = suggestions.record()
    table = table.assign(minutes=np.linspace(20, 90, len(table)))
    assert without_lone(table)["minutes"].equals(table["minutes"])
    table["minutes"] = 60.0
    table.loc[:1, "minutes"] = 6.0  # twice is no slip
    assert without_lone(table)["minutes"].min() == 6.0
    few = table.iloc[:8].assign(minutes=[6.0, *[60.0] * 7])
    assert without_lone(few)["minutes"].min() == 6.0


def test_shared_pots_keep_to_the_caps(samples):
    for sample in samples:
        assert breaks_caps(sample.conditions) == []


def at_weights(samples, limits=None, **how):
    baths = weighed(samples, limits=limits, **how)
    return [replace(s, conditions=bath) for s, bath in zip(samples, baths, strict=True)]


def test_weights_are_percent_of_the_fibre_they_are_for(samples):
    made = at_weights(samples, sample_g=12.0, scale_g=0.1)
    day = pot_day(made, sample_g=12.0, scale_g=0.1)
    assert sum(p.fibre_g for p in day.pots) == pytest.approx(12.0 * len(samples))
    for role, owf in (("dyestuff", "dye_owf"), ("mordant", "mordant_owf")):
        weights = sum(a.grams for p in day.pots for a in (*p.dye, *p.mordant) if a.role == role)
        assert weights == pytest.approx(sum(0.12 * s.conditions[owf] for s in made), rel=0.006)
    iron = sum(a.grams for p in day.pots for jar in p.jars for a in jar)
    given = [s.conditions.get("modifier_owf") or 0.0 for s in made]
    assert iron == pytest.approx(0.12 * sum(given), rel=0.006)


@given(
    sample_g=st.sampled_from([5.0, 7.5, 10.0, 12.0, 25.0]),
    scale_g=st.sampled_from([0.1, 0.2, 0.5, 1.0]),
    count=st.integers(1, 6),
    percent=st.integers(4, 40).map(lambda n: 5.0 * n),
)
def test_what_is_weighed_is_what_is_foreseen(samples, sample_g, scale_g, count, percent):
    """All that is weighed is a whole number of the scale's steps, and the bath is that of it."""
    some = [replace(s, conditions=s.conditions | {"dye_owf": percent}) for s in samples[:count]]
    made = at_weights(some, sample_g=sample_g, scale_g=scale_g)
    assert weighed(made, sample_g=sample_g, scale_g=scale_g) == [s.conditions for s in made]
    for old, new in zip(some, made, strict=True):
        assert new.conditions["dye_owf"] == pytest.approx(old.conditions["dye_owf"], rel=0.105)
        assert breaks_caps(new.conditions) == []
    for pot in pot_day(made, sample_g=sample_g, scale_g=scale_g).pots:
        for amounts, fibre in (
            (pot.mordant, pot.mordant_g),
            (pot.dye, pot.fibre_g),
            *((jar, sample_g) for jar in pot.jars),
        ):
            for amount in amounts:
                assert 100 * amount.grams / fibre == pytest.approx(amount.percent, rel=0.006)
                if "solution" in amount.how:
                    continue
                found = re.search(r"weigh ([\d.]+) g and take one part in (\d+)", amount.how)
                whole = float(found[1]) if found else float(amount.how.removesuffix(" g"))
                assert whole / scale_g == pytest.approx(round(whole / scale_g), abs=1e-6)
                parts = int(found[2]) if found else 1
                assert whole / parts == pytest.approx(amount.grams, rel=1e-3)


def test_an_amount_keeps_to_its_limit(samples):
    one = [replace(samples[0], conditions=samples[0].conditions | {"dye_owf": 55.0})]
    free = at_weights(one)[0].conditions["dye_owf"]
    assert free == 60.0  # 6 g for 10 g
    held = {"dye_owf": (40.0, 55.0)}
    assert at_weights(one, held)[0].conditions["dye_owf"] == 50.0
    exact = at_weights(one, {"dye_owf": 55.0})
    assert exact[0].conditions["dye_owf"] == 55.0
    dye = pot_day(exact, limits={"dye_owf": 55.0}).pots[0].dye[0]
    assert dye.how == "5.5 g (weigh 11 g and take one part in 2)"
    with pytest.raises(ValueOutOfRange, match="cannot be weighed"):
        at_weights(one, {"dye_owf": 55.0}, sample_g=3.0)  # 1.65 g
    assert weighable_sample(one, sample_g=3.0, limits={"dye_owf": 55.0}) == 5.0  # 2.75 g of 11


def test_rounding_iron_up_does_not_break_its_cap(samples):
    bath = samples[0].conditions | {"fibre": "silk", "modifier": "iron", "modifier_owf": 2.0}
    assert breaks_caps(bath) == [] and breaks_caps(bath | {"modifier_owf": 2.1})
    one = [replace(samples[0], conditions=bath)]
    made = at_weights(one, sample_g=1450.0)  # 29 g to the scale of 10 g would be 30 g
    assert made[0].conditions["modifier_owf"] == 2.0
    coarse = weighed(one, sample_g=1450.0, scale_g=10.0)[0]
    assert breaks_caps(coarse) == []


def test_what_cannot_be_weighed_is_refused_with_what_would_do(samples):
    little = [replace(s, conditions=s.conditions | {"dye_owf": 1.0}) for s in samples[:1]]
    with pytest.raises(ValueOutOfRange, match="0.01 g of .* 1 g of fibre cannot be weighed") as no:
        weighable_sample(little, sample_g=1.0, scale_g=1.0)
    with pytest.raises(ValueOutOfRange, match="cannot be weighed"):
        pot_day(little, sample_g=1.0, scale_g=1.0)
    scale, sample = map(
        float, re.findall(r"tells ([\d.]+) g apart or samples of ([\d.]+) g", str(no.value))[0]
    )
    assert scale < 1 and sample > 1
    weighed(little, sample_g=1.0, scale_g=scale)
    weighed(little, sample_g=sample, scale_g=1.0)


def test_a_sample_is_made_somewhat_heavier_for_the_scale(samples):
    little = [replace(s, conditions=s.conditions | {"dye_owf": 1.0}) for s in samples[:1]]
    assert weighable_sample(little, sample_g=4.0) in (5.0, 10.0)
    assert weighable_sample(little, sample_g=20.0) == 20.0


def test_what_the_scale_cannot_show_is_measured_otherwise(samples):
    day = pot_day(at_weights(samples), sample_g=10.0, scale_g=1.0)
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
        parse_room(wrong, 3)


def test_what_cannot_be_a_weight_is_refused(samples):
    with pytest.raises(ValueOutOfRange, match="weight of a sample"):
        pot_day(samples, sample_g=0)
    with pytest.raises(ValueOutOfRange, match="scale"):
        pot_day(samples, scale_g=float("nan"))


def test_gains_are_in_order_of_what_is_open(model):
    samples = model.next_samples(3)
    assert all(0 <= s.gain <= 1 for s in samples)
    assert np.isfinite([s.gain for s in samples]).all()
