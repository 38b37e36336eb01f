"""The fibre of a swatch on record, out of its photo; a missing photo costs only the picture."""

import swatchbath as sb
from folders import SAMPLE
from swatchbath import desk
from swatchbath.desk.photo.crops import fibre_crops

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
