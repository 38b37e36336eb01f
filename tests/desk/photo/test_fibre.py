"""The fibre of a swatch on record, out of its photo; a missing photo costs only the picture."""

import io

import numpy as np
import pytest
from PIL import Image

import swatchbath as sb
from folders import SAMPLE
from swatchbath import desk
from swatchbath.desk.photo.fibre import fibre_crops

PHOTO = SAMPLE / "photos" / "photo_01.jpg"


def test_a_recorded_swatch_is_shown_and_one_without_a_photo_is_left_out(tmp_path):
    done = desk.record(
        tmp_path / "lib", {"fibre": "wool", "dyestuff": "weld"}, photo=PHOTO,
        card=sb.Region(798, 900, 97), swatch=sb.Region(261, 250, 49),
    )  # fmt: skip
    (code,) = done.codes.values()
    with sb.Library(tmp_path / "lib") as lib:
        bare = lib.add_swatch(fibre={"fibre": "wool"})
        found = fibre_crops(lib, [code, bare])
        assert list(found) == [code] and found[code][:2] == b"\xff\xd8"
        for file in (tmp_path / "lib" / "photos").iterdir():
            file.unlink()
        assert fibre_crops(lib, [code]) == {}


def test_a_place_and_a_whole_photo_are_pictures_without_metadata(tmp_path):
    done = desk.record(
        tmp_path / "lib", {"fibre": "wool", "dyestuff": "weld"}, photo=PHOTO,
        card=sb.Region(798, 900, 97), swatch=sb.Region(261, 250, 49),
    )  # fmt: skip
    (code,) = done.codes.values()
    with sb.Library(tmp_path / "lib") as lib:
        bare = lib.add_swatch(fibre={"fibre": "wool"})
        places = desk.fibre_places(lib, [code, bare, "nobody"])
        assert list(places) == [code] and places[code].mark == (261, 250, 49)
        cut = Image.open(io.BytesIO(desk.fibre_picture(lib, places[code].photo, places[code].mark)))
        whole = Image.open(io.BytesIO(desk.photo_picture(lib, places[code].photo, longest=400)))
        assert cut.size[0] == cut.size[1] and 90 <= cut.size[0] <= 110
        assert max(whole.size) == 400
        for picture in (cut, whole):
            assert picture.format == "JPEG" and not picture.getexif()
        # The fibre is the colour that was read: weld on wool, yellow.
        red, _, blue = np.asarray(cut.convert("RGB"), dtype=float).mean(axis=(0, 1))
        assert red > blue + 40
        with pytest.raises(sb.NotFound):
            desk.fibre_picture(lib, "0" * 64, (1, 1, 1))
        with pytest.raises(sb.BadValue):
            desk.fibre_picture(lib, places[code].photo, (1, 1))
        (file,) = (tmp_path / "lib" / "photos").iterdir()
        file.unlink()
        with pytest.raises(sb.PhotoRefused):
            desk.photo_picture(lib, places[code].photo)
