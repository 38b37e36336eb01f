"""Nothing reported done is lost, and nothing is half-written, when writers are killed.

A thousand kills: pytest -m slow tests/library/safety/test_kill.py
"""

import hashlib
import json
import os
import subprocess
import sys

import pytest

from folders import TESTS
from swatchbath.library import Library, restore, verify

SCRIPT = TESTS / "killed_writers.py"
pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")


def check_after_kills(folder, seed, kills):
    subprocess.run(
        [sys.executable, str(SCRIPT), str(folder), str(seed), str(kills)],
        check=True,
        timeout=60 + 3 * kills,
        env=os.environ | {"OMP_NUM_THREADS": "1"},
    )
    # A kill may cut off the last line a writer tells, never one that is complete.
    lines = (folder.parent / "reported.txt").read_text().splitlines()
    reported = [json.loads(line) for line in lines]
    did = {
        what: {r["code"]: r for r in reported if r["did"] == what}
        for what in ("record", "edit", "bin", "take out")
    }
    assert len(did["record"]) >= kills // 2  # every second turn waits for one
    assert did["edit"] or kills < 20
    with Library(folder) as lib:
        binned = {t.code for t in lib.in_bin()}
        on_record = [*lib.codes()[1:], *binned]  # the first was there before
        assert set(did["record"]) <= set(on_record)
        # Killed between the two, it is in the bin; told to be out, it is out.
        assert binned <= set(did["edit"]) - set(did["take out"])
        for key in binned:
            lib.take_out(key)
        for key in on_record:
            swatch = lib.swatch(key)
            assert swatch.conditions["modifier"] == "iron"
            ((_, _, measured),) = swatch.measurements
            content = lib.photo(measured.photo).read_bytes()
            assert hashlib.sha256(content).hexdigest() == measured.photo
            if key in did["record"]:
                assert did["record"][key]["photo"] == measured.photo
            edited = swatch.part is not None
            assert edited or key not in did["edit"]
            assert swatch.conditions["modifier_owf"] == (3.0 if edited else 2.0)  # both or none
            said = [e["what"] for e in lib.history(key) if e["what"].startswith("corrected")]
            assert len(said) == edited
            if key in did["edit"]:
                assert swatch.part == did["edit"][key]["part"]
        # A photo may be there without its record, but whole.
        for lost in lib.orphans():
            assert hashlib.sha256(lost.read_bytes()).hexdigest() == lost.stem
        assert not list((folder / "photos").glob(".part-*"))
        for number, key in enumerate(reversed(lib.codes()[-5:])):  # the memory is whole as well
            done = lib.undo()
            assert number or done.kind in ("bin", "record", "edit"), key
    said = verify(folder)
    assert {f.what for f in said.findings} <= {"orphan"}, said.findings
    assert said.ok
    stick = folder.parent / "stick"
    backups = {r["file"] for r in reported if r["did"] == "backup"}
    whole = {p.name for p in stick.glob("*.zip")}
    assert backups <= whole
    for number, name in enumerate(sorted(whole)):
        if number < 5 or name == max(whole):
            assert restore(stick / name, folder.parent / f"again{number}").ok


def test_twenty_kills(tmp_path):
    check_after_kills(tmp_path / "house", seed=1, kills=20)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(10, 20))
def test_a_thousand_kills(tmp_path, seed):
    check_after_kills(tmp_path / "house", seed=seed, kills=100)
