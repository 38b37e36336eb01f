"""Backup and bin on the page: a backup that can be put back, a bin emptied only on purpose."""

import time

from swatchbath import desk


def backed_up(house, place):
    """Where a backup was made, and the page after it."""
    job = house.fill("/keep/backup", {"place": str(place)}).headers["location"]
    for _ in range(600):
        answer = house.get(job)
        if answer.status_code == 303 or 'role="alert"' in answer.text:
            return answer
        time.sleep(0.1)
    raise AssertionError("the backup has no end")


def test_a_backup_is_made_where_she_says_and_can_be_put_back(house, tmp_path):
    place = tmp_path / "stick"
    place.mkdir()
    assert backed_up(house, place).headers["location"] == "/keep"
    (file,) = place.iterdir()
    text = house.look("/keep")
    assert str(file) in text and "The last backup is of today" in text
    assert f'value="{place}"' in text  # remembered
    desk.restore(file, tmp_path / "again")
    with desk.open_library(tmp_path / "again") as library:
        assert len(library) == 72


def test_a_place_that_is_not_there_is_said(house, tmp_path):
    assert "There is no folder" in backed_up(house, tmp_path / "nowhere").text
    assert "Name a folder" in house.fill("/keep/backup", {"place": ""}, ok=422).text


def test_the_bin_is_emptied_only_where_it_is_ticked(house):
    house.fill("/swatch/24b/bin")
    assert "Tick" in house.fill("/keep/empty", ok=422).text
    with desk.open_library(house.folder) as library:
        assert len(desk.bin(library).things) == 1
    house.fill("/keep/empty", {"for_good": "yes"})
    assert "The bin is empty" in house.look("/keep")


def test_without_a_library_it_says_what_to_do(browse):
    assert "three swatches" in browse.look("/keep")
    assert browse.fill("/undo", ok=404)
