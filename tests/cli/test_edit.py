"""`edit` as its user types it."""

from command import run, run_json


def test_a_correction_says_what_was_what_is_and_whom_it_concerns(folder):
    shown = run("edit", "12a", "--set", "pH=5,5", "--why", "strip", "--library", folder).output
    assert "pH of the dye bath: 5.5, was 6." in shown
    flat = " ".join(shown.split())
    assert "This is a fact of the pot 12, so for" in flat
    assert flat.index("Take care:") < flat.index("Corrected:")
    told = " ".join(run("show", "12b", "--library", folder).output.split())
    assert "corrected: pH of the dye bath: 5.5, was 6 (strip)" in told
    answer = run_json("edit", "12a", "--set", "vessel=", "--set", "water=rain", folder=folder)
    assert answer["changed"] == {"water": [None, "rain"]}
    assert (answer["schema"], answer["lot"]) == (1, "12")
    answer = run_json("edit", "12a", "--set", "water=rain", folder=folder)
    assert answer["changed"] == {}


def test_an_unusual_value_is_asked_about_and_kept(folder):
    answer = run_json("edit", "12a", "--set", "pH=13", folder=folder)
    assert any("unusual" in q for q in answer["questions"])
    assert answer["changed"]["pH"] == [6, 13]
    assert run_json("edit", "12a", "--set", "minutes=50", folder=folder)["questions"] == []
