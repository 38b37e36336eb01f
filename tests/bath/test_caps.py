"""What may be suggested, and what calls for care, on both sides of each limit."""

import pytest

from swatchbath.bath.caps import breaks_caps
from swatchbath.bath.cautions import cautions_for

COTTON = {"fibre": "cotton", "dyestuff": "weld", "dye_owf": 50.0, "minutes": 60.0,
          "temperature_C": 60.0}  # fmt: skip


def test_a_bath_of_unknown_heat_is_taken_for_a_hot_one():
    wool = COTTON | {"fibre": "wool", "pH": 8.5}
    unknown = {n: v for n, v in wool.items() if n != "temperature_C"}
    assert not breaks_caps(wool | {"temperature_C": 30.0})
    assert any("pH 8" in why for why in breaks_caps(wool))
    assert breaks_caps(unknown) == breaks_caps(wool)
    long = {n: v for n, v in COTTON.items() if n != "temperature_C"} | {"minutes": 600.0}
    assert any("240 minutes" in why for why in breaks_caps(long))
    assert not breaks_caps(long | {"temperature_C": 20.0})


@pytest.mark.parametrize("column", ["pH", "wash_pH"])
def test_alkali_in_an_aluminium_pot_is_told_by_the_pH_alone(column):
    pot = COTTON | {"vessel": "aluminium pot"}
    assert not breaks_caps(pot | {column: 7.9})
    assert any("aluminium" in why for why in breaks_caps(pot | {column: 8.1}))
    assert not breaks_caps(pot | {column: 8.1, "vessel": "stainless steel"})


def names(bath):
    return {c.name for c in cautions_for(bath)}


@pytest.mark.parametrize("column", ["pH", "wash_pH", "modifier_pH"])
def test_an_alkaline_bath_calls_for_care_from_pH_eight_on(column):
    bath = COTTON | ({"modifier": "my mix"} if column == "modifier_pH" else {})
    plain = names(bath)
    assert names(bath | {column: 7.9}) == plain
    assert names(bath | {column: 8.1}) > plain
    wool = bath | {"fibre": "wool"}
    assert len(names(wool | {column: 8.1}) - names(wool)) > len(names(bath | {column: 8.1}) - plain)


def test_heat_calls_for_care_where_it_is_high_or_not_known():
    unknown = {n: v for n, v in COTTON.items() if n != "temperature_C"}
    assert names(unknown) == names(COTTON) > names(COTTON | {"temperature_C": 20.0})
