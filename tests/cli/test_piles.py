"""Pile, spread, piece and judge as typed, with what stops them."""

from command import run, run_json
from shades_made import GOLD, put_lot
from swatchbath import Library


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
