"""`undo` as its user types it."""

from command import run, run_json
from swatchbath.library import Library


def test_undo_goes_back_through_the_days(folder):
    run("edit", "12a", "--set", "pH=5", "--library", folder)
    run("bin", "12b", "--why", "felted", "--library", folder)
    assert "put in the bin was taken back" in run("undo", "--library", folder).output
    answer = run_json("undo", folder=folder)
    assert (answer["kind"], answer["in_bin"]) == ("edit", [])
    with Library(folder) as lib:
        assert lib.swatch("12a").conditions["pH"] == 6
    for _ in range(answer["more"]):
        run("undo", "--library", folder)
    refused = run_json("undo", folder=folder, ok=2)
    assert "no change left" in refused["error"]["sentence"]
