"""Treatments as lines of a diary."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from swatchbath.bath.diary import line_of, read_step
from swatchbath.bath.step import Material, Step
from swatchbath.errors import BadValue

amount = st.one_of(st.none(), st.floats(0.1, 300).map(lambda v: float(f"{v:.4g}")))
number = st.floats(1, 90).map(lambda v: float(f"{v:.4g}"))


@st.composite
def steps(draw):
    kind = draw(st.sampled_from(["scour", "mordant", "dye", "after-bath", "rinse", "wash", "dry"]))
    vat = kind == "dye" and draw(st.booleans())
    fields = {}
    maybe = {
        "pH": st.floats(0, 14).map(lambda v: float(f"{v:.3g}")),
        "temperature_C": number,
        "liquor_ratio": number,
        "bath_number": st.sampled_from([1.0, 2.0, 5.0]),
        "vessel": st.sampled_from(["steel", "copper"]),
        "water": st.sampled_from(["rain", "hard"]),
        "note": st.sampled_from(["smelled of apples", "8 C outside"]),
    }
    maybe |= {"vat_days": number, "dips": st.just(3.0)} if vat else {"minutes": number}
    maybe |= {} if vat else {"stock_days": number}
    for name, values in maybe.items():
        if draw(st.booleans()):
            fields[name] = draw(values)
    if "pH" in fields and draw(st.booleans()):
        fields["pH_read"] = draw(st.sampled_from(["strip", "meter"]))
    role, names = {
        "mordant": ("mordant", ["alum", "aluminium acetate"]),
        "dye": ("dyestuff", ["weld", "walnut hull"]),
        "after-bath": ("modifier", ["iron liquor", "ash lye"]),
    }.get(kind, ("other", ["soap", "soda"]))
    owf = None if vat else draw(amount)
    form = draw(st.sampled_from([None, "fresh", "extract"])) if kind == "dye" else None
    materials = (Material(role, draw(st.sampled_from(names)), owf, form),)
    if vat:
        fields["vat"] = "fructose"
    return Step(kind, materials, **fields)


@given(steps())
def test_a_step_written_as_a_line_reads_as_the_same_step(step):
    line = line_of(step)
    assert replace(read_step(line), typed="") == step
    assert read_step(line).typed == line


def test_one_line_holds_what_a_diary_does():
    step = read_step("dye: 40 g fresh weld, 190 F, 1h30, pH 6,5 meter, 1:30, bath 2, stock 3 days",
                   fibre_g=50)  # fmt: skip
    assert step.materials == (Material("dyestuff", "weld", 80.0, "fresh"),)
    assert (step.temperature_C, step.minutes, step.pH, step.pH_read) == (87.8, 90.0, 6.5, "meter")
    assert (step.liquor_ratio, step.bath_number, step.stock_days) == (30.0, 2.0, 3.0)
    vat = read_step("vat: indigo, henna vat, 3 dips, 10 min, 5 days old")
    assert (vat.vat, vat.dips, vat.dip_minutes, vat.minutes) == ("henna", 3.0, 10.0, None)
    pot = read_step("mordant: gallnut 8 % + alum 15 % and washing soda 2 %")
    assert [(m.role, m.owf) for m in pot.materials] == [
        ("tannin", 8.0),
        ("mordant", 15.0),
        ("assist", 2.0),
    ]


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("boil it", "begins with no treatment"),
        ("dye weld, 80", "80 of what"),
        ("dye weld 80 % 30 %", "cannot be read"),
        ("dye weld, pH 19", "0 to 14"),
        ("dye weld, 250 C", "0 to 100"),
        ("dye weld, pH 6 nose", "strip or meter"),
        ("vat indigo 5 %, 3 dips", "dips instead"),
        ("vat", "what the vat was of"),
        ("dye weld, 1,500 min", "two ways"),
        ("dye weld, 80 C, 60 C", "beside another"),
        ("after-bath: jar J2", "before its jar"),
        ("dye weld 2000 %", "1000 % owf"),
    ],
)
def test_a_line_that_cannot_be_is_refused_in_one_sentence(line, says):
    with pytest.raises(BadValue, match=says) as error:
        read_step(line)
    assert "\n" not in str(error.value)


@pytest.mark.parametrize(
    "part",
    ["weld -80 %", "weld nan %", "madder 1.234,5 g", "weld 80 %, 90 C, boil", "weld 80 %, red 40"],
)
def test_what_is_no_amount_never_becomes_part_of_a_name(part):
    with pytest.raises(BadValue):
        read_step(f"dye: {part}")


def test_a_known_dyestuff_needs_no_amount_and_a_note_may_say_anything():
    step = read_step("dye: weld 80 %, madder, note: boil well")
    assert [m.name for m in step.materials] == ["weld", "madder"] and step.note == "boil well"
    assert read_step("dye: berries from the lane").materials[0].name == "berries from the lane"
