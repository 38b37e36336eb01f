"""`undo` as its user types it."""

from command import run, run_json
from swatchbath.library import Library


def test_undo_goes_back_through_the_days(folder):
    run("edit", "12a", "--set", "pH=5", "--library", folder)
    run("bin", "12b", "--why", "felted", "--library", folder)
    assert ": out of the bin again." in run("undo", "--library", folder).output
    told = run("show", "12a", "--library", folder).output
    assert "pH of the dye bath: 5, was 6" in " ".join(told.split())
    answer = run_json("undo", folder=folder)
    assert answer["took_back"][0].endswith(": pH of the dye bath: 6 again, was 5.")
    assert (answer["kind"], answer["in_bin"]) == ("edit", [])
    with Library(folder) as lib:
        assert lib.swatch("12a").conditions["pH"] == 6
    for _ in range(answer["more"]):
        run("undo", "--library", folder)
    refused = run_json("undo", folder=folder, ok=2)
    assert "no change left" in refused["error"]["sentence"]
