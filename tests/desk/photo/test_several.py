"""Several places of one photo at once; on a sheet nothing is pointed at."""

import numpy as np
import pytest

import sheet_drawing as drawn
from folders import SAMPLE
from shades_made import GOLD, put_lot
from swatchbath import Library
from swatchbath.desk.photo.in_frame import InFrame
from swatchbath.desk.photo.several import several_in_photo
from swatchbath.errors import BadValue

PHOTO = str(SAMPLE / "photos" / "photo_01.jpg")


def test_what_lies_on_a_sheet_is_read_by_its_codes(tmp_path):
    with Library(tmp_path / "lib", create=True) as lib:
        codes = put_lot(lib, "12", [GOLD] * 3)
        rng = np.random.default_rng(3)
        layout, light = drawn.draw_sheet(
            4, "A4", codes=[*codes, "NJCE3"], filled={1, 2, 3, 4},
            colours={0: [0.18] * 3, **{k: [0.3, 0.2, 0.05 * k] for k in (1, 2, 3, 4)}}, rng=rng,
        )  # fmt: skip
        drawn.take(layout, light, drawn.Camera(size=(1050, 1400)), rng, tmp_path, name="sheet.jpg")
        path = str(tmp_path / "sheet.jpg")
        found = several_in_photo(lib, path)
        assert set(codes) <= set(found.readings) and set(found.own) == set(codes)
        assert len({m.photo for m in found.readings.values()}) == 1
        assert several_in_photo(None, path).own == {}


def test_places_without_a_name_are_numbered_and_what_is_missing_is_said():
    found = several_in_photo(None, PHOTO, card="798,900,97", at=["261,250,49", "b=261,250,30"])
    assert list(found.readings) == ["1", "b"] and not found.left_out
    with pytest.raises(BadValue, match="--at x,y once"):
        several_in_photo(None, PHOTO)
    # Places that are pointed at need no card: they are read as the picture shows them.
    plain = several_in_photo(None, PHOTO, at=["261,250,49", "b=261,250,30"])
    assert list(plain.readings) == ["1", "b"] and "without a card" in plain.said[-1]
    assert not found.said and {m.rung for m in plain.readings.values()} == {"pictured"}
    with pytest.raises(BadValue, match="--beside"):
        several_in_photo(None, PHOTO, in_frame=InFrame(beside=("a=1,2",)))
    with pytest.raises(BadValue, match="called b"):
        several_in_photo(None, PHOTO, card="798,900,97", at=["b=261,250,49", "b=261,250,30"])
