"""Nothing reported done is lost, and nothing is half-written, when writers are killed."""

import hashlib
import os
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from swatchbath.library import Library

SCRIPT = Path(__file__).parents[1] / "killed_writers.py"
pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")


def check_after_kills(folder, seed, kills):
    subprocess.run(
        [sys.executable, str(SCRIPT), str(folder), str(seed), str(kills)],
        check=True,
        timeout=60 + 3 * kills,
        env=os.environ | {"OMP_NUM_THREADS": "1"},
    )
    reported = [line.split() for line in (folder.parent / "reported.txt").read_text().splitlines()]
    assert len(reported) >= kills // 2  # every second turn waits for one
    with Library(folder) as lib:
        on_record = lib.codes()[1:]  # the first was there before
        assert {key for key, _ in reported} <= set(on_record)
        photo_of = {}
        for key in on_record:
            swatch = lib.swatch(key)
            assert swatch.conditions["modifier"] == "iron"
            ((_, _, measured),) = swatch.measurements
            content = lib.photo(measured.photo).read_bytes()
            assert hashlib.sha256(content).hexdigest() == measured.photo
            photo_of[key] = measured.photo
        assert all(photo_of[key] == kept for key, kept in reported)
        # A photo may be there without its record, but whole.
        for lost in lib.orphans():
            assert hashlib.sha256(lost.read_bytes()).hexdigest() == lost.stem
        assert not list((folder / "photos").glob(".part-*"))
    db = sqlite3.connect(folder / "library.sqlite")
    assert db.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    assert db.execute("PRAGMA foreign_key_check").fetchall() == []
    db.close()


def test_twenty_kills(tmp_path):
    check_after_kills(tmp_path / "house", seed=1, kills=20)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(10, 20))
def test_a_thousand_kills(tmp_path, seed):
    check_after_kills(tmp_path / "house", seed=seed, kills=100)
