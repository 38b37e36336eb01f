"""Photos half marked: kept whole, once, under their content, and gone when they are on record."""

import json

import pytest

from swatchbath import desk
from swatchbath.errors import BadValue, LibraryError, NotFound, PhotoRefused
from web_marks import PHOTO


@pytest.fixture
def folder(tmp_path):
    return tmp_path / "house" / "drafts"


def test_a_photo_comes_in_once_and_keeps_its_marks(folder):
    one = desk.new_draft(folder, "IMG 1.JPG", PHOTO.read_bytes())
    assert (one.called, one.size) == ("IMG 1.JPG", (1600, 1200))
    desk.change_draft(folder, one.id, marks={"a": "1,2"}, said={"from": "old"})
    again = desk.new_draft(folder, "other.jpg", PHOTO.read_bytes())
    assert again.id == one.id and again.called == "IMG 1.JPG"
    assert again.marks == {"a": "1,2"} and again.said == {"from": "old"}
    assert [d.id for d in desk.drafts(folder)] == [one.id]


@pytest.mark.parametrize(
    "name",
    ["../../up.jpg", "/etc/passwd", "a/b\\c.jpg", "..", "", "x" * 400 + ".jpg", "no ending",
     "a.jpg\x00.exe", "<b>.jpg"],
)  # fmt: skip
def test_her_name_of_a_file_is_no_path(folder, name):
    one = desk.new_draft(folder, name, PHOTO.read_bytes())
    assert one.path.parent == folder and one.path.stem == one.id
    assert sorted(p.parent for p in folder.parent.rglob("*") if p.is_file()) == [folder, folder]
    assert "/" not in one.called and "\\" not in one.called


def test_what_is_no_photo_leaves_nothing_and_is_named_as_she_names_it(folder):
    with pytest.raises(PhotoRefused, match=r"holiday\.jpg"):
        desk.new_draft(folder, "holiday.jpg", b"not a photo at all")
    assert list(folder.iterdir()) == []


@pytest.mark.parametrize("name", ["", "x", "../library", "a" * 64, "A" * 64])
def test_a_strange_id_finds_nothing(folder, name):
    desk.new_draft(folder, "a.jpg", PHOTO.read_bytes())
    with pytest.raises(NotFound):
        desk.draft(folder, name)


def test_notes_that_are_not_ours_are_passed_over(folder):
    one = desk.new_draft(folder, "a.jpg", PHOTO.read_bytes())
    notes = folder / f"{one.id}.json"
    good = json.loads(notes.read_text())
    for bad in ([], {}, good | {"size": "large"}, good | {"file": "../../etc/passwd"},
                good | {"said": []}):  # fmt: skip
        notes.write_text(json.dumps(bad))
        assert desk.drafts(folder) == []


def test_one_that_is_taken_away_is_gone_and_one_moved_is_elsewhere(folder, tmp_path):
    one = desk.new_draft(folder, "a.jpg", PHOTO.read_bytes())
    desk.change_draft(folder, one.id, said={"fields": {"at": ["1,2"]}})
    moved = desk.move_draft(one.id, folder, tmp_path / "other")
    assert moved.said == {"fields": {"at": ["1,2"]}} and moved.called == "a.jpg"
    assert list(folder.iterdir()) == []
    desk.drop_draft(tmp_path / "other", one.id)
    assert list((tmp_path / "other").iterdir()) == []


def test_a_disk_that_cannot_be_written_is_said(tmp_path):
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(LibraryError, match="cannot be put"):
        desk.new_draft(tmp_path / "file" / "drafts", "a.jpg", PHOTO.read_bytes())


@pytest.mark.parametrize(("text", "place"), [("10,20,5", (10, 20, 5)), ("10 20", (10, 20, 24))])
def test_a_place_is_read_as_the_command_has_it(text, place):
    read = desk.place_typed(text, (1600, 1200))
    assert (read.x, read.y, read.half) == place


@pytest.mark.parametrize("text", ["", "1", "a,b", "1,2,3,4", "1,2,nan", "1,2,-3", "1,inf"])
def test_what_is_no_place_is_refused(text):
    with pytest.raises(BadValue):
        desk.place_typed(text, (1600, 1200))


def test_verify_knows_the_folder(tmp_path):
    with desk.open_library(tmp_path / "house", create=True):
        pass
    desk.new_draft(tmp_path / "house" / "drafts", "a.jpg", PHOTO.read_bytes())
    found = desk.verify(tmp_path / "house").as_dict()["findings"]
    assert [(f["what"], f["level"]) for f in found] == [("half marked", "note")]
