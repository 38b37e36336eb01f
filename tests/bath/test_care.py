"""Which cautions stand in full, and which are told in a word to whoever has lived with them."""

from hypothesis import given
from hypothesis import strategies as st

from swatchbath.bath.care import Lived, care_of, lived_with, without_dangerous_amounts
from swatchbath.bath.cautions import all_cautions, cautions_for, materials_of
from swatchbath.bath.steps import steps_of

IRON = {"fibre": "wool", "dyestuff": "madder", "mordant": "alum", "mordant_owf": 12.0,
        "temperature_C": 80.0, "modifier": "iron", "modifier_owf": 1.5}  # fmt: skip
ALUM = {k: v for k, v in IRON.items() if not k.startswith("modifier")}
FIRST = ["Keep iron salts", "for lye, add lye", "for lime, put lime", "for acids, add acid",
         "Use ammonia outdoors", "Keep hydrosulphite"]  # fmt: skip


def told(bath, lived=None):
    return care_of(cautions_for(bath), materials_of(bath), lived or Lived())


def test_to_a_new_dyer_all_stand_in_full_and_the_general_ones_in_one_line():
    care = told(IRON)
    assert care.brief == "" and sum("iron" in c.lower() for c in care.full) == 3
    for word in ("hot pots", "food pots", "local rules", "safety sheets"):
        assert word in care.general and not any(word in c for c in care.full)


def test_what_a_dried_pot_used_is_told_in_a_word_that_names_each_danger():
    care = told(IRON, lived_with([IRON]))
    assert [c[:15] for c in care.full] == ["Keep iron salts"]
    known = {c.name: c.danger for c in cautions_for(IRON) if not (c.stands or c.general)}
    assert len(known) > 4 and all(danger in care.brief for danger in known.values())


def test_a_material_that_no_dried_pot_held_is_told_in_full():
    care = told(IRON, lived_with([ALUM]))
    assert any("Weigh iron" in c for c in care.full)
    # Alum was breathed in before, iron powder not.
    assert any("mask for powders" in c for c in care.full)
    assert "madder over 70" in care.brief and "iron" not in care.brief


def test_what_is_most_dangerous_always_stands():
    baths = [
        IRON | {"modifier": word} for word in ("iron", "ash lye", "lime", "vinegar", "ammonia")
    ]
    baths.append({"fibre": "wool", "dyestuff": "indigo", "vat": "hydrosulphite", "vat_dips": 2.0})
    for bath, first in zip(baths, [FIRST[i] for i in (0, 1, 2, 3, 4, 5)], strict=True):
        assert any(first in c for c in told(bath, lived_with(baths)).full), first


@given(st.lists(st.sampled_from([IRON, ALUM, IRON | {"modifier": "vinegar"}]), max_size=3))
def test_no_danger_is_ever_left_out(pots):
    bath = IRON | {"modifier_2": "ash lye"}
    care = told(bath, lived_with(pots))
    for caution in cautions_for(bath):
        assert caution.sentence in care.full or caution.danger in " ".join(care.lines)


def test_every_caution_has_a_danger_in_a_few_words():
    for caution in all_cautions():
        assert 2 <= len(caution.danger.split()) <= 11, caution.name


def test_no_amount_of_iron_or_acid_stands_before_its_caution():
    bath = IRON | {"modifier_2": "vinegar", "modifier_pH_2": 4.0, "modifier_owf_2": 10.0}
    steps = without_dangerous_amounts(steps_of(bath))
    amounts = {m.name: m.owf for step in steps for m in step.materials}
    assert amounts["iron"] is None and amounts["vinegar"] is None and amounts["alum"] == 12.0
