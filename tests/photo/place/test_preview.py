"""A place cut out of a photo looks as it does there."""

import io

import numpy as np
from PIL import Image

from folders import SAMPLE
from swatchbath.photo import Region, read_photo
from swatchbath.photo.place.preview import crop
from swatchbath.photo.place.region import read_region


def test_a_crop_is_the_place_and_of_its_colour():
    photo = read_photo(SAMPLE / "photos" / "photo_01.jpg")
    place = Region(261, 250, 49)
    with Image.open(io.BytesIO(crop(photo, place, longest=60))) as image:
        assert max(image.size) <= 60 and image.mode == "RGB" and not image.getexif()
        mean = np.asarray(image).reshape(-1, 3).mean(axis=0)
    with Image.open(io.BytesIO(crop(photo, Region(900, 300, 40), longest=60))) as image:
        other = np.asarray(image).reshape(-1, 3).mean(axis=0)
    light = read_region(photo, place, what="it").rgb
    assert np.abs(mean / 255 - light ** (1 / 2.2)).max() < 0.08
    assert np.abs(mean - other).max() > 10


def test_a_place_at_the_edge_is_cut_at_the_edge():
    photo = read_photo(SAMPLE / "photos" / "photo_01.jpg")
    with Image.open(io.BytesIO(crop(photo, Region(0, 0, 30)))) as image:
        assert 25 <= image.size[0] <= 35
