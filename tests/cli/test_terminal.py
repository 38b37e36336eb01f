"""Nothing on record or typed steers the terminal, also through what is refused."""

import os
import re
import sqlite3
import subprocess
import sys
import unicodedata
from contextlib import closing

import pytest
from click.testing import CliRunner

from command import run, run_json
from folders import ROOT
from library_made import IRON, a_photo, reading
from swatchbath.bath.step import Material, Step
from swatchbath.cli import main, screen
from swatchbath.library import Library

EVIL = "\x1b[2J\x1b]0;hacked\x07\x9b31m\u202egnp.\x08\x7f\u2066"
DYE = Step("dye", (Material("dyestuff", f"weld{EVIL}", 80.0, "dried", f"W{EVIL}"),), pH=6.0,
           note=f"note{EVIL}", water=f"rain{EVIL}", typed=f"dye: weld{EVIL}")  # fmt: skip


def is_clean(text):
    return not [
        c
        for c in text
        if (unicodedata.category(c) == "Cc" and c not in "\n\t")
        or unicodedata.category(c) == "Cs"
        or unicodedata.bidirectional(c) in ("RLO", "LRO", "LRI", "RLI", "FSI", "PDI", "PDF")
    ]


@pytest.fixture
def folder(tmp_path):
    with Library(tmp_path / "house", create=True) as lib:
        lot = lib.add_lot([DYE], name=f"pot{EVIL}", session="2026-03-14", note=EVIL)
        key = lib.add_swatch(
            name=f"צמר{EVIL} 🧶", lot=lot, part=f"a{EVIL}", steps=[IRON],
            fibre={"fibre": f"wool{EVIL}", "fibre_g": 10.0}, extra={f"mine{EVIL}": EVIL},
        )  # fmt: skip
        photo = a_photo(tmp_path / f"leaf{EVIL.replace('/', '')}.png")
        lib.add_measurement(key, reading(), photo=lib.add_photo(photo, camera_name=f"c{EVIL}"))
        lib.edit(key, {"part": f"b{EVIL}"}, why=f"why{EVIL}")
    return tmp_path / "house"


def texts_of(folder):
    with closing(sqlite3.connect(folder / "library.sqlite")) as db:
        for (name,) in db.execute("SELECT name FROM sqlite_schema WHERE type = 'table'").fetchall():
            for row in db.execute(f'SELECT * FROM "{name}"'):
                yield from (v for v in row if isinstance(v, str))


def test_it_is_not_kept_on_record(folder):
    texts = list(texts_of(folder))
    assert any("צמר" in t and "🧶" in t for t in texts)
    for text in texts:
        assert is_clean(text), text
        assert "\\u001b" not in text and "\\u202e" not in text, text


def smuggled(folder):
    """Put it on record past all checks, as an older version would have."""
    with closing(sqlite3.connect(folder / "library.sqlite", isolation_level=None)) as db:
        db.create_function("evil", 1, lambda text: f"{text}{EVIL}")
        for table, column in [
            ("swatch", "name"), ("swatch", "part"), ("swatch", "fibre"), ("step", "note"),
            ("step", "typed"), ("step", "water"), ("material", "name"), ("photo", "name"),
            ("photo", "camera_name"), ("change", "why"), ("material", "dyestuff_lot"),
        ]:  # fmt: skip
            db.execute(f"UPDATE {table} SET {column} = evil({column}) WHERE {column} IS NOT NULL")
        return db.execute("SELECT code FROM swatch").fetchone()[0]


def test_what_was_recorded_before_is_not_shown(folder, tmp_path):
    code = smuggled(folder)
    (photo,) = (folder / "photos").iterdir()
    for verb in (["find"], ["find", "weld"], ["find", EVIL], ["show", code], ["waiting"],
                 ["codes", 1],
                 ["show", f"no such{EVIL}"], ["edit", code, "--set", f"pH={EVIL}"],
                 ["edit", code, "--set", f"{EVIL}=5"], ["measure", tmp_path / f"x{EVIL}.png"],
                 [f"{EVIL}"], ["find", f"--{EVIL}"], ["suggest", EVIL], ["bin"], ["bin", code],
                 ["bin"], ["undo"]):  # fmt: skip
        for more in ([], ["--json"]):
            words = [*map(str, verb), *more]
            if EVIL not in verb[:1]:
                words += ["--library", str(folder)]
            done = CliRunner().invoke(main, words, color=True)  # as in a terminal
            assert done.exit_code in (0, 2), done.output
            assert is_clean(done.output), (verb, [c for c in done.output if not is_clean(c)])
    photo.unlink()
    assert is_clean(run("verify", "--library", folder, ok=1).output)
    assert is_clean(
        run("photos", tmp_path / f"nowhere{EVIL}.png", "--library", folder, ok=2).output
    )


def test_json_says_it_all_the_same(folder):
    code = smuggled(folder)
    assert run_json("show", code, folder=folder)["name"].endswith(EVIL)


@pytest.mark.skipif(os.name == "nt", reason="words are text there")
@pytest.mark.parametrize("verb", ["find", "show", "suggest", "edit"])
def test_bytes_that_are_no_text_get_a_sentence(folder, verb):
    words = [sys.executable, "-c", "from swatchbath.cli import main; main()", verb, b"wel\xff"]
    words += ["--set", "pH=5"] if verb == "edit" else []
    done = subprocess.run(
        [*words, "--library", str(folder)], capture_output=True, timeout=100,
        env=os.environ | {"PYTHONPATH": os.pathsep.join(sys.path), "PYTHONUTF8": "1"},
    )  # fmt: skip
    said = done.stderr.decode("utf-8")
    assert done.returncode == 2 and said.startswith("swatchbath: ") and "Traceback" not in said
    assert is_clean(said)
    if verb in ("find", "show", "edit"):
        assert "no text" in said and "on record" not in said


def test_a_colour_block_is_still_shown(folder, monkeypatch):
    monkeypatch.setattr(screen, "colours_shown", lambda: True)
    smuggled(folder)
    done = CliRunner().invoke(main, ["find", "--library", str(folder)], color=True)
    left, block, right = re.split(r"(\x1b\[48;2;\d+;\d+;\d+m    \x1b\[0m)", done.output)
    assert block and is_clean(left) and is_clean(right) and "wool" in right


def test_words_reach_the_terminal_in_one_place():
    for file in (ROOT / "src" / "swatchbath" / "cli").glob("*.py"):
        text = file.read_text(encoding="utf-8")
        typed = len(re.findall(r"click\.(echo|secho|echo_via_pager)\(|[^_.\w]print\(", text))
        # Of our own making: the line, and that it learns.
        assert typed == (3 if file.name == "screen.py" else 0), file.name
