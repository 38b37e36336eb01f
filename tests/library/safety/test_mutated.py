"""Library files and archives with flipped, cut and swapped bytes: a sentence of ours, nothing
written outside the folder, and nothing lost of what was whole. CI takes a small dose."""

import hashlib
import random
import shutil
import warnings
import zipfile

import pytest
from click.testing import CliRunner

from damage_made import mutated
from library_made import DYE, IRON, a_photo, reading
from swatchbath import desk
from swatchbath.cli import main
from swatchbath.errors import SwatchbathError
from swatchbath.library import Library, back_up, restore, verify

FEW, MANY = 30, 2000


@pytest.fixture(scope="module")
def whole(tmp_path_factory):
    """A library, its backup and what it is written out to, in one folder."""
    place = tmp_path_factory.mktemp("whole")
    with Library(place / "house", create=True) as lib:
        photo = lib.add_photo(a_photo(place / "a.png"))
        for n in range(14):
            lot = lib.add_lot([DYE], name=f"pot {n}", session=f"2026-03-{n + 1:02}")
            key = lib.add_swatch(
                name=f"swatch {n}", lot=lot, steps=[IRON] if n % 2 else [],
                fibre={"fibre": "wool", "fibre_g": 10.0}, extra={"shelf": f"left {n}"},
            )  # fmt: skip
            lib.add_measurement(key, reading((60 - n, 5, 50)), photo=photo)
            lib.add_shown(key, photo)
        lib.edit("swatch 3", {"part": "b"}, why="she looked again")
        lib.put_in_bin("swatch 4")
        (place / "stick").mkdir()
        back_up(lib, place / "stick")
    desk.export(place / "house", place / "out")
    return place


def outside(place, but):
    """Every file beside what was changed, with its content."""
    return {
        p: p.read_bytes()
        for p in place.rglob("*")
        if p.is_file() and but not in p.parents and p != but
    }


VERBS = [
    ["find"], ["find", "weld"], ["find", "--colour", "60,5,50"], ["show", "swatch 3"], ["waiting"],
    ["bin"], ["verify"], ["suggest", "60,5,50"], ["explain"], ["undo"], ["codes", "1"],
    ["edit", "swatch 3", "--set", "pH=5"],
]  # fmt: skip


def is_a_sentence(done, verb, seed):
    what = (verb, seed, done.output[-600:])
    assert done.exception is None or isinstance(done.exception, SystemExit), what
    assert done.exit_code in (0, 1, 2), what
    assert "Traceback" not in done.output, what


def flip_a_library(whole, place, seed):
    """One library file, through all verbs; returns whether anything in it was noticed."""
    rng = random.Random(seed)
    folder = place / "house"
    shutil.copytree(whole / "house", folder)
    file = folder / "library.sqlite"
    file.write_bytes(mutated(file.read_bytes(), rng))
    (place / "stick").mkdir()
    before = outside(place, folder)
    photos = {p: p.read_bytes() for p in (folder / "photos").iterdir()}
    said = []
    for verb in [*VERBS[:7], rng.choice(VERBS[7:]), ["verify"]]:
        spoilt = file.read_bytes()
        done = CliRunner().invoke(main, [*verb, "--library", str(folder)])
        is_a_sentence(done, verb, seed)
        said.append(done.exit_code)
        if verb[0] in ("show", "waiting", "verify"):
            assert file.read_bytes() == spoilt, (verb, seed)
    for verb in (["export", str(place / "out")], ["backup", str(place / "stick")]):
        is_a_sentence(CliRunner().invoke(main, [*verb, "--library", str(folder)]), verb, seed)
    shutil.rmtree(place / "out", ignore_errors=True)
    for made in (place / "stick").iterdir():
        made.unlink()
    assert outside(place, folder) == before
    assert {p: p.read_bytes() for p in (folder / "photos").iterdir()} == photos
    shutil.rmtree(folder)
    (place / "stick").rmdir()
    return any(said)


def flip_an_archive(whole, place, seed):
    """One backup: put back whole, or not at all."""
    rng = random.Random(seed)
    (backup,) = (whole / "stick").iterdir()
    data = backup.read_bytes()
    file = place / "b.zip"
    if rng.random() < 0.5:
        file.write_bytes(mutated(data, rng))
    else:  # packed anew around a spoilt library, with checksums that fit
        with zipfile.ZipFile(backup) as archive:
            held = {n: archive.read(n) for n in archive.namelist()}
        name = rng.choice(["library.sqlite", "library.sqlite", "checksums.txt"])
        held[name] = mutated(held[name], rng)
        if name == "library.sqlite":
            lines = [
                f"{hashlib.sha256(content).hexdigest()}  {n}\n"
                for n, content in held.items()
                if n != "checksums.txt"
            ]
            held["checksums.txt"] = "".join(lines).encode()
        with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as into:
            for n, content in held.items():
                into.writestr(n, content)
    before = outside(place, file)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of two members of one name
            restore(file, place / "again")
    except SwatchbathError as error:
        assert str(error).endswith((".", "FOLDER")) or "again" in str(error), (seed, str(error))
        assert not (place / "again").exists(), seed
    else:
        assert verify(place / "again").readable, seed
        shutil.rmtree(place / "again")
    assert outside(place, file) == before, seed
    file.unlink()


def flip_what_was_written_out(whole, place, seed):
    """records.json of an exported library: taken whole, or not at all."""
    rng = random.Random(seed)
    shutil.copytree(whole / "out", place / "out")
    file = place / "out" / "records.json"
    file.write_bytes(mutated(file.read_bytes(), rng))
    before = outside(place, place / "nothing")
    done = CliRunner().invoke(main, ["take", str(place / "out"), "--library", str(place / "new")])
    is_a_sentence(done, "take", seed)
    if done.exit_code == 0:
        for verb in (["find", "weld"], ["show", "swatch 3"], ["verify"]):
            said = CliRunner().invoke(main, [*verb, "--library", str(place / "new")])
            is_a_sentence(said, verb, seed)
        shutil.rmtree(place / "new")
    assert outside(place, place / "nothing") == before, seed
    shutil.rmtree(place / "out")


def shares(dose):
    """Seeds of libraries, archives and exports."""
    return range(dose // 2), range(dose // 4), range(dose // 4)


def flip_all(whole, place, dose, start=0):
    libraries, archives, exports = shares(dose)
    noticed = sum(flip_a_library(whole, place, start + seed) for seed in libraries)
    for seed in archives:
        flip_an_archive(whole, place, start + seed)
    for seed in exports:
        flip_what_was_written_out(whole, place, start + seed)
    assert noticed > len(libraries) // 10  # the damage is such that it can be


def test_a_small_dose(whole, tmp_path):
    flip_all(whole, tmp_path, FEW)


@pytest.mark.slow
@pytest.mark.parametrize("part", range(10))
def test_two_thousand(whole, tmp_path, part):
    flip_all(whole, tmp_path, MANY // 10, start=1000 * (part + 1))
