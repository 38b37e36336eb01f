"""What is asked about once."""

import pandas as pd
import pytest

from swatchbath.conditions.table import check_conditions


@pytest.mark.parametrize(
    ("mordant", "amount", "asked"),
    [("alum", 50, True), ("alum", 30, False), ("symplocos", 50, False),
     ("rhubarb leaves", 100, False), ("rhubarb leaves", 301, True)],
)  # fmt: skip
def test_a_plant_that_mordants_is_weighed_by_other_measures_than_a_salt(mordant, amount, asked):
    row = {"fibre": "wool", "dyestuff": "weld", "mordant": mordant, "mordant_owf": amount}
    unusual = check_conditions(pd.DataFrame([row])).unusual
    assert any("unusual" in sentence for sentence in unusual) == asked


@pytest.mark.parametrize(
    ("column", "value", "asked"),
    [("minutes", 3 * 1440, False), ("minutes", 8 * 1440, True), ("temperature_C", 98, False),
     ("temperature_C", 9, True), ("modifier_minutes", 2, False), ("minutes", 2, True)],
)  # fmt: skip
def test_what_is_not_usual_is_asked_about(column, value, asked):
    row = {"fibre": "wool", "dyestuff": "weld", "modifier": "iron", column: value}
    assert bool(check_conditions(pd.DataFrame([row])).unusual) == asked
