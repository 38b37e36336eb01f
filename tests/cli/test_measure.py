"""Measuring without marks, end to end: drawn photos of the sheet, and points on the sample."""

import csv
import json
import os
import shutil
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

import sheet_drawing as drawn
import swatchbath as sb
from command import run
from folders import SAMPLE
from swatchbath.colorimetry import delta_e2000, linear_srgb_to_xyz, xyz_to_lab

CODES = ("NJCE3", "E6KPC", "4NT6E")
NAMES = (*CODES, "4")
# A linear file, finely packed: a flat card of 46 codes that is rounded by half of one, as an
# ordinary JPEG rounds it, is off by 1 in a*.
LINEAR = {"linear": True, "uneven": 0.0, "quality": 98}


def measured(*words):
    return json.loads(run("measure", *words, "--json").stdout)


@pytest.fixture(scope="module")
def four():
    return drawn.draw_sheet(4, "A4", codes=CODES, rng=np.random.default_rng(5))


def photograph(sheet, folder, **how):
    camera = drawn.Camera(**({"size": (1200, 1600)} | how))
    return drawn.take(*sheet, camera, np.random.default_rng(9), folder, "four.jpg")[1]


@pytest.fixture(scope="module")
def plain(four, tmp_path_factory):
    """A photo of it from straight above, and where each millimetre truly is."""
    folder = tmp_path_factory.mktemp("plain")
    return folder / "four.jpg", photograph(four, folder)


@pytest.fixture
def sheet_photo(plain, tmp_path):
    """That photo in a folder of its own."""
    return Path(shutil.copy(plain[0], tmp_path / "four.jpg"))


@pytest.fixture
def photo_01(tmp_path):
    return shutil.copy(SAMPLE / "photos" / "photo_01.jpg", tmp_path / "photo_01.jpg")


def lights(sheet):
    """Mean linear light on the drawn sheet over each place that is read: card first."""
    layout, light = sheet
    out = []
    for place in (layout.card, *layout.swatches):
        box = place.read
        rows = slice(round(box.y * drawn.SCALE), round((box.y + box.height) * drawn.SCALE))
        cols = slice(round(box.x * drawn.SCALE), round((box.x + box.width) * drawn.SCALE))
        out.append(light[rows, cols].reshape(-1, 3).mean(axis=0))
    return np.array(out)


@pytest.mark.parametrize(
    "how",
    [
        {},
        {"tilt": 20, "toward": 40, "turn": 170},
        {"hide": ("bottom left",), "turn": -25, "fill": 0.85},
        {"uneven": 0.6},
    ],
    ids=str,
)
def test_a_linear_camera_gives_the_true_colours_by_name(four, how, tmp_path):
    """The card is taken as an 18 % grey, so truth is each place's light over the card's."""
    photograph(four, tmp_path, **(LINEAR | how))
    told = measured(tmp_path / "four.jpg", "--linear")
    card, *swatches = lights(four)
    truth = xyz_to_lab(linear_srgb_to_xyz(np.array(swatches) / card * 0.18))
    assert [row["name"] for row in told["swatches"]] == list(NAMES)
    labs = np.array([row["lab"] for row in told["swatches"]])
    # Light uneven by 0.6 would be up to 4 off if the sheet's bare paper did not tell of it.
    assert delta_e2000(labs, truth).max() < (1.5 if "uneven" in how else 1.0)
    assert told["found"] == ["sheet"] and told["refused"] == {}


@pytest.mark.parametrize(
    "how",
    [
        {"tilt": 15, "toward": 80, "turn": 8, "uneven": 0.0},
        {"dim": 0.55, "hide": ("top right",), "turn": 185, "uneven": 0.0},
    ],
    ids=str,
)
def test_found_places_read_as_true_marks_do(four, how, tmp_path):
    """An ordinary photo: the same as with every place marked where it truly is."""
    truth = photograph(four, tmp_path, **how)
    told = measured(tmp_path / "four.jpg")
    layout = four[0]

    def at(place):
        return sb.Region.polygon(truth(place.read.corners()).tolist())

    marks = {name: at(place) for name, place in zip(NAMES, layout.swatches, strict=True)}
    shot = sb.measure(tmp_path / "four.jpg", card=at(layout.card), swatches=marks)
    for row in told["swatches"]:
        assert delta_e2000(np.array(row["lab"]), shot[row["name"]].lab) < 0.3
        corners = np.array(told["places"][row["name"]])
        assert np.abs(corners - np.array(marks[row["name"]].points)).max() < 4


def test_the_places_are_drawn_beside_the_photo_and_said(sheet_photo, tmp_path):
    text = run("measure", sheet_photo).output
    assert "by the photo sheet" in text and str(tmp_path / "four-places.jpg") in text
    assert "No code was read at place 4" in text
    with Image.open(tmp_path / "four-places.jpg") as image:
        assert image.size == (675, 900)
    named = tmp_path / "look.jpg"
    assert measured(sheet_photo, "--preview", named)["preview"] == str(named)
    assert named.read_bytes() == (tmp_path / "four-places.jpg").read_bytes()


def test_an_earlier_picture_of_places_is_replaced_and_nothing_else(sheet_photo, tmp_path):
    photo, beside = sheet_photo, tmp_path / "four-places.jpg"
    run("measure", photo)
    run("measure", photo)
    before = photo.read_bytes()
    assert "already" in run("measure", photo, "--preview", photo, ok=2).stderr
    assert photo.read_bytes() == before
    beside.write_bytes(b"hers")
    result = run("measure", photo, ok=2)
    assert "--preview" in result.stderr and result.stdout == ""
    assert beside.read_bytes() == b"hers"


def test_a_missing_card_is_told_and_one_elsewhere_can_be_pointed_at(tmp_path):
    rng = np.random.default_rng(2)
    layout, light = drawn.draw_sheet(
        4, "Letter", codes=CODES, filled=[2, 3], card=False, rng=rng
    )  # fmt: skip
    drawn._lay(light, layout.swatches[3], drawn.cuttings("card"), rng, 0.9)
    truth = photograph((layout, light), tmp_path, **LINEAR)
    photo = tmp_path / "four.jpg"
    said = run("measure", photo, "--linear", ok=2).stderr
    assert "no grey card" in said and "--card x,y" in said
    assert os.listdir(tmp_path) == ["four.jpg"]
    x, y = truth(np.array([layout.swatches[3].read.centre]))[0]
    told = measured(photo, "--linear", "--card", f"{x},{y},40")
    assert [row["name"] for row in told["swatches"]] == ["E6KPC", "4NT6E", "4"]
    assert any("Nothing lies on place NJCE3" in note for note in told["notes"])
    _, _, second, third, card = lights((layout, light))
    wanted = xyz_to_lab(linear_srgb_to_xyz(np.array([second, third]) / card * 0.18))
    labs = np.array([row["lab"] for row in told["swatches"]])
    assert delta_e2000(labs[:2], wanted).max() < 1.0
    assert labs[2] == pytest.approx([49.5, 0, 0], abs=1.0)  # the card itself: Y 0.18


def test_a_sheet_swatch_can_be_named_and_the_card_still_found(four, plain, sheet_photo):
    x, y = plain[1](np.array([four[0].swatches[1].read.centre]))[0]
    told = measured(sheet_photo, "--swatch", f"mine={x},{y},40")
    assert [row["name"] for row in told["swatches"]] == ["mine"]
    whole = measured(sheet_photo)
    other = next(row for row in whole["swatches"] if row["name"] == CODES[1])
    assert delta_e2000(np.array(told["swatches"][0]["lab"]), np.array(other["lab"])) < 2


def test_points_are_grown_and_read_as_the_marks_do(photo_01, tmp_path):
    with open(SAMPLE / "marks.csv", encoding="utf-8") as file:
        rows = [row for row in csv.DictReader(file) if row["photo"] == "photo_01.jpg"]
    words = []
    for row in rows:
        x, y = int(row["x"]) + 12, int(row["y"]) - 9
        is_card = row["kind"] == "card"
        words += ["--card", f"{x},{y}"] if is_card else ["--swatch", f"{row['name']}={x},{y}"]
    told = measured(photo_01, *words)
    marked = measured(photo_01, "--marks", SAMPLE / "marks.csv")
    assert told["found"] == ["touch"] and marked["found"] == []
    assert told["preview"] == str(tmp_path / "photo_01-places.jpg") and marked["preview"] is None
    assert Path(told["preview"]).is_file()
    by_name = {row["name"]: row["lab"] for row in told["swatches"]}
    for row in marked["swatches"]:
        assert delta_e2000(np.array(by_name[row["name"]]), np.array(row["lab"])) < 1.5


def test_marked_places_draw_nothing(photo_01, tmp_path):
    told = measured(photo_01, "--card", "798,900,97", "--swatch", "01a=261,250,49")
    assert told["preview"] is None and told["places"] == {}
    assert os.listdir(tmp_path) == ["photo_01.jpg"]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ([], "no photo sheet was found in photo_01.jpg"),
        ([], "--card x,y --swatch name=x,y"),
        (["--card", "798,900"], "no swatch is marked"),
        (["--swatch", "a=261,250"], "no grey card"),
        (["--card", "798,900", "--swatch", "a=9269,248"], "outside the photo"),
        (["--card", "261,250", "--swatch", "a=261,250"], "grey card"),
        (["--card", "798,900", "--swatch", "a=530,560"], "for the swatch was found"),
        (["--card", "804;x", "--swatch", "a=261,250"], "x,y,half"),
        (["--card", "798,900", "--swatch", "a=261,250", "--swatch", "a=1,1"], "two swatches"),
        (["--card", "798,900", "--swatch", "a=261,250", "--preview", "a.png"], ".jpg"),
        (["--card", "798,900", "--swatch", "a=261,250", "--preview", "no/a.jpg"], "no folder"),
        (["--card", "798,900,97", "--swatch", "a=261,250,49", "--preview", "a.jpg"], "none to"),
        (["--card", "798,900", "--marks", SAMPLE / "marks.csv"], "--card and --marks"),
    ],
    ids=lambda v: " ".join(map(str, v))[:50] if isinstance(v, list) else v,
)
def test_bad_input_is_one_sentence_and_leaves_nothing(photo_01, tmp_path, monkeypatch, words, says):
    monkeypatch.chdir(tmp_path)
    result = run("measure", photo_01, *words, ok=2)
    assert result.stdout == ""
    assert result.stderr.startswith("swatchbath: ") and says in result.stderr.lower()
    assert os.listdir(tmp_path) == ["photo_01.jpg"]


def test_two_hidden_corners_ask_for_points(four, tmp_path):
    photograph(four, tmp_path, hide=("top left", "top right"))
    said = run("measure", tmp_path / "four.jpg", ok=2).stderr
    assert "Two of the sheet's four corner codes" in said and "--card x,y" in said
    assert os.listdir(tmp_path) == ["four.jpg"]
