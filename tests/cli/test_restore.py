"""`restore` as its user types it."""

from command import run, run_json


def test_restore_refuses_what_is_there_and_what_is_no_backup(folder, tmp_path):
    file = run_json("backup", tmp_path / "stick", folder=folder)["file"]
    assert "not empty" in run("restore", file, folder, ok=2).output
    assert "no backup" in run("restore", tmp_path / "a.png", tmp_path / "again", ok=2).output
    assert not (tmp_path / "again").exists()
