"""Numbers with the trade's units."""

import math

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swatchbath.conditions.table import check_conditions, in_a_vat
from swatchbath.conditions.units import TwoWays, parse_with_unit
from swatchbath.errors import BadTable


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("190 F", "°C", 87.8),
        ("212 °F", "°C", 100.0),
        ("88,5 C", "°C", 88.5),
        ("3.5 oz", "g", 99.2233),
        ("1 lb", "g", 453.592),
        ("0,1 kg", "g", 100.0),
        ("48 h", "min", 2880.0),
        ("1 h 30 min", "min", 90.0),
        ("1h30", "min", 90.0),
        ("2 days", "min", 2880.0),
        ("1:30", "L per kg", 30.0),
        ("30:1", "L per kg", 30.0),
        ("1 gal/lb", "L per kg", 8.3454),
        ("3 L", "L per kg", 60.0),
        ("40 g", "% owf", 80.0),
        ("20 % WOF", "% owf", 20.0),
        ("20% owf", "% owf", 20.0),
        ("2 weeks", "d", 14.0),
    ],
)
def test_a_number_is_stored_in_its_columns_unit(text, unit, value):
    read = parse_with_unit(text, unit, fibre_g=50)
    assert read.value == pytest.approx(value, rel=1e-5)
    assert read.typed == text


@pytest.mark.parametrize(
    ("text", "unit"),
    [("190 K", "°C"), ("5 g", "°C"), ("hot", "°C"), ("2:3", "L per kg"), ("5 F", "")],
)
def test_another_unit_is_no_number(text, unit):
    assert parse_with_unit(text, unit) is None


def test_a_number_that_reads_in_two_ways_is_not_guessed():
    with pytest.raises(TwoWays, match="1500 or 1.500"):
        parse_with_unit("1,500 min", "min")


@given(st.floats(0, 1e5).map(lambda v: float(f"{v:.4g}")))
def test_a_decimal_comma_is_a_decimal_point(value):
    text = f"{value:.6f}"
    comma = text.replace(".", ",")
    if len(text.split(".")[1]) != 3:
        assert parse_with_unit(comma, "").value == parse_with_unit(text, "").value


def test_as_typed_is_kept_beside_what_is_stored():
    table = pd.DataFrame(
        [
            {
                "fibre": "wool",
                "dyestuff": "weld",
                "fibre_g": "2 oz",
                "dye_owf": "40 g",
                "pH": "5,5",
            },
            {"fibre": "wool", "dyestuff": "weld", "fibre_g": "", "dye_owf": "40 g", "pH": "5.5"},
        ]
    )
    checked = check_conditions(table)
    assert checked.typed == (
        {"fibre_g": "2 oz", "dye_owf": "40 g", "pH": "5,5"},
        {"dye_owf": "40 g"},
    )
    assert checked.table["dye_owf"][0] == pytest.approx(70.5479, rel=1e-5)
    # Grams of an unknown weight of fibre are kept, and said; nothing is guessed.
    assert math.isnan(checked.table["dye_owf"][1])
    assert any("40 g is kept as typed" in s for s in checked.unusual)


def test_only_the_impossible_is_refused():
    with pytest.raises(BadTable, match="outside 0 to 100"):
        check_conditions(
            pd.DataFrame([{"fibre": "wool", "dyestuff": "x", "temperature_C": "250 F"}])
        )


def test_refusals_can_be_collected_row_by_row():
    refused = {}
    table = pd.DataFrame(
        [{"fibre": "wool", "dyestuff": "weld", "pH": pH} for pH in ("6", "19", "acid", "7")]
    )
    checked = check_conditions(table, refused=refused)
    assert sorted(refused) == [3, 4]
    assert checked.table["pH"][3] == 7.0


def test_rows_that_were_dipped_in_a_vat_are_known():
    rows = [
        {"vat": "fructose"},
        {"vat_dips_2": 3.0},
        {"vat": "none"},
        {"dye_owf": 10.0},
        {"vat_C": 50.0},
    ]
    table = pd.DataFrame([{"fibre": "wool", "dyestuff": "indigo"} | row for row in rows])
    checked = check_conditions(table)
    assert in_a_vat(checked.table).tolist() == [True, True, False, False, False]
