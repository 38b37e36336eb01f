"""What to dye next: near the shade or where least is known, and no pot for what another tells."""

import json

import numpy as np
import pandas as pd
import pytest

from baths_made import GOLD, fitted, may_be_suggested, record
from few_tried import few_tried
from swatchbath.colorimetry.difference import delta_e2000
from swatchbath.conditions.table import check_conditions
from swatchbath.errors import BadValue
from swatchbath.predict import ShadeModel
from swatchbath.predict.regression.kernel import kernel_similarity
from swatchbath.predict.search.batch import Room
from swatchbath.predict.search.columns import kind_of
from swatchbath.predict.search.experiment import why_dye


@pytest.fixture(scope="module")
def model():
    return fitted()


WHOLE = ("test_next_samples_without_a_target_go_to_the_thin_places",
         "test_pots_dyed_together_do_not_test_one_thing",
         "test_a_second_pot_does_not_test_the_same_as_the_first")  # fmt: skip


@pytest.fixture(autouse=True)
def few(request):
    """What holds of any plan is tried on those from fewer baths."""
    if request.node.originalname in WHOLE:
        yield
        return
    with few_tried():
        yield


def test_next_samples_for_a_target(model):
    plan = model.next_samples(3, target=GOLD)
    assert len(plan) == 3
    assert all(sample.gain >= 0 for sample in plan)
    assert plan[0].conditions == model.next_samples(1, target=GOLD)[0].conditions
    for sample in plan:
        may_be_suggested(sample.conditions, GOLD)
        assert sample.why and sample.cautions[-1].name == "who decides"
    assert json.dumps([s.as_dict() for s in plan]) == json.dumps(
        [s.as_dict() for s in model.next_samples(3, target=GOLD)]
    )


def test_next_samples_without_a_target_go_to_the_thin_places(model):
    plan = model.next_samples(3)
    assert all(s.delta_e2000 is None and s.chance_within is None for s in plan)
    table, _ = record()
    typical = model.predict(table).pot_covariance
    thin = [np.trace(s.pot_covariance) for s in plan]
    assert min(thin) > np.median(np.trace(typical, axis1=1, axis2=2))
    assert len({kind_of(s.conditions) for s in plan}) >= 2


def test_pots_dyed_together_do_not_test_one_thing(model):
    """Each is believed before the next is chosen, so none is nearly another."""
    plan = model.next_samples(4)
    table = check_conditions(pd.DataFrame([s.conditions for s in plan])).table
    f = model.fit_.encoder.encode(table)
    alike = kernel_similarity(model.fit_.regression.hyper, f, f)
    assert alike[np.triu_indices(4, 1)].max() < 0.9


def test_next_samples_keep_to_limits(model):
    for sample in model.next_samples(2, limits={"fibre": "silk", "modifier": "none"}):
        assert sample.conditions["fibre"] == "silk" and sample.conditions["modifier"] == "none"


@pytest.mark.parametrize(
    "limits",
    [{"water": "bleach"}, {"fibre_form": "chromed"}, {"modifier_owf": 0, "modifier": "iron"}],
)
def test_nothing_unsafe_is_sampled_when_asked_for(model, limits):
    with pytest.raises(BadValue):
        model.next_samples(1, limits=limits)


ROUND = {"pH": 1.0, "dye_owf": 5.0, "mordant_owf": 1.0, "temperature_C": 5.0, "minutes": 5.0,
         "modifier_owf": 0.5, "modifier_pH": 1.0}  # fmt: skip


def test_one_pot_holds_more_than_one_sample_when_pots_are_few(model):
    few = model.next_samples(4, target=GOLD, rounding=ROUND, room=Room(1, 3))
    assert len(few) >= 2
    assert {s.pot for s in few} == {1}


def test_no_jars_no_after_baths_beyond_none(model):
    for sample in model.next_samples(3, rounding=ROUND, room=Room(3, 0)):
        assert sample.conditions["modifier"] == "none"


@pytest.mark.parametrize("target", [None, GOLD])
def test_limits_that_call_for_a_jar_that_is_not_there_are_refused(model, target):
    with pytest.raises(BadValue, match="0 jars"):
        model.next_samples(2, target=target, limits={"modifier": "iron"}, room=Room(2, 0))


def test_a_second_pot_does_not_test_the_same_as_the_first(model):
    """With no jars each sample costs a pot; none may be nearly another in bath and in colour."""
    for target in (GOLD, [60, 5, 40]):
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


def test_samples_that_gain_little_still_do_not_test_one_thing(model):
    """Where the shade is all but met, further samples are few rather than alike."""
    table, lab = record()
    made = model.next_samples(8, target=lab[5], limits={"fibre": "wool", "modifier": "none"},
                              rounding=ROUND, room=Room(8, 0))  # fmt: skip
    typed = check_conditions(pd.DataFrame([s.conditions for s in made])).table
    alike = kernel_similarity(model.fit_.regression.hyper, *[model.fit_.encoder.encode(typed)] * 2)
    got = np.array([s.lab for s in made])
    same = (alike > 0.9) & (delta_e2000(got[:, None], got[None]) < 2)
    assert not np.triu(same, 1).any()


@pytest.mark.parametrize(("gain", "told"), [(0.0, False), (0.96, False), (1.04, True)])
def test_a_gain_under_one_is_not_told(model, gain, told):
    table, _ = record()
    said = why_dye(model.fit_, dict(table.iloc[0]), gain, True)
    assert ("It may come 1.0 nearer" in said) == told
    assert ("not expected to come clearly nearer" in said) != told


def test_a_slip_of_the_pen_does_not_widen_where_thin_places_are_looked_for():
    table, lab = record()
    table = table.assign(minutes=60.0)
    table.loc[3, "minutes"] = 6.0
    slipped = ShadeModel().fit(table, lab)
    found = slipped.next_samples(4)
    assert [s.conditions["minutes"] for s in found] == [60.0] * 4
    assert slipped.fit_.table["minutes"].min() == 6.0  # the record itself stays
    asked = slipped.next_samples(1, limits={"minutes": 6.0})
    assert asked[0].conditions["minutes"] == 6.0


def test_gains_are_in_order_of_what_is_open(model):
    samples = model.next_samples(3)
    assert all(0 <= s.gain <= 1 for s in samples)
    assert np.isfinite([s.gain for s in samples]).all()


def test_samples_are_a_list_and_a_table(model):
    found = model.next_samples(2)
    assert isinstance(found, list)
    table = found.to_frame()
    assert table["pot"].tolist() == [s.pot for s in found]
    assert table["gain"].tolist() == [s.gain for s in found]
    assert table["chance_within"].isna().all() and set("Lab") <= set(table)
    assert "pot 1" in repr(found[0]) and "gain" in repr(found[0])
