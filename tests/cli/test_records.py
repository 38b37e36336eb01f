"""The verbs of keeping a record: JSON for each, one sentence and exit 2 for each mistake."""

import json
import time
from datetime import UTC, datetime

import pytest

from command import run
from library_made import a_photo
from record_made import written
from swatchbath.library import clock

WELD = ("--fibre", "wool", "--step", "dye: weld 80 %")


@pytest.fixture
def lib(tmp_path):
    return tmp_path / "lib"


def test_every_verb_answers_in_json_without_a_time(lib, tmp_path):
    def said(verb, *words):
        out = run(verb, *words, "--json", "--library", lib).stdout
        told = json.loads(out)
        assert told["schema"] == 1 and told["use"] == verb
        assert "+00:00" not in out
        return told

    (code,) = said("codes", 1)["codes"]
    assert said("pot", "--codes", code, *WELD)["swatches"][0]["code"] == code
    assert said("photos", a_photo(tmp_path / "a.png"))["new"]
    assert said("waiting")["swatches"] == 2
    assert said("take", written(tmp_path, "fibre,dyestuff\nwool,weld\n"))["taken"] == 1
    assert said("export", tmp_path / "out")["swatches"] == 3
    assert said("record", "--like", code, "--set", "pH=5")["codes"]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["codes", "0"], "1 to 500"),
        (["codes", "3", "--out", "tags.txt"], ".pdf"),
        (["codes", "three"], "not a valid integer"),
        (["pot"], "Nothing is told"),
        (["pot", "--step", "boil"], "begins with no treatment"),
        (["pot", "--like", "last"], "no library yet"),
        (["pot", *WELD, "--weight", "heavy"], "no weight"),
        (["pot", *WELD, "--codes", "33333"], "no library yet"),
        (["photos", "none.jpg", "--state", "damp"], "no state"),
        (["take", "none.csv"], "cannot be read"),
        (["take", "none.xlsx"], "cannot be read"),
        (["export", "out"], "no library"),
        (["record", "--like", "last", "--set", "pH=5"], "no library yet"),
    ],
)
def test_a_mistake_is_one_sentence_and_exit_2(words, says, lib, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    result = run(*words, "--library", lib, ok=2)
    assert says in result.output
    assert "Traceback" not in result.output and result.output.count("swatchbath: ") == 1
    assert not lib.exists()


@pytest.mark.parametrize("verb", ["codes", "pot", "photos", "waiting", "take", "export"])
def test_help_says_at_least_three_sentences(verb):
    text = run(verb, "--help").stdout.split("Options:")[0].split("Examples:")
    sentences = text[0].count(".") + text[1].split("\n\n", 1)[1].count(".")
    assert sentences >= 3


def test_the_cautions_stand_before_the_codes(lib):
    words = (*WELD, "--after", "none", "--after", "iron 2 %")
    said = run("pot", *words, "--library", lib).stdout
    assert said.index("Take care") < said.index("On record")
    assert "locked away from children" in " ".join(said.split())


def test_a_vat_is_told_with_its_caution_and_shown_as_a_vat(lib):
    words = ("--fibre", "linen", "--step", "vat: indigo, hydrosulphite, 3 dips of 10 min, 50 C")
    code = json.loads(run("pot", *words, "--json", "--library", lib).stdout)["swatches"][0]["code"]
    said = " ".join(run("show", code, "--library", lib).stdout.split())
    assert "away from acid" in said and "goggles and gloves at a vat" in said
    assert "Dip in a vat of indigo, reduced with hydrosulphite, 3 dips of 10 min, 50 °C." in said


@pytest.mark.skipif(not hasattr(time, "tzset"), reason="no zone of a process here")
@pytest.mark.parametrize(("zone", "hour"), [("Asia/Tokyo", "12:04"), ("America/New_York", "22:04")])
def test_what_happened_is_told_in_her_own_time(folder, monkeypatch, zone, hour):
    monkeypatch.setenv("TZ", zone)
    time.tzset()
    try:
        monkeypatch.setattr(clock, "now", lambda: datetime(2027, 1, 2, 3, 4, 5, tzinfo=UTC))
        run("edit", "12a", "--set", "temperature_C=70", "--library", folder)
        told = run("show", "12a", "--library", folder).output
    finally:
        monkeypatch.undo()
        time.tzset()
    day = "2 Jan 2027" if zone == "Asia/Tokyo" else "1 Jan 2027"
    assert f"{day}, {hour}  corrected: temperature of the dye bath: 70 °C, was" in told
    assert "UTC" not in told and "temperature_C" not in told
