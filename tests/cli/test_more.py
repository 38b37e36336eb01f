"""What `suggest` prints beside its ideas, and its options."""

import json

import pytest

import command
import swatchbath as sb
from vat_house import plant_baths, vat_strips


@pytest.fixture(scope="module")
def house(tmp_path_factory):
    folder = tmp_path_factory.mktemp("more") / "library"
    with sb.Library(folder, create=True) as lib:
        codes = {"vat": vat_strips(lib)} | plant_baths(lib)
    return str(folder), codes


def asked(house, *words, ok=0):
    return command.run("suggest", *words, "--library", house[0], "-k", 2, ok=ok)


def one_line(text):
    return " ".join(text.split())


def test_a_blue_is_told_first_and_its_cautions_before_it(house):
    text = one_line(asked(house, "39,-5,-22").stdout)
    dip = text.index("one dip more")
    assert text.index("Your nearest vat swatch is") < dip < text.index(" 1. ")
    assert text.index("Take care:") < dip
    assert text.count("no food pots") == 1  # a caution stands once


def test_a_green_is_told_after_the_first_idea(house):
    text = one_line(asked(house, "48,-18,14").stdout)
    assert text.index(" 1. ") < text.index("Green is a paler blue") < text.index("Never dyed:")


def test_directions_on_the_line(house):
    code = house[1]["weld"][6]
    told = json.loads(asked(house, code, "--lighter", "--lighter", "--greyer", "--json").stdout)
    assert told["changes"]["asked"] == "much lighter and greyer"
    assert told["target"]["called"].endswith("but much lighter and greyer")
    assert f"From {code}: " in one_line(asked(house, code, "--lighter").stdout)


def test_yarn_on_the_line(house):
    weld = house[1]["weld"]
    text = one_line(asked(house, "60,18,52", "--onto", weld[5]).stdout)
    assert f"Never dyed: over {weld[5]}, " in text
    assert "not lightened" in one_line(asked(house, "88,0,20", "--onto", weld[7]).stdout)


def test_a_direction_without_a_swatch_is_refused(house):
    assert "one of your swatches" in one_line(asked(house, "62,12,48", "--bluer", ok=2).stderr)
