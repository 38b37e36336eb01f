"""A photo is marked, left, and there tomorrow; what it shows goes into the box."""

from swatchbath import desk
from web_marks import PHOTO, SPOTS, on_screen


def test_from_an_empty_house_to_the_box_on_a_phone(look):
    page = look("phone")
    page.goto("/add")
    page.set_input_files("input[name=photo]", PHOTO)
    page.get_by_role("button", name="Show me the photo").click()
    for spot in SPOTS["card"] + SPOTS["swatch"][:1]:
        page.touchscreen.tap(*on_screen(page, spot))
    page.wait_for_timeout(1200)  # the marks are sent as they are made
    page.goto("/")
    page.get_by_role("link", name=f"{PHOTO.name}, not on record yet").click()
    page.touchscreen.tap(*on_screen(page, SPOTS["swatch"][1]))
    page.get_by_role("button", name="Read the colours").tap()
    page.wait_for_selector("text=What are they?", timeout=60_000)
    page.get_by_label("Fibre").fill("wool")
    page.get_by_label("As in a diary").fill("mordant: alum 12 %\ndye: madder 40 %, 60 C, 1 h")
    page.wait_for_selector("#understood >> text=40 % madder")
    page.locator("select[name=what-1]").select_option("lines")
    page.locator("select[name=what-2]").select_option("")
    page.locator("input[name=name-2]").fill("17")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    page.get_by_role("button", name="Put them in the box").tap()
    page.wait_for_selector("text=Recorded", timeout=60_000)
    assert page.said == []
    with desk.open_library(page.folder) as library:
        found = {s.name: s for s, _ in library.find(k=9)}
    assert set(found) == {None, "17"}
    assert found[None].has_bath and not found["17"].has_bath
    assert all(s.measured is not None for s in found.values())
    page.get_by_role("button", name="Undo").tap()
    page.wait_for_selector("text=went to the bin")
    with desk.open_library(page.folder) as library:
        assert len(library) == 0
