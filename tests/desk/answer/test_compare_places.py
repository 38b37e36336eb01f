"""Two places in a photo, with nothing named: pictures of two patches on a table."""

import numpy as np
import pytest
from PIL import Image

import sheet_drawing as drawn
from swatchbath import desk
from swatchbath.errors import BadValue

LEFT, RIGHT = "250,350,80", "750,350,80"
ONE = np.array([0.22, 0.12, 0.05])


def picture(path, left, right, *, slope=0.0, uneven=0.0):
    """Two patches in linear light, brighter to the right by `slope` over the width; the left one's
    red differs by `uneven` from its top to its bottom."""
    rng = np.random.default_rng(3)
    light = np.full((700, 1000, 3), 0.3)
    for x, colour in ((250, left), (750, right)):
        light[230:470, x - 120 : x + 120] = np.asarray(colour)
    light[230:470, 130:370, 0] *= np.exp(uneven * np.linspace(-1, 1, 240) ** 3)[:, None]
    light *= np.exp(slope * np.linspace(-0.5, 0.5, 1000))[None, :, None]
    light *= np.exp(rng.normal(0, 0.04, (700, 1000, 1)))
    codes = 255 * np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    Image.fromarray(np.clip(np.rint(codes), 0, 255).astype(np.uint8)).save(path)
    return str(path)


def ask(tmp_path, photo, at=(LEFT, RIGHT), **how):
    return desk.compare_in(tmp_path / "none", None, None, photo=photo, at=at, **how).as_dict()


def test_two_places_need_no_card_and_no_library(tmp_path):
    same = ask(tmp_path, picture(tmp_path / "a.png", ONE, ONE))
    assert same["verdict"] == "match" and "one garment" not in same["sentence"]
    assert any("without a card" in s for s in same["pair_said"])
    other = ask(tmp_path, picture(tmp_path / "b.png", ONE * [2, 1, 1], ONE), purpose="garment")
    assert other["verdict"] == "no match"
    assert "the first is" in other["sentence"] and "redder" in other["words"]
    # Too far apart for anything to help.
    assert other["delta_e2000"] > 8 and not other["meanwhile"]


def test_a_second_photo_of_the_two_swapped_takes_the_light_out(tmp_path):
    darker = ONE * 0.86
    first = picture(tmp_path / "a.png", ONE, darker, slope=-0.2)
    second = picture(tmp_path / "b.png", darker, ONE, slope=-0.2)
    alone, both = ask(tmp_path, first), ask(tmp_path, first, swapped=second)
    even = ask(tmp_path, picture(tmp_path / "c.png", ONE, darker))
    assert abs(both["delta_e2000"] - even["delta_e2000"]) < 0.3
    assert abs(alone["delta_e2000"] - even["delta_e2000"]) > 1
    width = [r["interval"][1] - r["interval"][0] for r in (alone, both)]
    assert width[1] < width[0]
    # What was done is not advised again.
    assert even["settle"] and "--swapped" not in both["settle"]


def test_a_pair_that_parts_under_a_second_lamp_is_told(tmp_path):
    day = picture(tmp_path / "a.png", ONE, ONE)
    lamp = picture(tmp_path / "b.png", ONE * [2.2, 1, 1], ONE)
    found = ask(tmp_path, day, lamp=lamp)
    assert found["verdict"] == "match"
    assert found["lamp"]["sentence"] == "They part under that lamp."
    still = ask(tmp_path, day, lamp=picture(tmp_path / "c.png", ONE, ONE))
    assert still["lamp"]["sentence"] == "They match under that lamp too."


def test_places_are_asked_for_in_pairs(tmp_path):
    photo = picture(tmp_path / "a.png", ONE, ONE)
    for at in ((), (LEFT,), (LEFT, RIGHT, LEFT), (LEFT, RIGHT, LEFT, RIGHT)):
        with pytest.raises(BadValue, match="--at x,y twice"):
            ask(tmp_path, photo, at)
    with pytest.raises(BadValue, match="on one place"):
        ask(tmp_path, photo, (LEFT, LEFT))
    with pytest.raises(BadValue, match="two places in a photo"):
        desk.compare_in(tmp_path / "none", "50,0,0", "51,0,0", swapped=photo)


def on_sheet(folder, colours, **seen):
    """A photo of the photo sheet with felts of these colours (place: RGB), and where they lie."""
    rng = np.random.default_rng(5)
    layout, light = drawn.draw_sheet(
        8, "A4", filled=list(colours), colours={0: (0.18,) * 3} | colours, rng=rng
    )
    _, truth = drawn.take(layout, light, drawn.Camera(size=(900, 1200), **seen), rng, folder)
    middles = truth(np.array([p.read.centre for p in layout.swatches]))
    return str(folder / "sheet.jpg"), [f"{x:.0f},{y:.0f},14" for x, y in middles]


def test_five_alike_on_one_sheet_are_told_alike_in_uneven_light(tmp_path):
    five = dict.fromkeys((1, 2, 4, 6, 8), ONE)
    photo, at = on_sheet(tmp_path, five | {5: ONE * [1.9, 0.9, 0.6]}, uneven=0.35)
    for place in (2, 4, 6, 8):
        told = ask(tmp_path, photo, (at[0], at[place - 1]))
        assert told["verdict"] == "match", (place, told["interval"])
    assert any("bare paper" in s for s in told["pair_said"])
    assert ask(tmp_path, photo, (at[0], at[4]))["verdict"] == "no match"


def test_part_of_a_sheet_is_said_and_not_used(tmp_path):
    photo, at = on_sheet(
        tmp_path, {1: ONE, 2: ONE}, hide=("bottom left", "bottom right"), uneven=0.0
    )
    told = ask(tmp_path, photo, (at[0], at[1]))
    assert any("sheet's paper was not used" in s for s in told["pair_said"])
    assert any("without a card" in s for s in told["pair_said"])


def test_a_card_a_sheet_and_a_swap_are_not_advised_where_the_camera_is_what_hides_it(tmp_path):
    photo, at = on_sheet(tmp_path, {1: ONE, 2: ONE * [1.16, 1.0, 1.0]})
    told = ask(tmp_path, photo, (at[0], at[1]))
    assert told["verdict"] == "cannot tell" and told["limited_by"] == "camera"
    assert "--chart" in told["settle"]
    assert not any(o in told["settle"] for o in ("--card", "--paper", "--swapped"))
