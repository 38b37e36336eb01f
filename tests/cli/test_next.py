"""What to do next: after codes, photos and waiting, in an empty place, and for a mistyped verb."""

import shlex

import pytest

from command import run, run_json
from folders import SAMPLE
from swatchbath.cli import VERBS, main

WELD = ("--fibre", "wool", "--step", "dye: weld 80 %")


def follow(line, folder):
    """Run the command that a line of what to do next ends with, in that library."""
    assert line.startswith("Next: ") or ": swatchbath " in line
    words = shlex.split(line.rsplit("swatchbath ", 1)[1])
    assert words[0] in VERBS
    return run(*words, "--library", folder)


def test_codes_say_what_to_do_next_and_it_can_be_done(tmp_path):
    folder = tmp_path / "lib"
    text = " ".join(run("codes", 2, "--library", folder).output.split())
    given = run_json("waiting", folder=folder)
    assert given["next"] in text
    follow(given["next"], folder)
    after = run_json("waiting", folder=folder)
    assert set(after["waiting"]) == {"to be photographed"}
    assert "sheet --codes" in after["next"]


def test_photos_say_what_to_do_next(tmp_path):
    folder = tmp_path / "lib"
    photo = SAMPLE / "photos" / "photo_01.jpg"
    done = run_json("photos", photo, folder=folder)
    assert done["new"][0] in done["next"] and "pot --codes" in done["next"]
    again = run_json("waiting", folder=folder)
    assert "pot --codes" in again["next"]
    follow(again["next"], folder)
    assert "to be described" not in run_json("waiting", folder=folder)["waiting"]


def test_an_empty_library_tells_of_the_first_three(tmp_path):
    text = run("waiting", "--library", tmp_path / "none").output
    assert "three swatches" in text and "swatchbath codes 3" in text
    assert not (tmp_path / "none").exists()


def test_alone_in_an_empty_place_it_says_where_to_begin(tmp_path):
    empty = {"SWATCHBATH_LIBRARY": str(tmp_path / "none")}
    text = run(env=empty).output
    assert "Where to begin" in text and "swatchbath demo" in text and "swatchbath waiting" in text
    run("codes", 1, "--library", tmp_path / "some")
    text = run(env={"SWATCHBATH_LIBRARY": str(tmp_path / "some")}).output
    assert "Where to begin" not in text and "Verbs:" in text


@pytest.mark.parametrize(
    ("typed", "meant"),
    [("serch", "find"), ("sugest", "suggest"), ("reccord", "record"), ("delete", "bin"),
     ("recipe", "show"), ("Show", "show"), ("comp", "compare")],
)  # fmt: skip
def test_an_unknown_command_is_told_the_near_one(typed, meant):
    said = run(typed, ok=2).stderr
    assert f"There is no command {typed}; did you mean {meant}?" in said


def test_where_none_is_near_all_are_named():
    said = run("xylophone", ok=2).stderr
    assert all(verb in said for verb in VERBS)


def test_a_word_for_a_verb_leads_to_one_that_is_there():
    for word in ("search", "history", "tags", "import", "todo", "photo", "print"):
        assert run(word, ok=2).stderr.split("did you mean ")[1].split("?")[0] in VERBS
    assert main.get_command(None, "serch") is None
