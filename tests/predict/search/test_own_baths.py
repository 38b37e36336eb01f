"""Her own swatches' baths among the suggestions, and no going back to what missed."""

import numpy as np
import pytest

from baths_made import GOLD, record
from swatchbath.colorimetry import Measurement, delta_e2000
from swatchbath.predict import ShadeModel
from swatchbath.predict.search.own_baths import carried_by, missed_again, own_baths
from swatchbath.predict.search.ranking import encode, inside_first, space_for
from swatchbath.predict.search.request import parse_target


@pytest.fixture(scope="module")
def model():
    table, lab = record()
    table.loc[::4, "pH"] = np.nan  # so that modifier_pH alone tells of those
    return ShadeModel().fit(table, lab, covariances=np.repeat(0.2 * np.eye(3)[None], 60, 0))


def test_a_paler_shade_asks_for_less_of_the_dyestuff_and_a_deeper_for_more(model):
    fit = model.fit_
    pale, deep = (parse_target([light, -5.0, 45.0]) for light in (80.0, 60.0))
    for shade in (pale, deep):
        found = own_baths(fit, space_for(fit, shade.lab, None, None), shade)
        scaled = [o for o in found if o.scaled is not None]
        assert scaled
        for o in scaled:
            row = fit.table.iloc[o.row]
            assert np.isclose(o.bath["dye_owf"] / row["dye_owf"], o.scaled, atol=1e-6)
            read = fit.regression.to_depth(fit.observations.lab[o.row])[0]
            assert (o.scaled > 1) == (fit.regression.to_depth(shade.lab)[0] > read)


def test_they_are_her_baths_but_for_the_dyestuff(model):
    fit = model.fit_
    shade = parse_target(GOLD)
    for o in own_baths(fit, space_for(fit, shade.lab, None, None), shade):
        row = fit.table.iloc[o.row]
        for name, value in o.bath.items():
            if name != "dye_owf" and isinstance(value, str):
                assert value == row[name]
            elif name not in ("dye_owf", "temperature_C"):  # heat is told in steps of its own
                assert abs(value - row[name]) <= 0.05 * max(abs(value), 1)


def test_limits_hold_for_them_too(model):
    fit, shade = model.fit_, parse_target(GOLD)
    space = space_for(fit, shade.lab, {"fibre": "silk", "pH": (5, 7)}, None)
    for o in own_baths(fit, space, shade):
        assert o.bath["fibre"] == "silk" and 5 <= o.bath["pH"] <= 7


def test_a_suggestion_says_whose_bath_it_is(model):
    table, lab = record()
    ideas = [i for s in range(0, 60, 7) for i in model.suggest(lab[s], k=3, tolerance=1.0)]
    own = [i for i in ideas if i.of_row is not None]
    assert own
    for idea in own:
        row = table.iloc[idea.of_row]
        assert idea.conditions["dyestuff"] == row["dyestuff"]
        told = idea.as_dict()
        assert told["of_row"] == idea.of_row and told["scaled"] == idea.scaled
        factor = 1.0 if idea.scaled is None else idea.scaled
        assert np.isclose(idea.conditions["dye_owf"], factor * row["dye_owf"], rtol=0.05)


def test_what_was_not_known_comes_again_with_its_own_swatch_only(model):
    fit, shade = model.fit_, parse_target(GOLD)
    found = own_baths(fit, space_for(fit, shade.lab, None, None), shade)
    carried = carried_by(fit, [*found, None])
    for i, o in enumerate(found):
        assert (carried.left[i] < 1) == bool(fit.factors.spread[o.row].any())
    assert carried.left[-1] == 1 and not carried.shift[-1].any()


def test_no_going_back_to_a_bath_whose_swatch_missed(model):
    fit = model.fit_
    row = int(np.flatnonzero(~fit.factors.spread.any(axis=1))[0])
    bath = {k: v for k, v in fit.table.iloc[row].items() if v is not None and v == v}
    f = encode(fit, [bath, bath | {"dye_owf": bath["dye_owf"] * 1.02},
                     bath | {"dye_owf": bath["dye_owf"] * 2}])  # fmt: skip
    lab = fit.observations.lab[row]
    far = parse_target(lab + [10.0, 0, 0])
    assert missed_again(fit, f, far, 2.0).tolist() == [True, True, False]
    assert not missed_again(fit, f, parse_target(lab), 2.0).any()
    unsure = Measurement(far.lab, 60 * np.eye(3), rung="card", photo="p", shared={})
    assert not missed_again(fit, f, parse_target(unsure), 2.0).any()


def test_a_fit_that_misses_its_own_swatches_says_so_and_they_lead():
    """Photos whose camera is not named: each has a large error of its own."""
    table, lab = record(36)
    rng = np.random.default_rng(1)
    readings = []
    for i in range(36):
        photo = f"photo {i // 8}"
        shift = np.random.default_rng([1, i // 8]).normal(0, 9, 3)
        loads = 9 * np.kron(np.eye(3), [[1.0, *(lab[i, :2] / 40 - 1)]])
        readings.append(
            Measurement(
                lab[i] + 0.3 * shift + rng.normal(0, 0.5, 3), loads @ loads.T + 0.25 * np.eye(3),
                rung="card", photo=photo, shared={f"camera:{photo}": loads},
            )
        )  # fmt: skip
    model = ShadeModel().fit(table, readings)
    assert model.fit_.stands_back
    assert any("very swatches" in note for note in model.notes_)
    first = model.suggest(GOLD)[0]
    assert first.of_row is not None
    near = min(delta_e2000(m.lab, GOLD) for m in readings)
    assert delta_e2000(readings[first.of_row].lab, GOLD) < near + 6
    assert not any("very swatches" in n for n in ShadeModel().fit(*record()).notes_)


def test_what_was_never_tried_does_not_lead():
    table, lab = record()
    weld = table["dyestuff"] == "weld"
    table.loc[weld, "fibre"] = "wool"
    table.loc[~weld, "fibre"] = "cotton"  # so weld on cotton was never tried
    fit = ShadeModel().fit(table, lab).fit_
    wool = {k: v for k, v in table[weld].iloc[0].items() if v == v}
    baths = [wool | {"fibre": "cotton"}, wool, wool | {"dye_owf": 60.0}]
    f = encode(fit, baths)
    led = inside_first(fit, baths, f, np.array([0.1, 0.3, 0.2]))
    assert np.argsort(led).tolist() == [2, 0, 1]
    assert inside_first(fit, baths[:1], f.take(np.array([0])), np.array([0.1])) == [0.1]


def test_more_dyestuff_stops_where_it_is_enough_or_at_her_own_highest(model):
    """Weld stops at 100 % where she never used more; the record's highest is about 150 %."""
    fit = model.fit_
    shade = parse_target([35.0, 20.0, 30.0])  # far deeper than anything
    most = {
        d: fit.table.loc[fit.table["dyestuff"] == d, "dye_owf"].max() for d in ("weld", "madder")
    }
    found = own_baths(fit, space_for(fit, shade.lab, None, None), shade)
    assert any(o.scaled is not None and o.scaled > 1 for o in found)
    for o in found:
        assert o.bath["dye_owf"] <= max(100.0, most[o.bath["dyestuff"]]) * 1.001
