"""What the selftest tries: each part seen to fail, with its remedy and its exit code."""

import csv
import importlib
import json
import os
import shutil
import tomllib
from collections import namedtuple
from types import SimpleNamespace

import numpy as np
import pytest

import command
import swatchbath as sb
from folders import ROOT
from swatchbath.desk.keep import selftest as module
from swatchbath.library import Library

PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]


def ask(folder, ok=0):
    return json.loads(command.run("selftest", "--library", folder, "--json", ok=ok).stdout)


def standing(told, name):
    (found,) = [t for t in told["tried"] if t["name"] == name]
    return found


def plain(requirement):
    return requirement.split(">")[0].split("[")[0].strip()


def test_what_it_tries_is_what_the_project_needs():
    assert set(module.NEEDED) == {plain(r) for r in PROJECT["dependencies"]}
    extras = PROJECT["optional-dependencies"]
    assert set(module.EXTRAS) == set(extras) - {"test", "dev"}
    for extra, (imported, _) in module.EXTRAS.items():
        assert plain(extras[extra][0]).replace("-", "_") == imported


def test_the_known_colour_is_that_of_the_drawn_sample():
    with open(ROOT / "tests" / "reference" / "sample_truth.csv", encoding="utf-8") as file:
        rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
    (row,) = [r for r in rows if r["name"] == module.NAME]
    assert np.allclose([float(row[axis]) for axis in "Lab"], module.TRUTH)


def test_all_works_here_and_nothing_is_written(tmp_path):
    with Library(tmp_path / "lib", create=True) as lib:
        lib.add_measurement(lib.add_swatch(name="a"), sb.Measurement([50, 0, 0]))
    before = {p: p.read_bytes() for p in (tmp_path / "lib").rglob("*") if p.is_file()}
    told = ask(tmp_path / "lib")
    assert told["ok"] and {t["level"] for t in told["tried"] if t["essential"]} == {"works"}
    assert {p: p.read_bytes() for p in (tmp_path / "lib").rglob("*") if p.is_file()} == before
    assert {"swatchbath", "python", "sqlite", "numpy"} <= set(told["versions"])
    shown = command.run("selftest", "--library", tmp_path / "lib").stdout
    assert "All that is needed works." in shown and max(map(len, shown.splitlines())) <= 80


def test_no_library_yet_is_no_fault(tmp_path):
    told = ask(tmp_path / "not" / "there")
    assert told["ok"] and standing(told, "library")["level"] == "missing"
    assert not (tmp_path / "not").exists()


def without(monkeypatch, name, error):
    def imported(called):
        if called == name:
            raise error
        return importlib.import_module(called)

    monkeypatch.setattr(module, "importlib", SimpleNamespace(import_module=imported))


def test_a_missing_extra_is_told_with_how_to_get_it_and_is_no_fault(tmp_path, monkeypatch):
    without(monkeypatch, "rawpy", ModuleNotFoundError("no rawpy"))
    raw = standing(ask(tmp_path), "raw")
    assert raw["level"] == "missing" and "swatchbath[raw]" in raw["remedy"]


def test_a_package_that_does_not_load_is_a_fault(tmp_path, monkeypatch):
    without(monkeypatch, "scipy", ImportError("libgfortran.so"))
    told = ask(tmp_path, ok=1)
    assert not told["ok"] and "scipy" in standing(told, "packages")["sentence"]


@pytest.mark.parametrize(("free", "level", "ok"), [(10**7, "fails", 1), (10**8, "missing", 0),
                                                   (10**10, "works", 0)])  # fmt: skip
def test_the_room_on_the_disk_is_told(tmp_path, monkeypatch, free, level, ok):
    usage = namedtuple("usage", "total used free")
    monkeypatch.setattr(module.shutil, "disk_usage", lambda _: usage(10**12, 0, free))
    assert standing(ask(tmp_path, ok=ok), "disk")["level"] == level


def test_a_damaged_database_is_a_fault(tmp_path):
    folder = tmp_path / "lib"
    with Library(folder, create=True) as lib, lib.atomic():
        for i in range(300):
            lib.add_swatch(name=f"swatch number {i}")
    file = folder / "library.sqlite"
    data = bytearray(file.read_bytes())
    middle = len(data) // 2
    data[middle : middle + 8192] = os.urandom(8192)
    file.write_bytes(data)
    told = ask(folder, ok=1)
    assert standing(told, "library")["level"] == "fails"
    file.write_bytes(b"not a database at all" * 100)
    assert standing(ask(folder, ok=1), "library")["level"] == "fails"


def test_a_folder_that_is_not_to_be_written_in_is_a_fault(tmp_path, monkeypatch):
    def refused(**_):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(module.tempfile, "TemporaryFile", refused)
    told = ask(tmp_path, ok=1)
    assert "Permission denied" in standing(told, "folder")["sentence"]


def test_a_wrong_reading_and_a_photo_that_is_not_there_are_faults(tmp_path, monkeypatch):
    monkeypatch.setattr(module, "TRUTH", (60.0, 20.0, 20.0))
    assert standing(ask(tmp_path, ok=1), "measuring")["level"] == "fails"
    house = tmp_path / "house"
    shutil.copytree(module.sample_folder(), house, ignore=shutil.ignore_patterns("photos", "*.py"))
    monkeypatch.setattr(module, "sample_folder", lambda: house)
    assert "cannot be measured" in standing(ask(tmp_path, ok=1), "measuring")["sentence"]


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_the_shell_completes_verbs_as_the_guide_says(shell):
    told = command.run(env={"_SWATCHBATH_COMPLETE": f"{shell}_source"}, ok=None)
    assert "_SWATCHBATH_COMPLETE" in told.output or "complete" in told.output.lower()


def test_a_word_begun_is_completed():
    from click.shell_completion import BashComplete

    from swatchbath.cli import main

    complete = BashComplete(main, {}, "swatchbath", "_SWATCHBATH_COMPLETE")
    assert "suggest" in [c.value for c in complete.get_completions([], "sug")]
    assert "--limit" in [c.value for c in complete.get_completions(["suggest"], "--li")]
