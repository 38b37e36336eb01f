"""Photos that do not say which camera took them: one camera of one library, until it is named."""

import json

import pytest

import swatchbath as sb
from command import run
from nameless_photos import nameless
from record_made import OTHER, PHOTO, SAMPLE
from swatchbath import desk
from swatchbath.desk.photo.marks import read_marks
from swatchbath.desk.photo.whose_camera import camera_words, whose_camera
from swatchbath.photo import read_photo

MARKS = read_marks(SAMPLE / "marks.csv")
BATH = {"fibre": "wool", "dyestuff": "weld"}


@pytest.fixture
def plain(tmp_path):
    """Two photos without a word of their camera."""
    (tmp_path / "from phone").mkdir()
    return [nameless(path, tmp_path / "from phone") for path in (PHOTO, OTHER)]


@pytest.fixture
def place(tmp_path):
    return tmp_path / "lib"


def put(place, path, name, **more):
    marks = MARKS[path.name]
    swatch = next(iter(marks.swatches.values()))
    with sb.Library(place, create=True) as lib:
        return desk.record(lib, BATH, photo=path, card=marks.cards["card"], swatch=swatch,
                           name=name, **more)  # fmt: skip


def cameras(place, name):
    with sb.Library(place) as lib:
        measured = lib.swatch(name).measured
        return {s for s in measured.shared if s.startswith(("camera:", "sitting:"))}


def words(path, *more):
    marks = MARKS[path.name]
    swatch = next(iter(marks.swatches.values()))
    card = marks.cards["card"]
    spots = [",".join(f"{v:g}" for v in (r.x, r.y, r.half)) for r in (card, swatch)]
    return ["record", path, "--card", spots[0], "--swatch", spots[1], *more]


def test_two_without_a_name_are_one_camera_and_it_is_said_with_how_to_name_it(place, plain):
    for path, name in zip(plain, "ab", strict=True):
        (said,) = put(place, path, name).notes
        assert path.name in said and "does not say which camera" in said
        assert "--camera-name" in said and "edit --unnamed" in said
    with sb.Library(place) as lib:
        assert cameras(place, "a") == cameras(place, "b") == {f"camera:{lib.unnamed_camera}"}


def test_they_share_nothing_with_those_of_another_library(place, plain, tmp_path):
    put(place, plain[0], "a")
    put(tmp_path / "other", plain[0], "a")
    assert cameras(place, "a").isdisjoint(cameras(tmp_path / "other", "a"))


def test_a_photo_that_says_it_needs_nothing_and_a_name_for_it_is_not_used(place):
    assert put(place, PHOTO, "a").notes == ()
    (said,) = put(place, OTHER, "b", in_frame=desk.InFrame(camera_name="my phone")).notes
    assert "says itself" in said and "was not used" in said
    with sb.Library(place) as lib:
        assert lib.last_camera_name is None
    assert not any("my phone" in s for s in cameras(place, "b"))


def test_a_name_is_remembered_and_offered_next_time(place, plain):
    done = run(*words(plain[0], "--set", "fibre=wool", "--set", "dyestuff=weld", "--name", "a",
                      "--camera-name", "my  phone", "--library", place))  # fmt: skip
    assert "counts as 'my phone'" in " ".join(done.stdout.split())
    next_time = run(*words(plain[1], "--set", "fibre=wool", "--set", "dyestuff=weld", "--name",
                           "b", "--library", place, "--json"))  # fmt: skip
    (said,) = json.loads(next_time.stdout)["notes"]
    assert "counts as 'my phone', as last time" in said and "--camera-name" in said
    assert cameras(place, "a") == cameras(place, "b") == {"camera:my phone"}


def test_a_name_is_spelt_as_on_record(place, plain):
    put(place, PHOTO, "a")  # whose file names its camera
    (camera,) = (s.removeprefix("camera:") for s in cameras(place, "a") if s[:3] == "cam")
    put(place, plain[1], "b", in_frame=desk.InFrame(camera_name=camera.upper()))
    assert f"camera:{camera}" in cameras(place, "b")


def test_a_further_swatch_of_a_photo_on_record_counts_as_the_first(place, plain):
    put(place, plain[0], "a")
    with sb.Library(place) as lib:
        lib.keep_camera_name("my phone")
        photo = read_photo(plain[0])
        assert whose_camera(photo, None, lib).how == "unnamed"
        assert whose_camera(read_photo(plain[1]), None, lib).how == "as last time"


def test_measure_and_check_say_it_too(plain, place):
    path, swatch = words(plain[0])[1], words(plain[0])[5]
    told = json.loads(
        run("measure", path, "--card", words(path)[3], "--swatch", f"a={swatch}", "--json").stdout
    )
    assert told["camera"] == {"name": None, "how": "unnamed"}
    assert any("does not say which camera" in n and "--camera-name" in n for n in told["notes"])
    named = json.loads(
        run("measure", path, "--card", words(path)[3], "--swatch", f"a={swatch}", "--camera-name",
            "my phone", "--library", place, "--json").stdout
    )  # fmt: skip
    assert named["camera"] == {"name": "my phone", "how": "named"}
    assert not place.exists()
    checked = " ".join(run("check", path).stdout.split())
    assert "does not say which camera" in checked and "--camera-name" in checked


def test_many_are_told_of_in_one_sentence(plain, place):
    with sb.Library(place, create=True) as lib:
        both = [whose_camera(read_photo(p), None, lib) for p in plain]
    (said,) = camera_words(both)
    assert said.startswith("2 photos do not say which camera took them; they count as")


def test_a_sitting_with_a_name_is_shared_by_its_photos(place, plain):
    for path, name, sitting in zip(plain, "ab", ("east window", "east window"), strict=True):
        put(place, path, name, in_frame=desk.InFrame(sitting=sitting, camera_name="my phone"))
    assert "sitting:my phone: east window" in cameras(place, "a") & cameras(place, "b")
    with sb.Library(place) as lib:
        assert [p.sitting for p in lib.photos()] == ["east window"] * 2


def test_the_one_camera_on_record_is_offered(place, plain):
    put(place, PHOTO, "named by its file")
    (said,) = put(place, plain[1], "b").notes
    with sb.Library(place) as lib:
        (name,) = lib.camera_names()
    assert f'If {name} took it, say so: --camera-name "{name}"' in said
