"""What a person types, made into values."""

import pytest

from swatchbath.desk.text.parse import parse_bath, parse_lab, parse_limits, parse_target
from swatchbath.errors import BadValue


def test_limits_may_be_open_at_an_end_and_are_given_once():
    assert parse_limits(["pH=..5", "temperature_C=60.."]) == {
        "pH": (0.0, 5.0), "temperature_C": (60.0, 100.0)
    }  # fmt: skip
    with pytest.raises(BadValue, match="twice"):
        parse_limits(["pH=5", "pH=6"])
    with pytest.raises(BadValue, match="twice"):
        parse_bath(["pH=5", "pH=6"])


def test_a_screen_colour_needs_its_sign():
    assert parse_target("#c8a050", None).note
    with pytest.raises(BadValue, match="#c8a050"):
        parse_target("c8a050", None)


def test_a_typed_colour_may_have_decimal_commas_between_semicolons():
    assert parse_lab("50,5;10,1;-3,2").tolist() == [50.5, 10.1, -3.2]
    assert parse_lab("50.5, 10.1 -3.2").tolist() == [50.5, 10.1, -3.2]
    for text in ("50,5,10,1,3,2", "red", "1;2", ""):
        with pytest.raises(BadValue) as refused:
            parse_lab(text)
        assert f"'{text}' is no colour" in str(refused.value)
