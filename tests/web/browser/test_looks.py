"""Every screen in a real browser: nothing cut or overlapping, targets for a thumb, no serious issue
of accessibility, and no request to anywhere else."""

import pytest
from axe_playwright_python.sync_playwright import Axe

from swatchbath import desk

SCREENS = ["/", "/box", "/box?by=plant&fibre=wool", "/box?words=nothing", "/swatch/24b",
           "/swatch/24b?grams=1.2+kg", "/swatch/24b?grams=much", "/swatch/24b/edit", "/keep",
           "/box/like/24a?way=lighter", "/nothing/here", "/add", "/add?from=codes",
           "/match", "/pile", "/history", "/phone", "/shade", "/shade/from/scrap",
           "/shade/from/picture?wish=%23c8a050", "/shade/like/24a", "/shade/baths?shade=nothing",
           "/again", "/again/24b?grams=1.2+kg"]  # fmt: skip

# Parts of a screen that a finger must hit and that are less than 48 px either way.
_SMALL = """
[...document.querySelectorAll('a, button, input, select, textarea, summary')].filter(e => {
  const r = e.getBoundingClientRect();
  return e.checkVisibility() && r.width && e.type != 'hidden' && !e.closest('p, h1 .small, .skip')
    && !['checkbox', 'radio'].includes(e.type) && (r.height < 47.5 || r.width < 47.5);
}).map(e => e.outerHTML.slice(0, 100))"""
# Words that are wider than what they stand in.
_CUT = """
[...document.querySelectorAll('a, button, p, h1, h2, h3, li, label, figcaption, b')].filter(
  e => e.checkVisibility() && !e.closest('.skip, .away') && e.scrollWidth > e.clientWidth + 1
    && getComputedStyle(e).display != 'inline').map(e => e.outerHTML.slice(0, 100))"""


@pytest.fixture
def busy(served):
    """The sample house with a pot on, something in the bin and something that waits."""
    desk.pot(served.folder, ["mordant: alum 12 %", "dye: weld 80 %, 80 C, 1 h"], fibres=["wool"],
             after=["none", "iron 2 %, 10 min"])  # fmt: skip
    with desk.open_library(served.folder) as library:
        desk.codes(library, 2)
        desk.bin(library, "22a")
    return served


def test_every_screen_is_whole_and_accessible(busy, screen):
    window = busy.window(**screen, color_scheme="dark" if "is_mobile" in screen else "light")
    asked = []
    window.on("request", lambda request: asked.append(request.url))
    for path in SCREENS:
        window.goto(path)
        assert window.evaluate("document.documentElement.scrollWidth <= innerWidth"), path
        assert window.evaluate(_SMALL) == [], path
        assert window.evaluate(_CUT) == [], path
        found = Axe().run(window).response["violations"]
        serious = [(v["id"], [n["html"][:120] for n in v["nodes"][:3]]) for v in found
                   if v["impact"] in ("serious", "critical")]  # fmt: skip
        assert serious == [], path
    assert {url.split("/")[2] for url in asked} == {f"127.0.0.1:{busy.port}"}


def test_an_empty_library_is_whole_and_accessible(served_empty, screen):
    window = served_empty.window(**screen)
    for path in ("/", "/box", "/keep"):
        window.goto(path)
        assert window.evaluate(_SMALL) == [] and window.evaluate(_CUT) == [], path
        found = Axe().run(window).response["violations"]
        assert not [v["id"] for v in found if v["impact"] in ("serious", "critical")], path


def test_patches_lie_on_neutral_grey_and_show_the_colour_on_record(served):
    for scheme in ("light", "dark"):
        window = served.window(color_scheme=scheme)
        window.goto("/swatch/24b")
        ground = window.evaluate(
            "getComputedStyle(document.querySelector('.patch').closest('.ground')).backgroundColor"
        )
        red, green, blue = (int(v) for v in ground[4:-1].split(","))
        assert red == green == blue
        shown = window.evaluate("getComputedStyle(document.querySelector('.patch rect')).fill")
        assert shown.startswith("lab(")


def test_a_swatch_is_found_and_opened_by_keyboard_alone(served):
    window = served.window()
    window.goto("/box")
    window.keyboard.press("Tab")
    assert window.evaluate("document.activeElement.className") == "skip"
    window.keyboard.press("Enter")
    for _ in range(3):
        window.keyboard.press("Tab")
        if window.evaluate("document.activeElement.name") == "words":
            break
    window.keyboard.type("24b")
    window.keyboard.press("Enter")
    window.wait_for_url("**/box?words=24b**")
    for _ in range(30):
        window.keyboard.press("Tab")
        outline = window.evaluate("getComputedStyle(document.activeElement).outlineStyle")
        assert outline == "solid"
        if "/swatch/" in (window.evaluate("document.activeElement.href") or ""):
            break
    window.keyboard.press("Enter")
    window.wait_for_url("**/swatch/*")
    assert "24b" in window.inner_text("h1")


def test_without_script_a_correction_is_made_and_taken_back(served, screen):
    window = served.window(script=False, **screen)
    window.goto("/swatch/24b/edit")
    window.get_by_label("Vessel").fill("enamel")
    window.get_by_role("button", name="Keep this").click()
    assert "enamel" in window.inner_text("[role=status]")
    window.get_by_role("button", name="Undo").click()
    assert "stainless steel again" in window.inner_text("[role=status]")
