"""Cautions and caps: what stands before the amounts, and what is never suggested."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from swatchbath.bath.caps import breaks_caps, cap
from swatchbath.bath.cautions import all_cautions, cautions_for
from swatchbath.bath.diary.reading import read_step
from swatchbath.bath.materials import family, is_a, may_be_suggested
from swatchbath.conditions.vocabulary import CELLULOSE, FIBRES, PROTEIN, WORDS
from swatchbath.errors import NotFound

WOOL = {"fibre": "wool", "dyestuff": "weld", "mordant": "alum", "pH": 6, "temperature_C": 80}
SILK = WOOL | {"fibre": "silk", "temperature_C": 75}
COTTON = WOOL | {"fibre": "cotton"}


def names(conditions):
    return [c.name for c in cautions_for(conditions)]


def test_every_caution_is_a_short_order_with_an_origin():
    for caution in all_cautions():
        assert caution.sentence[0].isupper() and caution.sentence.endswith(".")
        assert len(caution.sentence) < 200 and caution.origin and "!" not in caution.sentence
    assert len({c.name for c in all_cautions()}) == len(all_cautions())


@pytest.mark.parametrize(
    ("bath", "wanted"),
    [
        (WOOL | {"modifier": "iron"}, {"iron and children", "iron on wool", "powders"}),
        (SILK | {"modifier": "ferrous sulphate"}, {"iron on silk and cellulose"}),
        (COTTON | {"modifier_2": "iron"}, {"iron and children", "iron on silk and cellulose"}),
        (COTTON | {"modifier": "iron liquor"}, {"iron liquor"}),
        (WOOL | {"modifier": "ash lye"}, {"lye", "alkali on wool and silk", "metal pots"}),
        (SILK | {"modifier": "lye"}, {"lye on silk"}),
        (COTTON | {"modifier": "washing soda"}, {"soda", "metal pots"}),
        (COTTON | {"modifier": "vinegar"}, {"acid", "bleach", "acid on cellulose", "metal pots"}),
        (COTTON | {"assist": "vinegar", "modifier": "soda"}, {"acid and soda together"}),
        (WOOL | {"modifier": "ammonia"}, {"ammonia", "bleach", "alkali on wool and silk"}),
        (WOOL | {"dyestuff": "madder"}, {"madder heat", "wool heat", "heat"}),
        (SILK, {"silk heat", "heat"}),
        (WOOL | {"dyestuff": "logwood", "dyestuff_form": "extract"}, {"logwood", "powders"}),
        (WOOL | {"mordant": "copper"}, {"never"}),
        (WOOL | {"mordant": "rhubarb leaf"}, {"never"}),
        (WOOL | {"dyestuff": "red berries from the lane"}, {"unknown plants"}),
    ],
)
def test_a_bath_gets_the_cautions_its_materials_call_for(bath, wanted):
    assert wanted <= set(names(bath))


def test_no_caution_without_its_cause():
    got = names(WOOL | {"mordant": "none", "temperature_C": 20})
    assert not {"iron and children", "lye", "acid", "powders", "heat", "never"} & set(got)


@given(
    st.fixed_dictionaries(
        {
            "fibre": st.sampled_from(FIBRES),
            "dyestuff": st.sampled_from(WORDS["dyestuff"]),
            "modifier": st.sampled_from(WORDS["modifier"]),
            "mordant": st.sampled_from(WORDS["mordant"]),
        }
    )
)
def test_the_list_always_defers_at_its_end(bath):
    got = names(bath)
    assert got[-1] == "who decides" and "waste" in got and "food" in got
    if is_a(bath["modifier"], "iron"):
        assert got[0] == "iron and children"


def test_the_last_word_is_local_rules_the_sheet_and_licensed_people():
    last = all_cautions()[-1].sentence
    assert "local rules" in last and "safety sheet" in last and "licensed" in last


@pytest.mark.parametrize(
    ("bath", "word"),
    [
        (WOOL | {"modifier": "iron", "modifier_owf": 4.1}, "iron over 4 %"),
        (SILK | {"modifier": "iron", "modifier_owf": 2.1}, "iron over 2 %"),
        (COTTON | {"modifier": "iron", "modifier_owf": 2.1}, "iron over 2 %"),
        (COTTON | {"modifier": "iron", "modifier_owf": 1.5, "modifier_2": "iron",
                   "modifier_owf_2": 1.0}, "iron over 2 %"),
        (WOOL | {"temperature_C": 91}, "over 90"),
        (SILK | {"temperature_C": 81}, "over 80"),
        (WOOL | {"pH": 8.2}, "pH 8"),
        (WOOL | {"pH": 9.2, "temperature_C": 30}, "pH 9"),
        (WOOL | {"modifier": "ash lye", "modifier_pH": 9.4}, "pH 9"),
        (SILK | {"modifier": "ash lye", "modifier_pH": 8.5}, "silk"),
        (WOOL | {"modifier": "lye"}, "lye"),
        (WOOL | {"dyestuff": "madder", "temperature_C": 75}, "madder over 70"),
        (COTTON | {"mordant": "chrome"}, "chrome"),
        (COTTON | {"mordant": "tin"}, "tin"),
        (COTTON | {"mordant": "lead acetate"}, "lead"),
        (COTTON | {"modifier": "copper sulphate"}, "copper"),
        (COTTON | {"assist": "oxalic acid"}, "oxalic"),
        (COTTON | {"dyestuff": "unknown plant"}, "unknown plant"),
        (COTTON | {"modifier": "soda", "vessel": "aluminium"}, "aluminium"),
        (COTTON | {"modifier": "soda", "vessel": "aluminium pot"}, "aluminium"),
        (COTTON | {"assist": "vinegar", "vessel": "Galvanised bucket"}, "galvanised"),
        (WOOL | {"vessel": "copper kettle"}, "copper kettle"),
        (WOOL | {"vessel": "cast iron pot"}, "iron"),
        (WOOL | {"modifier": "iron"}, "unknown amount"),
        (WOOL | {"mordant": "copperas"}, "unknown amount"),
        (COTTON | {"modifier": "potash", "modifier_pH": 12}, "pH 11"),
        (COTTON | {"modifier": "lye"}, "strong lye"),
        (COTTON | {"pH": 10.5}, "pH 10"),
        (WOOL | {"pH": 2.5}, "pH 3"),
        (WOOL | {"wash_pH": 9.5}, "wash"),
        (WOOL | {"minutes": 300}, "240 minutes"),
        (WOOL | {"modifier": "iron", "modifier_owf": 1, "modifier_minutes": 45}, "30 minutes"),
        (WOOL | {"modifier": "ash lye", "modifier_minutes": 30}, "15 minutes"),
        (WOOL | {"dye_owf": 500}, "300 %"),
        (WOOL | {"mordant_owf": 50}, "25 %"),
        (WOOL | {"dyestuff": "foxglove"}, "poisonous"),
        (WOOL | {"dyestuff_2": "yew bark"}, "poisonous"),
        (SILK | {"modifier_2": "wood ash"}, "silk"),
        (SILK | {"assist": "potash"}, "silk"),
        (WOOL | {"assist": "kefir"}, "kefir"),
        (WOOL | {"tannin": "sulphuric acid"}, "strong acid"),
    ],
)  # fmt: skip
def test_caps(bath, word):
    assert any(word in reason for reason in breaks_caps(bath))


@pytest.mark.parametrize(
    "bath",
    [
        WOOL,
        WOOL | {"modifier": "iron", "modifier_owf": 4},
        WOOL | {"modifier": "ash lye", "modifier_pH": 9},
        WOOL | {"pH": 9, "temperature_C": 30},
        COTTON | {"modifier": "ash lye", "modifier_pH": 11, "temperature_C": 95},
        WOOL | {"dyestuff": "madder", "temperature_C": 70},
        SILK | {"modifier": "iron", "modifier_owf": 2},
        WOOL | {"mordant": "potash alum", "assist": "cream of tartar"},
        WOOL | {"mordant": "tannin_alum", "modifier": "ash", "dyestuff": "red_root"},
        COTTON | {"modifier": "acid", "tannin": "oak galls", "vessel": "stainless steel"},
        COTTON | {"modifier": "apple vinegar", "vessel": "my big pan"},
    ],
)
def test_what_keeps_to_the_caps_may_be_suggested(bath):
    assert breaks_caps(bath) == []


@pytest.mark.parametrize(
    ("name", "word"),
    [
        ("water", "bleach"), ("water", "copper sulphate"), ("water", "iron water"),
        ("water", "lime water"), ("water", "ash_water"), ("fibre_form", "chromed"),
        ("fibre_form", "tinned"), ("fibre_form", "chrome mordanted"), ("scour", "bleach"),
        ("scour", "caustic soda"), ("dyestuff_form", "lead acetate"),
        ("dyestuff_form_2", "bleach"), ("dyestuff_lot", "bleach 2"), ("dye_2_how", "oxalic acid"),
        ("vessel", "bleach bucket"), ("dyestuff", "bleach"), ("dyestuff_2", "battery acid"),
        ("modifier_lot", "copper liquor"),
    ],
)  # fmt: skip
def test_no_word_of_a_bath_names_what_is_never_suggested(name, word):
    assert any("never suggested" in why for why in breaks_caps(COTTON | {name: word}))


@pytest.mark.parametrize(
    ("name", "word"),
    [
        ("water", "tap water"), ("water", "rain"), ("water", "soft"), ("fibre_form", "bleached"),
        ("fibre_form", "skein"), ("fibre_form", "unbleached cloth"), ("scour", "soda and soap"),
        ("dyestuff_form", "liquor"), ("dyestuff_lot", "the big tin"), ("dyestuff_lot", "W25"),
        ("vessel", "enamel"), ("pot_position", "top"), ("pH_read", "strip"),
    ],
)  # fmt: skip
def test_plain_words_of_a_bath_may_be_suggested(name, word):
    assert breaks_caps(COTTON | {name: word}) == []


@pytest.mark.parametrize(
    "bath",
    [
        WOOL | {"modifier": "iron", "modifier_owf": 0.0},
        WOOL | {"mordant": "iron", "mordant_owf": 4.0, "modifier": "iron", "modifier_owf": 0.0},
        WOOL | {"mordant_owf": 0.0},
        WOOL | {"tannin": "gallnut", "tannin_owf": 0.0},
        WOOL | {"assist": "chalk", "assist_owf": -1.0},
        WOOL | {"dye_owf": 0.0},
        WOOL | {"dyestuff_2": "madder", "dye_owf_2": 0.0, "temperature_C": 60},
    ],
)
def test_a_treatment_of_nothing_is_no_bath(bath):
    assert any("0 %" in why for why in breaks_caps(bath))


@pytest.mark.parametrize("fibre", ["wool", "cotton"])
@pytest.mark.parametrize(
    ("word", "pH", "may"),
    [("vinegar", 7.0, False), ("citric acid", 8.0, False), ("apple vinegar", 4.0, True),
     ("ammonia", 7.0, False), ("soda", 6.0, False), ("ash lye", 9.0, True), ("iron", 7.0, True)],
)  # fmt: skip
def test_an_after_bath_of_acid_is_sour_and_one_of_alkali_alkaline(fibre, word, pH, may):
    bath = {"fibre": fibre, "dyestuff": "weld", "modifier": word, "modifier_owf": 1.0}
    said = [why for why in breaks_caps(bath | {"modifier_pH": pH}) if "pH 7" in why]
    assert (said == []) is may


def test_browns_let_madder_go_hotter_but_not_past_the_fibre():
    hot = WOOL | {"dyestuff": "madder", "temperature_C": 85}
    assert breaks_caps(hot) and not breaks_caps(hot, browns=True)
    assert breaks_caps(hot | {"temperature_C": 95}, browns=True)


def test_every_known_fibre_has_one_family():
    assert {f for f in FIBRES if family(f) == "protein"} == set(PROTEIN)
    assert {f for f in FIBRES if family(f) == "cellulose"} == set(CELLULOSE)


def test_words_are_whole():
    assert is_a("iron water", "iron") and not is_a("environment", "iron")
    assert not is_a("ash lye", "strong lye") and is_a("lye", "strong lye")
    assert not is_a("none", "iron") and not is_a(None, "iron")
    assert is_a("wood ash lye", "lye") and not is_a("wood ash lye", "strong lye")
    assert is_a("potash alum", "alum") and not is_a("potash alum", "lye")


def test_what_is_not_on_the_list_is_not_suggested():
    assert may_be_suggested("acid") and not may_be_suggested("boric acid")
    assert may_be_suggested("sea salt") and not may_be_suggested("thallium salt")
    assert may_be_suggested(None) and may_be_suggested("none") and not may_be_suggested("potion")


def test_a_cap_that_is_not_there():
    with pytest.raises(NotFound, match="iron on wool"):
        cap("salt")


@pytest.mark.parametrize(
    "word",
    ["bluestone", "verdigris", "CuSO4", "SnCl2", "bichromate of potash", "oxalic", "sorrel salt"],
)
def test_banned_materials_are_known_by_their_common_names(word):
    assert breaks_caps({"fibre": "wool", "dyestuff": "weld", "mordant": word, "mordant_owf": 2})
    assert breaks_caps({"fibre": "wool", "dyestuff": "weld", "assist": word})


@pytest.mark.parametrize("word", ["copperas", "ferrous", "green vitriol", "rusty nails"])
def test_iron_is_capped_under_its_other_names(word):
    assert breaks_caps({"fibre": "wool", "dyestuff": "weld", "mordant": word, "mordant_owf": 19})


def test_a_vat_is_cautioned_and_never_suggested():
    vat = {"fibre": "wool", "dyestuff": "indigo", "vat": "hydrosulphite", "vat_dips": 3.0}
    names = [c.name for c in cautions_for(vat)]
    assert "vat" in names and "vat liquor" in names
    said = next(c.sentence for c in cautions_for(vat) if c.name == "vat")
    assert "dry" in said and "acid" in said and "air" in said
    assert any("not suggested" in why for why in breaks_caps(vat))
    over = {"fibre": "wool", "dyestuff": "weld", "dyestuff_2": "indigo", "vat_2": "iron"}
    assert {"vat liquor", "iron and children"} <= {c.name for c in cautions_for(over)}
    assert "vat" not in [c.name for c in cautions_for({"fibre": "wool", "dyestuff": "indigo"})]


def test_a_gas_ring_is_only_for_where_it_is_aired():
    hot = {"fibre": "wool", "dyestuff": "weld", "temperature_C": 80.0}
    assert any("gas ring" in c.sentence for c in cautions_for(hot))


def _lines(*lines):
    return [read_step(line) for line in lines]


def test_a_fruit_sugar_vat_gives_no_gas_and_its_lime_burns_eyes():
    steps = _lines("vat: indigo, fructose, lime, 3 dips of 10 min")
    got = [c.name for c in cautions_for({"fibre": "wool", "dyestuff": "indigo"}, steps)]
    assert {"lime", "in an eye", "vat liquor", "after a vat"} <= set(got)
    # No reducing salt, no slip with alkali, no felting at an unknown heat, no caustic of a shop.
    assert not {"vat", "alkali on wool and silk", "wool heat", "strong acid", "lye"} & set(got)
    said = {c.name: c.sentence for c in all_cautions()}
    for word in ("goggles", "gloves", "mask", "into water", "never water on"):
        assert word in said["lime"]
    assert "20 minutes" in said["in an eye"] and "help" in said["in an eye"]
    assert got.index("lime") < got.index("in an eye")


@pytest.mark.parametrize("vat", ["hydrosulphite", "thiourea dioxide", "unnamed", "zinc dust"])
def test_a_vat_that_is_or_may_be_reduced_with_a_salt_keeps_its_caution(vat):
    assert "vat" in names({"fibre": "wool", "dyestuff": "indigo", "vat": vat})


@pytest.mark.parametrize("vat", ["henna", "dates", "bran", "madder and bran", "iron", "banana"])
def test_a_vat_of_plants_sugar_or_iron_does_not(vat):
    assert "vat" not in names({"fibre": "wool", "dyestuff": "indigo", "vat": vat})


def test_an_alkaline_bath_beside_the_vat_is_still_warned_of():
    steps = _lines("vat: indigo, fructose, lime, 3 dips", "after-bath: soda 2 %, pH 10")
    got = [c.name for c in cautions_for({"fibre": "wool", "dyestuff": "indigo"}, steps)]
    assert "alkali on wool and silk" in got


def test_what_no_column_holds_is_seen_in_the_steps():
    lines = ("mordant: alum 12 %, iron 1 %", "dye: weld 80 %, 80 C, 1 h", "rinse: ammonia")
    got = [c.name for c in cautions_for({"fibre": "wool", "dyestuff": "weld"}, _lines(*lines))]
    assert {"iron and children", "ammonia", "in an eye"} <= set(got)


@pytest.mark.parametrize("word", ["lye", "ash lye", "vinegar", "slaked lime", "ammonia"])
def test_the_first_aid_stands_beside_what_burns_eyes(word):
    assert "in an eye" in names(COTTON | {"modifier": word})


@pytest.mark.parametrize("word", ["slaked lime", "quicklime", "lime water", "pickling lime"])
def test_lime_is_lime_and_not_suggested(word):
    assert "lime" in names(COTTON | {"modifier": word})
    assert not may_be_suggested(word)
    assert is_a("lime juice", "acid") and not is_a("lime juice", "lime")
