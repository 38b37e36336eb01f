"""What nobody foresaw ends in one sentence and a file of details, never in a traceback."""

import json
import subprocess
import sys
import tempfile

import pytest

import swatchbath as sb
from command import run
from swatchbath import desk


@pytest.fixture
def logs(tmp_path, monkeypatch):
    """The folder of details, and `show` broken inside."""
    monkeypatch.setattr("platformdirs.user_log_path", lambda *a, **k: tmp_path / "logs")
    sb.Library(tmp_path / "lib", create=True).close()

    def broken(*args, **more):
        raise ZeroDivisionError("the mordant divides by nothing")

    monkeypatch.setattr(desk, "show", broken)
    return tmp_path / "logs"


def test_an_unforeseen_error_is_one_sentence_with_a_file_of_details(tmp_path, logs):
    out = run("show", "my secret", "--library", tmp_path / "lib", ok=3)
    (file,) = logs.iterdir()
    (line,) = out.output.splitlines()
    assert line.startswith("swatchbath: Something went wrong in swatchbath itself")
    assert str(file) in line
    text = file.read_text(encoding="utf-8")
    assert "ZeroDivisionError: the mordant divides by nothing" in text and "Traceback" in text
    assert f"swatchbath {sb.__version__}" in text and "show --library" in text
    assert "my secret" not in text


def test_it_is_told_in_json_too(tmp_path, logs):
    out = run("show", "a", "--library", tmp_path / "lib", "--json", ok=3)
    error = json.loads(out.stdout)["error"]
    assert error["kind"] == "fault" and error["details"] == str(next(logs.iterdir()))


def test_where_the_log_folder_cannot_be_written_the_scratch_folder_is(tmp_path, logs, monkeypatch):
    logs.write_text("a file, where a folder should be")
    (tmp_path / "scratch").mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "scratch"))
    out = run("show", "a", "--library", tmp_path / "lib", ok=3)
    assert str(next((tmp_path / "scratch").glob("fault-*.txt"))) in out.output
    monkeypatch.setattr(tempfile, "tempdir", str(logs / "below a file"))
    out = run("show", "a", "--library", tmp_path / "lib", ok=3)
    assert "no file of details" in out.output


def test_stopping_it_by_hand_is_one_line(tmp_path, logs, monkeypatch):
    def stopped(*args, **how):
        raise KeyboardInterrupt

    monkeypatch.setattr(desk, "show", stopped)
    out = run("show", "a", "--library", tmp_path / "lib", ok=130)
    assert out.output.splitlines() == [
        "swatchbath: Stopped; nothing in the library is half-written."
    ]
    assert not logs.exists()


def test_a_reader_that_went_away_is_no_fault(tmp_path):
    sb.Library(tmp_path / "lib", create=True).close()
    code = "from swatchbath.cli import main; main()"
    words = [sys.executable, "-c", code, "record", "--columns"]
    with subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as ran:
        ran.stdout.close()
        assert ran.stderr.read() == b""
