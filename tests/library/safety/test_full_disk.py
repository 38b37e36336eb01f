"""A disk that fills up, or a folder that may not be written in: a sentence, and nothing lost."""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from folders import TESTS
from library_made import a_photo, filled, reading
from swatchbath.library import Library, back_up, verify

pytestmark = pytest.mark.skipif(os.name == "nt", reason="no limit on file sizes there")

PATHS = (os.environ.get("PYTHONPATH"), str(TESTS))
# Runs writes, each in a program whose files may not grow over a limit, and tells what came of it.
# Each is a fork of one that has imported all.
LIMITED = """
import json, os, resource, signal, sys
from pathlib import Path
from swatchbath.errors import SwatchbathError
from swatchbath.library import Library, back_up, restore
from library_made import IRON, a_photo, reading
def act(lib, more):
    if what == "record":
        with lib.atomic():
            kept = lib.add_photo(more)
            for n in range(40):
                key = lib.add_swatch(name=f"new {n}", steps=[IRON], extra={"note": "x" * 3000})
                lib.add_measurement(key, reading(), photo=kept)
    if what == "edit":
        for n in range(60):
            lib.edit("12a", {"part": "x" * 4000 + str(n)}, why="y" * 4000)
    if what == "backup":
        back_up(lib, more)
def come_of(folder, limit, more):
    try:
        if what == "restore":
            signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
            resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
            restore(more, folder)
        else:
            with Library(folder) as lib:
                lib.swatch("12a"), lib.find(text="weld")
                signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
                resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
                act(lib, more)
        return ["done", ""]
    except SwatchbathError as error:
        return [type(error).__name__, str(error)]
what = sys.argv[1]
for folder, limit, more in json.loads(sys.argv[2]):
    if child := os.fork():
        if os.waitpid(child, 0)[1]:
            sys.exit("a write ended badly")
        continue
    print(json.dumps(come_of(Path(folder), limit, more)), flush=True)
    os._exit(0)
"""


def run_limited(what, tries):
    """(error's name, sentence) of each try: a folder, the most bytes a file may have, and more."""
    told = json.dumps([[str(folder), limit, str(more)] for folder, limit, more in tries])
    run = subprocess.run(
        [sys.executable, "-c", LIMITED, what, told],
        capture_output=True,
        text=True,
        timeout=120,
        env=os.environ | {"PYTHONPATH": os.pathsep.join(filter(None, PATHS))},
    )
    assert run.returncode == 0, run.stderr
    found = [json.loads(line) for line in run.stdout.splitlines()]
    assert len(found) == len(tries), run.stderr
    return found


@pytest.fixture
def folder(tmp_path):
    with Library(tmp_path / "house", create=True) as lib:
        key = filled(lib)
        photo = lib.add_photo(a_photo(tmp_path / "a.png", size=(200, 150)))
        lib.add_measurement(key, reading(), photo=photo)
    return tmp_path / "house"


def size(folder):
    return max(p.stat().st_size for p in folder.rglob("*") if p.is_file())


def copies(folder, rooms):
    """A copy of a library for each of the rooms left on a disk."""
    return {
        room: Path(shutil.copytree(folder, folder.parent / f"with {room}" / "house"))
        for room in rooms
    }


@pytest.mark.parametrize("what", ["record", "edit"])
def test_writing_to_a_full_disk(folder, tmp_path, what):
    new = a_photo(tmp_path / "new.png", seed=3, size=(260, 200))
    each = copies(folder, [0, 1000, 20_000, 60_000, 150_000])
    told = run_limited(what, [(own, room, new) for room, own in each.items()])
    for own, (kind, sentence) in zip(each.values(), told, strict=True):
        assert kind == "LibraryError"
        assert "full" in sentence and sentence.endswith(".") and "make room" in sentence
        with Library(own) as lib:
            assert len(lib) == 1
            assert lib.swatch("12a").measured.lab.tolist() == [60, 5, 50]
            edits = [e for e in lib.history("12a") if e["what"].startswith("corrected")]
            assert (lib.swatch("12a").part == "a") == (not edits)
            lib.edit("12a", {"part": "after"})
            assert not list((own / "photos").glob(".part-*"))
        assert verify(own).findings == ()


def test_a_backup_and_a_restore_on_a_full_disk(folder):
    rooms = [0, 1000, 30_000, 150_000]
    each = copies(folder, rooms)
    sticks = {room: own.parent / "stick" for room, own in each.items()}
    for stick in sticks.values():
        stick.mkdir()
    for kind, sentence in run_limited("backup", [(each[r], r, sticks[r]) for r in rooms]):
        assert kind == "LibraryError" and "full" in sentence
    files = {}
    for room, own in each.items():
        assert not list(sticks[room].iterdir())
        with Library(own) as lib:
            files[room] = back_up(lib, sticks[room]).file
    before = {room: sorted(own.parent.iterdir()) for room, own in each.items()}
    tries = [(each[r].parent / "again", r, files[r]) for r in rooms]
    for kind, sentence in run_limited("restore", tries):
        assert kind == "LibraryError" and "full" in sentence
    for room, own in each.items():
        assert sorted(own.parent.iterdir()) == before[room]
        assert verify(own).ok


READING = """
import json, resource, signal, sys
from pathlib import Path
import encodings.cp437, zipfile
from click.testing import CliRunner
from swatchbath.cli import main
def told(*words):
    result = CliRunner().invoke(main, [*words, "--library", folder])
    return [result.exit_code, result.output]
folder = sys.argv[1]  # a library like any other, to import all by
told("find"), told("show", "12a"), told("verify"), told("waiting")
import swatchbath.desk.keep.backup, swatchbath.desk.keep.export
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))
for folder in sys.argv[2:]:
    print(json.dumps({
        "find": told("find", "weld"), "show": told("show", "12a"), "verify": told("verify"),
        "waiting": told("waiting"), "codes": told("codes", "2")}))
"""


def told_on_a_full_disk(folder, *folders):
    """What is said of each of the folders; `folder` was read before the disk was full."""
    run = subprocess.run(
        [sys.executable, "-c", READING, *map(str, (folder, *folders))],
        capture_output=True, text=True, timeout=120,
        env=os.environ | {"PYTHONPATH": os.pathsep.join(filter(None, PATHS))},
    )  # fmt: skip
    assert run.returncode == 0, run.stderr
    return [json.loads(line) for line in run.stdout.splitlines()]


def test_a_library_on_a_full_disk_is_read(folder):
    """No file may grow by a byte; a pipe may."""
    kept = [p for p in folder.rglob("*") if p.is_file()]
    before = [p.read_bytes() for p in kept]
    (said,) = told_on_a_full_disk(folder, folder)
    assert all(said[verb][0] == 0 for verb in ("find", "show", "verify", "waiting")), said
    assert "12a" in said["find"][1] and "Nothing is wrong" in said["verify"][1]
    assert said["codes"][0] == 2 and "full" in said["codes"][1]
    assert [p.read_bytes() for p in kept] == before
    assert all(p in kept or not p.stat().st_size for p in folder.rglob("*") if p.is_file())


def test_so_is_one_of_an_earlier_layout(folder, tmp_path):
    import sqlite3
    from contextlib import closing

    from swatchbath.library.schema import migrate

    older = [tmp_path / f"layout {layout}" for layout in range(1, 6)]
    for layout, place in enumerate(older, start=1):
        (place / "photos").mkdir(parents=True)
        with closing(sqlite3.connect(place / "library.sqlite", isolation_level=None)) as db:
            migrate(db, upto=layout)
            db.execute(
                "INSERT INTO swatch (code, number, name, added) VALUES ('33333', 0, '12a', '')"
            )
    told = told_on_a_full_disk(folder, *older)
    assert len(told) == 5
    for said in told:
        assert all(said[verb][0] == 0 for verb in ("show", "verify", "waiting")), said
        assert "33333" in said["show"][1]


@pytest.fixture
def small_disk(tmp_path):
    """A disk of one megabyte of its own, where the system lets one be made."""
    place = tmp_path / "disk"
    place.mkdir()
    made = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", str(place)], capture_output=True
    )
    if made.returncode:
        pytest.skip("No disk can be mounted here.")
    yield place
    subprocess.run(["umount", str(place)], check=True)


@pytest.mark.skipif(not Path("/bin/mount").exists(), reason="disks are made otherwise there")
def test_from_a_full_disk_all_goes_to_another(small_disk, tmp_path):
    from command import run

    with Library(small_disk / "house", create=True) as lib:
        key = filled(lib)
        lib.add_measurement(key, reading(), photo=lib.add_photo(a_photo(tmp_path / "a.png")))
    with pytest.raises(OSError), open(small_disk / "fills it", "wb") as file:
        while True:
            file.write(bytes(4096))
    assert os.statvfs(small_disk).f_bavail == 0
    (tmp_path / "stick").mkdir()
    at = ["--library", small_disk / "house"]
    assert "12a" in run("find", "weld", *at).output
    assert "weld" in run("show", "12a", *at).output
    assert "Nothing is wrong" in run("verify", *at).output
    assert "1 swatch and 1 photo" in run("backup", tmp_path / "stick", *at).output
    run("export", tmp_path / "out", *at)
    assert verify(small_disk / "house").ok
    for verb in (["codes", 500], ["edit", "12a", "--set", "pH=" + "5"]):
        said = run(*verb, *at, ok=2).stderr
        assert "full" in said and "make room" in " ".join(said.split())
    (small_disk / "fills it").unlink()
    run("codes", 2, *at)


READ_ONLY = """
import encodings.cp437, json, os, sys, zipfile
from swatchbath.errors import SwatchbathError
from swatchbath.library import Library, back_up, restore, verify
folder, stick = sys.argv[1:]
verify(folder)           # whatever is imported late is imported now
if os.geteuid() == 0:    # to whom rights do not apply
    os.setgroups([]); os.setgid(65534); os.setuid(65534)
said = []
def tried(act):
    try:
        said.append(str(act()))
    except SwatchbathError as error:
        said.append(str(error))
with Library(folder) as lib:
    tried(lambda: lib.edit("12a", {"pH": 5}))
    tried(lib.undo)
    tried(lambda: lib.put_in_bin("12a"))
    tried(lambda: lib.empty_bin())
    tried(lambda: back_up(lib, stick))
    tried(lambda: back_up(lib, folder + "/.."))
    tried(lambda: len(lib.find(text="weld")))
tried(lambda: verify(folder).ok)
print(json.dumps(said))
"""


def test_a_folder_that_may_only_be_read(folder):
    import tempfile

    public = Path(tempfile.mkdtemp())
    try:
        shutil.copytree(folder, public / "house")
        (public / "stick").mkdir()
        (public / "stick").chmod(0o777)
        for path in (public / "house", public / "house" / "photos", public):
            path.chmod(0o555)
        for path in (public / "house" / "library.sqlite", *(public / "house/photos").iterdir()):
            path.chmod(0o444)
        run = subprocess.run(
            [sys.executable, "-c", READ_ONLY, str(public / "house"), str(public / "stick")],
            capture_output=True, text=True, timeout=60,
        )  # fmt: skip
        assert run.returncode == 0, run.stderr
        edit, undo, put, empty, backed, refused, found, ok = json.loads(run.stdout)
        assert all("reading only" in said for said in (edit, undo, put, empty))
        assert backed.startswith("Backup(") and "cannot be written" in refused
        assert (found, ok) == ("1", "True")
    finally:
        for path in (public, public / "house", public / "house" / "photos"):
            path.chmod(0o755)
        shutil.rmtree(public)
