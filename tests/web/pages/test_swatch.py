"""One page a swatch: the same numbers as the command, corrections with undo, the bin."""

import re

import pytest

from command import run_json
from swatchbath import desk


def test_it_tells_what_the_command_tells(looked):
    text = looked.look("/swatch/24b")
    told = run_json("show", "24b", folder=looked.folder)
    (m,) = told["measurements"]
    assert "L* {}  a* {}  b* {}".format(*map(round, m["lab"])) in text
    assert f"give or take {m['give_or_take']:.0f}" in text
    for line in told["bath"]:
        assert line in text
    assert "lab(" in text and m["screen"] in text
    # Dry: the facts come first, then what to mind when it is dyed again.
    assert text.index("Its bath") < text.index("iron salts")


def test_its_bath_for_another_weight_has_its_cautions_first_and_the_commands_amounts(looked):
    text = looked.look("/swatch/24b?grams=1.2+kg")
    told = run_json("show", "24b", "--grams", "1.2 kg", folder=looked.folder)["recipe"]
    for treatment in told["treatments"]:
        for line in treatment["weigh"]:
            assert line in text
    assert text.index("iron salts") < text.index(told["treatments"][0]["bath"])


def test_a_weight_that_is_none_is_said_at_its_field(looked):
    text = looked.look("/swatch/24b?grams=much", ok=422)
    assert "&#39;much&#39; is no weight of fibre" in text and 'value="much"' in text


def test_the_whole_photo_is_shown_without_metadata(looked):
    (address,) = re.findall(r'src="(/photo/[^"]+)"', looked.look("/swatch/24b"))
    answer = looked.get(address)
    assert answer.content[:2] == b"\xff\xd8" and b"Exif" not in answer.content


def edit_fields(house, code, **changes):
    """The fields of the edit form as they stand, some typed anew."""
    text = house.look(f"/swatch/{code}/edit")
    fields = dict(re.findall(r'name="(was-[^"]+)" value="([^"]*)"', text))
    fields |= {n.replace("was-", "is-", 1): v for n, v in list(fields.items())}
    return fields | changes


def test_a_correction_is_kept_told_and_taken_back(house):
    before = run_json("show", "24b", folder=house.folder)
    fields = edit_fields(house, "24b", **{"is-temperature_C": "70"})
    to = house.fill("/swatch/24b/edit", fields).headers["location"]
    text = house.look(to)
    assert "70 °C" in text and "was 85" in text and "Undo" in text
    after = run_json("show", "24b", folder=house.folder)["conditions"]
    assert after == before["conditions"] | {"temperature_C": 70.0}
    house.fill("/undo")
    assert run_json("show", "24b", folder=house.folder)["conditions"] == before["conditions"]


def test_nothing_typed_anew_changes_nothing(house):
    before = run_json("show", "24b", folder=house.folder)
    house.fill("/swatch/24b/edit", edit_fields(house, "24b"))
    assert run_json("show", "24b", folder=house.folder) == before


def test_a_value_as_it_is_shown_can_be_typed_again(house):
    before = run_json("show", "24b", folder=house.folder)["conditions"]
    fields = edit_fields(house, "24b")
    told = {n: v for n, v in fields.items() if n.startswith("is-") and n != "is-name"}
    house.fill("/swatch/24b/edit", told)  # without what was there: each is put on record again
    after = run_json("show", "24b", folder=house.folder)["conditions"]
    assert after == before


def test_what_cannot_be_is_said_and_what_she_typed_is_still_there(house):
    fields = edit_fields(house, "24b", **{"is-temperature_C": "190", "is-vessel": "<b>mine</b>"})
    text = house.fill("/swatch/24b/edit", fields, ok=422).text
    assert 'role="alert"' in text and "Temperature of the dye bath" in text
    assert 'value="190"' in text and 'value="&lt;b&gt;mine&lt;/b&gt;"' in text
    assert run_json("show", "24b", folder=house.folder)["conditions"]["temperature_C"] == 85


def test_a_fact_more_is_told(house):
    house.fill("/swatch/24b/edit", {"new": "note", "new_value": "hangs by the window"})
    assert "hangs by the window" in house.look("/swatch/24b")


def test_into_the_bin_and_out(house):
    code = run_json("show", "24b", folder=house.folder)["code"]
    house.fill(f"/swatch/{code}/bin", {"why": "moths"})
    assert house.swatches() == 71
    assert code in house.look("/keep")
    assert "is in the bin" in house.look(f"/swatch/{code}", ok=404)
    house.fill("/keep/take-out", {"code": code})
    assert house.swatches() == 72


def test_a_reading_in_another_state_and_in_the_bin(house):
    house.fill("/swatch/24b/state", {"reading": "1", "state": "wet"})
    assert "wet" in house.look("/swatch/24b")
    house.fill("/undo")
    house.fill("/swatch/24b/bin", {"reading": "1"})
    assert not run_json("show", "24b", folder=house.folder)["measurements"]
    house.look("/swatch/24b")


@pytest.mark.parametrize("reading", ["x", "", "-1", "1e9", "99"])
def test_odd_readings_are_pages(house, reading):
    house.fill("/swatch/24b/state", {"reading": reading, "state": "wet"}, ok=None)
    assert house.swatches() == 72


def test_every_page_of_a_bare_code_is_whole(house):
    with desk.open_library(house.folder) as library:
        (code,) = desk.codes(library, 1)["codes"]
    for path in ("", "/edit"):
        house.look(f"/swatch/{code}{path}")
