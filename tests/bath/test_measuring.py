"""Amounts as a person measures them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from swatchbath.bath.measuring import dissolves, in_kitchen, measures, stock_words


@given(grams=st.floats(0.05, 5000), scale=st.sampled_from([0.1, 0.5, 1.0, 5.0]))
def test_every_way_gives_about_the_grams_asked_for(grams, scale):
    for way in measures(grams, scale, as_stock=True):
        assert way.grams == pytest.approx(grams, rel=0.101)
        if way.stock:
            ml = float(way.how.split(" ml")[0])
            assert ml / 100 == pytest.approx(grams, rel=0.006)  # 1 %: 1 g in 100 ml


def test_what_the_scale_shows_comes_first_then_a_stock_then_a_part():
    said = [w.how for w in measures(1.04, 1.0, as_stock=True)]
    assert said[:2] == ["1 g", "104 ml of 1 % stock"]
    assert [w.how for w in measures(1.5, 1.0, as_stock=False)][0] == (
        "1.5 g (weigh 3 g and take half of it)"
    )
    assert "3.33 g (weigh 10 g and take a third of it)" in [
        f"{w.how}".replace("3.333", "3.33") for w in measures(10 / 3, 1.0, as_stock=False, off=0.05)
    ]


@given(st.floats(10, 99999))
def test_a_kitchen_weighs_whole_grams(grams):
    way = in_kitchen(grams, as_stock=True)
    assert not way.stock and way.grams % 1 == 0 and abs(way.grams - grams) <= 0.5


def test_too_little_for_a_kitchen_scale_is_a_stock_where_it_dissolves():
    assert in_kitchen(1.5, as_stock=True).how == "150 ml of 1 % stock"
    assert in_kitchen(1.5, as_stock=False) is None  # of madder
    assert in_kitchen(7.5, as_stock=True) is None  # three jugs of stock are none
    assert in_kitchen(3.0, as_stock=True).how == "3 g"
    assert in_kitchen(3.0, as_stock=True, always_stock=True).how == "300 ml of 1 % stock"
    assert stock_words(15.0) == "1.5 litres of 1 % stock"


def test_what_dissolves():
    assert dissolves("modifier", "iron sulphate") and dissolves("assist", "cream of tartar")
    assert not dissolves("dyestuff", "soda root") and not dissolves("tannin", "oak gall")
