"""Codes notice a slip of the pencil."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from swatchbath.errors import BadValue
from swatchbath.library.codes import ALPHABET, MOST, code, is_code, parse_code

numbers = st.integers(0, MOST - 1)


def test_no_look_alikes_and_no_two_alike():
    assert not set("0OQ1IL2Z5S8B9GUVW") & set(ALPHABET)
    assert len({code(n) for n in range(5000)}) == 5000


@given(numbers)
def test_a_code_is_read_back_in_any_case_and_spacing(number):
    written = code(number)
    assert len(written) == 5
    assert parse_code(f" {written[:2].lower()} {written[2:]} ") == written


@given(numbers)
def test_any_one_wrong_character_is_noticed(number):
    written = code(number)
    for place, wrong in itertools.product(range(5), ALPHABET):
        if wrong != written[place]:
            assert not is_code(written[:place] + wrong + written[place + 1 :])


@given(numbers)
def test_any_two_swapped_characters_are_noticed(number):
    written = list(code(number))
    for i, j in itertools.combinations(range(5), 2):
        swapped = written.copy()
        swapped[i], swapped[j] = swapped[j], swapped[i]
        if swapped != written:
            assert not is_code("".join(swapped))


def test_what_is_no_code_gets_a_sentence():
    with pytest.raises(BadValue, match="never holds O"):
        parse_code("33O33")
    with pytest.raises(BadValue, match="five characters"):
        parse_code("33")
    with pytest.raises(BadValue, match="running number|used all"):
        code(MOST)
