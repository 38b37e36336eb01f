"""Uneven light: what tells of it corrects it; what does not leaves a doubt that says so."""

import numpy as np
import pytest
from PIL import Image

import swatchbath as sb
from swatchbath.colorimetry import delta_e2000
from swatchbath.colorimetry.lab import lab_to_xyz, srgb_encode, xyz_to_linear_srgb
from swatchbath.errors import BadValue, PhotoRefused

WIDE, HIGH = 600, 400
CARD = sb.Card(sb.Region(60, 200, 30), lab=[49.5, 0, 0])
PLACES = {"a": sb.Region(200, 100, 25), "b": sb.Region(330, 300, 25), "c": sb.Region(420, 80, 25)}
LABS = {"a": [60, 20, 30], "b": [45, -10, 25], "c": [70, 5, 45]}
SECOND = sb.Card(sb.Region(540, 200, 30), lab=[49.5, 0, 0])
PAPER = [sb.Region(x, y, 14) for x in (130, 300, 480) for y in (30, 200, 370)]


def fall(slope=0.35, bend=0.0):
    """Light over the frame: a slope to the right and down, and a bow."""
    y, x = np.mgrid[:HIGH, :WIDE] / np.hypot(WIDE, HIGH)
    return np.exp(-slope * (x + 0.5 * y) + bend * np.cos(5 * x))


def picture(path, light, *, blank=False, wide=WIDE):
    scene = np.ones((HIGH, WIDE, 3)) * xyz_to_linear_srgb(lab_to_xyz([80.0, 1, 3]))
    if not blank:
        things = [(CARD.region, CARD.lab), (SECOND.region, SECOND.lab)]
        things += [(PLACES[n], LABS[n]) for n in PLACES]
        for r, lab in things:
            far = 1.3 * r.half
            box = np.s_[int(r.y - far) : int(r.y + far), int(r.x - far) : int(r.x + far)]
            scene[box] = xyz_to_linear_srgb(lab_to_xyz(np.array(lab, float)))
    shown = 0.18 * (scene * light[..., None] / 0.18) ** 1.2  # a camera's contrast
    codes = srgb_encode(np.clip(shown, 0, 1)) * 255
    codes += np.random.default_rng(0).normal(0, 1.0, codes.shape)
    codes = np.clip(np.round(codes), 0, 255).astype("uint8")
    Image.fromarray(codes[:, :wide]).save(path)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    where = tmp_path_factory.mktemp("light")
    picture(where / "even.png", fall(0))
    picture(where / "tilted.png", fall())
    picture(where / "tilted_sheet.png", fall(), blank=True)
    picture(where / "bowed.png", fall(0.1, 0.06))
    picture(where / "bowed_sheet.png", fall(0.1, 0.06), blank=True)
    picture(where / "steep.png", fall(2.0))
    picture(where / "small_sheet.png", fall(), blank=True, wide=500)
    return where


def shot(path, **more):
    return sb.measure(path, card=CARD, swatches=PLACES, **more)


def off(got, even):
    return max(float(delta_e2000(got[n].lab, even[n].lab)) for n in PLACES)


def light_sd(measured):
    return float(
        sum(np.linalg.norm(a) for name, a in measured.shared.items() if name.startswith("light:"))
    )


TOLD = {"card": {"also": [SECOND]}, "paper": {"paper": PAPER}, "sheet": {}}


@pytest.mark.parametrize("which", ["tilted", "bowed"])
@pytest.mark.parametrize("told", TOLD)
def test_what_tells_of_the_light_takes_it_out(folder, which, told):
    even = shot(folder / "even.png")
    plain = shot(folder / f"{which}.png")
    more = {"flat": folder / f"{which}_sheet.png"} if told == "sheet" else TOLD[told]
    got = shot(folder / f"{which}.png", **more)
    assert off(plain, even) > (3 if which == "tilted" else 1)
    # Two cards tell of a slope, not of a bow.
    assert off(got, even) < (1.0 if (which, told) == ("bowed", "card") else 0.45) * off(plain, even)
    for name in PLACES:
        # What nothing tells of is stated as an ordinary light's, and these are far from even: a
        # second card tells of that, and of one direction only.
        assert light_sd(got[name]) < (1.3 if told == "card" else 0.7) * light_sd(plain[name])
        # What is left lies within three standard deviations of what is said of the light.
        left = np.linalg.norm(got[name].lab - even[name].lab)
        assert left < 3 * light_sd(got[name]) + 0.5


def test_where_nothing_tells_the_doubt_grows_with_distance_and_says_so(folder):
    plain = shot(folder / "even.png")
    assert light_sd(plain["a"]) < light_sd(plain["b"]) < light_sd(plain["c"])
    assert any("how even the light is" in note for note in plain["a"].notes)
    told = shot(folder / "even.png", also=[SECOND])
    assert not any("how even" in note for note in told["a"].notes)


def test_the_check_says_how_uneven_it_is(folder):
    def level(name, **more):
        got = shot(folder / name, **more)
        if "c" in got.refused:
            return "refused"
        return next(c.level for c in got["c"].checks if c.name == "even light")

    assert level("even.png", also=[SECOND]) == "fine"
    assert level("tilted.png", also=[SECOND]) == "doubtful"
    assert level("steep.png", paper=PAPER) == "refused"
    assert not any(c.name == "even light" for c in shot(folder / "even.png")["c"].checks)


def test_a_sheet_from_another_place_is_refused(folder):
    with pytest.raises(BadValue, match="from one place"):
        shot(folder / "tilted.png", flat=folder / "small_sheet.png")
    with pytest.raises(BadValue, match="two or more"):
        shot(folder / "tilted.png", paper=PAPER[:1])


def test_two_swatches_side_by_side_share_what_the_light_does(folder):
    near = {"a": sb.Region(415, 80, 15), "b": sb.Region(425, 80, 15)}
    got = sb.measure(folder / "even.png", card=CARD, swatches=near)
    one, two = (got[n].shared[f"light:{got.photo}"] for n in near)
    assert np.linalg.norm(one - two) < 0.1 * np.linalg.norm(one)


def test_light_of_two_colours_is_told(folder):
    """A lamp at one side and a window at the other: the same paper reads in two colours."""
    y, x = np.mgrid[:HIGH, :WIDE] / WIDE
    tinted = np.stack([1 + 0.25 * x, np.ones_like(x), 1 - 0.25 * x], axis=-1)
    with Image.open(folder / "even.png") as image:
        codes = np.clip(np.array(image) * tinted, 0, 255)
    Image.fromarray(codes.astype("uint8")).save(folder / "mixed.png")

    def level(name, **more):
        got = shot(folder / name, **more)
        return next((c.level for c in got["a"].checks if c.name == "one light"), "refused")

    for more in ({"also": [SECOND]}, {"paper": PAPER}):
        assert level("even.png", **more) == "fine"
    with pytest.raises(PhotoRefused, match="window and lamp"):
        shot(folder / "mixed.png", paper=PAPER)["a"]


def test_a_second_card_that_sees_even_light_narrows_the_doubt(folder):
    plain, got = shot(folder / "even.png"), shot(folder / "even.png", also=[SECOND])
    for name in PLACES:
        assert light_sd(got[name]) < light_sd(plain[name])
