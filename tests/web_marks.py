"""A photo of the sample house, where things lie in it, and where they are on a screen."""

import csv
import re
from html import unescape
from urllib.parse import parse_qs, urlsplit

from page_made import check_page
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


def sent(browser, path, name="a.jpg", photo=PHOTO, **fields):
    """The id of a photo, sent to an address of the page."""
    with open(photo, "rb") as opened:
        answer = browser.fill(path, fields, files={"photo": (name, opened, "image/jpeg")})
    return parse_qs(urlsplit(answer.headers["location"]).query)["draft"][0]


def after_jobs(browser, path):
    """A page, once what it waits for is done."""
    answer = browser.get(path)
    while answer.status_code == 303:
        path = answer.headers["location"]
        if "/job/" in path:
            job = browser.app.state.shared.jobs.get(path.rsplit("/", 1)[-1])
            job.ended.wait(120)
            path = job.to
        answer = browser.get(path)
    return answer


def words(answer):
    """What stands on a page, and that it is one."""
    check_page(answer)
    return unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.text)))
