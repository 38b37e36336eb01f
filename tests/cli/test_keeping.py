"""The verbs that keep a library: edit, undo, bin, backup, restore, verify."""

import json

import pytest

from command import run
from library_made import a_photo, filled, reading
from swatchbath import desk
from swatchbath.library import Library, clock


@pytest.fixture
def folder(tmp_path):
    with Library(tmp_path / "house", create=True) as lib:
        key = filled(lib)
        lib.add_measurement(key, reading(), photo=lib.add_photo(a_photo(tmp_path / "a.png")))
        lib.add_swatch(name="12b", lot="12", fibre={"fibre": "silk"})
    (tmp_path / "stick").mkdir()
    return tmp_path / "house"


def told(*words, folder, ok=0):
    return json.loads(run(*words, "--library", folder, "--json", ok=ok).stdout)


def test_a_correction_says_what_was_what_is_and_whom_it_concerns(folder):
    shown = run("edit", "12a", "--set", "pH=5,5", "--why", "strip", "--library", folder).output
    assert "pH: 6 is now 5.5." in shown
    flat = " ".join(shown.split())
    assert "This is a fact of the pot 12, so for" in flat
    assert flat.index("Take care:") < flat.index("Corrected:")
    assert "corrected: pH 6 to 5.5 (strip)" in run("show", "12b", "--library", folder).output
    answer = told("edit", "12a", "--set", "vessel=", "--set", "water=rain", folder=folder)
    assert answer["changed"] == {"water": [None, "rain"]}
    assert (answer["schema"], answer["lot"]) == (1, "12")
    answer = told("edit", "12a", "--set", "water=rain", folder=folder)
    assert answer["changed"] == {}


def test_an_unusual_value_is_asked_about_and_kept(folder):
    answer = told("edit", "12a", "--set", "pH=13", folder=folder)
    assert any("unusual" in q for q in answer["questions"])
    assert answer["changed"]["pH"] == [6, 13]
    assert told("edit", "12a", "--set", "minutes=50", folder=folder)["questions"] == []


def test_undo_goes_back_through_the_days(folder):
    run("edit", "12a", "--set", "pH=5", "--library", folder)
    run("bin", "12b", "--why", "felted", "--library", folder)
    assert "put in the bin was taken back" in run("undo", "--library", folder).output
    answer = told("undo", folder=folder)
    assert (answer["kind"], answer["in_bin"]) == ("edit", [])
    with Library(folder) as lib:
        assert lib.swatch("12a").conditions["pH"] == 6
    for _ in range(answer["more"]):
        run("undo", "--library", folder)
    refused = told("undo", folder=folder, ok=2)
    assert "no change left" in refused["error"]["sentence"]


def test_the_bin_is_listed_taken_from_and_emptied_only_for_good(folder):
    assert run("bin", "--library", folder).output == "The bin is empty.\n"
    run("bin", "12b", "--library", folder)
    run("bin", "12a", "--reading", "1", "--library", folder)
    assert [t["what"] for t in told("bin", folder=folder)["in_bin"]] == [
        "reading 1, dry",
        "swatch of lot 12 with 0 readings",
    ] or len(told("bin", folder=folder)["in_bin"]) == 2
    refused = run("bin", "--empty", "--library", folder, ok=2)
    assert "cannot be taken back" in refused.output
    assert len(told("bin", folder=folder)["in_bin"]) == 2
    run("bin", "12a", "--reading", "1", "--take-out", "--library", folder)
    run("bin", "12b", "--take-out", "--library", folder)
    run("bin", "12b", "--library", folder)
    gone = told("bin", "--empty", "--for-good", folder=folder)["emptied"]
    assert (len(gone["codes"]), gone["readings"], gone["photos"]) == (1, 0, 0)


def test_backup_restore_and_verify(folder, tmp_path):
    refused = run("backup", "--library", folder, ok=2)
    assert "no place for backups yet" in refused.output
    answer = told("backup", tmp_path / "stick", folder=folder)
    assert (answer["swatches"], answer["photos"], answer["left_out"]) == (2, 1, [])
    assert "read back and compared" in run("backup", "--library", folder).output
    again = tmp_path / "again"
    shown = run("restore", answer["file"], again).output
    assert "Nothing is wrong." in shown
    answer = told("verify", folder=again)
    assert (answer["ok"], answer["findings"]) == (True, [])
    next((again / "photos").iterdir()).unlink()
    said = run("verify", "--library", again, ok=1).output
    assert "is missing" in said and "Nothing is wrong" not in said
    assert told("verify", folder=again, ok=1)["ok"] is False
    (again / "library.sqlite").write_bytes(b"no library at all" * 99)
    said = " ".join(run("verify", "--library", again, ok=1).output.split())
    assert "is damaged. Restore the last backup" in said


def test_it_reminds_of_a_backup_that_is_due(folder, monkeypatch):
    from datetime import timedelta

    later = clock.now() + timedelta(days=9)
    monkeypatch.setattr("swatchbath.library.safety.backup.now", lambda: later)
    shown = run("edit", "12a", "--set", "pH=5", "--library", folder).output
    assert "There is no backup of this library yet" in " ".join(shown.split())
    with Library(folder) as lib:
        (due,) = desk.reminders(lib)
    assert "backup" in due


MISTAKES = {
    "nothing to change": ["edit", "12a"],
    "no sign": ["edit", "12a", "--set", "pH"],
    "no column": ["edit", "12a", "--set", "=6"],
    "twice": ["edit", "12a", "--set", "pH=6", "--set", "pH=7"],
    "the code": ["edit", "12a", "--set", "code=33333"],
    "out of range": ["edit", "12a", "--set", "pH=19"],
    "nobody": ["edit", "nobody", "--set", "pH=6"],
    "half a reading": ["edit", "12a", "--reading", "1"],
    "no such reading": ["edit", "12a", "--reading", "9", "--state", "wet"],
    "no such state": ["edit", "12a", "--reading", "1", "--state", "damp"],
    "bin nobody": ["bin", "nobody"],
    "take out nobody": ["bin", "nobody", "--take-out"],
    "take out what": ["bin", "--take-out"],
    "empty one": ["bin", "12a", "--empty"],
    "for good what": ["bin", "12a", "--for-good"],
    "no place": ["backup", "no/such/folder"],
}


@pytest.mark.parametrize("words", MISTAKES.values(), ids=MISTAKES)
def test_a_mistake_gets_one_sentence_and_changes_nothing(folder, words):
    with Library(folder) as lib:
        before = [lib.history(k) for k in lib.codes()]
    answer = told(*words, folder=folder, ok=2)
    assert answer["error"]["sentence"][-1] in ".R"  # a command may stand last
    with Library(folder) as lib:
        assert [lib.history(k) for k in lib.codes()] == before


def test_restore_refuses_what_is_there_and_what_is_no_backup(folder, tmp_path):
    file = told("backup", tmp_path / "stick", folder=folder)["file"]
    assert "not empty" in run("restore", file, folder, ok=2).output
    assert "no backup" in run("restore", tmp_path / "a.png", tmp_path / "again", ok=2).output
    assert not (tmp_path / "again").exists()


@pytest.mark.parametrize("verb", ["edit", "undo", "bin", "backup", "verify"])
def test_without_a_library_each_says_so(tmp_path, verb):
    words = {"edit": ["12a", "--set", "pH=6"]}.get(verb, [])
    refused = told(verb, *words, folder=tmp_path / "nowhere", ok=2)
    assert "no library" in refused["error"]["sentence"]
    assert not (tmp_path / "nowhere").exists()


@pytest.mark.parametrize("verb", ["edit", "undo", "bin", "backup", "restore", "verify"])
def test_help_starts_with_examples(verb):
    lines = run(verb, "--help").output.splitlines()
    examples = lines.index("  Examples:")
    assert examples < 7 and max(map(len, lines)) <= 80
