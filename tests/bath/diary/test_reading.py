"""Treatments as lines of a diary; the shared lines and our own were written before the reading."""

import json
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from swatchbath.bath.diary.reading import read_step
from swatchbath.bath.diary.telling import line_of
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
    assert step.materials == (Material("dyestuff", "weld", 80.0, "fresh", told="40 g"),)
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
        ("dye weld 80 % 30 %", "30 % of what"),
        ("dye weld, pH 19", "0 to 14"),
        ("dye weld, 250 C", "0 to 100"),
        ("dye weld, pH 6 nose", "strip or meter"),
        ("vat indigo 5 %, 3 dips", "Tell of the dips"),
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
    ["weld -80 %", "weld nan %", "madder 1.234,5 g", "weld 80 %, 60 C, boil", "weld 80 %, red 40"],
)
def test_what_is_no_amount_never_becomes_part_of_a_name(part):
    with pytest.raises(BadValue):
        read_step(f"dye: {part}")


def test_a_known_dyestuff_needs_no_amount_and_a_note_may_say_anything():
    step = read_step("dye: weld 80 %, madder, note: boil well, then wait")
    assert [m.name for m in step.materials] == ["weld", "madder"]
    assert step.note == "boil well, then wait"


def test_an_unknown_word_is_asked_about_until_it_is_told_to_be_a_name():
    for line in ("dye: berries from the lane", "dye: weld 80 %, lane berries"):
        with pytest.raises(BadValue, match="quotation marks"):
            read_step(line)
    told = read_step('dye: "berries from the lane", 80 C')
    assert told.materials == (Material("dyestuff", "berries from the lane"),)
    again = read_step("dye: lane berries, 80 C", known=["Lane berries"])
    assert again.materials == (Material("dyestuff", "lane berries"),)


FOLDER = Path(__file__).parent
SHARED = FOLDER.parent.parent / "reference" / "diary_lines.tsv"
LINES = [
    (line, float(grams) if grams else None, json.loads(says))
    for file in (SHARED, FOLDER / "own_lines.tsv", FOLDER / "stranger_lines.tsv")
    for row in file.read_text(encoding="utf-8").splitlines()
    if row.strip() and not row.startswith("#")
    for line, grams, says in [row.split("\t")]
]
FIELDS = {"C": "temperature_C", "min": "minutes", "pH": "pH", "ratio": "liquor_ratio",
          "bath": "bath_number", "dips": "dips", "dipmin": "dip_minutes"}  # fmt: skip


@pytest.mark.parametrize(("line", "grams", "says"), LINES, ids=[row[0] for row in LINES])
def test_a_line_of_a_dyer_is_read_as_it_says(line, grams, says):
    if says.get("refuse"):
        with pytest.raises(BadValue, match=r"^In '.*\.$"):
            read_step(line, fibre_g=grams)
        return
    step = read_step(line, fibre_g=grams)
    assert step.kind == says["kind"]
    told = {m.name.casefold(): m for m in step.materials}
    for names, owf, *form in says.get("m", []):
        found = next(told.pop(n) for n in names.split("|") if n in told)
        assert found.owf == (None if owf is None else pytest.approx(owf, rel=0.02))
        assert not form or found.form == form[0]
    if "m" in says:
        assert not told
    for key, name in FIELDS.items():
        if key in says:
            assert getattr(step, name) == pytest.approx(says[key], rel=0.02), name
    assert step.minutes is None or step.minutes >= says.get("minmin", 0)
    for name in ("water", "vessel"):
        assert name not in says or getattr(step, name) in says[name].split("|")
    assert "lot" not in says or says["lot"] in [m.lot for m in step.materials]


@pytest.mark.parametrize(("line", "grams", "says"), LINES, ids=[row[0] for row in LINES])
def test_what_was_read_is_told_so_that_it_is_read_the_same(line, grams, says):
    if says.get("refuse"):
        return
    step = replace(read_step(line, fibre_g=grams), typed="")
    weighed = [m if m.owf is None else replace(m, told=None) for m in step.materials]
    step = replace(step, materials=weighed)
    assert replace(read_step(line_of(step), fibre_g=grams), typed="") == step


TOLD = {
    "temperature_C": [("80 C", 80.0), ("180F", 82.2), ("at 60°", 60.0), ("simmer", 90.0)],
    "minutes": [("1 h 30", 90.0), ("for 45 min", 45.0), ("two hours", 120.0), ("overnight", 720.0)],
    "pH": [("pH 6", 6.0), ("pH 4,5", 4.5)],
    "liquor_ratio": [("liquor 1:40", 40.0), ("1:30", 30.0)],
    "water": [("rainwater", "rain"), ("hard water", "hard")],
    "vessel": [("in a copper pot", "copper"), ("stainless steel pan", "stainless steel")],
    "bath_number": [("second bath", 2.0), ("bath 3", 3.0)],
}
BATHS = [
    ("madder 50 %", "madder", 50.0),
    ("80 % fresh weld", "weld", 80.0),
    ("onion skins 30%", "onion skins", 30.0),
    ("100 % wof goldenrod", "goldenrod", 100.0),
]


@st.composite
def dye_lines(draw):
    """A line of known parts in any order, with commas or without, and what it says."""
    names = draw(st.sets(st.sampled_from(list(TOLD))))
    says = {name: draw(st.sampled_from(TOLD[name])) for name in names}
    bath = draw(st.sampled_from(BATHS))
    parts = draw(st.permutations([bath[0], *(text for text, _ in says.values())]))
    line = parts[0]
    for part in parts[1:]:
        # A number told last may only run on into what is told next where a comma keeps them apart.
        apart = line[-1].isdigit() or part[0].isdigit() or line.endswith("bath")
        line += draw(st.sampled_from([", ", "; "] if apart else [", ", "; ", " "])) + part
    return line, bath, {name: value for name, (_, value) in says.items()}


@given(dye_lines())
def test_parts_are_read_in_any_order_with_commas_or_without(told):
    line, (_, name, owf), says = told
    step = read_step(f"dye: {line}")
    assert [(m.name, m.owf) for m in step.materials] == [(name, owf)]
    assert {n: getattr(step, n) for n in TOLD if getattr(step, n) is not None} == says


@given(st.lists(st.sampled_from(
    "dye: vat: mordant: after-bath: weld madder alum iron 80 % C h 60 12 pH 1:30 , ; ( ) + - \" "
    "and then of in 2 dips a g l ml / lot overnight simmer none fresh note".split(" ")
), max_size=14))  # fmt: skip
def test_any_words_are_read_or_asked_back_in_one_sentence(words):
    line = " ".join(words)
    try:
        step = read_step(line, fibre_g=100)
    except BadValue as error:
        assert "\n" not in str(error) and str(error).endswith(".")
    else:
        assert step.typed == " ".join(line.split())
        amounts = [m for m in step.materials if m.owf is not None]
        assert len(amounts) <= line.count("%") + line.count(" g") + line.count("ml")


def test_a_harvest_beside_a_lot_is_a_note_and_a_remark_begins_after_the_treatment():
    for line in ("dye: weld 80 %, lot M26, harvest 2025", "dye: 2025 harvest weld 80 % (M26)"):
        step = read_step(line)
        assert step.materials[0].lot == "M26" and step.note == "harvest 2025"
    assert read_step("mordant alum 12 %, cooled in the pot").note == "cooled in the pot"
    assert read_step("dye raised to 80 C over 45 min, weld").note == "raised to 80 C over 45 min"


def test_an_amount_told_twice_is_one_and_of_two_names_is_asked():
    step = read_step("mordant: alum 18 g (12 %), 80 C", fibre_g=150)
    assert step.materials[0].owf == 12.0 and "18 g" in (step.materials[0].told or "") + step.note
    with pytest.raises(BadValue, match="are not the same"):
        read_step("mordant: alum 20 g (12 %), 80 C", fibre_g=150)
    with pytest.raises(BadValue, match="is that amount of cream of tartar, or of all"):
        read_step("mordant: alum/cream of tartar 12 %")


def test_a_night_with_the_heat_off_is_no_time_at_that_heat():
    step = read_step("mordant: alum 12 %, heat to 80 C, turn off, leave overnight")
    assert step.minutes is None and step.temperature_C == 80.0 and "leave overnight" in step.note


@pytest.mark.parametrize("line", ["- 5 copper dip g", "2025 copper x dip C", "60 'a' chalk dip"])
def test_a_number_before_a_material_and_its_treatment_is_asked_about(line):
    with pytest.raises(BadValue):
        read_step(line)
