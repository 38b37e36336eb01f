"""What each fibre of a pot weighs, and what amounts in grams are counted on."""

import pytest

import swatchbath as sb
from swatchbath import desk
from swatchbath.desk.entry.fibre import fibre_of_words
from swatchbath.errors import BadValue

DYE = ["dye: weld 40 g, 80 C, 1 h"]


def facts(folder, done):
    with sb.Library(folder) as lib:
        wanted = ("fibre", "fibre_g", "pot_g", "dye_owf")
        return [
            tuple(lib.swatch(code).conditions.get(n) for n in wanted) for code in done.codes
        ]  # fmt: skip


def test_each_fibre_has_its_own_weight_and_the_pot_their_sum(tmp_path):
    done = desk.pot(tmp_path, DYE, fibres=["wool 60 g", "silk, 20 g"], after=["none", "iron 2 %"])
    assert facts(tmp_path, done) == [
        ("wool", 60, 80, 50), ("wool", 60, 80, 50), ("silk", 20, 80, 50), ("silk", 20, 80, 50),
    ]  # fmt: skip


def test_one_fibre_alone_weighs_what_the_pot_does(tmp_path):
    done = desk.pot(tmp_path, DYE, fibres=["wool"], weight="100 g")
    assert facts(tmp_path, done) == [("wool", 100, None, 40)]


def test_a_weight_that_was_not_told_stays_unknown(tmp_path):
    done = desk.pot(tmp_path, DYE, fibres=["wool 60 g", "silk"], weight="80 g")
    assert facts(tmp_path, done) == [("wool", 60, 80, 50), ("silk", None, 80, 50)]
    done = desk.pot(tmp_path, DYE, fibres=["wool 60 g", "silk"])
    assert facts(tmp_path, done) == [("wool", 60, None, None), ("silk", None, None, None)]
    done = desk.pot(tmp_path, DYE, fibres=["wool", "silk"], weight="80 g")
    assert facts(tmp_path, done) == [("wool", None, 80, 50), ("silk", None, 80, 50)]


def test_fibres_that_weigh_more_than_their_pot_are_refused(tmp_path):
    with pytest.raises(BadValue, match="90 g.*80 g"):
        desk.pot(tmp_path / "lib", DYE, fibres=["wool 60 g", "silk 30 g"], weight="80 g")
    assert not (tmp_path / "lib").exists()


def test_an_amount_corrected_in_grams_is_of_all_in_the_pot(tmp_path):
    done = desk.pot(tmp_path, DYE, fibres=["wool 60 g", "silk 20 g"])
    with sb.Library(tmp_path) as lib:
        desk.edit(lib, done.codes[0], ["dye_owf=80 g"])
    assert [f[3] for f in facts(tmp_path, done)] == [100, 100]


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("wool 60 g", {"fibre": "wool", "fibre_g": 60}),
        ("100g superwash wool", {"fibre": "wool", "fibre_form": "superwash", "fibre_g": 100}),
        ("silk, 2 oz, top", {"fibre": "silk", "fibre_g": 56.699, "pot_position": "top"}),
        ("3,5 g linen", {"fibre": "linen", "fibre_g": 3.5}),
    ],
)
def test_words(words, found):
    assert fibre_of_words(words) == {
        n: v if isinstance(v, str) else pytest.approx(v, rel=1e-4) for n, v in found.items()
    }


def test_two_weights_of_one_fibre_are_asked_back():
    with pytest.raises(BadValue, match="two weights"):
        fibre_of_words("wool 60 g 2 oz")


def test_a_bath_done_again_is_of_the_weight_that_is_told_now(tmp_path):
    desk.pot(tmp_path, DYE, fibres=["wool 60 g", "silk 20 g"])
    again = desk.pot(tmp_path, like="last")
    assert facts(tmp_path, again) == [("silk", 20, None, 50)]
    again = desk.pot(tmp_path, like="last", weight="200 g", changes=["dye_owf=30"])
    assert facts(tmp_path, again) == [("silk", 200, None, 30)]
