"""Dye it again, 1.2 kg: to a pot sheet in three taps, and a code for it."""

import html
import re

from swatchbath import desk


def plain(text):
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", text)).split())


def test_three_taps_to_a_pot_sheet(looked):
    assert 'href="/again"' in looked.look("/")
    found = looked.look("/again?words=22a")
    code = re.search(r'href="/again/(\w+)"', found)[1]
    text = plain(looked.look(f"/again/{code}?grams=1.2+kg&pot=20+litres"))
    with desk.open_library(looked.folder) as library:
        recipe = desk.show(library, "22a", grams="1.2 kg")["recipe"]
        cautions = desk.show(library, "22a")["cautions"]
    for treatment in recipe["treatments"]:
        for line in treatment["weigh"]:
            if "pot of" not in line:
                assert line in text
    assert "A pot of 20 litres does not hold" in text
    first = min(text.index(c) for c in cautions)
    assert all(c in text for c in cautions) and first < text.index("alum: 144 g")
    assert "10 g of untreated wool" not in text  # the weight of the old pot


def test_a_code_for_what_is_dyed_again(house):
    before = house.swatches()
    answer = house.fill("/again/22a", {"grams": "250 g", "changes": "temperature_C=60"})
    code = answer.headers["location"].rpartition("=")[2]
    with desk.open_library(house.folder) as library:
        swatch = library.swatch(code)
    assert house.swatches() == before + 1
    assert swatch.conditions["temperature_C"] == 60 and swatch.conditions["fibre_g"] == 250
    assert swatch.conditions["dyestuff"] == "madder"
    house.fill("/undo")
    assert house.swatches() == before


def test_what_cannot_be_dyed_again_is_a_sentence(house):
    with desk.open_library(house.folder) as library:
        code = desk.codes(library, 1)["codes"][0]
    assert "Nothing is told of the bath" in plain(house.look(f"/again/{code}", ok=422))
    assert "no swatch" in plain(house.look("/again/nonsense", ok=404))
    answer = house.post(
        "/again/22a", data={"token": house.token(), "grams": "", "changes": "pH=99"}
    )
    assert answer.status_code == 422 and "pH" in answer.text
