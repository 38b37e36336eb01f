"""The first screen: of no library, of what waits, of a pot that is on, of an invented house."""

import re
import time

from swatchbath import desk


def pot_on(folder):
    """A pot of two parts that is not rinsed; its codes."""
    done = desk.pot(folder, ["mordant: alum 12 %", "dye: weld 80 %, 80 C, 1 h"], fibres=["wool"],
                    after=["none", "iron 2 %, 10 min"])  # fmt: skip
    return [piece.code for piece in done.pieces]


def test_an_empty_library_asks_what_she_would_like_to_do(browse):
    text = browse.look("/")
    for words in ("Do these two match?", "I have a box of old swatches", "I am dyeing today",
                  "Look round an invented dye house", "From 12 swatches"):  # fmt: skip
        assert words in text
    assert not browse.folder.exists()


def test_what_is_made_but_empty_is_empty_too(browse):
    desk.open_library(browse.folder, create=True).close()
    assert "What would you like to do?" in browse.look("/")


def test_swatches_are_shown_by_colour_with_their_fibre(looked):
    text = looked.look("/")
    assert "72 swatches, by colour" in text and "Add photos" in text
    assert text.index("Pink-red") < text.index("Yellow")
    pictures = re.findall(r'src="(/fibre/[^"]+)"', text)
    assert len(pictures) > 20
    answer = looked.get(pictures[0])
    assert answer.headers["content-type"] == "image/jpeg"
    assert "immutable" in answer.headers["cache-control"]


def test_a_pot_stays_on_top_until_it_is_rinsed(house):
    plain, iron = pot_on(house.folder)
    text = house.look("/")
    assert text.index("is not rinsed yet") < text.index("Find a bath for a shade")
    # The cautions of every part, the dangerous first.
    assert text.index("iron salts") < text.index("It is rinsed")
    house.fill("/rinsed", {"code": [plain, iron]})
    text = house.look("/")
    assert "is not rinsed yet" not in text and "Rinsed" in text
    assert "2 swatches to photograph when dry" in text
    house.fill("/undo")
    assert "is not rinsed yet" in house.look("/")


def test_what_waits_is_said_with_the_way_there(house):
    with desk.open_library(house.folder) as library:
        desk.codes(library, 3)
    text = house.look("/")
    (way,) = re.findall(r'<a href="(/box\?[^"]+)">3 swatches with a tag', text)
    assert "3 of 75" in house.look(way)


def test_an_invented_house_is_looked_round_and_left(browse):
    job = browse.fill("/look-round").headers["location"]
    for _ in range(600):
        answer = browse.get(job)
        if answer.status_code == 303:
            break
        assert "invented dye house" in answer.text
        time.sleep(0.1)
    assert answer.headers["location"] == "/"
    text = browse.look("/")
    assert "This is an invented dye house" in text and "72 swatches" in text
    browse.fill("/look-round/leave")
    assert "What would you like to do?" in browse.look("/")
    assert not browse.folder.exists()
