"""Baths in a dyer's words."""

from swatchbath.desk.text.wording import bath_words

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
        "Mordant 10 g of untreated wool with 8 % gallnut, then 14 % alum.",
        "Dye with weld, soft water, in enamel.",
        "Dye over with madder and cutch.",
        "After-bath of vinegar, pH 4.",
        "After-bath of 1 % iron.",
        "Wash at pH 7.",
    ]
    assert bath_words(ROW | {"fibre_form": "yarn"})[0] == "Mordant wool (yarn) with 14 % alum."
