"""A shade's history: pieces are kept, lots judged beside them, and the command says the same."""

import json

from command import run
from web_marks import words


def kept(house, **more):
    fields = {
        "what": "20a",
        "name": "autumn <gold>",
        "lies": "a blue tin",
        "for": "customer",
    } | more
    return house.fill("/history/keep", fields)


def test_a_lot_is_judged_as_the_command_does(house):
    kept(house)
    answer = house.fill("/history/judge", {"piece": "autumn <gold>", "lot": "21a"})
    page = house.get(answer.headers["location"])
    done = run("judge", "autumn <gold>", "21a", "--library", house.folder, "--json", ok=None)
    told = json.loads(done.stdout)
    text = words(page)
    assert told["verdict_words"] in text and told["history"]["words"] in text
    assert f"CIEDE2000 {told['delta_e2000']:.1f}" in text
    assert "<gold>" not in page.text and "swatchbath" not in text.partition("· swatchbath")[2]


def test_to_look_writes_nothing(house):
    kept(house)
    asked = "/history/lot?piece=autumn+<gold>&lot=21a"
    assert house.get(asked).headers["location"].startswith("/history?piece=")
    told = json.loads(run("piece", "--library", house.folder, "--json").stdout)
    assert told["pieces"][0]["judged"] == 0


def test_undo_and_let_go(house):
    kept(house)
    house.fill("/history/let-go", {"piece": "autumn <gold>"})
    assert "Keep a piece" in house.look("/history") and "a blue tin" not in house.look("/history")
    house.fill("/undo")
    assert "a blue tin" in house.look("/history")


def test_what_is_wrong_is_said_and_what_she_typed_stands_there(house):
    answer = house.fill("/history/keep", {"what": "nothing", "name": "x", "lies": "tin 9"}, ok=422)
    assert 'value="tin 9"' in answer.text
    kept(house)
    answer = house.fill("/history/judge", {"piece": "autumn <gold>", "lot": "nothing"}, ok=422)
    assert 'value="nothing"' in answer.text
    words(answer)


def test_an_empty_house_is_told_what_to_do_first(browse):
    assert "in the dark" in browse.look("/history")
    assert "no library" in words(browse.fill("/history/keep", {"what": "a", "name": "b"}, ok=422))
