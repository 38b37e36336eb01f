"""A week of a pot diary, each entry told by the shortest way, and out again the same.

The diary is invented. What is counted is written down here: entries, words typed after the verb
or function, and questions the program asked back.
"""

import pytest

import swatchbath as sb
from library_made import a_photo
from swatchbath import desk

IRON_JAR = "iron liquor, jar J2, strip {strip}, 10 min"


class Diary:
    """Tells a library what the diary says, and counts what that took."""

    def __init__(self, folder):
        self.folder = folder
        self.entries = 0
        self.asked = []
        self.told = 0  # things that had to be said: lines, fibres, codes, values

    def pot(self, *steps, **more):
        self.entries += 1
        self.told += len(steps)
        for value in more.values():
            self.told += 1 if isinstance(value, str) else len(value)
        done = desk.pot(self.folder, steps, **more)
        self.asked += done.questions
        assert done.cautions and done.general
        return done

    def codes(self, count):
        self.entries += 1
        self.told += 1
        return desk.codes(self.folder, count)["codes"]


@pytest.fixture
def week(tmp_path):
    diary = Diary(tmp_path / "library")
    got = {}
    # Monday: three wool skeins into a cold alum bath for two days; codes on tags first.
    got["monday"] = diary.codes(3)
    diary.pot("mordant: alum 12 %, 60 F, 48 h", fibres=["wool"], codes=got["monday"])
    # Tuesday: a strip of cotton in the jar of home-made iron, so that jars can be compared.
    strip = diary.pot("after-bath: iron liquor, jar J2, 10 min", fibres=["cotton"])
    got["strip"] = strip.codes[0]
    # Wednesday: fresh weld over all three; the same liquor again for another skein.
    got["weld"] = diary.pot(
        "dye: 900 g fresh weld, 80 C, 1 h, pH 6,5 strip, rain water, in steel",
        codes=got["monday"],
        weight="300 g",
        day="Wednesday",
    )
    got["exhaust"] = diary.pot(like=got["monday"][0], changes=["bath_number=2"], day="Wednesday")
    # Thursday: tannin and alum on cotton, dyed with madder, split among three after-baths.
    got["cotton"] = diary.pot(
        "scour: soda ash 10 % + soap 3 %, 95 C, 2 h",
        "tannin: gallnut 8 %, 50 C, 1 h",
        "mordant: alum 15 % + washing soda 2 %, 50 C, 1 h",
        "dye: 50 % WOF madder (M25), chalk 3 %, 140 F, 1 h, 1:30",
        fibres=["cotton"],
        after=["none", IRON_JAR.format(strip=got["strip"]), "ash lye, pH 9.5 meter, 5 min"],
        weight="3.5 oz",
        day="Thursday",
    )
    # Friday: the second weld skein goes over into the vat for green, and linen by itself.
    vat = "vat: indigo, fructose, 3 dips of 10 min, 50 C, 5 days old"
    got["green"] = diary.pot(vat, codes=[got["monday"][1]])
    got["blue"] = diary.pot(vat, fibres=["linen"], day="Friday")
    # Saturday: a grid, fibres by after-baths.
    got["grid"] = diary.pot(
        "mordant: alum 12 %",
        "dye: onion skin 50 %, 90 C, 45 min",
        fibres=["wool", "superwash wool, bottom", "silk"],
        after=["none", "iron 2 %, 5 min"],
        day="Saturday",
    )
    # Sunday: the pH of the split madder pot was misread; the last page is photographed as it is.
    with sb.Library(diary.folder) as lib:
        lib.edit(got["cotton"].codes[0], {"temperature_C": "65 C"}, why="misread")
    diary.entries, diary.told = diary.entries + 1, diary.told + 3
    sheet = a_photo(tmp_path / "page.png")
    got["page"] = desk.photos(diary.folder, [sheet], pot_sheet=True).new
    diary.entries, diary.told = diary.entries + 1, diary.told + 1
    return diary, got


def conditions(week, code):
    with sb.Library(week[0].folder) as lib:
        return lib.swatch(code).conditions


WELD = {
    "fibre": "wool",
    "mordant": "alum",
    "mordant_owf": 12.0,
    "mordant_C": 15.6,
    "mordant_minutes": 2880.0,
    "dyestuff": "weld",
    "dyestuff_form": "fresh",
    "dye_owf": 300.0,
    "temperature_C": 80.0,
    "minutes": 60.0,
    "pH": 6.5,
    "pH_read": "strip",
    "water": "rain",
    "vessel": "steel",
}
MADDER = {
    "fibre": "cotton",
    "fibre_g": pytest.approx(99.2, abs=0.05),
    "scour": "soda ash",
    "tannin": "gallnut",
    "tannin_owf": 8.0,
    "mordant": "alum",
    "mordant_owf": 15.0,
    "mordant_C": 50.0,
    "mordant_minutes": 60.0,
    "mordant_assist": "washing soda",
    "mordant_assist_owf": 2.0,
    "dyestuff": "madder",
    "dyestuff_lot": "M25",
    "dye_owf": 50.0,
    "assist": "chalk",
    "assist_owf": 3.0,
    "temperature_C": 65.0,
    "minutes": 60.0,
    "liquor_ratio": 30.0,
}
VAT = {"dips": 3.0, "dip_minutes": 10.0, "days": 5.0, "C": 50.0}


def test_told_in_stages_with_a_cold_mordant_and_fresh_plants(week):
    code = week[1]["monday"][0]
    assert conditions(week, code) == WELD
    with sb.Library(week[0].folder) as lib:
        assert lib.swatch(code).session == "Wednesday"
        assert [s.kind for s in lib.swatch(code).steps] == ["mordant", "dye"]


def test_the_liquor_used_again(week):
    assert conditions(week, week[1]["exhaust"].codes[0]) == WELD | {"bath_number": 2.0}


def test_one_lot_split_among_after_baths(week):
    done = week[1]["cotton"]
    assert [p.part for p in done.pieces] == ["a", "b", "c"]
    plain, iron, lye = (conditions(week, c) for c in done.codes)
    assert plain == MADDER | {"modifier": "none"}
    assert iron == MADDER | {
        "modifier": "iron liquor",
        "modifier_lot": "J2",
        "modifier_strip": week[1]["strip"],
        "modifier_minutes": 10.0,
    }
    assert lye == MADDER | {"modifier": "ash lye", "modifier_pH": 9.5, "modifier_minutes": 5.0}
    with sb.Library(week[0].folder) as lib:
        assert len({lib.swatch(c).lot for c in done.codes}) == 1
        # All of it stays, also what no column holds.
        scour = lib.swatch(done.codes[0]).steps[0]
        assert [m.name for m in scour.materials] == ["soda ash", "soap"]
        kept = lib.swatch(done.codes[0]).steps[2].materials
        assert [(m.role, m.name) for m in kept] == [("mordant", "alum"), ("assist", "washing soda")]
        assert (scour.temperature_C, scour.minutes) == (95.0, 120.0)
        assert lib.swatch(done.codes[0]).typed["fibre_g"] == "3.5 oz"


def test_a_vat_by_itself_and_over_another_dye(week):
    blue = conditions(week, week[1]["blue"].codes[0])
    assert blue == {"fibre": "linen", "dyestuff": "indigo", "vat": "fructose"} | {
        f"vat_{k}": v for k, v in VAT.items()
    }
    over = {"dyestuff_2": "indigo", "dye_2_how": "over", "vat_2": "fructose"}
    green = conditions(week, week[1]["green"].codes[0])
    assert green == WELD | over | {f"vat_{k}_2": v for k, v in VAT.items()}


def test_a_grid_is_told_as_a_grid(week):
    found = [conditions(week, code) for code in week[1]["grid"].codes]
    assert [(c["fibre"], c.get("fibre_form"), c["modifier"]) for c in found] == [
        ("wool", None, "none"),
        ("wool", None, "iron"),
        ("wool", "superwash", "none"),
        ("wool", "superwash", "iron"),
        ("silk", None, "none"),
        ("silk", None, "iron"),
    ]
    assert found[2]["pot_position"] == "bottom"


def test_a_correction_is_remembered_with_its_reason(week):
    with sb.Library(week[0].folder) as lib:
        said = " ".join(e["what"] for e in lib.history(week[1]["cotton"].codes[1]))
    assert "temperature of the dye bath: 65 °C, was 60 °C" in said and "misread" in said


def test_what_is_left_to_do(week):
    left = desk.waiting(week[0].folder)["waiting"]
    assert [s["code"] for s in left["to be typed in"]] == week[1]["page"]
    assert len(left["to be photographed"]) == left_without_a_photo(week)
    assert "given out" not in left


def left_without_a_photo(week):
    with sb.Library(week[0].folder) as lib:
        return len(lib)


def test_what_the_week_took(week):
    diary, _ = week
    # Eleven entries, the correction among them, made 16 swatches; nothing was asked back.
    assert diary.entries == 11
    assert left_without_a_photo(week) == 16
    assert diary.asked == []
    assert diary.told == 44


def test_the_week_goes_out_and_comes_in_again(week, tmp_path):
    diary, _ = week
    desk.export(diary.folder, tmp_path / "out")
    desk.take(tmp_path / "again", tmp_path / "out")
    with sb.Library(diary.folder) as one, sb.Library(tmp_path / "again") as two:
        assert [one.swatch(c) for c in one.codes()] == [two.swatch(c) for c in two.codes()]
        assert one.as_values() == two.as_values()
