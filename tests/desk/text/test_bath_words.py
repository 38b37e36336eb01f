"""Baths in a dyer's words."""

from swatchbath import read_step
from swatchbath.desk.text.bath_words import bath_words

ROW = {"fibre": "wool", "dyestuff": "weld", "mordant": "alum", "mordant_owf": 14.0}


def test_a_bath_is_told_in_the_order_it_is_done():
    told = bath_words(
        ROW
        | {"fibre_form": "untreated", "tannin": "gallnut", "tannin_owf": 8.0, "modifier": "iron",
           "dyestuff_2": "madder", "dye_2_how": "over", "dyestuff_3": "cutch",
           "dye_3_how": "together",
           "modifier_owf": 1.0, "modifier_2": "vinegar", "modifier_pH_2": 4.0, "wash_pH": 7.0,
           "water": "soft", "vessel": "enamel", "fibre_g": 10.0}
    )  # fmt: skip
    assert told == [
        "Tannin: gallnut 8 %.",
        "Mordant 10 g of untreated wool with 14 % alum.",
        "Dye with weld, soft water, in enamel.",
        "Dye over with madder and cutch.",
        "After-bath of vinegar, pH 4.",
        "After-bath of 1 % iron.",
        "Wash at pH 7.",
    ]
    assert bath_words(ROW | {"fibre_form": "yarn"})[0] == "Mordant wool (yarn) with 14 % alum."


def test_each_addition_is_told_in_its_own_bath_and_each_bath_in_its_place():
    lines = [
        "mordant: alum 15 %, cream of tartar 6 %, simmer 1 h",
        "dye: madder 50 %, soda ash 1 %, 65 C, overnight",
        "after-bath: iron 1 %, 5 min",
        "vat: indigo, fructose, lime, 2 dips of 5 min",
        "rinse: until clear",
    ]
    told = bath_words({"fibre": "wool"}, [read_step(line) for line in lines])
    assert told == [
        "Mordant wool with 15 % alum and 6 % cream of tartar, at a simmer (taken as 90 °C), "
        "60 min.",
        "Dye with 50 % madder and 1 % soda ash, 65 °C, overnight (taken as 12 h).",
        "After-bath of 1 % iron, 5 min.",
        "Dip over in a vat of indigo, reduced with fructose, with lime, 2 dips of 5 min.",
        "Rinse.",
    ]
    brief = bath_words({"fibre": "wool"}, [read_step(line) for line in lines], brief=True)
    assert brief == told[:-1]


def test_a_tannin_alone_is_told_after_its_fibre_and_liquor_as_a_ratio():
    steps = [read_step("mordant: oak gall 10 %"), read_step("dye: madder 50 %, liquor 1:30")]
    told = bath_words({"fibre": "cotton"}, steps)
    assert told[0].startswith("Take cotton") and told[1] == "Tannin: oak gall 10 %."
    assert told[2] == "Dye with 50 % madder, liquor 1:30."


def test_what_there_was_none_of_is_never_named():
    bath = ROW | {"dyestuff_2": "none", "dyestuff": "onion skin", "modifier": "none"}
    assert "none" not in " ".join(bath_words(bath))


def test_a_bath_without_a_mordant_says_so_and_one_not_told_of_says_that():
    none = [read_step("no mordant"), read_step("dye: walnut hull 50 %")]
    assert bath_words({"fibre": "wool"}, none)[0] == "Take wool, without a mordant."
    assert bath_words({"fibre": "wool"}, none[1:])[0] == "Take wool, mordant not recorded."
