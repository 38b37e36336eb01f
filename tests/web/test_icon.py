"""Icons: what each system starts by them is the page of her library, whatever it is called."""

import configparser
import plistlib
import re
import shlex
import subprocess
from pathlib import Path

import pytest

from command import run_json
from swatchbath.errors import NotFound
from swatchbath.web.icon import write_icon

ODD = 'my "dyes" $HOME `x` 100% \\ é'


def words_of(exec_line):
    """An Exec line as a desktop reads it (Desktop Entry Specification, the Exec key)."""
    string = exec_line.replace("\\\\", "\\")
    words = re.findall(r'"((?:[^"\\]|\\.)*)"', string)
    return [re.sub(r"\\(.)", r"\1", word).replace("%%", "%") for word in words]


def test_on_linux_it_is_a_desktop_entry(tmp_path):
    file = write_icon(tmp_path / ODD, tmp_path, system="linux")
    entry = configparser.RawConfigParser(delimiters=("=",))
    entry.optionxform = str
    entry.read(file, encoding="utf-8")
    its = dict(entry["Desktop Entry"])
    assert file.name == "Swatches.desktop" and file.stat().st_mode & 0o100
    words = words_of(its["Exec"])
    assert words[1:5] == ["-m", "swatchbath.cli", "page", "--library"]
    assert words[5] == str(tmp_path / ODD)
    assert Path(its["Icon"]).read_text().startswith("<svg")


def test_on_a_mac_it_is_an_application_that_runs(tmp_path):
    folder = write_icon(tmp_path / ODD, tmp_path, system="darwin")
    about = plistlib.loads((folder / "Contents" / "Info.plist").read_bytes())
    script = folder / "Contents" / "MacOS" / about["CFBundleExecutable"]
    assert folder.name == "Swatches.app" and script.stat().st_mode & 0o100
    words = shlex.split(script.read_text(encoding="utf-8").splitlines()[1])
    assert words[0] == "exec" and words[-2:] == ["--library", str(tmp_path / ODD)]
    # What it starts is there: the same words, asked only for help.
    asked = [*words[1:], "--help"]
    assert "Open your library" in subprocess.run(asked, capture_output=True, text=True).stdout


def test_on_windows_it_is_a_command_file(tmp_path):
    file = write_icon(tmp_path / "100% é", tmp_path, system="win32")
    text = file.read_bytes().decode("utf-8")
    assert file.name == "Swatches.cmd" and text.count("\r\n") == text.count("\n") == 3
    assert "100%% é" in text and '"-m" "swatchbath.cli" "page" "--library"' in text


def test_the_command_writes_it_and_says_where(tmp_path):
    told = run_json("page", "--icon", tmp_path, folder=tmp_path / "lib")
    assert told["icon"].startswith(str(tmp_path))
    assert not (tmp_path / "lib").exists()


def test_written_again_it_is_one_icon_and_nothing_is_left_beside_it(tmp_path):
    for name in ("a", "b"):
        file = write_icon(tmp_path / name, tmp_path, system="linux")
    assert [f.name for f in tmp_path.iterdir()] == [file.name]
    assert str(tmp_path / "b") in file.read_text()


def test_a_folder_that_is_not_there_is_said(tmp_path):
    with pytest.raises(NotFound, match="no folder"):
        write_icon(tmp_path, tmp_path / "nowhere")
