"""A camera's profile: kept as JSON, used only where it belongs."""

import json

import numpy as np
import pytest

from swatchbath.errors import BadValue, PhotoRefused
from swatchbath.photo.correction.camera_profile import CameraProfile, cast, joined
from swatchbath.photo.file.icc import srgb_decoder
from swatchbath.photo.file.read import Photo

GREY = np.array([0.18, 0.18, 0.18])


def profile(camera="drawn camera", light="north window", kind="rendered", photo="p1"):
    lab = np.array([[50.0, 10, 10], [60, -10, 5]])
    return CameraProfile(camera, light, kind, lab + 1, lab, (photo,) * 2, cast(GREY)[None])


def photo(camera="drawn camera", kind="rendered"):
    return Photo(
        np.zeros((4, 4, 3), np.uint8), srgb_decoder(""), "t.jpg", "0" * 64, camera, kind, ()
    )


def test_it_comes_back_from_json_the_same(tmp_path):
    path = tmp_path / "window.json"
    profile().save(path)
    again = CameraProfile.load(path)
    assert again.lab.tolist() == profile().lab.tolist()
    assert (again.camera, again.light, again.photos) == (
        "drawn camera",
        "north window",
        ("p1",) * 2,
    )


def test_it_is_refused_elsewhere_with_the_reason():
    profile().check_fits(photo(), GREY * 1.5)
    with pytest.raises(PhotoRefused, match="belongs to drawn camera"):
        profile().check_fits(photo(camera="another"), GREY)
    with pytest.raises(PhotoRefused, match="another cast"):
        profile().check_fits(photo(), np.array([0.25, 0.18, 0.12]))
    with pytest.raises(PhotoRefused, match="rendered photos"):
        profile().check_fits(photo(kind="linear"), GREY)


def test_profiles_of_one_camera_and_light_join_and_others_do_not():
    both = joined([profile(), profile(photo="p2")])
    assert both.photos == ("p1", "p1", "p2", "p2")
    with pytest.raises(BadValue, match="one camera under one light"):
        joined([profile(), profile(camera="another")])


def test_what_is_no_profile_is_said(tmp_path):
    for text in ("{}", "not json", '{"layout": 99}'):
        with pytest.raises(BadValue, match="profile"):
            CameraProfile.from_json(text)
    with pytest.raises(BadValue, match="cannot be read"):
        CameraProfile.load(tmp_path / "none.json")
    (tmp_path / "bytes.json").write_bytes(b'{"layout": 1, "light": "\xa7"}')
    with pytest.raises(BadValue, match="no camera profile"):
        CameraProfile.load(tmp_path / "bytes.json")


@pytest.mark.parametrize(
    "spoilt",
    [
        {"lab": [1, 2]}, {"lab": [[1, 2, 3]]}, {"lab": []}, {"lab": [["x", 1, 2]] * 2},
        {"base_lab": [[1, 2, 1e9]] * 2}, {"base_lab": [[1, 2, None]] * 2}, {"casts": []},
        {"casts": [[float("nan"), 0]]}, {"photos": ["p"]}, {"photos": [1, 2]}, {"light": 5},
        {"camera": 5}, {"kind": None}, {"photos": 7},
    ],
    ids=str,
)  # fmt: skip
def test_a_damaged_profile_is_none(spoilt):
    stored = json.loads(profile().to_json()) | spoilt
    with pytest.raises(BadValue, match="no camera profile"):
        CameraProfile.from_json(json.dumps(stored))
