"""The command as its user types it: answers, JSON, exit codes, and one sentence for bad input."""

import json
import re
from pathlib import Path

import pytest

import swatchbath as sb
from command import run
from folders import SAMPLE
from swatchbath.cli import VERBS

PHOTO = str(SAMPLE / "photos" / "photo_01.jpg")
PLACES = ["--card", "798,900,97", "--swatch", "01a=261,250,49"]


@pytest.fixture(scope="module")
def house(sample_house):
    """The sample house as a library."""
    return sample_house


def asked(house, verb, *words, ok=0):
    return json.loads(run(verb, *words, "--library", house, "--json", ok=ok).stdout)


@pytest.mark.parametrize("verb", VERBS)
def test_help_starts_with_examples(verb):
    text = run(verb, "--help").output
    assert "Examples:" in text
    assert text.index("Examples:") < text.index("Options:")
    assert max(len(line) for line in text.splitlines()) <= 80


def test_measure_prints_words_figures_and_doubt():
    text = run("measure", PHOTO, *PLACES).output
    assert "01a" in text
    assert "yellow" in text
    assert "give or take" in text
    assert "\x1b[" not in text


def test_measure_says_the_same_in_json_and_in_python():
    told = json.loads(run("measure", PHOTO, *PLACES, "--json").stdout)
    assert (told["schema"], told["use"]) == (1, "measure")
    place = {"01a": sb.Region(261, 250, 49)}
    m = sb.measure(PHOTO, card=sb.Region(798, 900, 97), swatches=place)["01a"]
    assert told["swatches"][0]["lab"] == m.lab.tolist()
    assert told["swatches"][0]["covariance"] == m.covariance.tolist()


def test_marks_from_a_table_measure_the_same():
    told = json.loads(run("measure", PHOTO, "--marks", SAMPLE / "marks.csv", "--json").stdout)
    one = json.loads(run("measure", PHOTO, *PLACES, "--json").stdout)
    by_name = {s["name"]: s for s in told["swatches"]}
    assert len(by_name) == 5
    assert by_name["01a"]["lab"] == pytest.approx(one["swatches"][0]["lab"])


def test_colour_blocks_only_where_they_can_be_shown(monkeypatch):
    from swatchbath.cli import screen

    monkeypatch.setattr("sys.stdout.isatty", lambda: True, raising=False)
    monkeypatch.setenv("COLORTERM", "truecolor")
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.delenv("NO_COLOR", raising=False)
    assert "48;2;200;160;80" in screen.block("#c8a050")
    monkeypatch.setenv("NO_COLOR", "1")
    assert screen.block("#c8a050") == ""


def test_a_swatch_is_recorded_found_shown_and_compared(tmp_path):
    library = tmp_path / "mine"
    done = run(
        "record", PHOTO, "--card", "798,900,97", "--swatch", "261,250,49", "--name", "first",
        "--set", "fibre=wool", "--set", "dyestuff=weld", "--set", "dye_owf=80", "--set", "pH=6,5",
        "--set", "modifier=iron", "--set", "modifier_owf=2", "--library", library, "--json",
    )  # fmt: skip
    told = json.loads(done.stdout)
    code = told["codes"]["first"]
    assert told["readings"] == 1
    assert any("iron" in c.lower() for c in told["cautions"])
    shown = asked(library, "show", code)
    assert shown["conditions"]["pH"] == 6.5
    assert shown["measurements"][0]["rung"] == "card"
    assert asked(library, "find", "iron")["swatches"][0]["code"] == code
    text = run("show", "first", "--library", library).output
    # It is dry: its facts first, its cautions after them.
    assert text.index("iron") < text.index("Take care when it is dyed again:")
    assert "another swatch" in run("compare", code, code, "--library", library, ok=2).stderr


def test_the_library_folder_may_be_named_in_the_environment(tmp_path):
    env = {"SWATCHBATH_LIBRARY": str(tmp_path / "env")}
    run("record", "--set", "fibre=wool", "--set", "dyestuff=weld", env=env)
    assert (tmp_path / "env" / "library.sqlite").is_file()
    assert "weld" in run("find", env=env).output


def test_compare_exits_by_its_verdict():
    assert (
        json.loads(run("compare", "50,10,10", "50,10,10.2", "--json").stdout)["verdict"] == "match"
    )
    assert "no match" in run("compare", "50,10,10", "60,10,10", ok=1).output


def test_two_lots_of_the_sample_are_compared_in_their_photo(house):
    told = asked(house, "compare", "20a", "21a", ok=1)
    assert told["same_photo"]
    assert told["verdict"] in ("no match", "cannot tell")
    assert told["delta_e2000"] > 3


def test_suggest_gives_baths_with_chance_precedents_and_cautions_first(house):
    words = ["48,38,30", "--limit", "fibre=wool", "--limit", "modifier=iron", "--tolerance", "3"]
    told = asked(house, "suggest", *words)
    assert len(told["ideas"]) >= 1
    for idea in told["ideas"]:
        assert idea["conditions"]["fibre"] == "wool"
        assert idea["conditions"]["modifier"] == "iron"
        assert idea["conditions"]["modifier_owf"] <= 4
        assert 0 <= idea["chance_within"] <= 1
        assert len(idea["precedents"]) == 3
        assert any("iron" in c.lower() for c in idea["cautions"])
        assert idea["conditions"]["temperature_C"] % 5 == 0
    assert told["left_out"]["blocks"] > 9
    assert asked(house, "suggest", *words) == told
    text = run("suggest", *words, "--library", house).output
    # Colour and chance first; of iron no amount before its cautions.
    amount = re.search(r"iron\s+[\d.]+\s+%:|[\d.]+\s+%\s+iron", text)
    assert text.index("Expect ") < text.index("Keep iron salts locked") < amount.start()
    assert "I guessed each of your" in text


def test_predict_foresees_a_bath_and_says_what_was_never_tried(house):
    bath = ["fibre=wool", "mordant=alum", "mordant_owf=12", "dyestuff=weld", "dye_owf=60", "pH=6"]
    bath += ["temperature_C=80", "minutes=60", "modifier=none"]
    told = asked(house, "predict", *bath)
    assert told["lab"][0] > 60
    assert told["lab"][2] > 20
    strange = asked(house, "predict", "fibre=linen", "dyestuff=weld")
    assert strange["outside"]
    assert strange["reasons"]


def test_find_by_a_swatch_leaves_it_out_and_orders_by_nearness(house):
    rows = asked(house, "find", "--colour", "01a", "-k", "5")["swatches"]
    assert len(rows) == 5
    assert "01a" not in [r["name"] for r in rows]
    distances = [r["delta_e2000"] for r in rows]
    assert distances == sorted(distances)


def test_what_is_found_can_be_written_and_recorded_again(house, tmp_path):
    out = tmp_path / "weld.csv"
    found = asked(house, "find", "weld", "-k", "500", "--csv", out)["swatches"]
    again = run("record", "--baths", out, "--library", tmp_path / "copy", "--json")
    assert len(json.loads(again.stdout)["codes"]) == len(found) > 20
    with sb.Library(house) as one, sb.Library(tmp_path / "copy") as two:
        for row in found:
            theirs = two.swatch(row["name"]).conditions
            for column, value in one.swatch(row["name"]).conditions.items():
                assert theirs[column] == value
    assert (
        "cannot be written"
        in run("find", "weld", "--csv", tmp_path / "no" / "x.csv", "--library", house, ok=2).stderr
    )


def test_with_few_swatches_the_nearest_are_shown_and_no_chance_is_given(tmp_path):
    for i, dyestuff in enumerate(["weld", "madder"]):
        run(
            "record", PHOTO, "--card", "798,900,97", "--swatch",
            ["261,250,49", "805,245,48"][i], "--name", dyestuff, "--set", "fibre=wool",
            "--set", f"dyestuff={dyestuff}", "--library", tmp_path,
        )  # fmt: skip
    told = asked(tmp_path, "suggest", "70,0,50")
    assert told["ideas"] == []
    assert "at least 12" in told["too_few"]
    assert [p["name"] for p in told["nearest"]]
    assert "chance" not in run("suggest", "70,0,50", "--library", tmp_path).output.lower()


# Bad input: one sentence, exit 2, nothing half-written.

BATH = ["--set", "fibre=wool", "--set", "dyestuff=weld"]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["measure", "none.jpg", *PLACES], "no photo"),
        (["measure", PHOTO, "--swatch", "a=261,250,49"], "No grey card"),
        (["measure", PHOTO, "--card", "798,900,97"], "No swatch is marked"),
        (["measure", PHOTO, "--card", "5,5,99", "--swatch", "a=261,250,49"], "outside the photo"),
        (["measure", PHOTO, "--card", "here", "--swatch", "a=261,250,49"], "x,y,half"),
        (["measure", PHOTO, *PLACES, "--card-lab", "grey"], "no colour"),
        (["suggest", "notacolour"], "no library"),
        (["suggest", "62,12", "--library", "HOUSE"], "no colour"),
        (["suggest", "620,12,48", "--library", "HOUSE"], "no colour of a surface"),
        (["suggest", "62,12,48", "--limit", "pH=19", "--library", "HOUSE"], "pH"),
        (["suggest", "62,12,48", "--limit", "colour=red", "--library", "HOUSE"], "no column"),
        (["suggest", "62,12,48", "--tolerance", "-1", "--library", "HOUSE"], "tolerance"),
        (["predict", "fibre=stone", "dyestuff=weld", "--library", "HOUSE"], "wool"),
        (["predict", "fibre=wool", "--library", "HOUSE"], "dyestuff"),
        (["predict", "fibre=wool", "dyestuff=weld", "pH=19", "--library", "HOUSE"], "0 to 14"),
        (["compare", "50,0,0", "nobody", "--library", "HOUSE"], "no swatch"),
        (["compare", "50,0,0", "50,0,0", "--tolerance", "0"], "tolerance"),
        (["show", "33O33", "--library", "HOUSE"], "never holds O"),
        (["find", "--colour", "red", "--library", "HOUSE"], "no swatch"),
        (["record", "--set", "fibre=wool", "--library", "NEW"], "dyestuff"),
        (["record", *BATH, "--set", "pH=19", "--library", "NEW"], "pH"),
        (["record", *BATH, "--set", "pH=sour", "--library", "NEW"], "not a number"),
        (["record", PHOTO, *BATH, "--library", "NEW"], "together"),
        (["record", *BATH, "--state", "damp", "--library", "NEW"], "state"),
        (["record", "--baths", "none.csv", "--library", "NEW"], "cannot be read"),
        (["record", "--library", "NEW"], "Nothing is told of the bath"),
        (["record", *BATH, "--set", "dye_owf=0", "--library", "NEW"], "dye_owf: 0 %"),
        (
            [
                "record",
                "--baths",
                SAMPLE / "baths.csv",
                "--marks",
                SAMPLE / "marks.csv",
                "--library",
                "NEW",
            ],
            "Name the folder of the photos",
        ),
    ],
    ids=lambda v: " ".join(map(str, v))[:40] if isinstance(v, list) else v,
)
def test_bad_input_gets_one_sentence_and_exit_2(house, tmp_path, words, says):
    words = [
        str(house) if w == "HOUSE" else str(tmp_path / "new") if w == "NEW" else w for w in words
    ]
    result = run(*words, ok=2)
    assert result.stdout == ""
    assert result.stderr.startswith("swatchbath: ")
    assert says.lower() in result.stderr.lower()
    assert "Traceback" not in result.stderr
    assert not (tmp_path / "new").exists()


def test_an_error_in_json_has_one_shape():
    result = run("compare", "50,0", "50,0,0", "--json", ok=2)
    told = json.loads(result.stdout)
    assert told["schema"] == 1
    assert told["error"]["kind"] == "BadValue"
    assert told["error"]["sentence"]


@pytest.mark.parametrize(
    ("cell", "value", "says"),
    [
        ("pH", "19", "Row 3, column pH"),
        ("temperature_C", "hot", "Row 3, column temperature_C"),
        ("fibre", "stone", "Row 3, column fibre"),
        ("state", "damp", "Row 3, column state"),
        ("dye_owf", "-5", "Row 3, column dye_owf"),
    ],
)
def test_a_bad_cell_stops_a_table_before_anything_is_written(tmp_path, cell, value, says):
    header = "name,state,fibre,dyestuff,dye_owf,pH,temperature_C"
    row = {"name": "b", "state": "dry", "fibre": "wool", "dyestuff": "weld", "dye_owf": "50",
           "pH": "6", "temperature_C": "80"} | {cell: value}  # fmt: skip
    table = tmp_path / "baths.csv"
    table.write_text(f"{header}\na,dry,wool,weld,50,6,80\n" + ",".join(row.values()) + "\n")
    result = run("record", "--baths", table, "--library", tmp_path / "lib", ok=2)
    assert says in result.stderr
    assert not (tmp_path / "lib").exists()


def test_a_name_that_tells_of_two_baths_is_refused(tmp_path):
    table = tmp_path / "baths.csv"
    table.write_text("name,fibre,dyestuff,pH\na,wool,weld,6\na,wool,weld,7\n")
    result = run("record", "--baths", table, "--library", tmp_path / "lib", ok=2)
    assert "Rows 2 and 3" in result.stderr


def test_demo_does_the_whole_job_and_leaves_a_report(tmp_path):
    told = json.loads(run("demo", "--folder", tmp_path / "demo", "--json").stdout)
    assert told["recorded"]["photos"] == 18
    assert len(told["recorded"]["codes"]) == 72
    assert told["suggestion"]["ideas"]
    html = Path(told["report"]).read_text(encoding="utf-8")
    for word in ("nearest real fibre", "It could also come out like these", "data:image/jpeg"):
        assert word in html
    # The answer first: the strip before its cautions, those before the amounts.
    assert html.index("asked for") < html.index('class="caution"') < html.index("For 100 g")
    assert {c["verdict"] for c in told["comparisons"]} == {"match", "no match", "cannot tell"}
    assert told["suggestion"]["ideas"][0]["chance_within"] > 0.5
    assert "http://" not in html.replace("http://www.w3.org/2000/svg", "")
    again = run("demo", "--folder", tmp_path / "demo", ok=2)
    assert "not empty" in again.stderr
