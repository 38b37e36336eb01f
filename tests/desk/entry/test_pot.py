"""A pot told once, codes given out before, and what each swatch still waits for."""

import pytest

import swatchbath as sb
from command import run
from library_made import a_photo, filled, reading
from record_made import CARD, PHOTO, PLACE
from swatchbath import desk
from swatchbath.errors import BadValue, NotFound
from swatchbath.paper.tags import tags_pdf

STEPS = ["mordant: alum 12 %", "dye: weld 80 %, pH 6"]


def waiting(folder):
    found = desk.waiting(folder)["waiting"]
    return {state: [s["code"] for s in swatches] for state, swatches in found.items()}


def test_an_empty_library_says_what_to_do_with_the_first_three(tmp_path):
    said = run("waiting", "--library", tmp_path / "none").stdout
    for word in ("swatchbath codes 3", "swatchbath pot", "swatchbath photos", "grey card"):
        assert word in " ".join(said.split())
    assert not (tmp_path / "none").exists()


def test_codes_come_first_and_are_never_given_again(tmp_path):
    given = desk.codes(tmp_path, 3, knots=True)
    assert list(given["knots"].values()) == [1, 2, 3]
    more = desk.codes(tmp_path, 2)["codes"]
    assert not set(given["codes"]) & set(more)
    assert waiting(tmp_path) == {"given out": [*given["codes"], *more]}
    with sb.Library(tmp_path) as lib:
        assert lib.find(text="2 knots")[0][0].code == given["codes"][1]


def test_a_given_code_gets_its_bath_and_then_its_photo(tmp_path):
    one, two = desk.codes(tmp_path, 2)["codes"]
    desk.pot(tmp_path, STEPS, fibres=["wool"], codes=[one])
    desk.record_typed(tmp_path, ["fibre=silk", "dyestuff=weld"], code=two)
    assert waiting(tmp_path) == {"to be photographed": [one, two]}
    desk.record(tmp_path, {}, photo=PHOTO, card=CARD, swatch=PLACE, code=one, days=14)
    assert waiting(tmp_path) == {"to be photographed": [two]}
    with sb.Library(tmp_path) as lib:
        assert lib.swatch(one).days == (14.0,)
        assert lib.swatch(two).conditions == {"fibre": "silk", "dyestuff": "weld"}


def test_a_photo_comes_first_and_then_its_bath(tmp_path):
    done = desk.photos(tmp_path / "lib", [a_photo(tmp_path / "skein.png")])
    (code,) = done.new
    assert done.shown == {"skein.png": [code]}
    assert waiting(tmp_path / "lib") == {"to be described": [code], "to be measured": [code]}
    desk.pot(tmp_path / "lib", STEPS, fibres=["wool"], codes=[code])
    assert waiting(tmp_path / "lib") == {"to be measured": [code]}


def test_the_pot_sheet_stands_for_the_bath_until_it_is_typed_in(tmp_path):
    codes = desk.codes(tmp_path / "lib", 2)["codes"]
    page = a_photo(tmp_path / "page.png")
    desk.photos(tmp_path / "lib", [page], pot_sheet=True, codes=codes)
    assert waiting(tmp_path / "lib")["to be typed in"] == codes
    assert waiting(tmp_path / "lib")["to be photographed"] == codes
    desk.pot(tmp_path / "lib", STEPS, fibres=["wool"], codes=codes)
    assert "to be typed in" not in waiting(tmp_path / "lib")


def test_the_bath_before_again_with_one_change(tmp_path):
    first = desk.pot(tmp_path, [*STEPS, "rinse, note cold"], fibres=["wool, bottom"]).codes[0]
    again = list(desk.record_typed(tmp_path, ["pH=5,5"], like=first).codes.values())[0]
    last = desk.pot(tmp_path, like="last", changes=["dye_owf=40"]).codes[0]
    with sb.Library(tmp_path) as lib:
        told = {k: v for k, v in lib.swatch(first).conditions.items() if k != "pot_position"}
        assert lib.swatch(again).conditions == told | {"pH": 5.5}
        assert lib.swatch(again).typed == {"pH": "5,5"}
        assert lib.swatch(last).conditions == told | {"pH": 5.5, "dye_owf": 40.0}
        assert lib.swatch(last).steps[-1].note == "cold"


def test_what_does_not_fit_records_nothing(tmp_path):
    (code,) = desk.codes(tmp_path, 1)["codes"]
    for says, how in [
        ("1 code is given for 4", {"fibres": ["wool", "silk"], "after": ["none", "iron 2 %"]}),
        ("no fibre known", {"fibres": ["woool"]}),
        ("0 to 14", {"fibres": ["wool"], "steps": ["dye: weld, pH 15"]}),
        ("not of which bath", {"changes": ["pH=5"]}),
        ("two ways", {"fibres": ["wool"], "weight": "1,500 g"}),
    ]:
        with pytest.raises(BadValue, match=says):
            desk.pot(tmp_path, how.pop("steps", STEPS), codes=[code], **how)
    with pytest.raises(NotFound):
        desk.pot(tmp_path, like="no such")
    assert waiting(tmp_path) == {"given out": [code]}


def test_the_unusual_is_asked_about_once_for_a_whole_pot(tmp_path):
    done = desk.pot(tmp_path, ["dye: weld 600 %, pH 13"], fibres=["wool", "silk", "linen"])
    assert len(done.questions) == 2
    assert all("Row" not in question for question in done.questions)


def test_tags_read_back_from_the_page(tmp_path):
    codes = desk.codes(tmp_path, 30)["codes"]
    data = tags_pdf(codes, knots=range(1, 31))
    assert data == tags_pdf(codes, knots=range(1, 31))
    assert data.startswith(b"%PDF") and data.count(b"/Type /Page\n") == 2
    with pytest.raises(BadValue, match="knots"):
        desk.codes(tmp_path, 21, knots=True)


def test_a_state_and_days_are_shown(tmp_path):
    with sb.Library(tmp_path, create=True) as lib:
        code = filled(lib)
        lib.add_measurement(code, reading(), state="dry washed", days=21)
    said = run("show", code, "--library", tmp_path).stdout
    assert "dry washed, 21 days after dyeing" in " ".join(said.split())


def test_pieces_of_one_lot_are_dyed_over_together_and_keep_their_lot_and_day(tmp_path):
    first = desk.pot(tmp_path, STEPS, fibres=["wool", "silk"], lot="P1", day="2026-11-02")
    over = desk.pot(tmp_path, ["overdye: madder 10 %"], codes=first.codes)
    assert over.codes == first.codes
    with sb.Library(tmp_path) as lib:
        for code in first.codes:
            swatch = lib.swatch(code)
            assert (swatch.lot, swatch.session) == ("P1", "2026-11-02")
            assert swatch.steps[-1].materials[0].name == "madder"


def test_the_day_told_of_the_mordant_stays_when_the_dye_is_told(tmp_path):
    codes = desk.codes(tmp_path, 2)["codes"]
    desk.pot(tmp_path, STEPS[:1], fibres=["wool", "silk"], codes=codes, day="2026-11-03")
    desk.pot(tmp_path, STEPS[1:], codes=codes)
    with sb.Library(tmp_path) as lib:
        assert {lib.swatch(c).session for c in codes} == {"2026-11-03"}
    one, two = desk.codes(tmp_path, 2)["codes"]
    desk.pot(tmp_path, STEPS[:1], fibres=["wool"], codes=[one], day="2026-11-03")
    desk.pot(tmp_path, STEPS[:1], fibres=["wool"], codes=[two], day="2026-11-04")
    with pytest.raises(BadValue, match="different dye days"):
        desk.pot(tmp_path, STEPS[1:], codes=[one, two])
    desk.pot(tmp_path, STEPS[1:], codes=[one, two], day="2026-11-05")


def test_grams_on_fibre_of_unknown_weight_are_said_to_be_of_no_known_percentage(tmp_path):
    lines = ["mordant: alum 12 %", "dye: weld 40 g, 80 C"]
    said = desk.pot(tmp_path, lines, fibres=["wool 60 g", "silk"]).questions
    assert len(said) == 1 and "weld" in said[0] and "--weight" in said[0] and "alum" not in said[0]
    assert not desk.pot(tmp_path, lines, fibres=["wool 60 g", "silk"], weight="100 g").questions


def test_all_lines_of_a_bath_are_told_back_where_one_was_corrected(tmp_path):
    first = desk.pot(tmp_path, STEPS, fibres=["wool"]).codes[0]
    again = desk.pot(tmp_path, like=first, changes=["pH=5"]).codes[0]
    with sb.Library(tmp_path) as lib:
        told = desk.show(lib, again)["as_told"]
    assert told[0] == STEPS[0] and len(told) == 2 and "pH 5" in told[1] and "weld" in told[1]
