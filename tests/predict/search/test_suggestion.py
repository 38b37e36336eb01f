"""Suggestions: within caps and limits, different, honest, the same each time."""

import json
from dataclasses import replace
from unittest.mock import patch

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from baths_made import GOLD, NEVER_VARIED, WILD, every_column, fitted, may_be_suggested, record
from few_tried import few_tried
from swatchbath.colorimetry import Measurement, delta_e2000
from swatchbath.errors import BadValue, NotFound, ShapeError, ValueOutOfRange
from swatchbath.predict import ShadeModel
from swatchbath.predict.search import suggestion
from swatchbath.predict.search.columns import kind_of
from swatchbath.predict.search.suggested import Suggestions
from swatchbath.predict.search.suggestion import probability_cap, share_of_shade


@pytest.fixture(scope="module")
def model():
    return fitted()


@pytest.fixture(scope="module")
def ideas(model):
    """As a dyer gets them, from the whole search."""
    return model.suggest(GOLD, k=5)


@pytest.fixture(autouse=True)
def few(request):
    """What holds of any suggestion is tried on those from fewer baths; how well they are sought,
    on `ideas` and in tests/predict/test_made_up_house.py."""
    if "ideas" in request.fixturenames:
        yield
        return
    with few_tried():
        yield


def test_they_are_near_different_and_in_order(ideas):
    assert len(ideas) == 5
    expected = [i.expected for i in ideas]
    assert expected[0] <= min(expected) + 0.5
    assert len({kind_of(i.conditions) for i in ideas}) >= 3
    assert ideas[0].delta_e2000 < 3


def test_each_number_agrees_with_the_others(model, ideas):
    for idea in ideas:
        assert abs(delta_e2000(idea.lab, GOLD) - idea.delta_e2000) < 1e-9
        assert np.allclose(model.predict(idea.conditions).lab[0], idea.lab, atol=1e-9)
        low, high = idea.interval
        assert 0 <= low <= idea.delta_e2000 <= high
        assert 0 <= idea.chance_within <= idea.best_chance + 0.05 <= 1
        assert idea.chance_within <= max(
            0.9, probability_cap(model.cross_validation_, idea.tolerance)
        )


def test_precedents_are_real_swatches_on_the_same_fibre(ideas):
    table, lab = record()
    for idea in ideas:
        assert len(idea.precedents) == 3
        for p in idea.precedents:
            assert p.conditions["fibre"] == table["fibre"].iloc[p.row] == idea.conditions["fibre"]
            assert np.allclose(p.lab, lab[p.row])
            assert abs(p.delta_e2000 - delta_e2000(lab[p.row], GOLD)) < 1e-9
            assert p.words and all("instead of" in d for d in p.differs)
        gaps = [p.delta_e2000 for p in idea.precedents]
        assert gaps == sorted(gaps)


def test_cautions_come_with_every_idea(ideas):
    for idea in ideas:
        sentences = [c.name for c in idea.cautions]
        assert sentences[-1] == "who decides"
        assert ("iron and children" in sentences) == ("iron" in idea.conditions["modifier"])


def test_the_answer_is_plain_data_and_the_same_each_time(model, ideas):
    again = model.suggest(GOLD, k=5)
    said = json.dumps([i.as_dict() for i in ideas])
    assert said == json.dumps([i.as_dict() for i in again])
    assert list(ideas[0].as_dict())[0] == "cautions"


@pytest.fixture(scope="module")
def wild():
    """A record in which every third swatch used something that is never suggested, and much
    was too hot, too sour, too long or too strong; iron often of unknown amount."""
    rng = np.random.default_rng(5)
    table, lab = record(90, seed=5)
    table["assist"], table["vessel"] = "none", "steel"
    table["wash_pH"] = rng.choice([3.0, 7.0, 11.0], 90)
    table["modifier_minutes"] = np.where(table["modifier"] == "none", np.nan, 200.0)
    table.loc[::4, "modifier_minutes"] = np.where(table["modifier"][::4] == "none", np.nan, 10.0)
    table["minutes"] = rng.choice([30.0, 60.0, 900.0], 90)
    table["mordant_owf"] = rng.choice([10.0, 20.0, 50.0], 90)
    table["dye_owf"] = table["dye_owf"] * 5
    table["pH"] = rng.uniform(1.5, 12, 90)
    names = list(WILD)
    for i in range(0, 90, 3):
        name = names[int(rng.integers(len(names)))]
        table.loc[i, name] = rng.choice(WILD[name])
        table.loc[i + 1, "modifier_owf"] = np.nan
    return ShadeModel().fit(table, lab)


@pytest.mark.parametrize("which", ["model", "wild"])
@settings(max_examples=7)
@given(
    st.tuples(st.floats(20, 85), st.floats(-20, 40), st.floats(-20, 70)),
    st.one_of(
        st.sampled_from([None, {"fibre": "silk"}, {"pH": (4.0, 14.0)}, {"pH": (0.0, 3.5)},
                         {"temperature_C": (60.0, 100.0)}, {"modifier": "iron"},
                         {"modifier": "ash lye", "fibre": "wool"}, {"modifier_owf": (0.0, 9.0)}]),
        st.sampled_from(sorted(WILD)).flatmap(
            lambda n: st.sampled_from(WILD[n]).map(lambda w: {n: w})
        ),
        st.text(max_size=12).map(lambda w: {"modifier": w or "?"}),
        st.text(max_size=12).map(lambda w: {"dyestuff": w or "?"}),
    ),
    st.sampled_from([None, {"pH": 0.5, "temperature_C": 5.0, "modifier_owf": 0.5}]),
    st.integers(0, 3),
)  # fmt: skip
def test_caps_hold_whatever_is_asked(request, which, target, limits, rounding, seed):
    asked = request.getfixturevalue(which)
    try:
        ideas = asked.suggest(target, limits=limits, rounding=rounding, k=3, seed=seed)
    except BadValue as refused:  # what is never suggested leaves nothing, and is said
        assert limits and str(refused).endswith(".")
        return
    assert ideas
    for idea in ideas:
        may_be_suggested(idea.conditions, target)
        for name, step in (rounding or {}).items():
            if name in idea.conditions:
                assert (
                    abs(idea.conditions[name] / step - round(idea.conditions[name] / step)) < 1e-6
                )


@pytest.mark.parametrize(("name", "word"), [(n, w) for n, words in WILD.items() for w in words])
def test_nothing_unsafe_is_suggested_when_asked_for(model, name, word):
    if (name, word) == ("vessel", "aluminium pot"):
        limits = {name: word, "modifier": "vinegar"}  # harmless with what is neither sour nor lye
    else:
        limits = {name: word}
    with pytest.raises(BadValue):
        model.suggest(GOLD, limits=limits)


def test_an_after_bath_is_as_sour_as_such_a_one_has_been(model):
    """Iron was always read at pH 5.5, in baths from pH 4 to 9.5; lye always at 10."""
    for idea in model.suggest(GOLD, limits={"modifier": "iron"}, k=3):
        assert abs(idea.conditions["modifier_pH"] - 5.5) < 1e-6
    for idea in model.suggest(GOLD, limits={"modifier": "ash lye", "fibre": "cotton"}, k=2):
        assert abs(idea.conditions["modifier_pH"] - 10) < 1e-6


@pytest.mark.parametrize("word", ["tansy", "indigo", "red berries"])
def test_a_dyestuff_never_dyed_is_not_suggested(model, word):
    with pytest.raises(BadValue, match="on none of your swatches"):
        model.suggest(GOLD, limits={"dyestuff": word})


def test_limits_hold(model):
    limits = {
        "fibre": "cotton", "dye_owf": (30, 60), "minutes": 60, "temperature_C": [60.0, 70.0],
        "modifier": ["none", "vinegar"],
    }  # fmt: skip
    for idea in model.suggest(GOLD, limits=limits, k=4):
        c = idea.conditions
        assert c["fibre"] == "cotton" and 30 <= c["dye_owf"] <= 60 and c["minutes"] == 60
        assert c["temperature_C"] in (60, 70) and c["modifier"] in ("none", "vinegar")


def test_a_limit_may_name_what_was_never_dyed_and_it_is_said(model):
    idea = model.suggest(GOLD, limits={"fibre": "linen"}, k=1)[0]
    assert idea.conditions["fibre"] == "linen" and idea.outside
    assert "no linen has been dyed" in idea.reasons


@pytest.mark.parametrize(
    ("limits", "word"),
    [
        ({"fibre": "silk", "modifier": "iron", "modifier_owf": (3, 6)}, "iron over 2 %"),
        ({"fibre": "wool", "temperature_C": (95, 100)}, "Change that limit"),
        ({"mordant": "copper"}, "copper is never suggested"),
        ({"fibre": "silk", "modifier": "ash lye"}, "silk"),
    ],
)
def test_a_limit_cannot_raise_a_cap(model, limits, word):
    with pytest.raises(BadValue, match=word):
        model.suggest(GOLD, limits=limits)


def test_where_no_limit_was_told_none_is_to_be_changed():
    table, lab = record()
    strong = ShadeModel().fit(table.assign(modifier="iron liquor", modifier_owf=np.nan), lab)
    with pytest.raises(BadValue, match="Say with a limit what is to be instead") as error:
        strong.suggest(GOLD)
    assert "Change that limit" not in str(error.value)


@pytest.mark.parametrize(
    ("limits", "error"),
    [
        ({"colour": "red"}, NotFound), ({"lot": "1"}, NotFound), ({"pH": (8, 4)}, BadValue),
        ({"pH": 19}, ValueOutOfRange), ({"pH": "sour"}, BadValue), ({"pH": (1, 2, 3)}, BadValue),
        ({"fibre": "glass"}, BadValue), ({"fibre": []}, BadValue), ({"fibre": 3}, BadValue),
        ({"pH": []}, BadValue), ({"pH": None}, BadValue), ({"fibre": ""}, BadValue),
    ],
)  # fmt: skip
def test_limits_that_cannot_be(model, limits, error):
    with pytest.raises(error):
        model.suggest(GOLD, limits=limits)


def test_an_amount_limit_rules_out_what_has_none_of_it(model):
    for idea in model.suggest(GOLD, limits={"modifier_owf": (1.0, 2.0)}, k=3):
        assert 1 <= idea.conditions["modifier_owf"] <= 2


def test_questions_that_cannot_be(model):
    for target in ([1, 2], "gold", [np.nan, 0, 0], [140, 0, 0], None):
        with pytest.raises((BadValue, ShapeError)):
            model.suggest(target)
    with pytest.raises(ValueOutOfRange):
        model.suggest(GOLD, k=0)
    with pytest.raises(ValueOutOfRange):
        model.suggest(GOLD, tolerance=0)
    with pytest.raises(ValueOutOfRange):
        model.suggest(GOLD, rounding={"pH": 0})
    with pytest.raises(NotFound):
        model.suggest(GOLD, rounding={"fibre": 1})
    by_lamp = model.suggest(Measurement(GOLD, light="A"), k=1)[0]  # converted, with its doubt
    assert by_lamp.chance_within < model.suggest(GOLD, k=1)[0].chance_within


def test_a_doubtful_target_lowers_the_chance(model):
    sure = model.suggest(GOLD, k=1)[0]
    doubtful = model.suggest(Measurement(GOLD, 25 * np.eye(3)), k=1)[0]
    assert doubtful.chance_within < sure.chance_within
    assert doubtful.interval[1] > sure.interval[1]


def test_a_target_read_with_the_swatches_own_camera_is_surer():
    """What camera and swatches share cancels between target and prediction."""
    table, lab = record()
    load = 2.0 * np.eye(3)
    labs = [
        Measurement(x, 0.1 * np.eye(3), rung="card", shared={"camera": load}, photo=str(i))
        for i, x in enumerate(lab)
    ]
    fitted = ShadeModel().fit(table, labs)

    def chance(source):
        target = Measurement(lab[3], 0.1 * np.eye(3), rung="card", shared={source: load})
        return fitted.suggest(target, tolerance=4.0, k=1)[0].chance_within

    assert chance("camera") > chance("another camera") + 0.05


@pytest.mark.parametrize("load", [1.5, 3.0])
def test_the_best_chance_counts_what_cancels(load):
    """A camera's error that target and swatches share costs the best no chance, so that it is never
    below what is said; an error of the target alone does, the more the larger it is."""
    table, lab = record()
    root = load * np.eye(3)

    def asked(shared):
        return Measurement(lab[3], 0.1 * np.eye(3), rung="card", shared=shared)

    labs = [
        Measurement(x, 0.1 * np.eye(3), rung="card", shared={"camera": root}, photo=str(i))
        for i, x in enumerate(lab)
    ]
    fitted = ShadeModel().fit(table, labs)
    exact, mine, another = (
        fitted.suggest(asked(shared), k=3)
        for shared in ({}, {"camera": root}, {"another camera": root})
    )
    for ideas in (exact, mine, another):
        assert all(i.chance_within <= i.best_chance for i in ideas)
    assert another.best_chance < mine.best_chance - (0.1 if load < 2 else 0.3)
    # The swatches' camera is all that this target has; an exact one has no error to cancel it.
    assert mine.best_chance >= exact.best_chance - 0.02


def said_with(model, target, weight, k=3):
    with patch.object(suggestion, "_READING_VARIANCE", weight):
        return model.suggest(target, k=k)


@pytest.mark.parametrize("doubt", [None, 1.0, 25.0])
def test_the_wanted_colour_counts_in_the_chance_and_in_nothing_else(model, doubt):
    """The same baths in the same order, with the same colours and intervals; the chance is no less
    for it, and no more than could be had at best."""
    lab = [60.0, 14.0, 40.0]
    target = lab if doubt is None else Measurement(lab, doubt * np.eye(3))
    for one, other in zip(
        said_with(model, target, np.inf), said_with(model, target, 6.0), strict=True
    ):
        without, told = one.as_dict(), other.as_dict()
        less, more = without.pop("chance_within"), told.pop("chance_within")
        assert without == told
        assert less - 0.005 <= more <= other.best_chance


def test_a_shade_that_nothing_is_near_is_not_talked_into_reach(model):
    """The nearest bath is a blue away; a weak reading of it does not make that a chance."""
    far = [80, -60, 20]
    assert max(s.chance_within for s in said_with(model, far, 6.0)) < 0.02


def test_how_far_the_wanted_colour_counts():
    """More for what the fit knows less of than it should, less for a colour hardly known."""
    bath = np.stack([4 * np.eye(3), 16 * np.eye(3)])
    exact = np.zeros((2, 3, 3))
    assert np.allclose(share_of_shade(bath, 1.0, exact), 1 / 7)  # whatever the bath's own doubt
    assert (share_of_shade(bath, 3.0, exact) > 2 / 7).all()
    wish = share_of_shade(bath, 1.0, exact + 25 * np.eye(3))
    assert (wish < 1 / 7).all() and wish[0] < wish[1]
    assert share_of_shade(0 * bath, 1.0, exact).tolist() == [0, 0]


def test_a_target_read_in_the_photo_of_the_swatches_is_surer():
    """So does what one photo shares, as far as the colour is foretold from its swatches."""
    table, lab = record()
    near = np.argsort(delta_e2000(lab, lab[3]))[:12]
    load = 2.0 * np.eye(3)
    labs = [
        Measurement(
            x, 4.1 * np.eye(3), rung="card",
            shared={"light:one" if i in near else f"light:{i}": load},
            photo="one" if i in near else str(i),
        )
        for i, x in enumerate(lab)
    ]  # fmt: skip
    fitted = ShadeModel().fit(table, labs)
    assert not fitted.fit_.regression.lasting

    def chance(source):
        target = Measurement(lab[3], 4.1 * np.eye(3), rung="card", shared={source: load})
        return fitted.suggest(target, tolerance=4.0, k=1)[0].chance_within

    assert chance("light:one") > chance("light:another") + 0.02


def test_madder_goes_above_70_only_for_browns(model):
    red, brown = [45, 32, 22], [42, 10, 22]
    only = {"dyestuff": "madder", "fibre": "wool"}
    assert all(i.conditions["temperature_C"] <= 70 for i in model.suggest(red, limits=only))
    hot = model.suggest(brown, limits=only | {"temperature_C": (75, 90)}, k=1)
    assert hot[0].conditions["temperature_C"] >= 75
    with pytest.raises(BadValue, match="madder"):
        model.suggest(red, limits=only | {"temperature_C": (75, 90)})


def test_a_swatch_read_twice_is_one_precedent():
    table, lab = record()
    table = table.assign(swatch=[f"s{i // 2}" for i in range(len(table))])
    ideas = ShadeModel().fit(table, lab).suggest(lab[0], k=1)
    named = [p.conditions["swatch"] for p in ideas[0].precedents]
    assert len(named) == len(set(named)) == 3


@pytest.mark.parametrize("columns", ["all", *NEVER_VARIED])
def test_a_number_that_is_never_varied_stays_as_it_was_recorded(columns):
    """A mordant's heat, a stock's age: kept with the bath, and nothing that a search may move."""
    table, lab = every_column()
    if columns != "all":
        table = record(40, 3)[0].assign(**{columns: table[columns]})
    asked = ShadeModel().fit(table, lab)
    ideas = asked.suggest(GOLD, k=3)
    samples = [*asked.next_samples(2, target=GOLD), *asked.next_samples(2)]
    assert len(ideas) == 3 and len(samples) == 4
    for bath in (s.conditions for s in (*ideas, *samples)):
        for name in NEVER_VARIED:
            assert name not in bath or bath[name] in table[name].tolist()
    pots = asked.next_samples(3, target=GOLD)
    shared = {}
    for s in pots:
        heat = s.conditions.get("mordant_C"), s.conditions.get("mordant_minutes")
        assert shared.setdefault(s.mordanting, heat) == heat


def test_reach_says_what_the_intervals_and_the_nearest_say(model):
    far = model.suggest([80, -60, 20], k=2)
    assert far.reach == "out of reach" and far.nearest in far
    near = model.suggest(GOLD, k=4)
    assert near.reach == "in reach"
    assert near.nearest.delta_e2000 == min(s.delta_e2000 for s in near)
    assert near.best_chance == max(s.best_chance for s in near)

    def one(low, off):
        return replace(near[0], interval=(low, low + 9), delta_e2000=off, tolerance=2.0)

    assert Suggestions([one(3.0, 5.0), one(2.1, 6.0)]).reach == "out of reach"
    assert Suggestions([one(3.0, 5.0), one(2.0, 6.0)]).reach == "probably not"
    assert Suggestions([one(3.0, 5.0), one(1.0, 2.0)]).reach == "in reach"


def test_suggestions_are_a_list_and_a_table(model):
    found = model.suggest(GOLD, k=3)
    assert isinstance(found, list) and len(found[:2]) == 2
    table = found.to_frame()
    assert len(table) == 3 and {"fibre", "dyestuff", "L", "a", "b", "low", "high"} <= set(table)
    assert table["chance_within"].tolist() == [s.chance_within for s in found]
    assert table["dye_owf"].tolist() == [s.conditions["dye_owf"] for s in found]
    assert "fibre=" in repr(found[0]) and "within 2" in repr(found[0])
