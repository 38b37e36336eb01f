"""What goes in by weight, as a scale can show it."""

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from baths_made import fitted
from swatchbath.bath.caps import breaks_caps
from swatchbath.bath.measuring import PARTS
from swatchbath.errors import ValueOutOfRange
from swatchbath.predict.pot_day.schedule import pot_day
from swatchbath.predict.pot_day.weighing import weighable_sample, weighed
from swatchbath.predict.search.batch import Room

ROUND = {"pH": 1.0, "dye_owf": 5.0, "mordant_owf": 1.0, "temperature_C": 5.0, "minutes": 5.0,
         "modifier_owf": 0.5, "modifier_pH": 1.0}  # fmt: skip


@pytest.fixture(scope="module")
def model():
    return fitted()


@pytest.fixture(scope="module")
def samples(model):
    return model.next_samples(6, rounding=ROUND, room=Room(2, 4))


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
    percent=st.integers(150, 2000).map(lambda n: n / 10),
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
                if "stock" in amount.how:
                    continue
                found = re.search(r"weigh ([\d.]+) g and take ([a-z ]+) of it", amount.how)
                whole = float(found[1]) if found else float(amount.how.removesuffix(" g"))
                assert whole / scale_g == pytest.approx(round(whole / scale_g), abs=1e-6)
                parts = {said: n for n, said in PARTS.items()}[found[2]] if found else 1
                assert whole / parts == pytest.approx(amount.grams, rel=1e-3)


@pytest.mark.parametrize(("percent", "sample_g"), [(35.0, 5.0), (23.0, 5.0), (33.4, 10.0)])
def test_what_was_made_weighable_is_weighed_so(samples, percent, sample_g):
    """A third of a whole gram stays that, and does not become half of another when it is told."""
    one = [replace(samples[0], conditions=samples[0].conditions | {"dye_owf": percent})]
    made = at_weights(one, sample_g=sample_g)
    dye = pot_day(made, sample_g=sample_g).pots[0].dye[0]
    told = made[0].conditions["dye_owf"]
    assert dye.percent == told and dye.grams == pytest.approx(told / 100 * sample_g, rel=0.006)


def test_an_amount_keeps_to_its_limit(samples):
    one = [replace(samples[0], conditions=samples[0].conditions | {"dye_owf": 55.0})]
    free = at_weights(one)[0].conditions["dye_owf"]
    assert free == 60.0  # 6 g for 10 g
    held = {"dye_owf": (40.0, 55.0)}
    assert at_weights(one, held)[0].conditions["dye_owf"] == 50.0
    exact = at_weights(one, {"dye_owf": 55.0})
    assert exact[0].conditions["dye_owf"] == 55.0
    dye = pot_day(exact, limits={"dye_owf": 55.0}).pots[0].dye[0]
    assert dye.how == "5.5 g (weigh 11 g and take half of it)"
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
                assert amount.how.startswith(f"{amount.grams * 100:.3g} ml of 1 % stock")


def test_what_cannot_be_a_weight_is_refused(samples):
    with pytest.raises(ValueOutOfRange, match="weight of a sample"):
        pot_day(samples, sample_g=0)
    with pytest.raises(ValueOutOfRange, match="scale"):
        pot_day(samples, scale_g=float("nan"))
