"""Photos on record: whose camera they count under, what lies in them, and readings made anew."""

from datetime import datetime

import numpy as np
import pytest

from library_made import a_photo, filled
from swatchbath.colorimetry import Measurement, cross_covariance
from swatchbath.errors import BadValue, NotFound
from swatchbath.library import Library, back_up, restore


@pytest.fixture
def lib(tmp_path):
    with Library(tmp_path / "house", create=True) as lib:
        yield lib


def colour(photo, camera, lab=(60, 5, 50), *, beside=(), seed=0, degrees=6.0):
    """A reading with sources as a photo's are; beside : (photo, camera) of swatches gone by."""
    rng = np.random.default_rng(seed)

    def loading():
        return rng.normal(size=(3, 4)).astype("f4").astype(float)

    shared = {}
    for p, c in [(photo, camera), *beside]:
        for name in (f"camera:{c}", f"photo:{p}", f"sitting:{c}: 7,0,1a"):
            shared[name] = shared.get(name, 0) + loading()
    return Measurement(
        lab, np.eye(3), shared=shared, photo=photo, degrees=degrees,
        rung="beside" if beside else "card",
    )  # fmt: skip


def on_record(lib, tmp_path, name, *, camera=None, seed=0, **more):
    """A photo on record with one reading; its id and the swatch's code."""
    path = a_photo(tmp_path / name, seed=seed)
    photo = lib.add_photo(path, camera=camera)
    key = filled(lib, name)
    lib.add_measurement(
        key, colour(photo, camera or lib.unnamed_camera, seed=seed, **more), photo=photo
    )
    return photo, key


def sources(lib, key):
    return sorted(lib.swatch(key).measured.shared)


def cameras(lib, key):
    return [s for s in sources(lib, key) if s.startswith(("camera:", "sitting:"))]


def test_what_is_new_is_kept_and_comes_back_by_backup(lib, tmp_path):
    frame = {"card": {"at": {"x": 4.0}, "lab": None}, "swatches": {"a": {"x": 1.5}}}
    path = a_photo(tmp_path / "p.png")
    photo = lib.add_photo(
        path, camera_name="Ida's phone", sitting="east window", frame=frame,
        taken=datetime(2026, 5, 3, 14, 2, 11),
    )  # fmt: skip
    key = filled(lib)
    lib.add_measurement(key, colour(photo, "Ida's phone"), photo=photo, mark=(1, 2, 3))
    lib.add_photo(path, frame={"swatches": {"b": {"x": 2}}, "encoding": "linear"})  # adds to it
    (tmp_path / "stick").mkdir()
    restore(back_up(lib, tmp_path / "stick").file, tmp_path / "again")
    with Library(tmp_path / "again") as again:
        assert again.unnamed_camera == lib.unnamed_camera
        (on,) = again.photos()
        assert (on.camera, on.camera_name, on.sitting) == (None, "Ida's phone", "east window")
        assert on.taken == datetime(2026, 5, 3, 14, 2, 11)
        assert on.frame["swatches"] == {"a": {"x": 1.5}, "b": {"x": 2}}
        assert (on.frame["card"], on.frame["encoding"]) == (frame["card"], "linear")
        (reading,) = again.readings_from(photo)
        assert (reading.swatch, reading.mark) == (key, (1, 2, 3))
        assert again.swatch(key).measured.degrees == 6
    lib.add_measurement(key, Measurement([50, 0, 0], np.eye(3)))
    assert lib.swatch(key).measured.degrees == np.inf


def test_two_libraries_have_two_unnamed_cameras(lib, tmp_path):
    with Library(tmp_path / "other", create=True) as other:
        names = {lib.unnamed_camera, other.unnamed_camera}
    assert len(names) == 2 and all(n.startswith("unnamed (") for n in names)


def test_naming_a_camera_moves_the_readings_of_its_photos_and_one_undo_moves_them_back(
    lib, tmp_path
):
    (one, a), (_, b) = (on_record(lib, tmp_path, f"{n}.png", seed=n) for n in (1, 2))
    before = [sources(lib, k) for k in (a, b)]
    shared = cross_covariance(lib.swatch(a).measured, lib.swatch(b).measured)
    assert np.abs(shared).max() > 0.5
    assert lib.call_camera([one], "Ida's phone", why="found out") == ()
    assert cameras(lib, a) == ["camera:Ida's phone", "sitting:Ida's phone: 7,0,1a"]
    assert sources(lib, b) == before[1]
    assert not cross_covariance(lib.swatch(a).measured, lib.swatch(b).measured).any()
    assert any("Ida's phone" in e["what"] and "found out" in e["what"] for e in lib.history(a))
    told = lib.undo().sentences
    assert told == ["The camera of 1 photo is called as it was before."]
    assert [sources(lib, k) for k in (a, b)] == before
    assert lib.photo_on_record(one).camera_name is None
    again = cross_covariance(lib.swatch(a).measured, lib.swatch(b).measured)
    assert again == pytest.approx(shared)


def test_a_photo_recorded_again_under_a_name_takes_its_readings_along(lib, tmp_path):
    _, key = on_record(lib, tmp_path, "1.png")
    lib.add_photo(tmp_path / "1.png", camera_name="Ida's phone")
    assert cameras(lib, key)[0] == "camera:Ida's phone"


def test_what_cannot_be_named(lib, tmp_path):
    named, _ = on_record(lib, tmp_path, "1.png", camera="Maker Model 3")
    with pytest.raises(BadValue, match="says itself that it was taken by Maker Model 3"):
        lib.call_camera([named], "Ida's phone")
    with pytest.raises(NotFound):
        lib.call_camera(["0" * 64], "Ida's phone")
    plain, key = on_record(lib, tmp_path, "2.png", seed=2)
    with pytest.raises(BadValue, match="empty"):
        lib.call_camera([plain], " ")
    assert lib.unnamed_camera in cameras(lib, key)[0]


def test_a_reading_beside_swatches_is_moved_with_all_of_them_and_told_where_it_cannot_be(
    lib, tmp_path
):
    one, a = on_record(lib, tmp_path, "1.png", seed=1)
    two, b = on_record(lib, tmp_path, "2.png", seed=2, beside=[(one, lib.unnamed_camera)])
    (reading,) = lib.readings_from(two)
    assert lib.call_camera([two], "Ida's phone") == (reading.id,)
    assert cameras(lib, b)[0] == f"camera:{lib.unnamed_camera}"  # as it was, to be read anew
    lib.undo()
    assert lib.call_camera([one, two], "Ida's phone") == ()
    assert cameras(lib, a) == cameras(lib, b)


def test_two_cameras_that_turn_out_to_be_one_add_up_their_errors(lib, tmp_path):
    one, _ = on_record(lib, tmp_path, "1.png", camera="Maker Model 3", seed=1)
    two, b = on_record(lib, tmp_path, "2.png", seed=2, beside=[(one, "Maker Model 3")])
    before = lib.swatch(b).measured
    assert lib.call_camera([two], "Maker Model 3") == ()
    after = lib.swatch(b).measured
    joined = before.shared["camera:Maker Model 3"] + before.shared[f"camera:{lib.unnamed_camera}"]
    assert after.shared["camera:Maker Model 3"] == pytest.approx(joined, rel=1e-6)
    own = before.trueness - sum(v @ v.T for v in before.shared.values())
    assert after.trueness == pytest.approx(own + sum(v @ v.T for v in after.shared.values()))
    lib.undo()
    assert lib.swatch(b).measured.shared.keys() == before.shared.keys()
    assert lib.swatch(b).measured.trueness == pytest.approx(before.trueness)


def test_readings_made_anew_keep_the_old_ones_and_one_undo_brings_them_back(lib, tmp_path):
    photo, key = on_record(lib, tmp_path, "1.png")
    before = lib.swatch(key).measured
    (reading,) = lib.readings_from(photo)
    new = colour(photo, "x", (40, 3, 20), seed=5, degrees=3.0)
    lib.read_anew({reading.id: new}, why="by a newer version")
    got = lib.swatch(key).measured
    assert (got.lab.tolist(), got.degrees) == ([40, 3, 20], 3.0)
    assert lib.find(lab=[40, 3, 20])[0][1].delta_e2000 == 0  # found by what it is now
    assert any("60" in e["what"] and "40" in e["what"] for e in lib.history(key))
    assert lib.undo().sentences == ["1 reading has its colour from before again."]
    got = lib.swatch(key).measured
    assert got.lab.tolist() == before.lab.tolist() and got.shared.keys() == before.shared.keys()
    assert got.trueness == pytest.approx(before.trueness) and got.degrees == 6


def test_a_photo_of_a_blank_sheet_goes_with_the_last_photo_that_needs_it(lib, tmp_path):
    blank = lib.add_photo(a_photo(tmp_path / "blank.png", seed=9))
    keys = []
    for n in (1, 2):
        path = a_photo(tmp_path / f"{n}.png", seed=n)
        photo = lib.add_photo(path, frame={"blank": blank})
        keys.append(filled(lib, f"s{n}"))
        lib.add_measurement(keys[-1], colour(photo, "x"), photo=photo)
    for key, left in zip(keys, (2, 0), strict=True):
        lib.put_in_bin(key)
        lib.empty_bin()
        assert len(lib.photos()) == left
