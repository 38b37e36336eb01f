"""From a suggestion to its pot and back: asked, expected, came out, what next; and the tally."""

import pytest

from swatchbath import desk
from swatchbath.colorimetry.difference import delta_e2000
from swatchbath.colorimetry.measurement import Measurement
from swatchbath.desk.entry.came_out import as_suggested, came_out, missed_before, tally
from swatchbath.errors import BadValue
from swatchbath.library import Library

BATH = {"fibre": "wool", "mordant": "alum", "mordant_owf": 12.0, "dyestuff": "madder",
        "dye_owf": 50.0, "temperature_C": 60.0, "minutes": 60.0, "pH": 4.5, "modifier": "none",
        "modifier_owf": 0.0}  # fmt: skip
SAID = {
    "asked": {"called": "swatch 22a", "typed": "22a", "lab": [45.0, 25.0, 20.0]},
    "tolerance": 3.0, "conditions": BATH, "lab": [46.0, 25.0, 21.0], "chance_within": 0.5,
    "words": "red-brown", "bath": ["Dye with 50 % madder."], "title": "", "brings_pH": [],
    "pot_covariance": [[1.0, 0, 0], [0, 1.0, 0], [0, 0, 1.0]],
}  # fmt: skip


@pytest.fixture
def lib(tmp_path):
    with Library(tmp_path / "lib", create=True) as lib:
        yield lib


def given(lib, **otherwise):
    code = lib.add_swatch()
    lib.keep_suggestion(code, SAID | otherwise)
    return code


def read(lib, code, lab, state="dry"):
    lib.add_measurement(code, Measurement(lab), state=state)


def test_it_waits_until_it_is_dyed_and_says_how_to_go_on(lib):
    code = given(lib)
    told = desk.waiting(lib)
    (shown,) = told["waiting"]["given out"]
    assert (
        shown["code"] == code and "22a" in shown["suggested"] and "within 3" in shown["suggested"]
    )
    assert told["next"].endswith(f"swatchbath pot --codes {code}")
    desk.pot(lib, codes=[code])
    swatch = lib.swatch(code)
    assert {k: swatch.conditions[k] for k in ("fibre", "dyestuff", "dye_owf", "minutes")} == {
        "fibre": "wool", "dyestuff": "madder", "dye_owf": 50.0, "minutes": 60.0,
    }  # fmt: skip
    # The acid that was told to bring the pH is on record with it.
    assert swatch.conditions["pH"] == 4.5 and swatch.conditions["assist"] == "vinegar"
    assert as_suggested(lib, swatch) is None


def test_what_was_done_otherwise_is_told_with_it(lib):
    code = given(lib)
    desk.pot(lib, codes=[code], changes=["dye_owf=80"])
    assert lib.swatch(code).conditions["dye_owf"] == 80.0
    read(lib, code, [45, 25, 20])
    told = came_out(lib, code)
    assert not told["as_told"] and "otherwise than suggested" in told["words"]
    with pytest.raises(BadValue, match="--like"):
        desk.pot(lib, codes=[lib.add_swatch()], changes=["dye_owf=80"])


@pytest.mark.parametrize(
    ("lab", "within", "next_"),
    [([45.5, 25, 20], True, "dye the order"), ([55, 20, 30], False, "two jars")],
)
def test_the_answer_says_asked_expected_came_out_and_what_next(lib, lab, within, next_):
    code = given(lib)
    desk.pot(lib, codes=[code])
    assert came_out(lib, code) is None
    read(lib, code, [30, 10, 10], state="wet")
    assert came_out(lib, code) is None  # wet is not the colour dry
    done = desk.record_typed(lib, [], code=code, lab=",".join(map(str, lab)))
    (told,) = done.as_dict()["came_out"]
    assert told["delta_e2000"] == pytest.approx(float(delta_e2000(lab, [45, 25, 20])))
    assert told["from_expected"] == pytest.approx(float(delta_e2000(lab, [46, 25, 21])))
    assert told["within"] is within and next_ in told["next"]
    for word in ("asked", "expected", "came out", f"CIEDE2000 {told['delta_e2000']:.1f}"):
        assert word in told["words"]
    assert desk.show(lib, code)["came_out"] == told


def test_a_photo_before_the_bath_asks_for_the_bath(lib):
    code = given(lib)
    read(lib, code, [45, 25, 20])
    told = came_out(lib, code)
    assert told["next"].endswith(f"swatchbath pot --codes {code}")
    assert "Nothing is told of its bath yet" in told["words"]
    assert tally(lib)["pots"] == 0


def test_readings_of_an_instrument_say_it_too(lib, tmp_path):
    code = given(lib)
    desk.pot(lib, codes=[code])
    table = tmp_path / "readings.csv"
    table.write_text(f"swatch,L,a,b\n{code},45,25,20\n", encoding="utf-8")
    assert desk.record_readings(lib, table).came_out[0]["within"]


def test_the_tally_counts_what_was_dyed_as_suggested(lib):
    assert tally(lib)["words"] == ""
    for i in range(6):
        code = given(lib)
        desk.pot(lib, codes=[code], changes=["mordant_owf=25"] if i == 5 else [])
        read(lib, code, [45, 25, 20] if i < 4 else [70, 0, 40])
    given(lib)  # not dyed yet
    told = tally(lib)
    assert (told["pots"], told["close_enough"], told["otherwise"]) == (5, 4, 1)
    assert told["expected"] == pytest.approx(2.5)
    assert told["words"].startswith("Of 5 pots dyed on a suggestion about 2 should have been close")
    assert "; 4 were." in told["words"] and "1 more pot dyed otherwise" in told["words"]


def test_after_a_miss_the_same_shade_is_led_to_two_jars(lib):
    assert missed_before(lib, "22a") == ""
    code = given(lib)
    desk.pot(lib, codes=[code])
    read(lib, code, [60, 20, 30])
    assert "plan 22a --tolerance 3 --pots 1 --jars 2" in missed_before(lib, "22a")
    assert missed_before(lib, "62,12,48") == ""
    read(lib, code, [45, 25, 20])  # washed, it came out right
    assert missed_before(lib, "22a") == ""
