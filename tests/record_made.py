"""What the tests of recording share: the sample's first photo, tables, and the command."""

from pathlib import Path

import swatchbath as sb
from swatchbath import desk

SAMPLE = Path(__file__).parents[1] / "sample_swatches"
PHOTO = SAMPLE / "photos" / "photo_01.jpg"
OTHER = SAMPLE / "photos" / "photo_02.jpg"
CARD = sb.Region(798, 900, 97)
PLACE = sb.Region(261, 250, 49)
MARKS = "photo,name,kind,x,y,half\n{0},card,card,798,900,97\n{0},a,swatch,261,250,49\n"


def written(folder, text, name="baths.csv"):
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def put(place, table, folder, **more):
    return desk.record_table(place, written(folder, table), **more)
