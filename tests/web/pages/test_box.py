"""The box: bundles, filters and pages; it shows what the command finds."""

import re

import pytest

from command import run_json
from swatchbath import desk


def codes(text):
    """The swatches a page shows, in order."""
    return re.findall(r'<a href="/swatch/(\w+)">', text)


def test_an_empty_box_says_what_to_do_with_the_first_three(browse):
    assert "three swatches" in browse.look("/box")
    desk.open_library(browse.folder, create=True).close()
    assert "three swatches" in browse.look("/box")


@pytest.mark.parametrize("by, first", [("colour", "Pink-red"), ("plant", "Madder"),
                                       ("day", "Mar 2026"), ("lot", "Lot 28")])  # fmt: skip
def test_it_is_bundled_four_ways(looked, by, first):
    assert first in looked.look(f"/box?by={by}")


def test_every_swatch_lies_in_one_bundle(looked):
    names = re.findall(r'href="(/box\?bundle=[^"]+)"', looked.look("/box"))
    found = [code for name in names for code in codes(looked.look(name))]
    assert len(found) == len(set(found)) == 72


def test_words_find_what_the_command_finds(looked):
    shown = codes(looked.look("/box?words=weld+iron"))
    told = run_json("find", "weld iron", "-k", 100, folder=looked.folder)["swatches"]
    assert shown and set(shown) <= {s["code"] for s in told}
    assert f"{len(told)} of 72 swatches" in looked.look("/box?words=weld+iron")


def test_filters_narrow_together_and_say_so(looked):
    text = looked.look("/box?by=plant&fibre=silk&after=iron")
    with desk.open_library(looked.folder) as library:
        every = [s for s, _ in library.find(k=100) if s.conditions["fibre"] == "silk"]
    known = [s.code for s in every if s.conditions.get("modifier") == "iron"]
    assert sorted(codes(text)) == sorted(known)
    assert f"{len(known)} of 72" in text
    assert "None is so" in looked.look("/box?words=nothing+of+the+kind")


def test_like_this_but_lighter_is_lighter(looked):
    text = looked.look("/box/like/24a?way=lighter")
    with desk.open_library(looked.folder) as library:
        own = library.swatch("24a").measured.lab[0]
        found = [c for c in codes(text) if c != library.swatch("24a").code]
        assert found and all(library.swatch(c).measured.lab[0] > own for c in found)


@pytest.mark.parametrize("path", ["/box?by=x", "/box/like/24a?way=up"])
def test_what_there_is_not_is_a_page_with_its_sentence(looked, path):
    assert "That did not work" in looked.look(path, ok=422)


@pytest.mark.parametrize("page", ["0", "-1", "999999", "x", "9" * 40])
def test_odd_pages_are_pages(looked, page):
    looked.look(f"/box?page={page}")
