"""How good a photo is: quiet on good ones, plain about bad ones, exit 1 for what cannot be used."""

import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image, ImageFilter

from swatchbath.cli import main
from swatchbath.colorimetry import Check
from swatchbath.sample import sample_folder

GOOD = sample_folder() / "photos" / "photo_01.jpg"


def run(*words, ok=0):
    result = CliRunner().invoke(main, ["check", *(str(w) for w in words)])
    assert result.exit_code == ok, result.output
    return result.stdout


def spoiled(tmp_path, change):
    with Image.open(GOOD) as image:
        bad = change(image.convert("RGB"))
    path = tmp_path / "bad.png"
    bad.save(path)
    return path


def test_a_good_photo_is_called_good_and_little_else():
    told = run(GOOD, "--card", "798,900,97", "--swatch", "a=261,250,49")
    assert "is good for colour. Good light, sharp, card fine, swatch fine." in told
    assert "One thing" not in told and "For a better one" not in told
    assert "which camera took it: Hallowick H3" in told


def test_one_thing_is_said_in_words_with_what_to_do(tmp_path):
    told = run(spoiled(tmp_path, lambda i: i.filter(ImageFilter.GaussianBlur(12))))
    plain = " ".join(told.split())
    assert "can be used for colour, with doubts. Good light." in plain
    assert "One thing: it is blurred or shaken. Rest the phone on something" in plain
    assert "sharpness" not in plain  # no inner name
    assert "It does not say which camera took it" in plain and "--camera-name" in plain


def test_no_inner_name_is_shown_and_every_word_fits_a_check(tmp_path):
    """Each name that is put into words is one that a check has."""
    from swatchbath.desk.photo import check_words

    root = Path(check_words.__file__).parents[2] / "photo"
    text = "".join(p.read_text(encoding="utf-8") for p in root.rglob("*.py"))
    assert all(f'"{name}"' in text for name in check_words._WRONG)
    dark = spoiled(tmp_path, lambda i: i.point(lambda v: v // 12))
    told = " ".join(run(dark, "--card", "798,900,97", "--swatch", "b=261,250,49", ok=1).split())
    assert "Two things. It is too dark. Photograph" in told and "The grey card came out" in told
    assert "(798, 900)" not in told and "card too dark" not in told
    checks = [Check("swatch specks", "doubtful", "Swatch b at (9, 9): half.", "Mark less.")]
    said = check_words.check_words("p.jpg", "doubtful", checks, unseen="", camera="X")
    assert said[1] == (
        "One thing: something of another colour lies in the place of swatch b. Mark less."
    )


def test_without_a_card_it_says_how_to_have_one_judged():
    assert "--card x,y" in run(GOOD)


@pytest.mark.parametrize(
    ("change", "name", "level"),
    [
        (lambda i: i.point(lambda v: v // 12), "brightness", "refused"),
        (lambda i: i.point(lambda v: min(255, v * 4)), "clipping", "refused"),
        (lambda i: i.filter(ImageFilter.GaussianBlur(12)), "sharpness", "doubtful"),
        (lambda i: i.resize((160, 120)), "size", "refused"),
    ],
)
def test_what_spoils_a_photo_is_said_first_with_a_remedy(tmp_path, change, name, level):
    path = spoiled(tmp_path, change)
    told = json.loads(run(path, "--json", ok=1 if level == "refused" else 0))
    first = told["checks"][0]
    assert (first["name"], first["level"]) == (name, level) and first["remedy"]
    assert told["level"] == level and told["advice"]


def test_a_clipped_card_is_refused_with_what_to_do(tmp_path):
    def glare(image):
        codes = np.array(image)
        codes[790:1010, 690:910] = 255
        return Image.fromarray(codes)

    told = run(spoiled(tmp_path, glare), "--card", "798,900,97", ok=1)
    assert "cannot be used for colour" in told and "clipped" in told and "less exposure" in told


def test_a_swatch_that_cannot_be_read_is_no_fault_of_the_photo():
    where = ["--card", "798,900,97", "--swatch", "01a=261,250,49"]
    told = run(GOOD, *where, "--swatch", "gone=5000,1,10", ok=1)
    assert "can be used for colour, but not for gone." in told and "reaches outside" in told
    alone = run(GOOD, *where[:2], "--swatch", "gone=5000,1,10", ok=1)
    assert "cannot be used for colour" in alone


@pytest.mark.parametrize("every", [3, pytest.param(1, marks=pytest.mark.slow)])
def test_real_photos_of_charts_are_not_refused(reference, every):
    for path in sorted((Path(reference) / "photos").glob("*.jpg"))[::every]:
        assert json.loads(run(path, "--json"))["level"] in ("fine", "doubtful"), path.name
