"""One damaged cell of one reading costs that reading and nothing else, and is said."""

import json
import sqlite3
from contextlib import closing

import pandas as pd
import pytest

import swatchbath as sb
from command import run
from library_made import reading
from swatchbath import desk
from swatchbath.library import Library, back_up, restore, verify

DAMAGE = {
    "doubt cut short": "repeatability = substr(repeatability, 1, 9)",
    "doubt of another shape": "trueness = '[1, 2]'",
    "doubt of a word": "trueness = 'much'",
    "no doubt at all": "repeatability = 'null'",
    "shared doubt": """shared = '{"camera:x": "AAA?"}'""",
    "shared doubt cut short": """shared = '{"camera:x": "AAAA"}'""",
    "shared doubt of another kind": "shared = '[]'",
    "checks": "checks = '[5]'",
    "rung": "rung = 'rang'",
    "light": "light = 'moon'",
    "colour": "L = 9e999",
    "bytes that are no text": "notes = CAST(x'5bff5d' AS TEXT)",
}


def damaged(folder, what, key):
    """Spoil the first reading of a swatch, as a bad sector or a hand would."""
    with closing(sqlite3.connect(folder / "library.sqlite", isolation_level=None)) as db:
        db.execute(
            f"UPDATE measurement SET {what} WHERE id = "
            "(SELECT min(id) FROM measurement WHERE swatch = ?)",
            (key,),
        )


@pytest.fixture(scope="module")
def house(tmp_path_factory):
    """A library of 24 swatches from which baths can be suggested; the codes are in order."""
    folder = tmp_path_factory.mktemp("house") / "lib"
    with Library(folder, create=True) as lib, lib.atomic():
        for i in range(24):
            desk.record(lib, {
                "fibre": "wool", "dyestuff": "weld", "dye_owf": str(10 + 5 * i), "mordant": "alum",
                "mordant_owf": "12", "lot": str(i // 2), "session": f"day {i // 2}", "pH": "6",
            }, reading=sb.Measurement([80 - i, 2 + i / 4, 20 + 2 * i]), name=f"s{i}")  # fmt: skip
    return folder


@pytest.fixture
def broken(house, tmp_path):
    """A copy of it in which the only reading of s3 is damaged; and the code of s3."""
    with Library(house) as lib:
        lib.copy_database(tmp_path / "library.sqlite")
        key = lib.swatch("s3").code
    (tmp_path / "photos").mkdir()
    damaged(tmp_path, DAMAGE["doubt cut short"], key)
    return tmp_path, key


@pytest.mark.parametrize("what", DAMAGE)
def test_a_damaged_reading_is_left_out_and_said(tmp_path, what):
    with Library(tmp_path, create=True) as lib:
        key = lib.add_swatch(name="s", fibre={"fibre": "wool"})
        lib.add_measurement(key, reading((60, 5, 50)))
        lib.add_measurement(key, reading((20, 5, 9)))
    damaged(tmp_path, DAMAGE[what], key)
    with Library(tmp_path) as lib:
        swatch = lib.swatch("s")
        assert [m.lab.tolist() for _, _, m in swatch.measurements] == [[20, 5, 9]]
        assert swatch.damaged == (1,) and swatch.numbers == (2,)
        (issue,) = lib.issues
        assert key in issue and "photograph" in issue and "verify" in issue
        assert lib.find(lab=[20, 5, 9])[0][1].delta_e2000 == 0
    (finding,) = [f for f in verify(tmp_path).findings if f.level == "wrong"]
    assert finding.what == "reading" and key in finding.sentence
    assert f"swatchbath bin {key} --reading 1" in finding.remedy
    desk.export(tmp_path, tmp_path / "out")
    assert desk.take(tmp_path / "again", tmp_path / "out")["swatches"] == 1
    with Library(tmp_path) as lib:
        lib.put_in_bin(key, reading=1)
    assert verify(tmp_path).ok
    with Library(tmp_path) as lib:
        assert lib.swatch("s").measured is not None and lib.issues == ()


def test_all_is_whole_again_by_a_new_reading_of_it(broken):
    folder, key = broken
    with Library(folder) as lib:
        lib.put_in_bin(key, reading=1)
        lib.add_measurement(key, reading((60, 5, 50)))
        assert desk.show(lib, key)["measurements"][0]["number"] == 2
        assert desk.edit(lib, key, reading=2, state="dry washed").reading == (2, "dry washed")


def test_show_tells_the_rest(broken):
    folder, key = broken
    out = run("show", key, "--library", folder)
    assert f"{key} is damaged and was left out" in out.stderr and "Dye with 25 % weld" in out.stdout
    assert json.loads(run("show", key, "--library", folder, "--json").stdout)["issues"]
    assert "is damaged" not in run("show", "s4", "--library", folder).stderr


def test_export_writes_the_rest(broken, tmp_path):
    folder, key = broken
    out = run("export", tmp_path / "out", "--library", folder)
    assert f"swatch {key} is damaged" in " ".join(out.stdout.split())
    assert len(pd.read_csv(tmp_path / "out" / "readings.csv")) == 23
    assert len(pd.read_csv(tmp_path / "out" / "swatches.csv")) == 24


def test_find_finds_the_rest(broken):
    folder, key = broken
    out = run("find", "weld", "-k", 50, "--library", folder)
    assert out.stdout.count("weld") == 24 and f"{key} is damaged" in out.stderr
    near = json.loads(run("find", "--colour", "77,3,26", "--library", folder, "--json").stdout)
    assert key not in [s["code"] for s in near["swatches"]] and len(near["swatches"]) == 10


@pytest.mark.parametrize("verb", ["suggest", "plan"])
def test_baths_come_from_the_rest(broken, verb):
    folder, key = broken
    out = run(verb, "70,4,40", "--limit", "fibre=wool", "--library", folder, "--json")
    (issue,) = json.loads(out.stdout)["issues"]
    assert key in issue and issue in out.stderr


def test_a_shade_that_cannot_be_read_says_why(broken):
    folder, key = broken
    assert "damaged" in run("suggest", "s3", "--library", folder, ok=2).stderr


def test_a_backup_with_a_damaged_reading_can_be_restored(broken, tmp_path):
    folder, key = broken
    (tmp_path / "stick").mkdir(exist_ok=True)
    where = tmp_path.parent / f"{tmp_path.name}-stick"
    where.mkdir()
    with Library(folder) as lib:
        done = back_up(lib, where)
    back = restore(done.file, where / "new")
    assert [f.what for f in back.findings if f.level == "wrong"] == ["reading"]
