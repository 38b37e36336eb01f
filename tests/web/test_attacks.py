"""What others may try: names that climb, pictures that burst, markup in every field."""

import html
import re

import pytest
from starlette.routing import Route

from command import run_json
from page_made import check_page
from swatchbath import desk
from swatchbath.web.app import all_routes

CLIMBS = ["../app.py", "..%2fapp.py", "%2e%2e%2fapp.py", "%2e%2e%5capp.py", "/etc/passwd",
          "%2fetc%2fpasswd", "....//app.py", "C:%5cWindows", "a%00b", "%ff%fe"]  # fmt: skip
MARK = "<b>&\"'</b><script>alert(1)</script>{{ 7 * 7 }}"


@pytest.mark.parametrize("name", CLIMBS)
@pytest.mark.parametrize(
    "where", ["/static/", "/photo/", "/fibre/", "/swatch/", "/job/", "/box/like/"]
)
def test_no_name_climbs_out_of_its_place(looked, where, name):
    answer = looked.get(f"http://127.0.0.1:8123{where}{name}")
    assert answer.status_code in (303, 307, 404, 405, 422)
    assert "root:" not in answer.text and "import" not in answer.text
    if answer.status_code not in (303, 307):
        check_page(answer)


@pytest.mark.parametrize("mark", ["1_2", "1_2_3_4", "a_b_c", "-1_2_3", "1e9_1_1", "nan_1_1",
                                  "999999_999999_1", "1_1_999999", "0_0_0"])  # fmt: skip
def test_an_odd_place_in_a_photo_is_a_page_or_a_picture(looked, mark):
    with desk.open_library(looked.folder) as library:
        photo = library.photos()[0].id
    answer = looked.get(f"/fibre/{photo}/{mark}.jpg?longest=999999")
    assert answer.status_code in (200, 404, 422)
    if answer.status_code != 200:
        check_page(answer)
    assert len(answer.content) < 5_000_000


def test_markup_in_every_field_is_shown_as_it_was_typed(house):
    names = ("note", "place", "name", "vessel", "water", "my own")
    desk_cells = [f"{name}={MARK}" for name in names]
    with desk.open_library(house.folder) as library:
        desk.edit(library, "24b", desk_cells, why=MARK)
    code = run_json("show", MARK, folder=house.folder)["code"]
    for path in ("/", f"/swatch/{code}", f"/swatch/{code}/edit", "/box", "/box?by=lot", "/keep",
                 f"/box/like/{code}"):  # fmt: skip
        text = house.look(path)
        assert "<b>&" not in text and "<script>alert" not in text and ">49<" not in text
    shown = html.unescape(house.look(f"/swatch/{code}"))
    assert MARK in shown


def test_markup_in_every_question_is_shown_as_it_was_typed(looked):
    for path in ("/box?words={}", "/box?by={}", "/box?fibre={}", "/box?bundle={}", "/box?page={}",
                 "/box?waits={}", "/swatch/24b?grams={}", "/swatch/{}", "/job/{}",
                 "/box/like/24b?way={}", "/nothing/{}", "/?key={}"):  # fmt: skip
        answer = looked.get(path.format(MARK.replace("/", "%2f").replace("&", "%26")))
        check_page(answer)
        assert "<b>&" not in answer.text and "<script>alert" not in answer.text


def test_markup_in_every_form_is_a_page(house):
    for route in all_routes():
        if isinstance(route, Route) and "POST" in (route.methods or ()):
            path = re.sub(r"\{.*?\}", "24b", route.path)
            if path in ("/look-round", "/keep/close"):
                continue
            names = ("code", "why", "state", "reading", "place", "new", "new_value", "is-note",
                     "is-<b>", "for_good", "alone", "name", "text", "line", "fibre")  # fmt: skip
            answer = house.fill(path, dict.fromkeys(names, MARK), ok=None)
            assert answer.status_code in (200, 303, 404, 422), path
            if answer.status_code != 303:
                check_page(answer)
            assert "<script>alert" not in answer.text


@pytest.mark.parametrize(
    "body, kind",
    [(b"token=\xff\xfe", "application/x-www-form-urlencoded"),
     (b"a" * 300_000, "application/x-www-form-urlencoded"),
     (b"&".join(b"a%d=1" % i for i in range(5000)), "application/x-www-form-urlencoded"),
     (b"no parts", "multipart/form-data; boundary=x"),
     (b"no parts", "multipart/form-data"),
     (b"--x\r\nContent-Disposition: form-data; name=\"token\"; filename=\"../../a\"\r\n\r\nhi\r\n"
      b"--x--\r\n", "multipart/form-data; boundary=x"),
     (b'{"token": 1}', "application/json")],
    ids=range(7),
)  # fmt: skip
def test_a_broken_form_is_refused_with_a_page(house, body, kind):
    answer = house.post("/undo", content=body, headers={"content-type": kind})
    assert answer.status_code in (400, 403)
    check_page(answer)
    assert house.swatches() == 72


def test_a_damaged_library_is_a_page(house):
    (house.folder / "library.sqlite").write_bytes(b"no library" * 1000)
    for path in ("/", "/box", "/swatch/24b", "/keep"):
        answer = house.get(path)
        assert answer.status_code >= 400
        check_page(answer)


def test_a_library_that_is_gone_is_a_page(house):
    (house.folder / "library.sqlite").unlink()
    for path in ("/", "/box", "/keep", "/swatch/24b"):
        house.look(path, ok=422)  # its photos are there: that is no empty library
