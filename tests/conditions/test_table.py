"""The condition columns and the check of a table."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swatchbath.conditions.columns import COLUMNS, REQUIRED, column
from swatchbath.conditions.table import check_conditions
from swatchbath.conditions.vocabulary import FIBRES, meaning
from swatchbath.errors import BadTable

BATH = {"fibre": "wool", "dyestuff": "madder"}

CONTRACT = (
    "fibre fibre_form base_L base_a base_b fibre_g dyestuff dyestuff_form dyestuff_lot dye_owf "
    "dyestuff_2 dyestuff_form_2 dye_owf_2 dye_2_how tannin tannin_owf mordant mordant_owf assist "
    "assist_owf pH temperature_C minutes liquor_ratio bath_number modifier modifier_owf "
    "modifier_pH modifier_minutes modifier_2 wash_pH water vessel lot session photo"
).split()


def table(**cells):
    return pd.DataFrame([BATH | cells])


@pytest.mark.parametrize("name", CONTRACT)
def test_every_column_of_the_contract_is_defined_and_helps(name):
    about = column(name)
    assert about is not None and about.name == name
    assert about.help.endswith((".", "...")) and about.allowed


def test_ranges_nest():
    for about in COLUMNS:
        if about.kind != "number":
            continue
        assert about.recorded[0] <= about.usual[0] < about.usual[1] <= about.recorded[1]
        if about.scale:
            assert about.recorded[0] <= about.scale.lo < about.scale.hi <= about.recorded[1]


@given(st.sampled_from([c for c in COLUMNS if c.scale]), st.floats(0, 1))
def test_scales_go_there_and_back(about, unit):
    assert abs(about.scale.to_unit(about.scale.from_unit(unit)) - unit) < 1e-9
    assert about.scale.lo - 1e-9 <= about.scale.from_unit(unit) <= about.scale.hi + 1e-9


def test_the_sentence_names_row_column_value_and_remedy():
    with pytest.raises(BadTable) as caught:
        check_conditions(pd.DataFrame([BATH | {"pH": "7"}] * 12 + [BATH | {"pH": "19"}]))
    assert str(caught.value) == (
        "Row 14, column pH: 19 is outside 0 to 14. Type the pH that was read, or leave the cell "
        "empty."
    )
    assert (caught.value.row, caught.value.column) == (14, "pH")


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("pH", 14.01), ("pH", "-1"), ("temperature_C", 101), ("dye_owf", 1001), ("dye_owf", 0),
        ("minutes", 0), ("minutes", 130_000), ("liquor_ratio", 0), ("bath_number", 1.5),
        ("pH", "sour"), ("pH", True), ("pH", np.inf), ("pH", "none"), ("minutes", "none"),
        ("dye_owf", "1,000"), ("pH", [7]), ("fibre", "glass"), ("fibre", ""), ("dyestuff", None),
        ("fibre", "unknown"), ("pH", "5 %"), ("fibre_g", 0), ("fibre_g", -3),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused(name, value):
    cells = pd.DataFrame([BATH | {name: None}], dtype=object)
    cells.at[0, name] = value
    with pytest.raises(BadTable) as caught:
        check_conditions(cells, first_row=7)
    assert caught.value.row == 7 and caught.value.column == name
    assert str(caught.value).startswith(f"Row 7, column {name}:")


@pytest.mark.parametrize(
    ("name", "text", "value"),
    [
        ("pH", "7,5", 7.5), ("pH", " 7.5 ", 7.5), ("dye_owf", "50 %", 50), ("dye_owf", "0,125",
        0.125), ("temperature_C", "60 °C", 60), ("temperature_C", "60 C", 60), ("mordant_owf",
        "none", 0), ("modifier_owf", "None", 0), ("minutes", "1e2", 100), ("minutes", "90 min", 90),
    ],
)  # fmt: skip
def test_what_people_type_is_read(name, text, value):
    assert check_conditions(table(**{name: text})).table[name].iloc[0] == value


@pytest.mark.parametrize("empty", ["", "  ", "NaN", None, np.nan, pd.NA])
def test_empty_is_unknown(empty):
    got = check_conditions(pd.DataFrame([BATH | {"pH": empty, "mordant": empty}], dtype=object))
    assert np.isnan(got.table["pH"].iloc[0]) and got.table["mordant"].iloc[0] is None


def test_unknown_columns_are_kept_and_said():
    got = check_conditions(table(ph="7", mood="good"))
    assert got.unknown_columns == ("ph", "mood") and got.table["mood"].iloc[0] == "good"
    assert "Did you mean pH?" in got.sentences[0]


def test_the_unusual_is_asked_about_and_kept():
    got = check_conditions(table(temperature_C=5, mordant="allum", modifier="none", modifier_owf=2))
    assert got.table["temperature_C"].iloc[0] == 5
    said = " ".join(got.unusual)
    assert "5 °C is unusual" in said and "Did you mean alum?" in said
    assert "modifier is none, yet modifier_owf is 2" in said


def test_missing_and_double_columns():
    for name in REQUIRED:
        with pytest.raises(BadTable, match=f"no column {name}"):
            check_conditions(table().drop(columns=name))
    with pytest.raises(BadTable, match="twice"):
        check_conditions(pd.DataFrame([["wool", "wool"]], columns=["fibre", "fibre"]))


def test_codes_stay_text():
    got = check_conditions(table(lot="012", swatch="12a", photo=7.0)).table
    assert got["lot"].iloc[0] == "012" and got["photo"].iloc[0] == "7"


@given(st.sampled_from(FIBRES), st.booleans())
def test_checking_twice_changes_nothing(fibre, upper):
    first = check_conditions(table(fibre=fibre.upper() if upper else fibre, pH="6,5"))
    again = check_conditions(first.table)
    pd.testing.assert_frame_equal(first.table, again.table)
    assert meaning("fibre", first.table["fibre"].iloc[0]) == fibre


@given(st.text(max_size=12))
def test_any_text_is_read_or_refused_with_a_sentence(text):
    for name in ("pH", "dye_owf", "mordant", "fibre"):
        try:
            check_conditions(table(**{name: text}))
        except BadTable as error:
            assert str(error).startswith(f"Row 2, column {name}:") and str(error)[-1] in ".?"


def test_a_number_far_from_its_own_column_is_asked_about():
    table = pd.DataFrame({"fibre": "wool", "dyestuff": "weld", "minutes": [60.0] * 11 + [6.0]})
    asked = check_conditions(table).unusual
    assert len(asked) == 1 and "Row 13, column minutes: 6 " in asked[0] and "about 60" in asked[0]
    table["minutes"] = [30.0, 45, 60, 90, 120, 60, 60, 45, 30, 60, 90, 60]
    assert check_conditions(table).unusual == ()
    assert check_conditions(table.iloc[:3].assign(minutes=[60.0, 60, 6])).unusual == ()
