"""A watched folder, and the file that is taken along."""

import os
import re
import shutil
import time

from page_made import Browser
from swatchbath import desk
from web_marks import PHOTO


def _arrived(path):
    """A file that came a while ago."""
    shutil.copy(PHOTO, path)
    os.utime(path, (time.time() - 60,) * 2)


def test_photos_in_the_watched_folder_wait_once(tmp_path):
    watched = tmp_path / "from phone"
    watched.mkdir()
    browse = Browser(tmp_path / "house", watched=watched)
    assert "new photo" not in browse.look("/")
    _arrived(watched / "a.jpg")
    (watched / "notes.txt").write_text("no photo")
    shutil.copy(PHOTO, watched / "still coming.jpg")
    os.utime(watched / "still coming.jpg", (time.time() + 60,) * 2)
    assert "1 new photo" in browse.look("/")
    job = browse.fill("/phone/look").headers["location"]
    browse.app.state.shared.jobs.get(job.split("/")[-1]).ended.wait(60)
    (one,) = desk.drafts(tmp_path / "house" / "drafts")
    assert one.called == "a.jpg"
    assert (watched / "a.jpg").is_file()
    desk.drop_draft(tmp_path / "house" / "drafts", one.id)
    assert "new photo" not in browse.look("/")


def test_the_file_for_the_phone_holds_every_recipe_and_needs_nothing_else(house):
    house.fill("/phone/save")
    for job in list(house.app.state.shared.jobs._jobs.values()):
        job.ended.wait(120)
    answer = house.get("/phone/swatches.html")
    assert "attachment" in answer.headers["content-disposition"]
    text = answer.text
    assert not re.search(r"(?:src|href)=", text) and "http" not in text.replace("http-equiv", "")
    with desk.open_library(house.folder) as library:
        codes = library.codes()
        one = desk.show(library, codes[0])
    assert all(code in text for code in codes)
    assert all(line in text for line in one["bath"])


def test_without_anything_on_record_there_is_nothing_to_take_along(browse):
    assert "nothing on record yet" in browse.look("/phone")
    assert browse.fill("/phone/save", ok=404)
    assert browse.get("/phone/swatches.html").status_code == 404
