"""The delivery verb as its user types it, and what the other verbs say of a checked delivery."""

import json
import re
import shutil

import pytest

import command
import swatchbath as sb
from delivery_made import checked, made
from swatchbath import desk

STATISTICS = re.compile(r"posterior|likelihood|kernel|REML|p-value|sigma|covariance")


@pytest.fixture(scope="module")
def house(tmp_path_factory):
    folder = made(tmp_path_factory.mktemp("house") / "library")
    with sb.Library(folder) as lib:
        desk.learn(lib)
    return folder


@pytest.fixture(scope="module")
def after(house, tmp_path_factory):
    """The same record with two check swatches of W26."""
    folder = tmp_path_factory.mktemp("after") / "library"
    shutil.copytree(house, folder)
    with sb.Library(folder) as lib:
        checked(lib, k=2)
    return folder


def run(folder, *words, ok=0):
    return command.run(*words, "--library", folder, ok=ok)


def flat(result):
    return " ".join(result.stdout.split())


def test_before_any_check_it_says_what_to_dye_cautions_first(house):
    result = run(house, "delivery", "weld", "W26", "--grams", 20)
    said = result.stdout
    first = [said.index(w) for w in ("Take care:", "1. as", "2. as", "3. as", "What next")]
    assert first == sorted(first)
    assert "4. as" not in said and "with three by" in flat(result)
    assert re.search(r"For 20 g: alum: 240 ml of 1 % stock, weld: \d", flat(result))
    assert "--set dyestuff_lot=W26" in said and "record --like" in flat(result)
    assert "swatchbath delivery weld W26" in said
    assert max(map(len, said.splitlines())) <= 80
    assert not STATISTICS.search(said) and "!" not in said


def test_json_has_the_numbers_of_python(house):
    told = json.loads(run(house, "delivery", "weld", "W26", "--checks", 1, "--json").stdout)
    assert told["use"] == "delivery" and list(told)[2] == "cautions"
    with sb.Library(house) as lib:
        found = desk.delivery(lib, "weld", "W26", checks=1)
    assert told["expected_off"] == {str(k): v for k, v in found.off.items()}
    (recipe,) = told["recipes"]
    assert recipe["conditions"]["dyestuff_lot"] == "W26"
    assert recipe["repeats"]["code"] == found.recipes[0].repeats.code


def test_the_command_it_shows_records_a_check(house, tmp_path):
    folder = tmp_path / "library"
    shutil.copytree(house, folder)
    told = json.loads(run(folder, "delivery", "weld", "W26", "--checks", 1, "--json").stdout)
    shown = told["recipes"][0]["record"].split()
    run(folder, *shown[1:], "--lab", "60,-4,56")
    (check,) = json.loads(run(folder, "delivery", "weld", "W26", "--json").stdout)["checks"]
    assert check["read"]["lab"] == [60, -4, 56]


def test_after_the_checks_it_tells_how_it_differs_and_what_next(after):
    said = run(after, "delivery", "weld", "W26", "--checks", 2)
    assert re.search(r"The weld W26 dyes about \d\d % deeper than W25\.", flat(said))
    assert "With 2 check swatches its baths are expected to be off by" in flat(said)
    rows = re.findall(r"^\w{5} +L\* .* L\* .* \d+\.\d$", said.stdout, re.M)
    assert len(rows) == 2 and "Take care" not in said.stdout
    assert "suggest SHADE --limit dyestuff_lot=W26" in flat(said)
    more = run(after, "delivery", "weld", "W26", "--checks", 3).stdout
    assert more.index("Take care:") < more.index("1. as swatch") and "2. as swatch" not in more
    assert max(map(len, said.stdout.splitlines())) <= 80


@pytest.mark.parametrize(
    "words",
    [
        ["suggest", "70,-4,52", "-k", 1, "--limit", "dyestuff_lot=W26"],
        ["plan", "70,-4,52", "--pots", 1, "--jars", 0, "--limit", "dyestuff_lot=W26"],
        ["predict", "fibre=wool", "dyestuff=weld", "dyestuff_lot=W26", "dye_owf=60"],
    ],
    ids=lambda w: w[0],
)
def test_other_verbs_say_that_they_are_corrected(after, words):
    said = flat(run(after, *words))
    assert re.search(
        r"Corrected for weld W26 by its 2 check swatches: it dyes about \d\d % deep", said
    )
    (told,) = json.loads(run(after, *words, "--json").stdout)["deliveries"]
    assert told["corrected"] and len(told["checks"]) == 2
    unknown = [str(w).replace("W26", "W99") for w in words]
    if "dyestuff=weld" not in unknown:
        assert "not said of which dyestuff" in run(after, *unknown, ok=2).stderr
        unknown += ["--limit", "dyestuff=weld"]
    assert "was never checked" in flat(run(after, *unknown))


def test_enough_swatches_of_its_own_need_no_check(house):
    said = flat(run(house, "delivery", "weld", "W25"))
    assert "26 swatches of its own" in said and "needs no check" in said


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["logwood", "L26"], "on record are: madder, weld"),
        (["weld", "W26", "--checks", 0], "1 to 5"),
        (["weld", "W26", "--checks", 9], "1 to 5"),
        (["weld", "W26", "--grams", 0], "0 g"),
        (["weld", "M25"], "give the new weld another name"),
        (["weld"], "NAME"),
    ],
)
def test_what_cannot_be_is_one_sentence(house, words, said):
    told = run(house, "delivery", *words, ok=2)
    assert said in told.stderr and len(told.stderr.strip().splitlines()) == 1


def test_an_empty_library_is_one_sentence(tmp_path):
    sb.Library(tmp_path / "lib", create=True).close()
    told = run(tmp_path / "lib", "delivery", "weld", "W26", ok=2)
    assert "none yet" in told.stderr and len(told.stderr.strip().splitlines()) == 1
