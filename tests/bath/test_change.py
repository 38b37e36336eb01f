"""A bath dyed again with one change keeps all that was not changed."""

import pytest

from swatchbath.bath.change import changed
from swatchbath.bath.step import Material, Step
from swatchbath.bath.steps import conditions_of

SCOUR = Step("scour", (Material("other", "soap", 3.0),), temperature_C=60.0, note="twice")
MORDANT = Step(
    "mordant", (Material("mordant", "alum", 12.0), Material("other", "soap")), minutes=60
)
DYE = Step("dye", (Material("dyestuff", "weld", 80.0),), pH=6.0, typed="dye: weld 80 %, pH 6")
VAT = Step("dye", (Material("dyestuff", "indigo"),), vat="fructose", dips=3.0)
IRON = Step("after-bath", (Material("modifier", "iron", 2.0),), minutes=10.0, note="dull")
STEPS = (SCOUR, MORDANT, DYE, VAT, IRON, Step("dry", note="in the shade"))


def test_no_change_changes_nothing():
    assert changed(STEPS, {}, {}) == STEPS
    assert changed(STEPS, {}, {"pH": 6.0}) == STEPS


@pytest.mark.parametrize(
    "change",
    [
        {"pH": 5.0},
        {"dye_owf": 100.0},
        {"mordant": "aluminium acetate"},
        {"modifier_owf": 1.0, "modifier_minutes": 5.0},
        {"vat_dips_2": 5.0},
        {"mordant_C": 50.0},
    ],
)
def test_one_change_is_made_where_it_belongs(change):
    again = changed(STEPS, {}, change)
    assert conditions_of(again, {}) == conditions_of(STEPS, {}) | change
    # Notes, further materials and the other steps stay.
    assert [s.note for s in again] == [s.note for s in STEPS]
    assert sum(a != b for a, b in zip(again, STEPS, strict=True)) == 1
    assert not any(s.typed for s in again if s not in STEPS)


@pytest.mark.parametrize(
    "change", [{"modifier": None, "modifier_owf": None, "modifier_minutes": None}, {"wash_pH": 7.0}]
)
def test_other_treatments_come_and_go(change):
    wanted = {k: v for k, v in (conditions_of(STEPS, {}) | change).items() if v is not None}
    assert conditions_of(changed(STEPS, {}, change), {}) == wanted
