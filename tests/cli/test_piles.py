"""Pile, spread, piece and judge as typed, with what stops them."""

import numpy as np
from PIL import Image

from command import run, run_json
from shades_made import GOLD, put_lot
from swatchbath import Library

ONE = np.array([0.22, 0.12, 0.05])


def house(folder):
    with Library(folder, create=True) as lib:
        return [put_lot(lib, str(k), [GOLD + [x, 0, 0]])[0] for k, x in enumerate((0, 0.2, 30))]


def test_a_pile_is_told_in_words_that_fit_the_screen(tmp_path):
    a, b, c = house(tmp_path / "lib")
    said = run("pile", a, b, c, "--row", "--best", 2, "--library", tmp_path / "lib").stdout
    assert said.index("Group 1") < said.index("Group 2") < said.index("match best")
    assert all(len(line) <= 80 for line in said.splitlines())
    told = run_json("pile", a, b, c, "--for", "customer", folder=tmp_path / "lib")
    assert told["tolerance"] == 4 and told["row"] == [] and told["page"] is None
    assert "twice" in run("pile", a, b, "--for", "family", "--tolerance", 3, "--library",
                          tmp_path / "lib", ok=2).stderr  # fmt: skip
    assert "two skeins" in run("pile", a, "--library", tmp_path / "lib", ok=2).stderr
    page = tmp_path / "no" / "pile.html"
    assert "no folder" in run("pile", a, b, "--page", page, "--library", tmp_path / "lib",
                              ok=2).stderr  # fmt: skip


def test_empty_states_say_what_to_do(tmp_path):
    with Library(tmp_path / "lib", create=True):
        pass
    at = ("--library", tmp_path / "lib")
    assert "swatchbath piece CODE" in run("piece", *at).stdout.replace("\n", " ")
    assert "Photograph three" in run("spread", *at).stdout.replace("\n", " ")
    assert "swatchbath piece CODE" in run("judge", "gold", "x", *at, ok=2).stderr
    assert "piece" in run("keep", ok=2).stderr and "pile" in run("sort", ok=2).stderr


def test_a_pile_in_a_photo_without_a_card_is_sorted_as_with_one(tmp_path):
    rng = np.random.default_rng(6)
    light = np.full((500, 1200, 3), 0.3)
    for i, colour in enumerate((ONE, ONE * 1.01, ONE * [2.2, 1, 1])):
        light[150:350, 100 + 380 * i : 340 + 380 * i] = colour
    light *= np.exp(rng.normal(0, 0.03, (500, 1200, 1)))
    codes = 255 * np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    Image.fromarray(np.clip(np.rint(codes), 0, 255).astype(np.uint8)).save(tmp_path / "pile.png")
    at = [w for i, n in enumerate("abc") for w in ("--at", f"{n}={220 + 380 * i},250,80")]
    told = run_json("pile", "--photo", tmp_path / "pile.png", *at, folder=tmp_path / "none")
    assert [g["skeins"] for g in told["groups"]] == [["a", "b"], ["c"]]
    assert any("without a card" in s for s in told["said"]) and told["one_photo"]
    said = run("pile", "--photo", tmp_path / "pile.png", *at, "--library", tmp_path / "none").stdout
    assert "without a card" in said
