"""Do these match, from the first click to the answer: by mouse, by finger, by keys, without script.

The numbers are those of the command line for the same marks.
"""

import json
import re
from urllib.parse import parse_qs, urlsplit

import pytest

from command import run
from web_marks import PHOTO, on_screen
from web_marks import SPOTS as MARKED

SPOTS = MARKED["swatch"][:2]


def sent(page):
    """Up to the photo."""
    page.goto("/match")
    page.set_input_files("input[name=photo]", PHOTO)
    page.get_by_role("button", name="Show me the photo").click()


def answered(page):
    """The answer's numbers, and the marks they are of."""
    page.wait_for_selector("#difference", timeout=60_000)
    asked = parse_qs(urlsplit(page.url).query)
    shown = {n: page.inner_text(f"#{n}") for n in ("difference", "low", "high")}
    return [asked["a"][0], asked["b"][0]], shown, page.inner_text(".verdict p")


def check_against_the_command(page):
    at, shown, sentence = answered(page)
    done = run("compare", "--photo", PHOTO, "--at", at[0], "--at", at[1], "--for", "garment",
               "--json", ok=None)  # fmt: skip
    told = json.loads(done.stdout)
    assert sentence == told["sentence"]
    assert shown == {
        "difference": f"{told['difference']:.1f}", "low": f"{told['interval'][0]:.1f}",
        "high": f"{told['interval'][1]:.1f}",
    }  # fmt: skip
    for mark, spot in zip(at, SPOTS, strict=True):
        assert all(abs(float(v) - s) < 12 for v, s in zip(mark.split(","), spot, strict=False))


def check_calm(page):
    """Nothing wider than the window, and nothing that the browser complains about."""
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert page.said == []


@pytest.mark.slow
def test_by_mouse_on_a_desk(look):
    page = look("desk")
    sent(page)
    for spot in SPOTS:
        page.mouse.click(*on_screen(page, spot))
    page.get_by_role("button", name="Do they match?").click()
    check_against_the_command(page)
    check_calm(page)


def test_by_finger_on_a_phone(look):
    page = look("phone")
    sent(page)
    for spot in SPOTS:
        page.touchscreen.tap(*on_screen(page, spot))
        check_calm(page)
    page.get_by_role("button", name="Do they match?").tap()
    check_against_the_command(page)
    check_calm(page)


@pytest.mark.slow
def test_by_keys_alone(look):
    page = look("desk")
    sent(page)
    for name, spot in zip(("the first", "the second"), SPOTS, strict=True):
        _tab_to(page, f"Put a mark of {name} in the middle")
        page.keyboard.press("Enter")
        wide, high = (int(page.locator(".marking").get_attribute(f"data-{n}")) for n in
                      ("width", "height"))  # fmt: skip
        for way, far in (
            (("ArrowLeft", "ArrowRight"), spot[0] - wide / 2),
            (("ArrowUp", "ArrowDown"), spot[1] - high / 2),
        ):
            key = way[far > 0]
            for _ in range(int(abs(far) // 100)):
                page.keyboard.press(f"Control+Shift+{key}")
            for _ in range(int(abs(far) % 100 // 10)):
                page.keyboard.press(f"Shift+{key}")
            for _ in range(int(abs(far) % 10)):
                page.keyboard.press(key)
        assert re.match(name, page.evaluate("document.activeElement.ariaLabel"), re.I)
    _tab_to(page, "Do they match?")
    page.keyboard.press("Enter")
    check_against_the_command(page)
    check_calm(page)


def _tab_to(page, name):
    """Tab on until something of that name has the focus."""
    for _ in range(60):
        page.keyboard.press("Tab")
        here = page.evaluate(
            "document.activeElement.ariaLabel || document.activeElement.textContent.trim()"
        )
        if here == name:
            return
    raise AssertionError(f"Tab does not reach {name}")


@pytest.mark.slow
def test_without_script(look):
    page = look("desk", java_script_enabled=False)
    sent(page)
    for spot in SPOTS:
        page.wait_for_selector("input[type=image]")
        picture = page.locator("input[type=image]")
        picture.scroll_into_view_if_needed()
        # The picture is 960 wide, whatever the photo is.
        picture.click(position={"x": spot[0] * 960 / 1600, "y": spot[1] * 960 / 1600})
    check_against_the_command(page)


@pytest.mark.slow
def test_a_square_is_dragged_and_made_larger_and_taken_away(look):
    page = look("desk")
    sent(page)
    x, y = on_screen(page, SPOTS[0])
    page.mouse.move(x - 30, y - 30)
    page.mouse.down()
    page.mouse.move(x, y, steps=4)
    page.mouse.move(x + 30, y + 30, steps=4)
    page.mouse.up()
    mark = page.locator("input[name=a]").input_value().split(",")
    assert len(mark) == 3 and all(
        abs(float(m) - s) < 6 for m, s in zip(mark, SPOTS[0], strict=False)
    )
    page.get_by_role("button", name="Make the mark of the first larger").click()
    assert float(page.locator("input[name=a]").input_value().split(",")[2]) > float(mark[2])
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 60, y, steps=5)
    page.mouse.up()
    assert float(page.locator("input[name=a]").input_value().split(",")[0]) > float(mark[0]) + 30
    page.get_by_role("button", name="Take away the mark of the first").click()
    assert page.locator("input[name=a]").input_value() == ""
