"""A photo of the sample house, where things lie in it, and where they are on a screen."""

import csv

from swatchbath.sample import sample_folder

HOUSE = sample_folder()
PHOTO = HOUSE / "photos" / "photo_15.jpg"
with open(HOUSE / "marks.csv", encoding="utf-8") as _table:
    _ROWS = [r for r in csv.DictReader(_table) if r["photo"] == PHOTO.name]
SPOTS = {
    kind: [(float(r["x"]), float(r["y"])) for r in _ROWS if r["kind"] == kind]
    for kind in ("card", "swatch")
}


def on_screen(page, spot):
    """Where a place of the photo that is being marked is on the screen."""
    # Not wait_for_function, which the page's policy forbids.
    page.locator(".frame img").evaluate("image => image.decode()")
    page.locator(".frame img").scroll_into_view_if_needed()
    box = page.locator(".frame img").bounding_box()
    wide, high = (
        int(page.locator(".marking").get_attribute(f"data-{n}")) for n in ("width", "height")
    )
    return box["x"] + spot[0] / wide * box["width"], box["y"] + spot[1] / high * box["height"]
