"""`backup` as its user types it, with what `restore` and `verify` say of it."""

from command import run, run_json
from swatchbath import desk
from swatchbath.library import Library, clock


def test_backup_restore_and_verify(folder, tmp_path):
    refused = run("backup", "--library", folder, ok=2)
    assert "no place for backups yet" in refused.output
    answer = run_json("backup", tmp_path / "stick", folder=folder)
    assert (answer["swatches"], answer["photos"], answer["left_out"]) == (2, 1, [])
    assert "read back and compared" in run("backup", "--library", folder).output
    again = tmp_path / "again"
    shown = run("restore", answer["file"], again).output
    assert "Nothing is wrong." in shown
    answer = run_json("verify", folder=again)
    assert (answer["ok"], answer["findings"]) == (True, [])
    next((again / "photos").iterdir()).unlink()
    said = run("verify", "--library", again, ok=1).output
    assert "is missing" in said and "Nothing is wrong" not in said
    assert run_json("verify", folder=again, ok=1)["ok"] is False
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
