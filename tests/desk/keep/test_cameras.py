"""The camera of photos on record named afterwards."""

import json

import pytest

import swatchbath as sb
from command import run
from library_made import a_photo
from nameless_photos import nameless
from record_made import SAMPLE
from swatchbath import desk
from swatchbath.desk.photo.marks import read_marks

MARKS = read_marks(SAMPLE / "marks.csv")
BATH = {"fibre": "wool", "dyestuff": "weld"}


@pytest.fixture(scope="module")
def plain(tmp_path_factory):
    """Three photos that do not name their camera."""
    folder = tmp_path_factory.mktemp("plain")
    names = ("photo_01.jpg", "photo_02.jpg", "photo_05.jpg")
    return [nameless(SAMPLE / "photos" / name, folder) for name in names]


@pytest.fixture
def place(tmp_path, plain):
    """A library with two swatches of each of two of them, and a third photo read beside one of the
    first and one of the second."""
    place = tmp_path / "lib"
    for path in plain[:2]:
        marks = MARKS[path.name]
        for name, swatch in list(marks.swatches.items())[:2]:
            desk.record(place, BATH, photo=path, card=marks.cards["card"], swatch=swatch, name=name)
    marks = MARKS[plain[2].name]
    new, *places = list(marks.swatches.values())[:3]
    own = ["01a", list(MARKS[plain[1].name].swatches)[0]]
    desk.record(place, BATH, photo=plain[2], card=marks.cards["card"], swatch=new, name="new",
                beside=dict(zip(own, places, strict=True)))  # fmt: skip
    return place


def cameras(place, name):
    with sb.Library(place) as lib:
        return {s for s in lib.swatch(name).measured.shared if s.startswith("camera:")}


def unnamed(place):
    with sb.Library(place) as lib:
        return f"camera:{lib.unnamed_camera}"


def edit(place, *words, ok=0):
    return run("edit", *words, "--library", place, ok=ok)


def test_all_that_have_no_name_at_once_and_one_undo(place):
    told = " ".join(edit(place, "--unnamed", "--camera-name", "my phone").stdout.split())
    assert "photo_01.jpg, photo_02.jpg, photo_05.jpg: taken by 'my phone'" in told
    assert "5 readings count under it now" in told and "made anew" not in told
    assert cameras(place, "01a") == cameras(place, "new") == {"camera:my phone"}
    with sb.Library(place) as lib:
        assert lib.last_camera_name == "my phone"
    assert "named already" in edit(place, "--unnamed", "--camera-name", "x", ok=2).stderr
    run("undo", "--library", place)
    assert cameras(place, "01a") == cameras(place, "new") == {unnamed(place)}


def test_one_by_its_file_name_and_what_was_read_beside_it_is_read_anew(place):
    with sb.Library(place) as lib:
        before = lib.swatch("new").measured
    answer = json.loads(
        edit(place, "--photo", "photo_01.jpg", "--camera-name", "my phone", "--why", "asked her",
             "--json").stdout
    )  # fmt: skip
    assert answer["photos"] == ["photo_01.jpg"] and answer["readings"] == 2
    assert answer["anew"]["made"] == 1 and answer["anew"]["left"] == 0
    assert cameras(place, "01a") == {"camera:my phone"}
    assert cameras(place, "new") == {"camera:my phone", unnamed(place)}
    told = " ".join(run("undo", "--library", place).stdout.split())
    assert "camera of 1 photo is called as it was" in told
    assert "1 reading has its colour from before" in told
    with sb.Library(place) as lib:
        after = lib.swatch("new").measured
        assert after.lab.tolist() == before.lab.tolist()
        assert after.shared.keys() == before.shared.keys()


def test_a_name_is_taken_off_again(place):
    for name in ("my phone", ""):
        edit(place, "--photo", "photo_02.jpg", "--camera-name", name)
    other = list(MARKS["photo_02.jpg"].swatches)[0]
    assert cameras(place, other) == {unnamed(place)}


def test_what_cannot_be_is_one_sentence(place, tmp_path):
    with sb.Library(place) as lib:
        for n in (1, 2):
            folder = tmp_path / str(n)
            folder.mkdir()
            lib.add_photo(a_photo(folder / "same.png", seed=n))
        lib.add_photo(a_photo(tmp_path / "named.png", seed=3), camera="Maker 3")
        start = lib.photos()[-2].id[:8]
    for words, said in (
        (["--camera-name", "x"], "No photo is named"),
        (["--unnamed"], "what the camera is called"),
        (["--unnamed", "--photo", "photo_01.jpg", "--camera-name", "x"], "both given"),
        (["--photo", "none.jpg", "--camera-name", "x"], "no photo none.jpg"),
        (["--photo", "same.png", "--camera-name", "x"], "2 photos on record are called same.png"),
        (["--photo", "named.png", "--camera-name", "x"], "taken by Maker 3"),
        (["01a", "--unnamed", "--camera-name", "x"], "one after the other"),
        ([], "Name a swatch"),
    ):
        told = edit(place, *words, ok=2).stderr
        assert said in told and len(told.strip().splitlines()) == 1
    assert cameras(place, "01a") == {unnamed(place)}
    edit(place, "--photo", start, "--camera-name", "x")
    with sb.Library(place) as lib:
        assert [p.camera_name for p in lib.photos()][-3:] == [None, "x", None]
