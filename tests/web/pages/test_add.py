"""Add photos: from what was sent to the box, with what may go wrong at each step."""

import csv
import json
import re

import numpy as np
import pytest

import sheet_drawing as drawn
from command import run
from swatchbath import desk
from web_marks import HOUSE, SPOTS, after_jobs, sent, words

CARD = "{:.0f},{:.0f}".format(*SPOTS["card"][0])
AT = ["{:.0f},{:.0f}".format(*spot) for spot in SPOTS["swatch"]]
UGLY = "<script>alert(1)</script>"


def marked(browser, at, **more):
    """A photo that is marked; its id and the page of its colours."""
    draft = sent(browser, "/add", **more)
    answer = browser.fill("/add/mark", {"draft": draft, "card": CARD, "at": at})
    return draft, after_jobs(browser, answer.headers["location"])


def on_record(browser):
    with desk.open_library(browser.folder) as library:
        return {s.code: s for s, _ in library.find(k=200)}


def test_to_the_box_and_back(browse):
    draft, page = marked(browse, AT[:2])
    text = words(page)
    assert "What are they?" in text and "give or take" in text
    assert page.text.count("mark=") >= 3  # the marks are drawn back
    fields = {"draft": draft, "place": ["1", "2"], "what-1": "lines", "what-2": "", "name-2": "17",
              "fibre": "wool", "lines": "mordant: alum 12 %\ndye: madder 40 %"}  # fmt: skip
    done = after_jobs(browse, browse.fill("/add/say", fields).headers["location"])
    assert "Recorded" in words(done) and "17" in words(done)
    assert sorted(s.name or "" for s in on_record(browse).values()) == ["", "17"]
    assert "not on record yet" not in browse.look("/")
    browse.fill("/undo")
    assert on_record(browse) == {}


def test_what_she_typed_stands_there_again_where_something_is_wrong(browse):
    draft, _ = marked(browse, AT[:1])
    fields = {"draft": draft, "place": "1", "what-1": "lines", "name-1": UGLY, "fibre": "wool",
              "lines": f"gibberish {UGLY}"}  # fmt: skip
    answer = browse.fill("/add/say", fields, ok=422)
    text = words(answer)
    assert "gibberish" in text and UGLY not in answer.text
    assert 'value="lines" selected' in answer.text
    assert not (browse.folder / "library.sqlite").exists()
    assert draft in browse.look("/")


def test_a_code_that_waits_is_offered_and_filled(house):
    (code,) = desk.codes(house.folder, 1)["codes"]
    draft, page = marked(house, AT[:1])
    assert f'value="code:{code}"' in page.text
    house.fill("/add/say", {"draft": draft, "place": "1", "what-1": f"code:{code}"})
    assert on_record(house)[code].measured is not None


def test_the_last_bath_with_one_change(house):
    draft, page = marked(house, AT[:1])
    assert "dyed like" in words(page)
    answer = house.fill("/add/say", {"draft": draft, "place": "1", "what-1": "last",
                                     "column-1": "pH", "value-1": "5"})  # fmt: skip
    code = answer.headers["location"].rsplit("/", 1)[-1]
    assert on_record(house)[code].conditions["pH"] == 5


def test_old_swatches_take_their_numbers_as_names(browse):
    draft, page = marked(browse, AT[:2], **{"from": "old"})
    assert 'name="name-2" type="text" value="2"' in page.text
    browse.fill("/add/say", {"draft": draft, "place": ["1", "2"], "what-1": "", "name-1": "31",
                             "what-2": "leave out"})  # fmt: skip
    assert [s.name for s in on_record(browse).values()] == ["31"]


def test_on_the_printed_sheet_nothing_is_marked(browse, tmp_path):
    codes = desk.codes(browse.folder, 2)["codes"]
    layout, light = drawn.draw_sheet(4, "A4", codes=codes, rng=np.random.default_rng(5))
    camera = drawn.Camera(size=(1500, 2000))
    drawn.take(layout, light, camera, np.random.default_rng(0), tmp_path, "sheet.jpg")
    with open(tmp_path / "sheet.jpg", "rb") as photo:
        answer = browse.fill("/add", files={"photo": ("sheet.jpg", photo, "image/jpeg")})
    draft = answer.headers["location"].split("=")[1]
    page = after_jobs(browse, browse.fill("/add/mark", {"draft": draft}).headers["location"])
    for code in codes:
        assert f'value="code:{code}" selected' in page.text
    names = re.findall(r'name="place" value="([^"]+)"', page.text)
    fields = {f"what-{n}": f"code:{n}" if n in codes else "leave out" for n in names}
    browse.fill("/add/say", {"draft": draft, "place": names} | fields)
    assert all(on_record(browse)[code].measured is not None for code in codes)


def test_without_a_card_the_photo_is_kept(browse):
    draft = sent(browse, "/add")
    answer = browse.fill("/add/mark", {"draft": draft, "no_card": "yes", "at": AT[:1]})
    page = after_jobs(browse, answer.headers["location"])
    assert "What is it?" in words(page) and "give or take" not in words(page)
    browse.fill("/add/say", {"draft": draft, "place": "1", "what-1": ""})
    (one,) = on_record(browse).values()
    assert one.measured is None and one.shown == (("a.jpg", "swatch"),)


@pytest.mark.parametrize("marks", [{"card": "1,1", "at": AT[:1]}, {"card": CARD, "at": ["1,1"]},
                                   {"card": CARD, "at": ["x"]}, {}], ids=str)  # fmt: skip
def test_marks_that_find_nothing_are_said_where_they_are_made(browse, marks):
    draft = sent(browse, "/add")
    answer = browse.fill("/add/mark", {"draft": draft} | marks, ok=None)
    if answer.status_code == 303:
        answer = after_jobs(browse, answer.headers["location"])
    text = words(answer)
    assert "Read the colours" in text and "--" not in text
    assert draft in browse.look("/")


def test_a_shade_in_a_photo_beside_her_own(house):
    photo = HOUSE / "photos" / "shade_01.jpg"
    draft = sent(house, "/add", photo=photo, **{"from": "shade", "as": "scrap"})
    assert "The codes of your own swatches" in house.look(f"/add/mark?draft={draft}")
    with open(HOUSE / "shade.csv", encoding="utf-8") as table:
        rows = list(csv.DictReader(table))
    at = {k: [f"{r['x']},{r['y']},{r['half']}" for r in rows if r["kind"] == k]
          for k in ("card", "swatch", "beside")}  # fmt: skip
    names = [r["name"] for r in rows if r["kind"] == "beside"]
    fields = {"draft": draft, "card": at["card"], "shade": at["swatch"], "at": at["beside"]}
    page = after_jobs(house, house.fill("/add/mark", fields).headers["location"])
    assert page.status_code == 422 and "one code for each mark" in words(page)
    fields |= {"codes": ", ".join(names)}
    page = after_jobs(house, house.fill("/add/mark", fields).headers["location"])
    beside = [w for name, place in zip(names, at["beside"], strict=True)
              for w in ("--beside", f"{name}={place}")]  # fmt: skip
    done = run("suggest", "--photo", photo, "--card", at["card"][0], "--at", at["swatch"][0],
               *beside, "--library", house.folder, "--json", ok=None)  # fmt: skip
    told = json.loads(done.stdout)
    assert "For the shade in a.jpg" in words(page)
    assert all(one in words(page) for one in told["target"]["said"])
    assert all(idea["odds"] in words(page) for idea in told["ideas"])
    none = {"draft": draft, "card": CARD, "shade": ""}
    assert "Mark the shade first" in house.fill("/add/mark", none, ok=422).text


def test_codes_before_the_pot(browse):
    fields = {"count": "2", "fibre": "wool", "lines": "mordant: alum 12 %\ndye: weld 80 %"}
    text = words(browse.fill("/add/codes", fields, ok=200))
    codes = list(on_record(browse))
    assert len(codes) == 2 and all(
        code in text and on_record(browse)[code].has_bath for code in codes
    )
    for wrong in (
        {"count": "0"},
        {"count": "many"},
        {"count": "1", "lines": "foo", "fibre": "wool"},
    ):
        assert browse.fill("/add/codes", wrong, ok=422)
    assert len(on_record(browse)) == 2


def test_a_photo_is_taken_away(browse):
    draft = sent(browse, "/add")
    browse.fill(f"/draft/{draft}/away")
    assert browse.get(f"/draft/{draft}.jpg").status_code == 404
    assert draft not in browse.look("/")


def test_pictures_of_a_draft_carry_no_metadata(browse):
    draft = sent(browse, "/add")
    whole = browse.get(f"/draft/{draft}.jpg?longest=960&mark=one=300,200")
    assert whole.headers["content-type"] == "image/jpeg" and b"Exif" not in whole.content
    assert browse.get(f"/draft/{draft}/300_200_20.jpg").status_code == 200
    for mark in ("99999_5_5", "a_b_c", "1_2_3_4"):
        assert browse.get(f"/draft/{draft}/{mark}.jpg").status_code == 422


def test_a_diary_line_is_read_as_she_types(browse):
    answer = browse.get("/add/read", params={"lines": f"dye: weld 80 %\n{UGLY}", "fibre": UGLY})
    assert "80 % weld" in answer.text and "<script" not in answer.text
