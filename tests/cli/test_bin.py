"""`bin` as its user types it."""

from command import run, run_json


def test_the_bin_is_listed_taken_from_and_emptied_only_for_good(folder):
    assert run("bin", "--library", folder).output == "The bin is empty.\n"
    run("bin", "12b", "--library", folder)
    run("bin", "12a", "--reading", "1", "--library", folder)
    assert [t["what"] for t in run_json("bin", folder=folder)["in_bin"]] == [
        "reading 1, dry",
        "swatch of lot 12 with 0 readings",
    ] or len(run_json("bin", folder=folder)["in_bin"]) == 2
    refused = run("bin", "--empty", "--library", folder, ok=2)
    assert "cannot be taken back" in refused.output
    assert len(run_json("bin", folder=folder)["in_bin"]) == 2
    run("bin", "12a", "--reading", "1", "--take-out", "--library", folder)
    run("bin", "12b", "--take-out", "--library", folder)
    run("bin", "12b", "--library", folder)
    gone = run_json("bin", "--empty", "--for-good", folder=folder)["emptied"]
    assert (len(gone["codes"]), gone["readings"], gone["photos"]) == (1, 0, 0)
