"""What to weigh for an order, a warning before a full pot, and a shade read in a photo."""

import json

import numpy as np
import pytest
from PIL import Image

import command
import swatchbath as sb
from swatchbath.desk.answer.recipe import weighed
from swatchbath.desk.answer.suggest import not_told_of
from swatchbath.desk.text.parse import Target
from swatchbath.sample import sample_folder


@pytest.fixture(scope="module")
def house(sample_house):
    return str(sample_house)


def run(*words, ok=0):
    return command.run("suggest", *words, ok=ok)


def test_grams_of_each_thing_in_the_order_it_is_done():
    bath = {"fibre": "wool", "dyestuff": "weld", "dye_owf": 60.0, "dyestuff_2": "madder",
            "dye_owf_2": 10.0, "mordant": "alum", "mordant_owf": 12.0, "tannin": "none",
            "modifier": "iron", "modifier_owf": 1.5, "liquor_ratio": 30.0}  # fmt: skip
    assert weighed(bath, 500) == [
        "alum: 60 g", "weld: 300 g", "madder: 50 g", "iron 1.5 %: 7.5 g", "water: 15 litres"
    ]  # fmt: skip


def test_an_order_far_larger_than_the_swatches_is_warned_of(house):
    large = json.loads(run("22a", "--grams", 500, "--library", house, "-k", 1, "--json").stdout)
    assert "Dye 100 g first" in large["full_pot"] and large["ideas"][0]["weigh"]
    small = json.loads(run("22a", "--grams", 20, "--library", house, "-k", 1, "--json").stdout)
    assert small["full_pot"] == ""
    assert "For 500 g: " in run("22a", "--grams", 500, "--library", house, "-k", 1).stdout


def test_steps_round_what_is_suggested(house):
    words = ["22a", "--library", house, "-k", 3, "--json"]
    for steps in ({"pH": 1, "temperature_C": 5}, {"pH": 0.5, "temperature_C": 20}):
        typed = [w for n, v in steps.items() for w in ("--step", f"{n}={v}")]
        for idea in json.loads(run(*words, *typed).stdout)["ideas"]:
            for name, step in steps.items():
                assert (idea["conditions"][name] / step) % 1 == pytest.approx(0, abs=1e-9)


def test_each_idea_says_what_to_weigh_and_what_to_hold_beside_it(house):
    words = ["22a", "--library", house, "-k", 1]
    told = json.loads(run(*words, "--json").stdout)
    idea, text = told["ideas"][0], " ".join(run(*words).stdout.split())
    assert f"For 100 g: {', '.join(idea['weigh'])}." in text
    near = [f"{p['code']} ({p['delta_e2000']:.1f})" for p in idea["precedents"]]
    assert len(near) == 3 and ", ".join(near) in text
    assert idea["expect"] in text and idea["odds"] in text
    assert set(told["meta"]) == {"data", "swatches", "seed", "versions"}


def test_a_shade_read_with_much_doubt_says_so(house):
    words = ["22a", "--library", house, "-k", 1, "--json"]
    told = json.loads(run(*words).stdout)
    assert "read give or take" in told["target"]["note"]
    assert json.loads(run(*words, "--tolerance", 20).stdout)["target"]["note"] == ""
    assert json.loads(run("55,26,16", *words[1:]).stdout)["target"]["note"] == ""


PHOTO = sample_folder() / "photos" / "photo_01.jpg"


def test_a_large_record_says_that_its_own_photos_tell_nothing():
    def read(*sources):
        shared = {name: np.eye(3) for name in sources}
        cov = len(sources) * np.eye(3)
        return sb.Measurement([50, 10, 20], 0.1 * np.eye(3), trueness=cov, shared=shared, photo="p")

    shade = read("camera:mine", "photo:p")
    target = Target(shade, shade.lab, "the shade")
    many = [read("camera:mine", f"photo:{i}") for i in range(300)]
    assert "--beside" in not_told_of(target, [*many, read("camera:mine", "photo:p")])
    assert not_told_of(target, [*many[1:], read("photo:p")]) == ""  # not so many
    assert not_told_of(target, [*many, read("camera:mine")]) == ""  # another photo
    told = Target(shade, shade.lab, "the shade", beside=("22a",))
    assert not_told_of(told, [*many, read("photo:p")]) == ""


def test_a_shade_may_be_read_in_a_photo(house):
    photo = PHOTO
    words = ["--photo", photo, "--card", "798,900,97", "--at", "261,250,49", "--library", house]
    told = json.loads(run(*words, "-k", 1, "--json").stdout)
    plain = sb.measure(
        photo, card=sb.Region(798, 900, 97), swatches={"a": sb.Region(261, 250, 49)}
    )["a"]
    assert told["target"]["lab"] == pytest.approx(plain.lab.tolist())


def test_a_photo_without_a_card_is_a_wish(house):
    photo = PHOTO
    words = ["--photo", photo, "--at", "261,250,49", "--library", house, "-k", 1]
    assert "grey card" in run(*words, ok=2).stderr
    told = json.loads(run(*words, "--card", "none", "--json").stdout)
    assert "wish" in told["target"]["note"] and told["ideas"]
    with Image.open(photo) as opened:
        typed = (
            opened.convert("RGB").crop((199, 178, 340, 319)).resize((1, 1), Image.Resampling.BOX)
        )
    red, green, blue = typed.getpixel((0, 0))
    screen = json.loads(run(f"#{red:02x}{green:02x}{blue:02x}", *words[-4:], "--json").stdout)
    off = sb.delta_e2000(told["target"]["lab"], screen["target"]["lab"])
    assert off < 2  # as the picture shows it; the mean is one of light there, of codes here
    assert told["ideas"][0]["expected"] == pytest.approx(screen["ideas"][0]["expected"], rel=0.3)


@pytest.mark.parametrize(
    ("words", "said"),
    [([], "Name one shade"), (["22a", "--at", "1,2"], "--photo"), (["22a", "--grams", "0"], "0 g"),
     (["22a", "--photo", "x.jpg"], "Name one shade"), (["--photo", "x.jpg"], "no photo at"),
     (["--photo", str(PHOTO)], "--at"), (["--photo", str(PHOTO), "--card", "none"], "--at"),
     (["22a", "--step", "pH=0"], "is no step"), (["22a", "--step", "fibre=1"], "is no step"),
     (["22a", "--step", "colour=1"], "is no step"), (["22a", "--limit", "fibre_g=500"], "--grams")],
)  # fmt: skip
def test_what_cannot_be_is_one_sentence(house, words, said):
    assert said in run(*words, "--library", house, ok=2).stderr
