"""Ask for a shade: every arrival leads to baths, and the numbers are those of the command line."""

import html
import re
from urllib.parse import urlencode

import pytest

from swatchbath import desk
from swatchbath.web.pages.shade import ARRIVALS


def plain(text):
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", text)).split())


def settled(browser, path):
    """A page that may first show how far its work is."""
    answer = browser.get(path)
    for _ in range(400):
        if answer.status_code != 303 or "/job/" not in answer.headers["location"]:
            break
        name = answer.headers["location"].rpartition("/")[2]
        browser.app.state.shared.jobs.get(name).ended.wait(60)
        answer = browser.get(path)
    assert answer.status_code == 200, answer.text
    return answer.text


@pytest.fixture(scope="module")
def baths(looked_module):
    return settled(looked_module, "/shade/baths?shade=22a&grams=1.2+kg&pot=20+litres")


def test_what_it_says_is_what_the_desk_says(baths, looked_module):
    with desk.open_library(looked_module.folder) as library:
        told = desk.suggest_typed(
            library, "22a", grams="1.2 kg", pot="20 litres", limits=[]
        ).as_dict()
    text = plain(baths)
    for idea in told["ideas"]:
        assert idea["expect"] in text and idea["odds"] in text
        for line in (*idea["bath_in_short"], *idea["weigh"], idea["pots"]):
            assert line in text
        assert all(p["code"] in text for p in idea["precedents"])
    assert told["at_best"] in text and told["trust"] in text


def test_cautions_stand_before_amounts(baths):
    for article in re.findall(r"<article.*?</article>", baths, re.S):
        told = plain(article)
        assert told.index("Take care") < told.index("For 1.2 kg")
        assert told.index("pot") < told.index("Take care")  # colour and chance before


def test_the_shade_lies_against_every_bath(baths):
    for article in re.findall(r"<article.*?</article>", baths, re.S):
        pair = re.search(r'<figure class="touching large">.*?</figure>', article, re.S)[0]
        assert 'aria-label="asked' in pair and 'aria-label="expected' in pair


def test_out_of_reach_is_said_and_nothing_is_weighed(looked_module):
    text = plain(settled(looked_module, f"/shade/baths?{urlencode({'shade': '#26303c'})}"))
    assert "Not with what is recorded so far" in text and "Blue comes from indigo or woad" in text
    assert "alum:" not in text


def test_limits_from_the_form_hold(looked_module):
    text = settled(looked_module, "/shade/baths?shade=22a&fibre=silk&cupboard=madder&limit=pH%3D7")
    articles = [
        plain(a) for a in re.findall(r'<article class="paper bath" id.*?</article>', text, re.S)
    ]
    assert articles and all("silk" in a and "madder" in a for a in articles)
    assert 'value="pH=7"' in text and re.search(r'value="silk" selected', text)


@pytest.mark.parametrize(
    ("asked", "sentence"),
    [({"shade": "nonsense"}, "no swatch"), ({"shade": "22a", "grams": "much"}, "much"),
     ({"shade": "22a", "close": "near"}, "a number such as 2"),
     ({"shade": "22a", "limit": "pH=30"}, "pH")],
)  # fmt: skip
def test_what_cannot_be_asked_is_a_sentence_and_keeps_what_was_typed(looked, asked, sentence):
    text = looked.look(f"/shade/baths?{urlencode(asked)}", ok=422)
    alert = re.search(r'role="alert">(.*?)</p>', text, re.S)[1]
    assert sentence in alert
    for value in asked.values():
        if value not in ("near",):
            assert f'value="{value}"' in text


def test_every_arrival_says_what_to_do_first(looked):
    start = looked.look("/shade")
    for name, about in ARRIVALS.items():
        assert f"/shade/from/{name}" in start
        page = looked.look(f"/shade/from/{name}")
        assert about["title"] in plain(page)
        assert ("/add?from=shade" in page) == about["photo"]


def test_a_picture_is_answered_with_three_of_hers_and_an_eye(looked):
    page = looked.look(f"/shade/from/picture?{urlencode({'wish': '#c8a050'})}")
    codes = re.findall(r'name="code" value="([^"]+)"', page)
    assert len(codes) == 3
    answer = looked.get(f"/shade/eye?code={codes[1]}&but=darker&but=redder&but=<b>")
    assert answer.headers["location"] == f"/shade/baths?shade={codes[1]}&but=darker&but=redder"


def test_a_step_that_no_pot_reached_is_hatched(looked):
    page = looked.look("/shade/like/22a")
    with desk.open_library(looked.folder) as library:
        steps = desk.steps_from(library, "22a")
    assert {s["reached"] for s in steps} == {True, False}
    assert page.count('side hatched"') == sum(not s["reached"] for s in steps)
    assert page.count("no pot of yours lies there yet") == sum(not s["reached"] for s in steps)


def test_dye_this_one_gives_a_code_and_its_pot_sheet_and_undo(house):
    before = house.swatches()
    asked = {"shade": "22a", "grams": "500 g", "number": "2", "fibre": "", "close": "2"}
    answer = house.fill("/shade/dye", asked)
    where = answer.headers["location"]
    assert house.swatches() == before + 1 and re.fullmatch(r"/again/\w{5}\?grams=500\+g", where)
    sheet = house.look(where)
    text = plain(sheet)
    assert "Write" in text and text.index("Take care") < text.index("alum:")
    code = where[7:12]
    dyed = house.fill(f"/again/{code}", {"grams": "500 g", "changes": "pH=6"})
    assert code in dyed.headers["location"]
    with desk.open_library(house.folder) as library:
        swatch = library.swatch(code)
        assert swatch.has_bath and swatch.conditions["pH"] == 6
    house.fill("/undo")
    with desk.open_library(house.folder) as library:
        assert not library.swatch(code).has_bath


def test_an_empty_box_says_what_to_do_first(browse):
    for path in ("/shade", "/again", "/sure"):
        assert "Your box is empty" in plain(browse.look(path))
    assert browse.get("/shade/baths?shade=22a").status_code in (404, 422)


def test_a_day_of_samples(looked_module):
    text = plain(settled(looked_module, "/shade/day?shade=22a&pots=2&jars=2"))
    with desk.open_library(looked_module.folder) as library:
        told = desk.plan(library, "22a", pots=2, jars=2).as_dict()
    assert told["summary"] in text and told["when"] in text
    assert text.index("Take care") < text.index(told["day"]["pots"][0]["dye"][0]["how"])
    wrong = looked_module.look("/shade/day?shade=22a&pots=many", ok=422)
    assert "whole numbers" in wrong
